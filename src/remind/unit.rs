//! What the service manager of the user's session is given: a service that sends what is due, and a timer that starts it
//! every quarter of an hour (systemd.service(5), systemd.timer(5)). The program itself knows when its moments are, so the
//! timer need not: it also tries channels again that were down.

use std::path::Path;

/// How every file of ours begins; what begins otherwise is not overwritten and not removed.
pub const HEAD: &str = "# Written by `stemwall remind install`; `stemwall remind install --remove` takes it away.\n";
pub const SERVICE: &str = "stemwall-remind.service";
pub const TIMER: &str = "stemwall-remind.timer";

/// The service: `program` with its words, and where its secrets may stand.
pub fn service(program: &[&str], environment: &Path) -> String {
    let words: Vec<String> = program.iter().map(|word| quoted(word)).collect();
    let environment = environment.display().to_string().replace('%', "%%");
    format!(
        "{HEAD}[Unit]\nDescription=Reminders of a stemwall ledger\nWants=network-online.target\n\
         After=network-online.target\n\n[Service]\nType=oneshot\nExecStart={}\n\
         # Secrets that the configuration takes from the environment, a NAME=VALUE a line; chmod 600.\n\
         EnvironmentFile=-{environment}\nUMask=0077\n",
        words.join(" ")
    )
}

/// The timer of the service.
pub fn timer() -> String {
    format!(
        "{HEAD}[Unit]\nDescription=Looks whether reminders of a stemwall ledger are due\n\n[Timer]\nOnCalendar=*:0/15\n\
         Persistent=true\nAccuracySec=1min\n\n[Install]\nWantedBy=timers.target\n"
    )
}

/// A word of a command line: in quotes, with what has a meaning there written out.
fn quoted(word: &str) -> String {
    let mut out = String::from("\"");
    for c in word.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            '%' => out.push_str("%%"),
            '$' => out.push_str("$$"),
            '\n' => out.push_str("\\n"),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::{quoted, service};

    #[test]
    fn a_word_stays_one_word() {
        assert_eq!(quoted("/home/me/my houses.stemwall"), "\"/home/me/my houses.stemwall\"");
        assert_eq!(quoted("100% $HOME \"a\\b\"\n"), "\"100%% $$HOME \\\"a\\\\b\\\"\\n\"");
        let text = service(&["/bin/stemwall", "remind"], Path::new("/home/me/remind.env"));
        assert!(text.contains("\nExecStart=\"/bin/stemwall\" \"remind\"\n"), "{text}");
    }
}
