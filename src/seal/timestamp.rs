//! Time-stamps from an authority (RFC 3161): requested when sealing or later, checked when verifying.
//!
//! The authority receives only the digest of the signature value, or of the file. Its reply is accepted only if the
//! digest and the nonce are those of the request, the policy is the requested one, the token's own
//! signature is valid, and its certificate is for time-stamping only. The caller transports the bytes.

use chrono::{DateTime, NaiveDateTime, Utc};
use der::asn1::{ObjectIdentifier, OctetString, Uint};
use der::{Any, Decode, Encode, Sequence, Tag, Tagged};
use x509_cert::spki::AlgorithmIdentifierOwned;

use super::cms_read::{self, CmsError, Content};
use super::error::SealError;
use super::fingerprint::Fingerprint;
use super::key::{Checked, Hash};
use super::path;
use super::person::person_of;
use super::report::{Answer, Stamp};

/// Bytes reserved for a token: with a chain of three certificates and RSA keys of 4096 bits it has
/// about 7,000.
pub(crate) const ROOM: usize = 12 << 10;

/// Sends a request to an authority and returns the reply.
pub type Way<'a> = dyn Fn(&[u8]) -> Result<Vec<u8>, String> + 'a;

/// The source of a time-stamp.
#[derive(Clone, Copy)]
pub struct Authority<'a> {
    /// Sends a request (`application/timestamp-query`) and returns the reply, or the reason why it
    /// failed.
    pub send: &'a Way<'a>,
    /// A random number that links the reply to the request.
    pub nonce: [u8; 16],
    /// The policy of the time-stamp; `None` for the authority's default.
    pub policy: Option<ObjectIdentifier>,
}

#[derive(Sequence)]
struct Imprint {
    algorithm: AlgorithmIdentifierOwned,
    hash: OctetString,
}

#[derive(Sequence)]
struct Request {
    version: u8,
    imprint: Imprint,
    policy: Option<ObjectIdentifier>,
    nonce: Uint,
    certificate_wanted: bool,
}

impl Authority<'_> {
    /// Requests a token for the concatenation of these pieces: a signature value, or a file without
    /// the digits of its time-stamp.
    pub(crate) fn stamp(&self, hash: Hash, pieces: &[&[u8]]) -> Result<Vec<u8>, SealError> {
        self.ask(hash, pieces).map_err(SealError::TimeStamp)
    }

    fn ask(&self, hash: Hash, pieces: &[&[u8]]) -> Result<Vec<u8>, String> {
        let fault = |e: der::Error| e.to_string();
        let request = Request {
            version: 1,
            imprint: Imprint {
                algorithm: AlgorithmIdentifierOwned {
                    oid: hash.oid(),
                    parameters: None,
                },
                hash: OctetString::new(hash.digest(pieces)).map_err(fault)?,
            },
            policy: self.policy,
            nonce: Uint::new(&self.nonce).map_err(fault)?,
            certificate_wanted: true,
        };
        let nonce = request.nonce.to_der().map_err(fault)?;
        let reply = (self.send)(&request.to_der().map_err(fault)?)?;
        let token = token_of(&reply)?;
        let (stamp, info) = check(&token, pieces, &[])?;
        match &stamp.valid {
            Answer::Yes => {}
            Answer::No(why) | Answer::NotDetermined(why) => return Err(why.clone()),
        }
        if info.nonce.as_deref() != Some(nonce.as_slice()) {
            return Err("the reply belongs to another request (its nonce differs)".to_owned());
        }
        if self.policy.is_some_and(|asked| asked != info.policy) {
            return Err(format!(
                "the authority stamped under its policy {}, not the one asked for",
                info.policy
            ));
        }
        Ok(token)
    }
}

/// Extracts the token from a reply (RFC 3161, 2.4.2).
fn token_of(reply: &[u8]) -> Result<Vec<u8>, String> {
    let damaged = || "the reply is no time-stamp reply (RFC 3161)".to_owned();
    match super::strict_der::value_length(reply) {
        Ok(length) if length == reply.len() => {}
        _ => return Err(damaged()),
    }
    let parts = Vec::<Any>::from_der(reply).map_err(|_| damaged())?;
    let status = parts
        .first()
        .and_then(|status| status.to_der().ok())
        .and_then(|der| Vec::<Any>::from_der(&der).ok())
        .ok_or_else(damaged)?;
    let code = status
        .first()
        .and_then(|code| code.decode_as::<u8>().ok())
        .ok_or_else(damaged)?;
    // 0 granted, 1 granted with modifications; both come with a token.
    if code > 1 {
        let text: String = status
            .iter()
            .filter(|part| part.tag() == Tag::Sequence)
            .map(|part| String::from_utf8_lossy(part.value()).into_owned())
            .collect();
        let text: String = text.chars().filter(|c| !c.is_control()).take(200).collect();
        return Err(if text.is_empty() {
            format!("the authority refused (status {code})")
        } else {
            format!("the authority refused (status {code}: {text})")
        });
    }
    parts
        .get(1)
        .and_then(|token| token.to_der().ok())
        .ok_or_else(|| "the authority granted a time-stamp but sent none".to_owned())
}

/// The contents of a token.
pub(crate) struct Info {
    policy: ObjectIdentifier,
    hash: ObjectIdentifier,
    imprint: Vec<u8>,
    at: DateTime<Utc>,
    nonce: Option<Vec<u8>>,
}

