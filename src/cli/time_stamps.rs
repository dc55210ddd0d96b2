//! Time-stamps for the commands that sign or stamp: the only place where the program uses the network, and
//! only if an address is given.

use super::error::CommandError;
use super::terminal;
use crate::record::time_warnings;
use crate::seal::report::Report;
use crate::seal::{self, Authority, SealError, Sealed, plain};
use chrono::Local;
use der::asn1::ObjectIdentifier;
use std::time::Duration;

/// Time limit for the whole exchange with an authority. Common practice, no source.
const TIME_LIMIT: Duration = Duration::from_secs(20);
/// Largest accepted reply, in bytes; tokens have about 7,000.
const MAX_REPLY_BYTES: u64 = 64 << 10;

/// Whether to add a time-stamp, and from which authority.
#[derive(Debug, Clone, clap::Args)]
pub(super) struct TimeStamp {
    /// Add a time-stamp from the authority at this address (http://…), which receives only a digest;
    /// if it cannot be reached, no time-stamp is added
    #[arg(long, value_name = "URL", value_parser = address)]
    timestamp: Option<String>,
    /// Do not sign if no time-stamp can be obtained
    #[arg(long, requires = "timestamp")]
    timestamp_required: bool,
    /// Policy under which the authority must issue the time-stamp
    #[arg(long, value_name = "OID", requires = "timestamp")]
    timestamp_policy: Option<ObjectIdentifier>,
}

/// Only plain HTTP is supported: the token is signed, and a digest reveals nothing.
fn address(text: &str) -> Result<String, String> {
    if text.starts_with("http://") {
        Ok(text.to_owned())
    } else if text.starts_with("https://") {
        Err(
            "use http://: a time-stamp is signed and needs no encrypted connection, so this program \
             supports plain HTTP only"
                .to_owned(),
        )
    } else {
        Err("expected an address such as http://stamps.example/tsr".to_owned())
    }
}

