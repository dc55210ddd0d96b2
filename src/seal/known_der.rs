//! Whether certificates, lists of revoked certificates and OCSP responses consist only of parts that are
//! known here (RFC 5280, RFC 6960).
//!
//! They are added after sealing and can be made by anybody, so an unknown extension could contain
//! any bytes. Data with an unknown part may be in order, but cannot be judged.

use der::asn1::{BitString, ObjectIdentifier, OctetString};
use der::{Any, Decode, Encode, Tag, Tagged};
use x509_cert::certificate::{Certificate, Rfc5280};
use x509_cert::crl::CertificateList;
use x509_cert::ext::Extension;
use x509_cert::ext::pkix::name::GeneralNames;
use x509_cert::ext::pkix::{
    AuthorityInfoAccessSyntax, AuthorityKeyIdentifier, BasicConstraints, CertificatePolicies,
    CrlDistributionPoints, ExtendedKeyUsage, KeyUsage, NameConstraints, SubjectKeyIdentifier,
};
use x509_cert::name::Name;
use x509_cert::spki::AlgorithmIdentifierOwned;

use super::strict_der;

/// Largest extension, in bytes. Lists of addresses and signed time-stamps of logs have a few hundred;
/// common practice, no source.
const MAX_EXTENSION_BYTES: usize = 2048;
/// Largest part of a name, in bytes; common names have at most 64 characters (RFC 5280, A.1), addresses
/// 128.
const MAX_NAME_BYTES: usize = 512;
/// Largest nonce (RFC 9654, 2.1).
const MAX_NONCE_BYTES: usize = 128;
/// Largest digest or key identifier.
const MAX_DIGEST_BYTES: usize = 64;

const fn oid(text: &str) -> ObjectIdentifier {
    ObjectIdentifier::new_unwrap(text)
}

const NONCE: ObjectIdentifier = oid("1.3.6.1.5.5.7.48.1.2");
/// Extensions of certificates whose contents are not decoded here, but whose purpose is known.
const OF_CERTIFICATES: [ObjectIdentifier; 15] = [
    oid("2.5.29.9"),                // subject directory attributes
    oid("2.5.29.16"),               // private key usage period
    oid("2.5.29.33"),               // policy mappings
    oid("2.5.29.36"),               // policy constraints
    oid("2.5.29.46"),               // freshest list
    oid("2.5.29.54"),               // inhibit any policy
    oid("1.3.6.1.5.5.7.1.3"),       // qualified certificate statements
    oid("1.3.6.1.5.5.7.1.11"),      // subject information access
    oid("1.3.6.1.5.5.7.48.1.5"),    // OCSP: not checked
    oid("1.3.6.1.4.1.11129.2.4.2"), // certificate transparency
    oid("2.16.840.1.113730.1.1"),   // older certificate type
    oid("1.2.840.113583.1.1.9.1"),  // time-stamp authority
    oid("1.2.840.113583.1.1.9.2"),  // revocation archive
    oid("1.3.6.1.4.1.311.20.2"),    // certificate template
    oid("1.3.6.1.4.1.311.21.7"),    // certificate template, later form
];
const OF_LISTS: [ObjectIdentifier; 9] = [
    oid("2.5.29.20"), // number
    oid("2.5.29.21"), // reason
    oid("2.5.29.24"), // invalidity date
    oid("2.5.29.27"), // delta
    oid("2.5.29.28"), // issuing distribution point
    oid("2.5.29.29"), // certificate issuer
    oid("2.5.29.35"), // authority key identifier
    oid("2.5.29.46"), // freshest list
    oid("2.5.29.60"), // expired certificates on it
];
const OF_RESPONSES: [ObjectIdentifier; 5] = [
    NONCE,
    oid("1.3.6.1.5.5.7.48.1.3"),    // reference to a list
    oid("1.3.6.1.5.5.7.48.1.6"),    // archive cutoff
    oid("1.3.6.1.5.5.7.48.1.9"),    // extended revoke
    oid("1.3.6.1.4.1.11129.2.4.5"), // certificate transparency
];

