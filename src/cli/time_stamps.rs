//! Time-stamps for the commands that sign: the only place where the program uses the network, and
//! only if an address is given.

use super::error::CommandError;
use super::output;
use crate::seal::{Authority, SealError, Sealed};
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
                    "no time-stamp: {why}. Nothing was signed; try again later, use another authority, \
                     or omit --timestamp-required"
                )))
            }
            Err(SealError::TimeStamp(why)) => {
                output::say(&format!(
                    "Signed without a time-stamp: {why}. The time of signing is from this computer's \
                     clock."
                ));
                Ok(sign(None)?)
            }
            done => Ok(done?),
        }
    }
}

/// Sends a request to an authority (RFC 3161, 3.4).
fn send(url: &str, request: &[u8]) -> Result<Vec<u8>, String> {
    let agent: ureq::Agent = ureq::Agent::config_builder()
        .timeout_global(Some(TIME_LIMIT))
        .max_redirects(3)
        .build()
        .into();
    let told = |e: ureq::Error| match e {
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