impl TimeStamp {
    /// Signs, with a time-stamp if one is requested and can be obtained.
    pub(super) fn seal(
        &self,
        mut sign: impl FnMut(Option<&Authority<'_>>) -> Result<Sealed, SealError>,
    ) -> Result<Sealed, CommandError> {
        let Some(url) = &self.timestamp else {
            return Ok(sign(None)?);
        };
        match asking(url, self.timestamp_policy, |authority| {
            sign(Some(authority))
        }) {
            Err(SealError::TimeStamp(why)) if self.timestamp_required => {
                Err(CommandError::Refused(format!(
                    "no time-stamp: {why}. Nothing was signed; try again later, use another authority, \
                     or omit --timestamp-required"
                )))
            }
            Err(SealError::TimeStamp(why)) => {
                terminal::say(&format!(
                    "Signed without a time-stamp: {why}. The time of signing is from this computer's \
                     clock."
                ));
                Ok(sign(None)?)
            }
            done => {
                let sealed = done?;
                warn(&sealed);
                Ok(sealed)
            }
        }
    }
}

/// Warns if the time of a new time-stamp contradicts the certificate or this computer's clock: `verify` will
/// not count it as proof.
fn warn(sealed: &Sealed) {
    for odd in time_warnings::contradicting(sealed.signatures(), Local::now().fixed_offset()) {
        terminal::say(&format!("warning: {odd}"));
    }
}

/// From which authority a certificate gets a time-stamp after it was signed.
#[derive(Debug, Clone, clap::Args)]
pub(super) struct LaterStamp {
    /// Address of the authority (http://…), which receives only a digest
    #[arg(long, value_name = "URL", value_parser = address)]
    timestamp: String,
    /// Policy under which the authority must issue the time-stamp
    #[arg(long, value_name = "OID")]
    timestamp_policy: Option<ObjectIdentifier>,
}

impl LaterStamp {
    /// Time-stamps a certificate on which there is this report.
    pub(super) fn add(
        &self,
        certificate: &[u8],
        report: &Report<'_>,
    ) -> Result<Sealed, CommandError> {
        let stamped = asking(&self.timestamp, self.timestamp_policy, |authority| {
            seal::stamp_verified(certificate, report, authority)
        });
        let stamped = stamped.inspect(warn);
        stamped.map_err(|e| match e {
            SealError::TimeStamp(why) => CommandError::Refused(format!(
                "no time-stamp: {why}. Nothing was written; try again later, or use another authority"
            )),
            other => other.into(),
        })
    }
}

/// Lets a function ask the authority at this address.
fn asking(
    url: &str,
    policy: Option<ObjectIdentifier>,
    mut sign: impl FnMut(&Authority<'_>) -> Result<Sealed, SealError>,
) -> Result<Sealed, SealError> {
    let mut nonce = [0; 16];
    getrandom::fill(&mut nonce).map_err(|e| SealError::Random(e.to_string()))?;
    sign(&Authority {
        send: &|request| send(url, request),
        nonce,
        policy,
    })
}

/// Maximum number of redirects that are followed, all on the authority's own host.
const MAX_REDIRECTS: usize = 3;

/// Sends a request to an authority (RFC 3161, 3.4). A redirect is followed only on the same host: the
/// person who signs chose that one, and no other learns when they sign.
fn send(url: &str, request: &[u8]) -> Result<Vec<u8>, String> {
    let agent: ureq::Agent = ureq::Agent::config_builder()
        .timeout_global(Some(TIME_LIMIT))
        .max_redirects(0)
        .build()
        .into();
    let message = |e: ureq::Error| match e {
        ureq::Error::StatusCode(code) => format!("{url} answered with status {code}"),
        ureq::Error::Timeout(_) => format!(
            "{url} did not answer within {} seconds",
            TIME_LIMIT.as_secs()
        ),
        ureq::Error::HostNotFound => format!("{url} cannot be found; is this computer online?"),
        ureq::Error::ConnectionFailed => format!("{url} cannot be reached"),
        ureq::Error::Io(e) => format!("{url} cannot be reached ({})", e.kind()),
        ureq::Error::BodyExceedsLimit(_) => {
            format!("{url} sent a reply that is too large for a time-stamp")
        }
        other => format!("{url}: the request failed ({other})"),
    };
    let mut target = url.to_owned();
    for _ in 0..=MAX_REDIRECTS {
        let mut reply = agent
            .post(&target)
            .header("Content-Type", "application/timestamp-query")
            .header("Accept", "application/timestamp-reply")
            .send(request)
            .map_err(message)?;
        if !reply.status().is_redirection() {
            return reply
                .body_mut()
                .with_config()
                .limit(MAX_REPLY_BYTES)
                .read_to_vec()
                .map_err(message);
        }
        let location = reply.headers().get("Location");
        let location = location.and_then(|value| value.to_str().ok());
        target = on_same_host(&target, location.unwrap_or_default()).ok_or_else(|| {
            format!(
                "{url} redirects the request to another address ({}), which was not contacted; if \
                 you trust it, use that address",
                plain::shown(location.unwrap_or("none"))
            )
        })?;
    }
    Err(format!("{url} redirects the request too often"))
}

/// The address that a redirect leads to, if it is on the same host and port.
fn on_same_host(url: &str, location: &str) -> Option<String> {
    let host_end = |url: &str| {
        let rest = url.strip_prefix("http://")?;
        Some("http://".len() + rest.find(['/', '?', '#']).unwrap_or(rest.len()))
    };
    let end = host_end(url)?;
    let host = &url[..end];
    if location.starts_with('/') && !location.starts_with("//") && !location.contains('\\') {
        return Some(format!("{host}{location}"));
    }
    let other = location.get(..host_end(location)?)?;
    other
        .eq_ignore_ascii_case(host)
        .then(|| location.to_owned())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use std::io::{BufRead, BufReader, Read, Write};
    use std::net::TcpListener;
    use std::sync::{Arc, Mutex};

    /// A server that answers each request with the next of these heads and notes what was asked.
    fn server(answers: Vec<String>) -> (String, Arc<Mutex<Vec<String>>>) {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = format!("http://{}", listener.local_addr().unwrap());
        let asked = Arc::new(Mutex::new(Vec::new()));
        let notes = asked.clone();
        std::thread::spawn(move || {
            for answer in answers {
                let Ok((stream, _)) = listener.accept() else {
                    return;
                };
                let mut reader = BufReader::new(stream.try_clone().unwrap());
                let (mut first, mut length) = (String::new(), 0);
                reader.read_line(&mut first).unwrap();
                loop {
                    let mut line = String::new();
                    reader.read_line(&mut line).unwrap();
                    if line.trim().is_empty() {
                        break;
                    }
                    if let Some(n) = line.to_lowercase().strip_prefix("content-length:") {
                        length = n.trim().parse().unwrap();
                    }
                }
                let mut body = vec![0; length];
                reader.read_exact(&mut body).unwrap();
                let body = String::from_utf8_lossy(&body).into_owned();
                notes
                    .lock()
                    .unwrap()
                    .push(format!("{} {body}", first.trim()));
                let mut stream = stream;
                stream.write_all(answer.as_bytes()).unwrap();
            }
        });
        (address, asked)
    }

    fn redirect(to: &str) -> String {
        format!(
            "HTTP/1.1 307 Temporary Redirect\r\nLocation: {to}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
        )
    }

    const REPLY: &str = "HTTP/1.1 200 OK\r\nContent-Length: 5\r\nConnection: close\r\n\r\nreply";

    #[test]
    fn a_redirect_to_another_host_is_not_followed() {
        let (other, reached) = server(vec![REPLY.to_owned()]);
        let (own, asked) = server(vec![redirect(&format!("{other}/tsr"))]);
        let error = send(&format!("{own}/stamp"), b"digest").unwrap_err();
        assert!(error.contains(&other), "{error}");
        assert_eq!(asked.lock().unwrap().len(), 1);
        assert!(reached.lock().unwrap().is_empty());
    }

    #[test]
    fn a_redirect_on_the_same_host_is_followed_with_the_request() {
        let (own, asked) = server(vec![redirect("/tsr"), REPLY.to_owned()]);
        assert_eq!(send(&format!("{own}/stamp"), b"digest").unwrap(), b"reply");
        assert_eq!(
            *asked.lock().unwrap(),
            ["POST /stamp HTTP/1.1 digest", "POST /tsr HTTP/1.1 digest"]
        );
    }

    #[test]
    fn redirects_end() {
        let (own, _) = server(vec![redirect("/a"); MAX_REDIRECTS + 1]);
        let error = send(&own, b"digest").unwrap_err();
        assert!(error.contains("too often"), "{error}");
    }

    #[test]
    fn another_host_is_recognised() {
        let from = "http://stamps.example:80/tsr?x";
        for (to, same) in [
            ("/other", Some("http://stamps.example:80/other")),
            (
                "http://STAMPS.example:80/b",
                Some("http://STAMPS.example:80/b"),
            ),
            ("http://stamps.example/b", None),
            ("http://stamps.example:80.evil.example/", None),
            ("http://stamps.example:80@evil.example/", None),
            ("//evil.example/", None),
            ("/\\evil.example/", None),
            ("https://stamps.example:80/", None),
            ("other", None),
            ("", None),
        ] {
            assert_eq!(on_same_host(from, to).as_deref(), same, "{to}");
        }
    }
}