/// The first part of a certificate that is not known here.
pub(crate) fn unknown_in_certificate(certificate: &Certificate) -> Option<String> {
    let tbs = certificate.tbs_certificate();
    unknown_name(tbs.issuer())
        .or_else(|| unknown_name(tbs.subject()))
        .or_else(|| {
            let extensions = tbs.extensions().into_iter().flatten();
            unknown_extension(extensions, is_known_of_certificate)
        })
}

/// The first part of a list of revoked certificates that is not known here.
pub(crate) fn unknown_in_list(list: &CertificateList<Rfc5280>) -> Option<String> {
    let tbs = &list.tbs_cert_list;
    let entries = tbs.revoked_certificates.iter().flatten();
    let all = entries
        .filter_map(|entry| entry.crl_entry_extensions.as_ref())
        .chain(&tbs.crl_extensions)
        .flatten();
    unknown_name(&tbs.issuer)
        .or_else(|| unknown_extension(all, |extension| OF_LISTS.contains(&extension.extn_id)))
}

fn unknown_name(name: &Name) -> Option<String> {
    name.iter()
        .any(|attribute| attribute.value.value().len() > MAX_NAME_BYTES)
        .then(|| format!("a part of a name of more than {MAX_NAME_BYTES} bytes"))
}

fn unknown_extension<'e>(
    extensions: impl IntoIterator<Item = &'e Extension>,
    is_known: impl Fn(&Extension) -> bool,
) -> Option<String> {
    extensions.into_iter().find_map(|extension| {
        let value = extension.extn_value.as_bytes();
        let fine = value.len() <= MAX_EXTENSION_BYTES
            && strict_der::value_length(value) == Ok(value.len())
            && is_known(extension);
        (!fine).then(|| format!("an extension ({})", extension.extn_id))
    })
}

fn is_known_of_certificate(extension: &Extension) -> bool {
    fn decodes<T: for<'a> Decode<'a>>(value: &[u8]) -> bool {
        T::from_der(value).is_ok()
    }
    let value = extension.extn_value.as_bytes();
    match extension.extn_id.to_string().as_str() {
        "2.5.29.14" => SubjectKeyIdentifier::from_der(value)
            .is_ok_and(|id| id.0.as_bytes().len() <= MAX_DIGEST_BYTES),
        "2.5.29.15" => decodes::<KeyUsage>(value),
        "2.5.29.17" | "2.5.29.18" => decodes::<GeneralNames>(value),
        "2.5.29.19" => decodes::<BasicConstraints>(value),
        "2.5.29.30" => decodes::<NameConstraints>(value),
        "2.5.29.31" => decodes::<CrlDistributionPoints>(value),
        "2.5.29.32" => decodes::<CertificatePolicies>(value),
        "2.5.29.35" => decodes::<AuthorityKeyIdentifier>(value),
        "2.5.29.37" => decodes::<ExtendedKeyUsage>(value),
        "1.3.6.1.5.5.7.1.1" => decodes::<AuthorityInfoAccessSyntax>(value),
        _ => OF_CERTIFICATES.contains(&extension.extn_id),
    }
}

/// The first part of an OCSP response (a BasicOCSPResponse, RFC 6960, 4.2.1) that is not known here.
pub(crate) fn unknown_in_response(basic: &[u8]) -> Option<String> {
    match response(basic) {
        Some(unknown) => unknown,
        None => Some("data of another structure".to_owned()),
    }
}

/// `None` if it has another structure, `Some(None)` if all of it is known.
fn response(basic: &[u8]) -> Option<Option<String>> {
    let parts = sequence(basic)?;
    let [data, algorithm, signature, rest @ ..] = parts.as_slice() else {
        return None;
    };
    algorithm.decode_as::<AlgorithmIdentifierOwned>().ok()?;
    signature.decode_as::<BitString>().ok()?;
    let certificates = match rest {
        [] => Vec::new(),
        [inner] => sequence(tagged(inner, 0)?)?,
        _ => return None,
    };
    for certificate in certificates {
        let certificate = Certificate::from_der(&certificate.to_der().ok()?).ok()?;
        if let Some(unknown) = unknown_in_certificate(&certificate) {
            return Some(Some(unknown));
        }
    }
    let mut data = sequence(&data.to_der().ok()?)?.into_iter().peekable();
    if let Some(version) = data.next_if(|part| tagged(part, 0).is_some()) {
        u8::from_der(tagged(&version, 0)?).ok()?;
    }
    let responder = data.next()?;
    if let Some(name) = tagged(&responder, 1) {
        if let Some(unknown) = unknown_name(&Name::from_der(name).ok()?) {
            return Some(Some(unknown));
        }
    } else {
        digest(&OctetString::from_der(tagged(&responder, 2)?).ok()?)?;
    }
    is_time(&data.next()?)?;
    for single in sequence(&data.next()?.to_der().ok()?)? {
        if let Some(unknown) = single_response(&single.to_der().ok()?)? {
            return Some(Some(unknown));
        }
    }
    let unknown = match data.next() {
        None => None,
        Some(extensions) => extensions_of_response(&extensions)?,
    };
    data.next().is_none().then_some(unknown)
}

