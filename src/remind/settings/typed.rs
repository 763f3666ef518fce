//! The configuration as it is typed, and what it means.

use std::num::NonZeroU16;
use std::path::{Path, PathBuf};

use chrono_tz::Tz;
use lettre::message::Mailbox;

use super::super::calls::Calls;
use super::super::channel::webhook;
use super::super::error::RemindError;
use super::super::moments::{Moments, Quiet};
use super::super::notice::one_line;
use super::super::plan::Digest;
use super::super::secret::Source;
use super::{Channel, Kind, Mail, Program, Security, Url, Webhook};
use crate::calendar::cron_text::CronText;

/// Every morning, a week before its day, and every week once that is past: design rules of this program.
const WHEN: &str = "0 7 * * *";
const DAYS: u32 = 7;
/// How far a calendar file looks ahead.
const WITHIN: u32 = 60;
const SECONDS: NonZeroU16 = NonZeroU16::new(60).expect("not nought");
/// Ports of mail servers: RFC 6409 (submission), RFC 8314 (over TLS), RFC 5321.
const SUBMISSION: u16 = 587;
const OVER_TLS: u16 = 465;
const SMTP: u16 = 25;
/// The longest name of a channel.
const LONGEST_NAME: usize = 40;

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Settings {
    zone: String,
    when: Option<String>,
    lead: Option<Vec<String>>,
    repeat: Option<String>,
    quiet: Option<String>,
    #[serde(default)]
    digest: Digest,
    #[serde(default)]
    why: bool,
    #[serde(default)]
    names: bool,
    #[serde(default)]
    channel: Vec<TypedChannel>,
}

#[derive(serde::Deserialize)]
#[serde(rename_all = "lowercase")]
enum TypedKind {
    Screen,
    Mail,
    Webhook,
    Desktop,
    Calendar,
    Command,
}

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct TypedChannel {
    name: String,
    kind: TypedKind,
    when: Option<String>,
    lead: Option<Vec<String>>,
    overdue_by: Option<String>,
    repeat: Option<String>,
    quiet: Option<String>,
    digest: Option<Digest>,
    why: Option<bool>,
    names: Option<bool>,
    #[serde(default)]
    properties: Vec<String>,
    server: Option<String>,
    port: Option<u16>,
    security: Option<String>,
    user: Option<String>,
    password: Option<Source>,
    from: Option<String>,
    to: Option<Vec<String>>,
    ca: Option<PathBuf>,
    url: Option<Url>,
    secret: Option<Source>,
    file: Option<PathBuf>,
    within: Option<String>,
    run: Option<Vec<String>>,
    time_limit: Option<NonZeroU16>,
}

impl Settings {
    /// What was typed, as it is meant; file names go from `folder`.
    pub(super) fn meant(self, folder: &Path) -> Result<super::Settings, RemindError> {
        let zone: Tz = self.zone.parse().map_err(|_| unknown_zone(&self.zone))?;
        if self.channel.is_empty() {
            return Err(RemindError::NoChannel);
        }
        let variables = self.channel.iter().flat_map(TypedChannel::variables).collect::<Vec<_>>();
        let mut channels: Vec<Channel> = Vec::new();
        for typed in &self.channel {
            let channel = self.channel(typed, zone, folder, &variables)?;
            if channels.iter().any(|other| other.name == channel.name) {
                return Err(RemindError::TwoOfAName { name: channel.name });
            }
            channels.push(channel);
        }
        Ok(super::Settings { zone, channels })
    }

    fn channel(
        &self,
        typed: &TypedChannel,
        zone: Tz,
        folder: &Path,
        variables: &[String],
    ) -> Result<Channel, RemindError> {
        let name = typed.name.clone();
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
        if name.is_empty() || name.len() > LONGEST_NAME || !name.chars().all(plain) {
            return Err(RemindError::BadName { name });
        }
        let own = |is_own: bool, error: RemindError| match is_own {
            true => RemindError::OfChannel { channel: typed.name.clone(), error: Box::new(error) },
            false => error,
        };
        let when = cron(typed.when.as_deref().or(self.when.as_deref()).unwrap_or(WHEN))
            .map_err(|error| own(typed.when.is_some(), error))?;
        let quiet = typed.quiet.as_deref().or(self.quiet.as_deref()).map(quiet).transpose();
        let quiet = quiet.map_err(|error| own(typed.quiet.is_some(), error))?;
        Ok(Channel {
            kind: typed.kind(folder, variables)?,
            moments: Moments { when, zone, quiet },
            calls: self.calls(typed)?,
            digest: typed.digest.unwrap_or(self.digest),
            why: typed.why.unwrap_or(self.why),
            names: typed.names.unwrap_or(self.names),
            properties: typed.properties.clone(),
            name,
        })
    }

