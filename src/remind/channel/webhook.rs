//! A signed POST of JSON.
//!
//! Three headers go with the body. `Stemwall-Time`: seconds since 1970 when it was sent. `Stemwall-Signature`: `v1=` and, in
//! hex, the HMAC-SHA256 (RFC 2104) of the time, a full stop and the body, under the secret. `Idempotency-Key`: the name of
//! the message, the same when it is sent again. Whoever receives it computes the signature anew, refuses a time that is
//! more than [`REPLAY_WINDOW`] from its own clock, and takes a key that it has had for done.
//!
//! An answer of 200 to 299 is taken for arrived, 300 to 499 for refused; after anything else it is not known.

use std::net::IpAddr;
use std::path::Path;
use std::time::SystemTime;

use hmac::{Hmac, KeyInit, Mac};
use sha2::Sha256;
use ureq::http::Uri;
use ureq::tls::{Certificate, PemItem, RootCerts, TlsConfig, parse_pem};

use super::{Failed, PATIENCE, whole};
use crate::remind::notice::Notice;
use crate::remind::secret::Secret;
use crate::remind::settings::{Url, Webhook};

/// How far, in seconds, the time of a message may be from the receiver's clock: 5 minutes, a design rule of this program.
pub const REPLAY_WINDOW: u64 = 300;

/// The shortest secret, in bytes, that is taken: 16, a design rule of this program. RFC 2104 3 discourages keys that are
/// shorter than the hash, which is 32.
pub const SHORTEST_KEY: usize = 16;

/// What an address can be wrong about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fault {
    NotAUrl,
    /// Not encrypted, and not on this machine.
    Plain {
        host: String,
    },
}

/// A hook that is ready to send.
pub struct Hook {
    agent: ureq::Agent,
    uri: Uri,
    host: String,
    secrets: Vec<Secret>,
    key: Secret,
}

impl Hook {
    /// Fetches the secrets; nothing is sent yet.
    pub fn open(hook: &Webhook) -> Result<Hook, Failed> {
        let key = hook.secret.fetch().map_err(Failed::certain)?;
        if key.reveal().len() < SHORTEST_KEY {
            return Err(Failed::certain(format!("its secret has fewer than {SHORTEST_KEY} characters")));
        }
        let (text, mut secrets) = match &hook.url {
            Url::Plain(text) => (text.clone(), Vec::new()),
            Url::Secret(source) => {
                let secret = source.fetch().map_err(Failed::certain)?;
                (secret.reveal().to_owned(), vec![secret])
            }
        };
        secrets.push(key.clone());
        let (uri, host) = address(&text).map_err(|fault| match fault {
            Fault::NotAUrl => Failed::certain("its secret address is not one of the web"),
            Fault::Plain { host } => Failed::certain(format!("what goes to `{host}` would not be encrypted")),
        })?;
        let mut tls = TlsConfig::builder();
        if let Some(ca) = &hook.ca {
            tls = tls.root_certs(RootCerts::new_with_certs(&certificates(ca)?));
        }
        let config = ureq::Agent::config_builder()
            .timeout_global(Some(PATIENCE))
            .http_status_as_error(false)
            // What is meant for one address goes to no other.
            .max_redirects(0)
            .proxy(None)
            .user_agent(concat!("stemwall/", env!("CARGO_PKG_VERSION")))
            .tls_config(tls.build());
        Ok(Hook { agent: config.build().new_agent(), uri, host, secrets, key })
    }