/// A SingleResponse: which certificate, its status, and when.
fn single_response(der: &[u8]) -> Option<Option<String>> {
    let mut parts = sequence(der)?.into_iter().peekable();
    let id = sequence(&parts.next()?.to_der().ok()?)?;
    let [algorithm, name, key, serial] = id.as_slice() else {
        return None;
    };
    algorithm.decode_as::<AlgorithmIdentifierOwned>().ok()?;
    digest(&name.decode_as().ok()?)?;
    digest(&key.decode_as().ok()?)?;
    if serial.tag() != Tag::Integer || serial.value().len() > 21 {
        return None;
    }
    let status = parts.next()?;
    match status.tag() {
        // Good and unknown have no contents; revoked says when and why.
        Tag::ContextSpecific {
            constructed: false, ..
        } => status.value().is_empty().then_some(())?,
        Tag::ContextSpecific { number, .. } if number.value() == 1 => {
            let inner = sequence_of(status.value())?;
            is_time(inner.first()?)?;
            match &inner[1..] {
                [] => {}
                [reason] => {
                    let reason = tagged(reason, 0)?;
                    matches!(reason, [0x0A, 1, 0..=10]).then_some(())?;
                }
                _ => return None,
            }
        }
        _ => return None,
    }
    is_time(&parts.next()?)?;
    if let Some(next) = parts.next_if(|part| tagged(part, 0).is_some()) {
        is_time(&Any::from_der(tagged(&next, 0)?).ok()?)?;
    }
    let unknown = match parts.next() {
        None => None,
        Some(extensions) => extensions_of_response(&extensions)?,
    };
    parts.next().is_none().then_some(unknown)
}

fn extensions_of_response(part: &Any) -> Option<Option<String>> {
    let extensions = Vec::<Extension>::from_der(tagged(part, 1)?).ok()?;
    Some(unknown_extension(&extensions, |extension| {
        OF_RESPONSES.contains(&extension.extn_id)
            && (extension.extn_id != NONCE
                || OctetString::from_der(extension.extn_value.as_bytes())
                    .is_ok_and(|nonce| nonce.as_bytes().len() <= MAX_NONCE_BYTES))
    }))
}

fn sequence(der: &[u8]) -> Option<Vec<Any>> {
    Vec::<Any>::from_der(der).ok()
}

/// Values that follow one another.
fn sequence_of(content: &[u8]) -> Option<Vec<Any>> {
    let mut rest = content;
    let mut out = Vec::new();
    while !rest.is_empty() {
        let length = strict_der::value_length(rest).ok()?;
        let (value, after) = rest.split_at(length);
        out.push(Any::from_der(value).ok()?);
        rest = after;
    }
    Some(out)
}

/// The contents of a constructed context-specific tag of this number.
fn tagged(part: &Any, wanted: u32) -> Option<&[u8]> {
    match part.tag() {
        Tag::ContextSpecific {
            constructed: true,
            number,
        } if number.value() == wanted => Some(part.value()),
        _ => None,
    }
}

fn is_time(part: &Any) -> Option<()> {
    let text = part.value();
    let fine = part.tag() == Tag::GeneralizedTime
        && text.len() == 15
        && text[..14].iter().all(u8::is_ascii_digit)
        && text[14] == b'Z';
    fine.then_some(())
}

fn digest(octets: &OctetString) -> Option<()> {
    (octets.as_bytes().len() <= MAX_DIGEST_BYTES).then_some(())
}