    fn calls(&self, typed: &TypedChannel) -> Result<Calls, RemindError> {
        let repeat = match typed.repeat.as_deref().or(self.repeat.as_deref()) {
            Some("never") => None,
            Some(text) => {
                Some(days("repeat", text).and_then(|n| if n == 0 { Err(no_days("repeat", text)) } else { Ok(n) })?)
            }
            None => Some(DAYS),
        };
        if let Some(by) = &typed.overdue_by {
            if typed.lead.is_some() {
                return Err(RemindError::LeadAndOverdue { channel: typed.name.clone() });
            }
            return Ok(Calls::overdue(days("overdue_by", by)?, repeat));
        }
        match typed.lead.as_ref().or(self.lead.as_ref()) {
            None => Ok(Calls::before(&[DAYS], repeat)),
            Some(leads) if leads.is_empty() => Err(no_days("lead", "")),
            Some(leads) => {
                let leads = leads.iter().map(|lead| days("lead", lead)).collect::<Result<Vec<u32>, _>>()?;
                Ok(Calls::before(&leads, repeat))
            }
        }
    }
}

impl TypedChannel {
    /// Variables of the environment that hold its secrets.
    fn variables(&self) -> Vec<String> {
        let url = match &self.url {
            Some(Url::Secret(source)) => Some(source),
            _ => None,
        };
        let all = [self.password.as_ref(), self.secret.as_ref(), url];
        all.into_iter().flatten().filter_map(|source| source.variable().map(str::to_owned)).collect()
    }

    fn kind(&self, folder: &Path, variables: &[String]) -> Result<Kind, RemindError> {
        let own: &[&str] = match self.kind {
            TypedKind::Screen | TypedKind::Desktop => &[],
            TypedKind::Mail => &["server", "port", "security", "user", "password", "from", "to", "ca"],
            TypedKind::Webhook => &["url", "secret", "ca"],
            TypedKind::Calendar => &["file", "within"],
            TypedKind::Command => &["run", "time_limit"],
        };
        let of_another = self.given().into_iter().find(|field| !own.contains(field));
        if let Some(field) = of_another {
            return Err(RemindError::NotOfKind { channel: self.name.clone(), kind: self.word(), field });
        }
        Ok(match self.kind {
            TypedKind::Screen => Kind::Screen,
            TypedKind::Desktop => Kind::Desktop,
            TypedKind::Mail => Kind::Mail(Box::new(self.mail(folder)?)),
            TypedKind::Webhook => Kind::Webhook(self.webhook(folder)?),
            TypedKind::Calendar => Kind::Calendar {
                file: folder.join(self.file.as_ref().ok_or_else(|| self.missing("file"))?),
                within: self.within.as_deref().map_or(Ok(WITHIN), |text| days("within", text))?,
            },
            TypedKind::Command => Kind::Program(Program {
                run: self.run.clone().filter(|run| !run.is_empty()).ok_or_else(|| self.missing("run"))?,
                seconds: self.time_limit.unwrap_or(SECONDS),
                hidden: variables.to_vec(),
            }),
        })
    }

    fn mail(&self, folder: &Path) -> Result<Mail, RemindError> {
        let server = self.server.clone().filter(|s| !s.is_empty()).ok_or_else(|| self.missing("server"))?;
        if !is_host(&server) {
            return Err(RemindError::NotAServer { channel: self.name.clone(), given: server });
        }
        let (security, port) = match self.security.as_deref() {
            None | Some("starttls") => (Security::StartTls, SUBMISSION),
            Some("tls") => (Security::Tls, OVER_TLS),
            Some("none") if webhook::is_loopback(&server) => (Security::Plain, SMTP),
            Some("none") => return Err(RemindError::Plain { channel: self.name.clone(), host: server }),
            Some(given) => {
                return Err(RemindError::NotSecurity { channel: self.name.clone(), given: given.to_owned() });
            }
        };
        let login = match (&self.user, &self.password) {
            (Some(user), Some(password)) => Some((user.clone(), password.clone())),
            (None, None) => None,
            (Some(_), None) => return Err(self.missing("password")),
            (None, Some(_)) => return Err(self.missing("user")),
        };
        let to = self.to.as_ref().filter(|to| !to.is_empty()).ok_or_else(|| self.missing("to"))?;
        Ok(Mail {
            server,
            port: self.port.unwrap_or(port),
            security,
            login,
            from: self.address(self.from.as_ref().ok_or_else(|| self.missing("from"))?)?,
            to: to.iter().map(|to| self.address(to)).collect::<Result<_, _>>()?,
            ca: self.ca.as_ref().map(|ca| folder.join(ca)),
        })
    }

