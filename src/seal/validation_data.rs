//! Certificates and lists of revoked certificates that travel with a sealed file (document
//! security store, ETSI EN 319 142-1, 5.4: baseline B-LT), so that it can be checked when their
//! issuer no longer answers.
//!
//! They are added behind the seal in a revision of their own, which the seal permits. Anybody may
//! add more; a list counts only when the issuer of the signer's certificate has signed it.

use chrono::{DateTime, Utc};
use der::asn1::{ObjectIdentifier, OctetString};
use der::{Any, Decode, DecodePem, Encode, Tag, Tagged};
use std::path::Path;
use x509_cert::certificate::Certificate;
use x509_cert::crl::CertificateList;

use super::cms::{self, CmsError, Content};
use super::error::SealError;
use super::identity::{Identity, moment};
use super::key;
use super::known_der;
use super::path;
use super::repair;
use super::report::Answer;
use super::sign::Sealed;
use super::small;
use super::strict_der;
use crate::pdf::syntax::Spelling;
use crate::pdf::update::Update;
use crate::pdf::{Dict, File, Object, packing};

/// Largest list that is carried or read, in bytes.
const MAX_LIST_BYTES: usize = 4 << 20;
/// Most entries of each kind that are read.
const MAX_ENTRIES: usize = 64;
/// Largest certificate, answer or time-stamp that is carried, in bytes.
const MAX_PIECE_BYTES: usize = 1 << 16;
/// A BasicOCSPResponse (RFC 6960, 4.2.1).
const BASIC_RESPONSE: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.6.1.5.5.7.48.1.1");
/// Conditions of a list that are understood: its number and its issuer's key.
const KNOWN: [ObjectIdentifier; 2] = [
    ObjectIdentifier::new_unwrap("2.5.29.20"),
    ObjectIdentifier::new_unwrap("2.5.29.35"),
];

/// Reads a list of revoked certificates (CRL) in PEM or DER.
///
/// # Errors
/// [`SealError::Read`], or [`SealError::Anchors`] for a file that is none.
pub fn revocation_list(path: &Path) -> Result<Vec<u8>, SealError> {
    let bad = |reason: &str| SealError::Anchors {
        path: path.to_owned(),
        reason: reason.to_owned(),
    };
    let bytes = small::read(path, MAX_LIST_BYTES as u64)?
        .ok_or_else(|| bad("it is larger than any list that a certificate carries"))?;
    let list = if bytes.starts_with(b"-----BEGIN") {
        CertificateList::<x509_cert::certificate::Rfc5280>::from_pem(&bytes)
    } else {
        CertificateList::from_der(&bytes)
    };
    list.and_then(|list| list.to_der())
        .map_err(|_| bad("it holds no list of revoked certificates (CRL)"))
}

/// Adds the identity's chain and these lists behind a seal.
///
/// # Errors
/// The identity signed its own certificate, so nobody could revoke it; no list is by its issuer;
/// or the file can't be read.
pub fn add(sealed: &Sealed, identity: &Identity, lists: &[Vec<u8>]) -> Result<Sealed, SealError> {
    let unfit = |what: &str| SealError::Unfit(what.to_owned());
    if identity.is_self_signed() {
        return Err(unfit(
            "the identity signed its own certificate; there is no issuer whose lists could be added",
        ));
    }
    let answer = revocation(
        identity.certificate(),
        false,
        &identity.chain,
        lists,
        DateTime::<Utc>::MIN_UTC,
    );
    match answer {
        Answer::NotDetermined(why) => return Err(SealError::Unfit(why)),
        Answer::No(why) => return Err(SealError::Unfit(why)),
        Answer::Yes => {}
    }
    let file = File::parse(sealed.bytes())?;
    let (catalog_id, mut catalog) = file.catalog()?;
    if catalog.get(b"DSS").is_some() {
        return Err(unfit("it carries validation data already"));
    }
    let length: usize = lists.iter().chain(&identity.chain).map(Vec::len).sum();
    let mut update = Update::new(&file, 4096 + length, Spelling::Digits);
    let mut store = Dict::default();
    store.set("Type", "DSS");
    let own = identity.certificate_der().to_vec();
    let certificates: Vec<Vec<u8>> = std::iter::once(own)
        .chain(identity.chain.iter().cloned())
        .collect();
    for (key, entries) in [
        (b"Certs".as_slice(), certificates.as_slice()),
        (b"CRLs", lists),
    ] {
        let mut references = Vec::new();
        for entry in entries {
            let id = update.reserve();
            // Compressed bytes hold no words to be found; a few short pieces don't get shorter.
            let packed = packing::packed(entry);
            let data = packed.as_deref().unwrap_or(entry);
            if repair::structure(data).is_some() {
                return Err(unfit(
                    "a certificate or list holds what programs that repair broken files could \
                     take for other pages",
                ));
            }
            let mut stream = Dict::default();
            if packed.is_some() {
                stream.set("Filter", "FlateDecode");
            }
            stream.set("Length", data.len());
            let mut body = Vec::with_capacity(64 + data.len());
            stream.spell(&mut body, Spelling::Digits);
            body.extend_from_slice(b"\nstream\n");
            body.extend_from_slice(data);
            body.extend_from_slice(b"\nendstream");
            update.add_source(id, &body);
            references.push(Object::Reference(id));
        }
        store.set(key, references);
    }
    let id = update.reserve();
    update.add(id, store);
    catalog.set("DSS", id);
    update.add(catalog_id, catalog);
    let identifiers = super::sign::identifiers(&file);
    Ok(sealed.with_revision(&update.finish([&identifiers[0], &identifiers[1]])))
}

