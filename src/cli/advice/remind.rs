//! What to do about what keeps reminders from being set up.

use super::super::failure::Failure;
use super::super::given;
use crate::calendar::cron_text::macros;
use crate::remind::error::RemindError;

pub fn failure(error: &RemindError) -> Failure {
    use RemindError as E;
    let (given, attempt) = match error {
        E::NoConfiguration { path } => (
            path.display().to_string(),
            "`stemwall remind example > remind.toml` makes one to begin with, or name one with --config".to_owned(),
        ),
        E::Unreadable { path, .. } | E::Unwritable { path, .. } => {
            (path.display().to_string(), "see that you may read and write there".into())
        }
        E::OthersWrite { path, .. } => (
            path.display().to_string(),
            format!("whoever can write it has commands run as you: `chmod 600 {}`", path.display()),
        ),
        E::Foreign { path } => (path.display().to_string(), "copy it, read it, and use the copy that is yours".into()),
        E::NotToml { path, .. } => {
            (path.display().to_string(), "`stemwall remind example` shows what can stand there".into())
        }
        E::UnknownZone { given, near } => {
            let near = near.as_ref().map(|near| format!("did you mean `{near}`? ")).unwrap_or_default();
            (given.clone(), format!("{near}a zone is named as in `America/Chicago`"))
        }
        E::Cron { given, .. } => {
            let macros = macros().collect::<Vec<_>>().join(", ");
            (given.clone(), format!("minute, hour, day, month, day of the week, as in `0 7 * * *`, or one of {macros}"))
        }
        E::Never { given } => (given.clone(), "no month has such a day; `0 7 1 * *` is the first of each month".into()),
        E::Quiet { given, .. } => {
            (given.clone(), "write from when to when it is quiet, as in `quiet = \"21:00-06:30\"`".into())
        }
        E::NotDays { field, given } => {
            let never = if *field == "repeat" { ", or `never`" } else { "" };
            (format!("{field} = {given}"), format!("write days or weeks, as in `7d` or `2w`{never}"))
        }
        E::OfChannel { channel, error } => return failure(error).inside(&format!("channel `{channel}`")),
        E::NoChannel => (given::typed(), "add one: `[[channel]]`, `name = \"here\"`, `kind = \"screen\"`".into()),
        E::TwoOfAName { name } => (name.clone(), "what was sent is kept by the name: give each its own".into()),
        E::BadName { name } => (name.clone(), "at most 40 letters, digits, hyphens, underscores, full stops".into()),
        E::Missing { field, .. } | E::NotOfKind { field, .. } => {
            ((*field).to_owned(), "`stemwall remind example` shows what each kind has".into())
        }
        E::LeadAndOverdue { channel } => {
            (channel.clone(), "a channel that hears only of what is overdue has no lead: leave one out".into())
        }
        E::NotAnAddress { given, .. } => {
            (given.clone(), "write it as in `me@example.org` or `Houses <me@example.org>`".into())
        }
        E::NotAUrl { given, .. } => (given.clone(), "write it as in `https://hooks.example.org/stemwall`".into()),
        E::Plain { host, .. } => (
            host.clone(),
            "encrypt it (`security = \"starttls\"` or \"tls\", `https`); only this machine is spoken to without".into(),
        ),
        E::NotAServer { given, .. } => (
            given.clone(),
            "write the name alone, as in `server = \"mail.example.org\"`; `port` says which port".into(),
        ),
        E::NotSecurity { given, .. } => (given.clone(), "`starttls`, `tls`, or, on this machine, `none`".into()),
        E::NotToday { asked, .. } => {
            (format!("--today {asked}"), format!("`stemwall --today {asked} remind --dry-run` shows what would go out"))
        }
        E::Busy { .. } => (given::typed(), "wait until it is done; `remind --stay` sends by itself".into()),
        E::NotOurs { path } => (path.display().to_string(), "move it away first".into()),
        E::NothingInstalled { path } => (path.display().to_string(), "`stemwall remind install` writes it".into()),
    };
    let code = match error {
        E::NoConfiguration { .. } | E::Unreadable { .. } | E::Unwritable { .. } | E::Busy { .. } => 1,
        E::NotOurs { .. } | E::NothingInstalled { .. } | E::Foreign { .. } | E::OthersWrite { .. } => 1,
        _ => 2,
    };
    Failure::new(code, error.to_string()).given(given).attempt(attempt)
}
