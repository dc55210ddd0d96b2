//! Whether a certificate was revoked, according to lists inside the file.

use std::cell::{OnceCell, RefCell};
use std::collections::HashMap;

use chrono::{DateTime, Utc};
use der::asn1::ObjectIdentifier;
use der::{Decode, Encode};
use x509_cert::certificate::{Certificate, Rfc5280};
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

/// Lists of revoked certificates. Each is parsed at most once, however many signatures there are.
#[derive(Debug, Default)]
pub(crate) struct Lists {
    ders: Vec<Vec<u8>>,
    parsed: OnceCell<Vec<CertificateList<Rfc5280>>>,
    /// Whether the list of this number is by this issuer, by its certificate in DER.
    by: RefCell<HashMap<(usize, Vec<u8>), bool>>,
}

impl Lists {
    /// These lists; those that can't be read prove nothing and are ignored.
    pub fn new(ders: Vec<Vec<u8>>) -> Self {
        Self {
            ders,
            ..Self::default()
        }
    }

    fn parsed(&self) -> &[CertificateList<Rfc5280>] {
        self.parsed.get_or_init(|| {
            let ders = self.ders.iter().take(MAX_ENTRIES);
            // The DER crate is slow for large sets (quadratic), but not for sequences.
            ders.filter_map(|der| CertificateList::from_der(der).ok())
                .collect()
        })
    }

    /// The lists by an issuer.
    fn by<'l>(
        &'l self,
        issuer: &'l Certificate,
    ) -> impl Iterator<Item = &'l CertificateList<Rfc5280>> {
        let name = issuer.to_der().unwrap_or_default();
        let lists = self.parsed().iter().enumerate();
        lists.filter_map(move |(n, list)| {
            let mut by = self.by.borrow_mut();
            let is_by = by
                .entry((n, name.clone()))
                .or_insert_with(|| is_by(list, issuer));
            is_by.then_some(list)
        })
    }
}

/// The validation data of a file.
#[derive(Debug, Default)]
pub(crate) struct Store {
    pub certificates: Vec<Vec<u8>>,
    pub lists: Lists,
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
        store.lists = Lists::new(streams(b"CRLs"));
        store
    }
}

/// Whether a certificate was not revoked at a time, according to lists of its issuer.
pub(crate) fn revocation(
    certificate: &Certificate,
    self_signed: bool,
    issuers: &[Vec<u8>],
    lists: &Lists,
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
    for list in lists.by(&issuer) {
        let list = &list.tbs_cert_list;
        if moment_of(list.next_update) < at {
            continue;
        }
        let entries = list.revoked_certificates.as_deref().unwrap_or_default();
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

/// A list without an end date is valid forever.
fn moment_of(time: Option<x509_cert::time::Time>) -> DateTime<Utc> {
    time.map_or(DateTime::<Utc>::MAX_UTC, moment)
}

fn is_by(list: &CertificateList<Rfc5280>, issuer: &Certificate) -> bool {
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