/// What a piece of validation data is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Evidence {
    Certificate,
    List,
    Response,
    Stamp,
}

impl Evidence {
    /// What it is called.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Certificate => "certificate",
            Self::List => "list of revoked certificates",
            Self::Response => "answer about a certificate (OCSP)",
            Self::Stamp => "time-stamp",
        }
    }
}

/// What a piece of validation data turned out to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Piece {
    /// All parts of it are known here.
    Known,
    /// It is of its kind, but has a part that is not known here.
    Unknown(String),
}

/// Whether bytes are one piece of this kind from the first to the last. Whose word it is, and whether it
/// can be believed, is not asked here.
///
/// # Errors
/// Why they are not.
pub(crate) fn judge(kind: Evidence, der: &[u8]) -> Result<Piece, String> {
    let length = match kind {
        Evidence::List => strict_der::list_length(der),
        _ if der.len() > MAX_PIECE_BYTES => Err("it is larger than any"),
        _ => strict_der::value_length(der),
    };
    if length? != der.len() {
        return Err("something follows it".to_owned());
    }
    let other = || "it is built differently".to_owned();
    let unknown = match kind {
        Evidence::Certificate => {
            let certificate = Certificate::from_der(der).map_err(|_| other())?;
            known_der::unknown_in_certificate(&certificate)
        }
        Evidence::List => {
            let list = CertificateList::from_der(der).map_err(|_| other())?;
            known_der::unknown_in_list(&list)
        }
        Evidence::Response => {
            let basic = basic_response(der).ok_or_else(other)?;
            known_der::unknown_in_response(basic.as_bytes())
        }
        Evidence::Stamp => match cms::parse_content(der, Content::TimeStamp) {
            Ok(_) | Err(CmsError::Algorithm(_)) => None,
            Err(CmsError::Bad(why)) => return Err(why),
        },
    };
    Ok(unknown.map_or(Piece::Known, Piece::Unknown))
}

/// The BasicOCSPResponse in a successful OCSPResponse (RFC 6960, 4.2.1).
fn basic_response(der: &[u8]) -> Option<OctetString> {
    let parts = |der: &[u8]| Vec::<Any>::from_der(der).unwrap_or_default();
    let outer = parts(der);
    let [status, bytes] = outer.as_slice() else {
        return None;
    };
    // 0: successful. Other answers say nothing about any certificate.
    if status.tag() != Tag::Enumerated || status.value() != [0] {
        return None;
    }
    if !matches!(bytes.tag(), Tag::ContextSpecific { constructed: true, number } if number.value() == 0)
    {
        return None;
    }
    let inner = parts(bytes.value());
    let [kind, response] = inner.as_slice() else {
        return None;
    };
    let response: OctetString = response.decode_as().ok()?;
    let whole = strict_der::value_length(response.as_bytes()) == Ok(response.as_bytes().len());
    (whole && kind.decode_as() == Ok(BASIC_RESPONSE)).then_some(response)
}

/// What a file carries.
#[derive(Debug, Default)]
pub(crate) struct Store {
    pub certificates: Vec<Vec<u8>>,
    pub lists: Vec<Vec<u8>>,
}

impl Store {
    /// Reads what can be read; the rest proves nothing, and nothing rests on it.
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

/// Whether the issuer of a certificate had not revoked it by a time, as lists of its own say.
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
        // The DER crate takes time that grows with the square of a set's size, not a sequence's.
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

/// A list without an end holds for good.
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