impl Info {
    /// RFC 3161, 2.4.2: TSTInfo.
    fn read(der: &[u8]) -> Option<Self> {
        let parts = Vec::<Any>::from_der(der).ok()?;
        let mut parts = parts.into_iter();
        if parts.next()?.decode_as::<u8>().ok()? != 1 {
            return None;
        }
        let policy = parts.next()?.decode_as().ok()?;
        let imprint: Imprint = parts.next()?.decode_as().ok()?;
        let serial = parts.next()?;
        let time = parts.next()?;
        if serial.tag() != Tag::Integer || time.tag() != Tag::GeneralizedTime {
            return None;
        }
        // Accuracy, ordering, nonce, authority and extensions may all be missing; only the
        // nonce is an INTEGER.
        let nonce = parts
            .find(|part| part.tag() == Tag::Integer)
            .and_then(|nonce| nonce.to_der().ok());
        Some(Self {
            policy,
            hash: imprint.algorithm.oid,
            imprint: imprint.hash.as_bytes().to_vec(),
            at: generalized(time.value())?,
            nonce,
        })
    }
}

/// A GeneralizedTime in universal time, fractions of seconds allowed (RFC 3161, 2.4.2).
fn generalized(text: &[u8]) -> Option<DateTime<Utc>> {
    let text = std::str::from_utf8(text).ok()?.strip_suffix('Z')?;
    let (whole, fraction) = text.split_once('.').unwrap_or((text, "0"));
    if whole.len() != 14 || fraction.is_empty() || !fraction.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    NaiveDateTime::parse_from_str(whole, "%Y%m%d%H%M%S")
        .ok()
        .map(|at| at.and_utc())
}

/// Checks a token for the concatenation of these pieces.
///
/// # Errors
/// It can't be parsed.
pub(crate) fn check(
    token: &[u8],
    pieces: &[&[u8]],
    anchors: &[Vec<u8>],
) -> Result<(Stamp, Info), String> {
    let parsed = cms_read::parse_content(token, Content::TimeStamp).map_err(|e| match e {
        CmsError::Bad(why) | CmsError::Algorithm(why) => {
            format!("the time-stamp is damaged: {why}")
        }
        CmsError::TooMany(_) => format!("the time-stamp was not checked: {e}"),
    })?;
    let content = parsed.content.as_deref().unwrap_or_default();
    let info = Info::read(content).ok_or("the time-stamp does not state a time")?;
    let hash = Hash::from_oid(info.hash)
        .ok_or_else(|| format!("the time-stamp uses the hash {}", info.hash))?;
    let valid = if hash.digest(pieces) != info.imprint {
        Answer::no("the time-stamp belongs to another signature or file")
    } else if !parsed.digest_matches(&[content]) {
        Answer::no("the time-stamp was changed after it was issued")
    } else if parsed.certificate_matches() != Some(true) {
        Answer::no("the time-stamp does not identify its certificate")
    } else if let Err(why) = path::stamps(&parsed.certificate, info.at) {
        Answer::No(why)
    } else {
        match parsed.signature_value() {
            Checked::Valid => Answer::Yes,
            Checked::Invalid => Answer::no("the time-stamp does not match its authority's key"),
            Checked::Unknown(what) => {
                Answer::NotDetermined(format!("this program does not know {what}"))
            }
            Checked::Weak(what) => Answer::No(format!("the time-stamp uses {what}")),
        }
    };
    let leaf = &parsed.certificate_der;
    let trusted = if anchors.is_empty() {
        Answer::not_determined("no certificate of the authority was given (--trust)")
    } else {
        match path::find(leaf, &parsed.others, anchors, info.at, path::Use::Times) {
            Ok(_) => Answer::Yes,
            Err(why) => Answer::No(why),
        }
    };
    let tbs = parsed.certificate.tbs_certificate();
    let stamp = Stamp {
        at: info.at,
        authority: person_of(tbs.subject()).name,
        fingerprint: Fingerprint::of(leaf),
        policy: info.policy.to_string(),
        valid,
        trusted,
    };
    Ok((stamp, info))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_with_and_without_fractions() {
        let at = generalized(b"20261006163000Z").unwrap();
        assert_eq!(at.to_rfc3339(), "2026-10-06T16:30:00+00:00");
        assert_eq!(generalized(b"20261006163000.25Z"), Some(at));
        for wrong in [
            "20261006163000",
            "20261006163000.Z",
            "202610061630Z",
            "20261306163000Z",
        ] {
            assert_eq!(generalized(wrong.as_bytes()), None, "{wrong}");
        }
    }

    #[test]
    fn a_reply_that_is_none_is_refused() {
        // Status 2 (rejection) with a text, and one that grants without a token.
        let refused = [&b"\x30\x10\x30\x0e\x02\x01\x02\x30\x09\x0c\x07go away"[..]].concat();
        assert_eq!(
            token_of(&refused).unwrap_err().replace('\u{7}', ""),
            "the authority refused (status 2: go away)"
        );
        assert!(
            token_of(b"\x30\x05\x30\x03\x02\x01\x00")
                .unwrap_err()
                .contains("sent none")
        );
        assert!(token_of(b"<html>").is_err());
    }
}
