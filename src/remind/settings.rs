//! The configuration: a TOML file beside the ledger that only its owner can write.
//!
//! Whoever can write it decides which commands are run, so one that others can write, or that is another user's, is not
//! read. Secrets do not stand in it: it names where they come from.

mod typed;

use std::io::Read;
use std::num::NonZeroU16;
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};

use lettre::message::Mailbox;

use super::calls::Calls;
use super::error::RemindError;
use super::moments::Moments;
use super::plan::Digest;
use super::secret::Source;

/// A configuration to begin with; a test reads it.
pub const EXAMPLE: &str = include_str!("example.toml");
/// What it is called beside the ledger.
pub const NAME: &str = "remind.toml";
/// The most that is read of it.
const LONGEST: u64 = 1 << 20;

#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    pub zone: chrono_tz::Tz,
    pub channels: Vec<Channel>,
}

/// One way to somebody.
#[derive(Debug, Clone, PartialEq)]
pub struct Channel {
    pub name: String,
    pub kind: Kind,
    pub moments: Moments,
    pub calls: Calls,
    pub digest: Digest,
    /// Reasons too, which may hold words that people typed.
    pub why: bool,
    /// The names of whom to tell before a visit.
    pub names: bool,
    /// Only these houses; all where empty.
    pub properties: Vec<String>,
}

#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// Standard output.
    Screen,
    Mail(Box<Mail>),
    Webhook(Webhook),
    /// The notices of the desktop.
    Desktop,
    /// A calendar file, written anew each time.
    Calendar {
        file: PathBuf,
        within: u32,
    },
    /// A command of the user's.
    Program(Program),
}

#[derive(Debug, Clone, PartialEq)]
pub struct Mail {
    pub server: String,
    pub port: u16,
    pub security: Security,
    pub login: Option<(String, Source)>,
    pub from: Mailbox,
    pub to: Vec<Mailbox>,
    /// Certificates that are trusted in place of the public ones.
    pub ca: Option<PathBuf>,
}

/// How a mail server is spoken to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Security {
    /// Encrypted after the first words; refused where the server cannot.
    StartTls,
    /// Encrypted from the first byte.
    Tls,
    /// Not at all: on this machine only.
    Plain,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Webhook {
    pub url: Url,
    pub secret: Source,
    pub ca: Option<PathBuf>,
}

/// An address of the web, which may be a secret itself.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(untagged)]
pub enum Url {
    Plain(String),
    Secret(Source),
}

#[derive(Debug, Clone, PartialEq)]
pub struct Program {
    pub run: Vec<String>,
    pub seconds: NonZeroU16,
    /// Variables of the environment that it does not get.
    pub hidden: Vec<String>,
}

impl Kind {
    /// As it is written in the configuration.
    pub fn word(&self) -> &'static str {
        match self {
            Kind::Screen => "screen",
            Kind::Mail(_) => "mail",
            Kind::Webhook(_) => "webhook",
            Kind::Desktop => "desktop",
            Kind::Calendar { .. } => "calendar",
            Kind::Program(_) => "command",
        }
    }
}

impl Settings {
    /// Reads a configuration file.
    ///
    /// Errors: it is not there, others can write it, or something in it is not what it should be.
    pub fn read(path: &Path) -> Result<Settings, RemindError> {
        let unreadable = |error: std::io::Error| match error.kind() {
            std::io::ErrorKind::NotFound => RemindError::NoConfiguration { path: path.to_owned() },
            _ => RemindError::Unreadable { path: path.to_owned(), error: error.to_string() },
        };
        // What is asked about the file is asked of the one that is open.
        let file = std::fs::File::open(path).map_err(unreadable)?;
        let about = file.metadata().map_err(unreadable)?;
        if about.uid() != rustix::process::geteuid().as_raw() {
            return Err(RemindError::Foreign { path: path.to_owned() });
        }
        if about.mode() & 0o022 != 0 {
            return Err(RemindError::OthersWrite { path: path.to_owned(), mode: about.mode() & 0o777 });
        }
        let mut text = String::new();
        file.take(LONGEST).read_to_string(&mut text).map_err(unreadable)?;
        Settings::parse(&text, path)
    }

    /// Reads the text of a configuration; `path` is where it stands, from which its file names go.
    pub fn parse(text: &str, path: &Path) -> Result<Settings, RemindError> {
        let typed: typed::Settings = toml::from_str(text).map_err(|error| {
            let before = error.span().map_or("", |span| text.get(..span.start).unwrap_or(""));
            let error = error.message().lines().collect::<Vec<_>>().join(" ");
            RemindError::NotToml { path: path.to_owned(), line: before.matches('\n').count() + 1, error }
        })?;
        typed.meant(path.parent().unwrap_or(Path::new("")))
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::{EXAMPLE, Kind, Security, Settings};
    use crate::remind::error::RemindError;

    fn parse(text: &str) -> Result<Settings, RemindError> {
        Settings::parse(text, Path::new("/home/me/remind.toml"))
    }

    #[test]
    fn the_example_reads_whole_and_with_every_line_in_force() {
        let as_it_is = parse(EXAMPLE).unwrap();
        assert_eq!(as_it_is.channels.iter().map(|c| c.kind.word()).collect::<Vec<_>>(), ["screen"]);
        let in_force = |line: &str| match line.strip_prefix('#') {
            Some(rest) if !rest.starts_with(' ') => rest.to_owned(),
            _ => line.to_owned(),
        };
        let all = parse(&EXAMPLE.lines().map(in_force).collect::<Vec<_>>().join("\n")).unwrap();
        let kinds: Vec<&str> = all.channels.iter().map(|c| c.kind.word()).collect();
        assert_eq!(kinds, ["screen", "mail", "mail", "webhook", "desktop", "calendar", "command"]);
        let Kind::Mail(mail) = &all.channels[1].kind else { panic!() };
        assert_eq!((mail.port, mail.security), (587, Security::StartTls));
        // No secret, nor where it would be, is in what a debugger sees of it beyond the name of its source.
        assert!(format!("{all:?}").contains("Env(\"STEMWALL_MAIL_PASSWORD\")"));
    }

    #[test]
    fn a_secret_is_not_written_down() {
        let text =
            "zone = 'UTC'\n[[channel]]\nname = 'hook'\nkind = 'webhook'\nurl = 'https://example.org/'\nsecret = 'hush'";
        for place in ["'hush'", "{ env = 'A', hush = 'B' }", "['hush']", "{ hush = 'A' }", "{ command = [1, 'hush'] }"]
        {
            let Err(RemindError::NotToml { line: 6, error, .. }) = parse(&text.replace("'hush'", place)) else {
                panic!()
            };
            assert!(error.contains("a secret is") && !error.contains("hush"), "{error}");
        }
    }
}
