//! Whether a certificate was revoked, according to lists inside the file.

use chrono::{DateTime, Utc};
use der::Decode;
use der::asn1::ObjectIdentifier;
use x509_cert::certificate::Certificate;
use x509_cert::crl::CertificateList;

use super::certificate_time::moment;
use super::key;
use super::path;
use super::report::Answer;
use crate::pdf::{File, Object};

/// Size limit of a list, in bytes.
pub(crate) const MAX_LIST_BYTES: usize = 4 << 20;

/// Maximum number of entries of each kind that are read.
const MAX_ENTRIES: usize = 64;

/// Critical extensions of a list that are supported: its number and its issuer's key.
const KNOWN: [ObjectIdentifier; 2] = [
    ObjectIdentifier::new_unwrap("2.5.29.20"),
    ObjectIdentifier::new_unwrap("2.5.29.35"),
];

/// The validation data of a file.
#[derive(Debug, Default)]
pub(crate) struct Store {
    pub certificates: Vec<Vec<u8>>,
    pub lists: Vec<Vec<u8>>,
}

impl Store {
    /// Reads all pieces that can be read; the others prove nothing and are ignored.
    pub fn read(file: &File<'_>) -> Self {
        let mut store = Self::default();
        let Ok((_, catalog)) = file.catalog() else {
            return store;
        };
        let Ok(Object::Dictionary(dict)) = file.value(&catalog, b"DSS") else {
            return store;
        };
        let mut left = MAX_LIST_BYTES;
        let mut streams = |key: &[u8]| {
            let mut out = Vec::new();
            let Ok(Object::Array(entries)) = file.value(&dict, key) else {
                return out;
            };
            for entry in entries.iter().take(MAX_ENTRIES) {
                if let Ok(Object::Stream(stream)) = file.resolve(entry)
                    && let Ok(bytes) = file.decoded(&stream, left)
                {
                    left -= bytes.len();
                    out.push(bytes);
                }
            }
            out
        };
        store.certificates = streams(b"Certs");
        store.lists = streams(b"CRLs");
        store
    }
}

/// Whether a certificate was not revoked at a time, according to lists of its issuer.
pub(crate) fn revocation(
    certificate: &Certificate,
    self_signed: bool,
    issuers: &[Vec<u8>],
    lists: &[Vec<u8>],
    at: DateTime<Utc>,
) -> Answer {
    if self_signed {
        return Answer::not_determined("nobody but its owner can revoke a self-signed certificate");
    }
    let tbs = certificate.tbs_certificate();
    let issuer = issuers
        .iter()
        .take(MAX_ENTRIES)
        .filter_map(|der| Certificate::from_der(der).ok())
        .find(|issuer| {
            issuer.tbs_certificate().subject() == tbs.issuer()
                && path::signed_by(certificate, issuer)
        });
    let Some(issuer) = issuer else {
        return Answer::not_determined("the issuer's certificate is not inside");
    };
    let mut answer =
        Answer::not_determined("no list of revoked certificates by its issuer is inside");
    for der in lists.iter().take(MAX_ENTRIES) {
        // The DER crate is slow for large sets (quadratic), but not for sequences.
        let Ok(list) = CertificateList::<x509_cert::certificate::Rfc5280>::from_der(der) else {
            continue;
        };
        if !is_by(&list, &issuer) || moment_of(list.tbs_cert_list.next_update) < at {
            continue;
        }
        let entries = list.tbs_cert_list.revoked_certificates.unwrap_or_default();
        let revoked = entries
            .iter()
            .find(|entry| entry.serial_number == *tbs.serial_number());
        match revoked.map(|entry| moment(entry.revocation_date)) {
            Some(since) if since <= at || at == DateTime::<Utc>::MIN_UTC => {
                return Answer::No(format!(
                    "the signer's certificate was revoked on {}",
                    since.format("%Y-%m-%d")
                ));
            }
            _ => answer = Answer::Yes,
        }
    }
    answer
}

/// A list without an end is valid forever.
fn moment_of(time: Option<x509_cert::time::Time>) -> DateTime<Utc> {
    time.map_or(DateTime::<Utc>::MAX_UTC, moment)
}

fn is_by(list: &CertificateList, issuer: &Certificate) -> bool {
    let tbs = &list.tbs_cert_list;
    let understood = tbs
        .crl_extensions
        .iter()
        .flatten()
        .all(|extension| !extension.critical || KNOWN.contains(&extension.extn_id));
    understood
        && tbs.issuer == *issuer.tbs_certificate().subject()
        && tbs.signature == list.signature_algorithm
        && key::signed_by(issuer, tbs, &list.signature_algorithm, &list.signature)
}