    fn address(&self, given: &str) -> Result<Mailbox, RemindError> {
        let refused = || RemindError::NotAnAddress { channel: self.name.clone(), given: given.to_owned() };
        if one_line(given) != given {
            return Err(refused());
        }
        given.parse().map_err(|_| refused())
    }

    fn webhook(&self, folder: &Path) -> Result<Webhook, RemindError> {
        let url = self.url.clone().ok_or_else(|| self.missing("url"))?;
        if let Url::Plain(text) = &url {
            webhook::address(text).map_err(|fault| match fault {
                webhook::Fault::NotAUrl => RemindError::NotAUrl { channel: self.name.clone(), given: text.clone() },
                webhook::Fault::Plain { host } => RemindError::Plain { channel: self.name.clone(), host },
            })?;
        }
        let secret = self.secret.clone().ok_or_else(|| self.missing("secret"))?;
        Ok(Webhook { url, secret, ca: self.ca.as_ref().map(|ca| folder.join(ca)) })
    }

    /// The fields of single kinds that were given.
    fn given(&self) -> Vec<&'static str> {
        let all = [
            ("server", self.server.is_some()),
            ("port", self.port.is_some()),
            ("security", self.security.is_some()),
            ("user", self.user.is_some()),
            ("password", self.password.is_some()),
            ("from", self.from.is_some()),
            ("to", self.to.is_some()),
            ("ca", self.ca.is_some()),
            ("url", self.url.is_some()),
            ("secret", self.secret.is_some()),
            ("file", self.file.is_some()),
            ("within", self.within.is_some()),
            ("run", self.run.is_some()),
            ("time_limit", self.time_limit.is_some()),
        ];
        all.into_iter().filter(|(_, given)| *given).map(|(field, _)| field).collect()
    }

    fn word(&self) -> &'static str {
        match self.kind {
            TypedKind::Screen => "screen",
            TypedKind::Mail => "mail",
            TypedKind::Webhook => "webhook",
            TypedKind::Desktop => "desktop",
            TypedKind::Calendar => "calendar",
            TypedKind::Command => "command",
        }
    }

    fn missing(&self, field: &'static str) -> RemindError {
        RemindError::Missing { channel: self.name.clone(), kind: self.word(), field }
    }
}

/// A name, or an address, and no port beside it: `::1` has colons and is an address.
fn is_host(given: &str) -> bool {
    let bare = given.trim_start_matches('[').trim_end_matches(']');
    bare.parse::<std::net::IpAddr>().is_ok()
        || !given.is_empty() && given.chars().all(|c| c.is_alphanumeric() || matches!(c, '.' | '-' | '_'))
}

fn unknown_zone(given: &str) -> RemindError {
    let all = chrono_tz::TZ_VARIANTS.iter().map(|zone| zone.name());
    let near = all.map(|zone| (strsim::jaro_winkler(zone, given), zone)).max_by(|a, b| a.0.total_cmp(&b.0));
    let near = near.filter(|(alike, _)| *alike > 0.85).map(|(_, zone)| zone.to_owned());
    RemindError::UnknownZone { given: given.to_owned(), near }
}

fn cron(given: &str) -> Result<CronText, RemindError> {
    let refused = |error| RemindError::Cron { given: given.to_owned(), error };
    let when = CronText::parse(given).map_err(refused)?;
    let start = chrono::NaiveDate::from_ymd_opt(2000, 1, 1).expect("a day");
    match when.next_day_after(start) {
        Some(_) => Ok(when),
        None => Err(RemindError::Never { given: given.to_owned() }),
    }
}

fn quiet(given: &str) -> Result<Quiet, RemindError> {
    Quiet::parse(given).map_err(|error| RemindError::Quiet { given: given.to_owned(), error })
}

/// Reads `14d` or `2w`.
fn days(field: &'static str, given: &str) -> Result<u32, RemindError> {
    let (number, many) = match (given.strip_suffix('d'), given.strip_suffix('w')) {
        (Some(number), _) => (number, 1),
        (_, Some(number)) => (number, 7),
        _ => return Err(no_days(field, given)),
    };
    let number: Option<u32> = number.trim().parse::<u16>().ok().map(u32::from);
    number.map(|number| number * many).ok_or_else(|| no_days(field, given))
}

fn no_days(field: &'static str, given: &str) -> RemindError {
    RemindError::NotDays { field, given: given.to_owned() }
}
