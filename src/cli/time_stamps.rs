//! Time-stamps for the commands that sign: the one place where the program speaks to the network,
//! and only when an address is given.

use super::error::CommandError;
use super::output;
use crate::seal::{Authority, SealError, Sealed};
use der::asn1::ObjectIdentifier;
use std::time::Duration;

/// Longest time that an authority may take, everything counted. Common practice, no source.
const TIME_LIMIT: Duration = Duration::from_secs(20);
/// Largest reply that is read, in bytes; tokens have some seven thousand.
const MAX_REPLY_BYTES: u64 = 64 << 10;

/// Whether and by whom a signature is stamped with the time.
#[derive(Debug, Clone, clap::Args)]
pub(super) struct TimeStamp {
    /// Have the signature stamped by the time-stamp authority at this address (http://…), which
    /// gets a digest and nothing else; when it is away, the signature goes without
    #[arg(long, value_name = "URL", value_parser = address)]
    timestamp: Option<String>,
    /// Sign nothing when no time-stamp can be had
    #[arg(long, requires = "timestamp")]
    timestamp_required: bool,
    /// Policy that the authority must stamp under
    #[arg(long, value_name = "OID", requires = "timestamp")]
    timestamp_policy: Option<ObjectIdentifier>,
}

/// Only plain HTTP is spoken: the token is signed, and a digest betrays nothing.
fn address(text: &str) -> Result<String, String> {
    if text.starts_with("http://") {
        Ok(text.to_owned())
    } else if text.starts_with("https://") {
        Err(
            "write http://: a time-stamp is signed and needs no encrypted way, so this program \
             speaks plain HTTP only"
                .to_owned(),
        )
    } else {
        Err("an address like http://stamps.example/tsr was expected".to_owned())
    }
}

impl TimeStamp {
    /// Signs, with a time-stamp when one is asked for and can be had.
    pub(super) fn seal(
        &self,
        mut sign: impl FnMut(Option<&Authority<'_>>) -> Result<Sealed, SealError>,
    ) -> Result<Sealed, CommandError> {
        let Some(url) = &self.timestamp else {
            return Ok(sign(None)?);
        };
        let mut nonce = [0; 16];
        getrandom::fill(&mut nonce).map_err(|e| SealError::Random(e.to_string()))?;
        let authority = Authority {
            send: &|request| send(url, request),
            nonce,
            policy: self.timestamp_policy,
        };
        match sign(Some(&authority)) {
            Err(SealError::TimeStamp(why)) if self.timestamp_required => {
                Err(CommandError::Refused(format!(
                    "no time-stamp: {why}. Nothing was signed; try again later, name another \
                     authority, or leave out --timestamp-required"
                )))
            }
            Err(SealError::TimeStamp(why)) => {
                output::say(&format!(
                    "Signed without a time-stamp: {why}. The time of signing rests on this \
                     computer's clock alone."
                ));
                Ok(sign(None)?)
            }
            done => Ok(done?),
        }
    }
}

/// Takes a request to an authority (RFC 3161, 3.4).
fn send(url: &str, request: &[u8]) -> Result<Vec<u8>, String> {
    let agent: ureq::Agent = ureq::Agent::config_builder()
        .timeout_global(Some(TIME_LIMIT))
        .max_redirects(3)
        .build()
        .into();
    let told = |e: ureq::Error| match e {
        ureq::Error::StatusCode(code) => format!("{url} answers with status {code}"),
        ureq::Error::Timeout(_) => format!(
            "{url} did not answer within {} seconds",
            TIME_LIMIT.as_secs()
        ),
        ureq::Error::HostNotFound => format!("{url} can't be found; is this computer online?"),
        ureq::Error::ConnectionFailed => format!("{url} can't be reached"),
        ureq::Error::Io(e) => format!("{url} can't be reached ({})", e.kind()),
        ureq::Error::BodyExceedsLimit(_) => format!("{url} sends more than any time-stamp"),
        other => format!("{url} can't be asked ({other})"),
    };
    let mut reply = agent
        .post(url)
        .header("Content-Type", "application/timestamp-query")
        .header("Accept", "application/timestamp-reply")
        .send(request)
        .map_err(told)?;
    reply
        .body_mut()
        .with_config()
        .limit(MAX_REPLY_BYTES)
        .read_to_vec()
        .map_err(told)
}
