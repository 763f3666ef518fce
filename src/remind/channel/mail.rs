//! Mail by SMTP, under one name: a server that has had it, or a reader's program, sees by its `Message-ID` that it is the same.
//!
//! The connection is encrypted, and the server's certificate has to be for its name; an unencrypted one is for this machine
//! alone (`settings` sees to that).

use std::io::ErrorKind;
use std::path::Path;

use lettre::message::header::{ContentType, HeaderName, HeaderValue, MIME_VERSION_1_0};
use lettre::message::{Mailbox, MessageBuilder};
use lettre::transport::smtp::authentication::{Credentials, Mechanism};
use lettre::transport::smtp::client::{Certificate, CertificateStore, SmtpConnection, TlsParameters};
use lettre::transport::smtp::extension::ClientId;
use lettre::{Address, Message};

use super::{Failed, PATIENCE, whole};
use crate::remind::notice::{Notice, one_line};
use crate::remind::secret::Secret;
use crate::remind::settings::{Mail, Security};

/// A server that has taken the password, or wants none.
pub struct Connection<'a> {
    smtp: SmtpConnection,
    mail: &'a Mail,
    secret: Option<Secret>,
}

impl<'a> Connection<'a> {
    /// Connects, encrypts, and says who asks; no message goes out.
    pub fn open(mail: &'a Mail) -> Result<Connection<'a>, Failed> {
        let login = match &mail.login {
            Some((user, source)) => Some((user, source.fetch().map_err(Failed::certain)?)),
            None => None,
        };
        let secret = login.as_ref().map(|(_, secret)| secret.clone());
        let failed = |error: lettre::transport::smtp::Error| Failed::certain(said(mail, secret.as_ref(), &error));
        let tls = match mail.security {
            Security::Plain => None,
            Security::StartTls | Security::Tls => Some(parameters(mail)?),
        };
        let at_once = tls.as_ref().filter(|_| mail.security == Security::Tls);
        let hello = ClientId::default();
        let server = (mail.server.as_str(), mail.port);
        let mut smtp = SmtpConnection::connect(server, Some(PATIENCE), &hello, at_once, None).map_err(failed)?;
        if let (Security::StartTls, Some(tls)) = (mail.security, &tls) {
            if !smtp.can_starttls() {
                smtp.abort();
                let problem = format!("`{}` does not encrypt (it has no STARTTLS)", mail.server);
                return Err(Failed::certain(problem));
            }
            smtp.starttls(tls, &hello).map_err(failed)?;
        }
        if let Some((user, password)) = login {
            let credentials = Credentials::new(user.clone(), password.reveal().to_owned());
            smtp.auth(&[Mechanism::Plain, Mechanism::Login], &credentials).map_err(failed)?;
        }
        Ok(Connection { smtp, mail, secret })
    }

    pub fn send(&mut self, notice: &Notice) -> Result<(), Failed> {
        let message = message(self.mail, notice).map_err(Failed::certain)?;
        match self.smtp.send(message.envelope(), &message.formatted()) {
            Ok(_) => Ok(()),
            Err(error) => {
                let problem = said(self.mail, self.secret.as_ref(), &error);
                // A server that refuses has not taken it; of one that fell silent it is not known.
                Err(Failed { problem, certain: error.status().is_some() || error.is_client() })
            }
        }
    }
}

impl Drop for Connection<'_> {
    fn drop(&mut self) {
        if !self.smtp.has_broken() {
            let _ = self.smtp.quit();
        }
    }
}

fn parameters(mail: &Mail) -> Result<TlsParameters, Failed> {
    let mut parameters = TlsParameters::builder(mail.server.clone());
    if let Some(ca) = &mail.ca {
        parameters = parameters.certificate_store(CertificateStore::None).add_root_certificate(certificate(ca)?);
    }
    parameters.build_rustls().map_err(|error| Failed::certain(format!("`{}`: {}", mail.server, whole(&error))))
}

fn certificate(path: &Path) -> Result<Certificate, Failed> {
    let bad = |error: String| Failed::certain(format!("`{}` has no certificates: {error}", path.display()));
    let pem = std::fs::read(path).map_err(|error| bad(error.to_string()))?;
    Certificate::from_pem(&pem).map_err(|error| bad(whole(&error)))
}

/// What an error says, without the password in it.
fn said(mail: &Mail, secret: Option<&Secret>, error: &lettre::transport::smtp::Error) -> String {
    // What a socket says of a time that has run out differs between systems, and is no word for people.
    let mut cause = std::error::Error::source(error);
    while let Some(inner) = cause {
        let kind = inner.downcast_ref::<std::io::Error>().map(std::io::Error::kind);
        if matches!(kind, Some(ErrorKind::WouldBlock | ErrorKind::TimedOut)) {
            return format!("`{}`: no answer for {} seconds", mail.server, PATIENCE.as_secs());
        }
        cause = inner.source();
    }
    let said = one_line(&whole(error));
    let said = secret.map_or(said.clone(), |secret| secret.hidden_in(&said));
    format!("`{}`: {said}", mail.server)
}

fn message(mail: &Mail, notice: &Notice) -> Result<Message, String> {
    let to = |builder: MessageBuilder, to: &Mailbox| builder.to(to.clone());
    let domain = |address: &Address| address.domain().to_owned();
    let automatic = HeaderValue::new(HeaderName::new_from_ascii_str("Auto-Submitted"), "auto-generated".to_owned());
    let builder = Message::builder().from(mail.from.clone());
    mail.to
        .iter()
        .fold(builder, to)
        .subject(one_line(&notice.summary))
        .message_id(Some(format!("<{}@{}>", notice.id, domain(&mail.from.email))))
        .raw_header(automatic)
        .header(MIME_VERSION_1_0)
        .header(ContentType::TEXT_PLAIN)
        .body(notice.text.clone())
        .map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::message;
    use crate::remind::notice::Notice;
    use crate::remind::notice::tests::{day, thing};
    use crate::remind::settings::{Mail, Security};

    #[test]
    fn nothing_that_was_typed_becomes_a_header() {
        let mail = Mail {
            server: "localhost".into(),
            port: 25,
            security: Security::Plain,
            login: None,
            from: "Houses <me@example.org>".parse().unwrap(),
            to: vec!["you@example.org".parse().unwrap()],
            ca: None,
        };
        let mut bent = thing("elm", "2026-03-11");
        bent.title = "look\r\nBcc: other@example.org\r\n\r\nat this é".into();
        let mut notice = Notice::of("me", day("2026-02-24"), vec![bent]);
        let plain = String::from_utf8(message(&mail, &notice).unwrap().formatted()).unwrap();
        // Even where a summary was made elsewhere.
        notice.summary = "one\r\nBcc: other@example.org".into();
        let other = String::from_utf8(message(&mail, &notice).unwrap().formatted()).unwrap();
        for text in [plain, other] {
            let (head, _) = text.split_once("\r\n\r\n").unwrap();
            let names: Vec<&str> =
                head.lines().filter(|line| !line.starts_with(' ')).filter_map(|line| line.split(':').next()).collect();
            let mut sorted = names.clone();
            sorted.sort_unstable();
            assert_eq!(
                sorted,
                [
                    "Auto-Submitted",
                    "Content-Transfer-Encoding",
                    "Content-Type",
                    "Date",
                    "From",
                    "MIME-Version",
                    "Message-ID",
                    "Subject",
                    "To"
                ],
                "{head}"
            );
            assert!(head.contains(&format!("Message-ID: <{}@example.org>", notice.id)), "{head}");
        }
    }
}