    pub fn send(&self, notice: &Notice) -> Result<(), Failed> {
        let body = notice.to_json();
        let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH);
        let time = since.map_err(|_| Failed::certain("the clock stands before 1970"))?.as_secs().to_string();
        let request = self
            .agent
            .post(self.uri.clone())
            .header("Content-Type", "application/json")
            .header("Stemwall-Time", &time)
            .header("Stemwall-Signature", format!("v1={}", signature(&self.key, &time, &body)))
            .header("Idempotency-Key", &notice.id);
        match request.send(body) {
            Ok(answer) => match answer.status().as_u16() {
                200..300 => Ok(()),
                code @ 300..500 => Err(Failed::certain(format!("`{}` answered {code}", self.host))),
                code => Err(Failed::unknown(format!("`{}` answered {code}", self.host))),
            },
            Err(error) => {
                let said = self.secrets.iter().fold(whole(&error), |said, secret| secret.hidden_in(&said));
                let problem = format!("`{}`: {said}", self.host);
                match error {
                    ureq::Error::HostNotFound | ureq::Error::ConnectionFailed | ureq::Error::Tls(_) => {
                        Err(Failed::certain(problem))
                    }
                    ureq::Error::Rustls(_) | ureq::Error::Timeout(ureq::Timeout::Connect | ureq::Timeout::Resolve) => {
                        Err(Failed::certain(problem))
                    }
                    ureq::Error::Io(ref io) if io.kind() == std::io::ErrorKind::ConnectionRefused => {
                        Err(Failed::certain(problem))
                    }
                    _ => Err(Failed::unknown(problem)),
                }
            }
        }
    }
}

/// The HMAC of time and body, in hex.
fn signature(key: &Secret, time: &str, body: &str) -> String {
    let mut mac = Hmac::<Sha256>::new_from_slice(key.reveal().as_bytes()).expect("a key of any length is one");
    mac.update(time.as_bytes());
    mac.update(b".");
    mac.update(body.as_bytes());
    mac.finalize().into_bytes().iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Reads an address, and gives its host: `https`, or `http` on this machine.
pub fn address(text: &str) -> Result<(Uri, String), Fault> {
    let uri: Uri = text.parse().map_err(|_| Fault::NotAUrl)?;
    let host = uri.host().filter(|host| !host.is_empty()).ok_or(Fault::NotAUrl)?.to_owned();
    match uri.scheme_str() {
        Some("https") => Ok((uri, host)),
        Some("http") if is_loopback(&host) => Ok((uri, host)),
        Some("http") => Err(Fault::Plain { host }),
        _ => Err(Fault::NotAUrl),
    }
}

/// Whether what goes to a host stays on this machine.
pub fn is_loopback(host: &str) -> bool {
    let bare = host.trim_start_matches('[').trim_end_matches(']');
    host == "localhost" || bare.parse::<IpAddr>().is_ok_and(|address| address.is_loopback())
}

fn certificates(path: &Path) -> Result<Vec<Certificate<'static>>, Failed> {
    let bad = |error: String| Failed::certain(format!("`{}` has no certificates: {error}", path.display()));
    let pem = std::fs::read(path).map_err(|error| bad(error.to_string()))?;
    let all: Vec<_> = parse_pem(&pem)
        .filter_map(|item| match item {
            Ok(PemItem::Certificate(certificate)) => Some(certificate),
            _ => None,
        })
        .collect();
    if all.is_empty() { Err(bad("none in it".into())) } else { Ok(all) }
}

#[cfg(test)]
mod tests {
    use super::{Fault, address, is_loopback, signature};
    use crate::remind::secret::Source;

    /// `printf 'what.do' | openssl dgst -sha256 -hmac Jefe` (OpenSSL 3).
    #[test]
    fn the_signature_is_that_of_others() {
        let key = Source::Command(vec!["printf".into(), "Jefe".into()]).fetch().unwrap();
        assert_eq!(signature(&key, "what", "do"), OPENSSL);
    }

    const OPENSSL: &str = "cbd64fd013599db930bc33415e9240f19a534a47580b1e2b0d9c1311f146dbba";

    #[test]
    fn only_what_is_encrypted_leaves_the_machine() {
        assert!(address("https://hooks.example.org/a?b").is_ok());
        assert!(address("http://127.0.0.1:8080/").is_ok());
        assert!(address("http://[::1]:8080/").is_ok());
        assert_eq!(address("http://hooks.example.org/"), Err(Fault::Plain { host: "hooks.example.org".into() }));
        for bad in ["", "hooks", "/path", "ftp://example.org/", "https://"] {
            assert_eq!(address(bad).map(|_| ()), Err(Fault::NotAUrl), "{bad}");
        }
        assert!(is_loopback("127.4.0.1") && !is_loopback("localhost.example.org") && !is_loopback("10.0.0.1"));
    }
}
