//! Passwords and keys: from the environment or from a command, when they are needed; never shown.

use std::fmt;

use super::channel::program::{self, Ran};

/// How long a command may take that gives a secret.
const LIMIT: std::time::Duration = std::time::Duration::from_secs(30);

/// Where a secret comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Source {
    /// A variable of the environment.
    Env(String),
    /// What a command writes, up to the end of its first line.
    Command(Vec<String>),
}

// Written by hand, so that what somebody put there in its place is not repeated.
impl<'de> serde::Deserialize<'de> for Source {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Source, D::Error> {
        let given = toml::Value::deserialize(from)?;
        let text = |value: &toml::Value| value.as_str().map(str::to_owned);
        let source = given.as_table().filter(|table| table.len() == 1).and_then(|table| {
            match (table.get("env").and_then(text), table.get("command").and_then(toml::Value::as_array)) {
                (Some(name), _) => Some(Source::Env(name)),
                (None, Some(words)) => words.iter().map(text).collect::<Option<Vec<String>>>().map(Source::Command),
                (None, None) => None,
            }
        });
        source.ok_or_else(|| {
            serde::de::Error::custom(
                "a secret is `{ env = \"NAME\" }` or `{ command = [\"program\", \"word\"] }`, it does not stand here",
            )
        })
    }
}

/// A secret. It has no words of its own.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret(String);

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret(…)")
    }
}

impl Secret {
    pub fn reveal(&self) -> &str {
        &self.0
    }

    /// Takes the secret out of a text that came from outside, such as an answer that repeats it.
    pub fn hidden_in(&self, text: &str) -> String {
        if self.0.is_empty() { text.to_owned() } else { text.replace(&self.0, "…") }
    }
}

impl Source {
    /// Fetches the secret.
    ///
    /// Errors: no such variable, a command that fails, nothing in it; in words, without the secret.
    pub fn fetch(&self) -> Result<Secret, String> {
        let (text, from) = match self {
            Source::Env(name) => {
                let value = std::env::var(name).map_err(|_| format!("the environment has no `{name}`"))?;
                (value, format!("`{name}` of the environment"))
            }
            Source::Command(words) => {
                let name = words.first().cloned().unwrap_or_default();
                match program::run(words, "", LIMIT) {
                    Ok(Ran { output, .. }) => (output, format!("what `{name}` gave")),
                    Err(failed) => return Err(failed.problem),
                }
            }
        };
        match text.lines().next().map(str::trim_end).filter(|line| !line.is_empty()) {
            Some(line) => Ok(Secret(line.to_owned())),
            None => Err(format!("{from} is empty")),
        }
    }

    /// The variable that holds it, which no other program needs to see.
    pub fn variable(&self) -> Option<&str> {
        match self {
            Source::Env(name) => Some(name),
            Source::Command(_) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Secret, Source};

    fn command(words: &[&str]) -> Source {
        Source::Command(words.iter().map(|word| (*word).to_owned()).collect())
    }

    #[test]
    fn a_secret_has_no_words() {
        let secret = command(&["printf", "hush\\nmore"]).fetch().unwrap();
        assert_eq!(secret.reveal(), "hush");
        assert_eq!(format!("{secret:?} {:?}", Some(&secret)), "Secret(…) Some(Secret(…))");
        assert_eq!(secret.hidden_in("535 no hush here"), "535 no … here");
        assert_eq!(Secret(String::new()).hidden_in("as it is"), "as it is");
    }

    #[test]
    fn where_there_is_none() {
        let of = |source: Source| source.fetch().unwrap_err();
        assert_eq!(of(Source::Env("STEMWALL_NO_SUCH".into())), "the environment has no `STEMWALL_NO_SUCH`");
        assert_eq!(of(command(&["true"])), "what `true` gave is empty");
        assert_eq!(of(command(&["false"])), "`false` ended with 1");
        assert_eq!(
            of(command(&["no-such-program-here"])),
            "`no-such-program-here` cannot be run: there is no such program"
        );
    }
}
