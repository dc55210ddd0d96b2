//! Reading a CMS message: its parts, and whether digest, signature value and certificate match.

use std::cmp::Ordering;

use der::asn1::{ObjectIdentifier, OctetString, SetOfVec};
use der::{Any, Decode, DerOrd, Encode, Tag, Tagged};
use sha1::{Digest, Sha1};
use x509_cert::certificate::Certificate;
use x509_cert::spki::AlgorithmIdentifierOwned;

use super::cms_types::{
    CONTENT_TYPE, ContentInfo, DATA, IssuerAndSerial, MESSAGE_DIGEST, SHA_1, SIGNED_DATA,
    SIGNING_CERTIFICATE, SIGNING_CERTIFICATE_V2, SIGNING_TIME, SignerInfo, SigningCertificate,
    SigningCertificateV2, TIME_STAMP_INFO, TIME_STAMP_TOKEN,
};
use super::key::{self, Checked, Hash, TwoForms};
use super::strict_der;

/// Maximum number of certificates in a signature: the signer's and eight others, which is as many as this
/// program includes.
const MAX_IN_SIGNATURE: usize = 9;
/// Maximum number of certificates in a time-stamp.
const MAX_IN_STAMP: usize = 64;

/// A parsed signature. Its structure was checked, its contents were not.
#[derive(Debug)]
pub(crate) struct Parsed {
    pub certificate: Certificate,
    pub certificate_der: Vec<u8>,
    /// The other certificates in it, in DER.
    pub others: Vec<Vec<u8>>,
    pub hash: Hash,
    pub has_signing_time: bool,
    /// The contents; `None` for the signature of a PDF, which is detached.
    pub content: Option<Vec<u8>>,
    /// The time-stamp of the signature, in DER.
    pub token: Option<Vec<u8>>,
    /// The signature value.
    pub signature: Vec<u8>,
    /// The unsigned parts are spelled as this program spells them.
    pub written_as_here: bool,
    message_digest: Vec<u8>,
    certificate_hash: Option<(ObjectIdentifier, Vec<u8>)>,
    signed_der: Vec<u8>,
    algorithm: AlgorithmIdentifierOwned,
}

/// The expected kind of message.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Content {
    /// A detached signature.
    Detached,
    /// A time-stamp, which includes its contents (RFC 3161, 2.4.2).
    TimeStamp,
}

/// Why a signature cannot be parsed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum CmsError {
    /// It is damaged, or not a valid PDF signature.
    #[error("{0}")]
    Bad(String),
    /// Its hash is too weak, or unknown to this program.
    #[error("{0}")]
    Algorithm(String),
    /// It includes more certificates than any chain has; none of them was examined.
    #[error("it includes {0} certificates, more than any chain has")]
    TooMany(usize),
}

/// Parses a signature in DER.
pub(crate) fn parse(bytes: &[u8]) -> Result<Parsed, CmsError> {
    parse_content(bytes, Content::Detached)
}

/// Parses a message of this kind in DER.
pub(crate) fn parse_content(bytes: &[u8], kind: Content) -> Result<Parsed, CmsError> {
    let bad = |what: &str| CmsError::Bad(what.to_owned());
    match strict_der::value_length(bytes) {
        Ok(length) if length == bytes.len() => {}
        Ok(_) => return Err(bad("something follows the signature")),
        Err(what) => return Err(bad(what)),
    }
    let info =
        ContentInfo::from_der(bytes).map_err(|_| bad("it is no CMS SignedData (RFC 5652)"))?;
    // Encoding it again must give the same bytes, because DER allows only one encoding.
    if info.to_der().ok().as_deref() != Some(bytes) {
        return Err(bad("it is not written in DER"));
    }
    let data = info.content;
    let certificates = data.certificates.as_deref().unwrap_or_default();
    // Before any of them is read: relating certificates to each other takes a signature for each pair.
    let most = match kind {
        Content::Detached => MAX_IN_SIGNATURE,
        Content::TimeStamp => MAX_IN_STAMP,
    };
    if certificates.len() > most {
        return Err(CmsError::TooMany(certificates.len()));
    }
    if kind == Content::Detached
        && !certificates.is_sorted_by(|a, b| a.der_cmp(b).is_ok_and(Ordering::is_lt))
    {
        return Err(bad("it is not written in DER"));
    }
    let expected = match kind {
        Content::Detached => DATA,
        Content::TimeStamp => TIME_STAMP_INFO,
    };
    if info.content_type != SIGNED_DATA || data.content.content_type != expected {
        return Err(bad("it is a CMS message of another kind"));
    }
    let content = match (kind, &data.content.content) {
        (Content::Detached, None) => None,
        (Content::Detached, Some(_)) => {
            return Err(bad("it has contents of its own instead of being detached"));
        }
        (Content::TimeStamp, content) => content
            .as_ref()
            .and_then(|any| any.decode_as::<OctetString>().ok())
            .map(|octets| Some(octets.as_bytes().to_vec()))
            .ok_or_else(|| bad("it has no contents"))?,
    };
    let [signer] = data.signers.as_slice() else {
        return Err(bad("it does not have exactly one signer"));
    };
    // The version follows from the other fields (RFC 5652, 5.1). It is not signed, so that nothing else would
    // detect a change of it; authorities use different ones.
    let fits = match kind {
        Content::Detached => data.version == signer.version,
        Content::TimeStamp => matches!(data.version, 1 | 3),
    };
    if !fits {
        return Err(bad("its version is invalid"));
    }
    let hash = Hash::from_oid(signer.digest_algorithm.oid).ok_or_else(|| {
        CmsError::Algorithm(format!(
            "the hash {} is too weak or unknown",
            signer.digest_algorithm.oid
        ))
    })?;
    // These parts are not signed, so anybody could put bytes into them.
    let [listed] = data.digest_algorithms.as_slice() else {
        return Err(bad("its list of hashes is not that of one signer"));
    };
    if listed.oid != signer.digest_algorithm.oid {
        return Err(bad("its two lists of hashes differ"));
    }
    let algorithms = [
        listed,
        &signer.digest_algorithm,
        &signer.signature_algorithm,
    ];
    if !algorithms.into_iter().all(has_no_parameters) {
        return Err(bad("its algorithms have parameters that they do not need"));
    }
    if data.revocations.is_some() {
        return Err(bad("it has lists that are not signed"));
    }
    let written_as_here = signer.version == 1
        && listed.parameters.is_none()
        && signer.digest_algorithm.parameters.is_none()
        && signer.signature_algorithm.parameters.is_some()
            == key::is_rsa(signer.signature_algorithm.oid);
    let signed = signer
        .signed
        .as_ref()
        .ok_or_else(|| bad("it has no signed attributes"))?;
    let single = |oid: ObjectIdentifier| -> Result<Option<&Any>, CmsError> {
        let mut found = signed.iter().filter(|a| a.oid == oid);
        match (found.next(), found.next()) {
            (None, _) => Ok(None),
            (Some(attribute), None) if attribute.values.len() == 1 => Ok(attribute.values.get(0)),
            _ => Err(bad("a signed attribute occurs twice")),
        }
    };
    let content_type = single(CONTENT_TYPE)?.and_then(|v| v.decode_as::<ObjectIdentifier>().ok());
    if content_type != Some(expected) {
        return Err(bad("the signed content-type is missing or wrong"));
    }
    let message_digest = single(MESSAGE_DIGEST)?
        .and_then(|v| v.decode_as::<OctetString>().ok())
        .ok_or_else(|| bad("the signed message-digest is missing"))?;
    let certificate_hash = match single(SIGNING_CERTIFICATE_V2)? {
        None => single(SIGNING_CERTIFICATE)?
            .filter(|_| kind == Content::TimeStamp)
            .and_then(|value| value.decode_as::<SigningCertificate>().ok())
            .and_then(|reference| reference.certificates.into_iter().next())
            .map(|first| (SHA_1, first.hash.as_bytes().to_vec())),
        Some(value) => {
            let reference = value
                .decode_as::<SigningCertificateV2>()
                .map_err(|_| bad("its reference to the certificate is damaged"))?;
            let first = reference
                .certificates
                .into_iter()
                .next()
                .ok_or_else(|| bad("its reference to the certificate is empty"))?;
            let oid = first.hash_algorithm.map_or(key::SHA_256, |a| a.oid);
            Some((oid, first.hash.as_bytes().to_vec()))
        }
    };
    let mut own = None;
    let mut others = Vec::new();
    for any in certificates {
        let der = any.to_der().map_err(|_| bad("a certificate is damaged"))?;
        let Ok(certificate) = Certificate::from_der(&der) else {
            return Err(bad("a certificate in it is damaged"));
        };
        if own.is_none() && belongs(&signer.signer, signer.version, &certificate) {
            own = Some((certificate, der));
        } else {
            others.push(der);
        }
    }
    let (certificate, certificate_der) =
        own.ok_or_else(|| bad("the signer's certificate is not in it"))?;
    Ok(Parsed {
        certificate,
        certificate_der,
        others,
        hash,
        content,
        token: token(signer, kind)?,
        has_signing_time: signed.iter().any(|a| a.oid == SIGNING_TIME),
        message_digest: message_digest.as_bytes().to_vec(),
        certificate_hash,
        signed_der: signed
            .to_der()
            .map_err(|_| bad("its signed attributes are damaged"))?,
        algorithm: signer.signature_algorithm.clone(),
        written_as_here,
        signature: signer.signature.as_bytes().to_vec(),
    })
}

/// Whether an algorithm is named without parameters. None of the known ones has any, and NULL means
/// the same (RFC 5754, 2 and 3).
fn has_no_parameters(algorithm: &AlgorithmIdentifierOwned) -> bool {
    let parameters = algorithm.parameters.as_ref();
    parameters.is_none_or(|parameters| parameters.is_null())
}

/// The only unsigned attribute that is allowed: the time-stamp.
fn token(signer: &SignerInfo, kind: Content) -> Result<Option<Vec<u8>>, CmsError> {
    let bad = |what: &str| CmsError::Bad(what.to_owned());
    let Some(unsigned) = &signer.unsigned else {
        return Ok(None);
    };
    if kind == Content::TimeStamp {
        // Unsigned attributes of an authority are ignored.
        return Ok(None);
    }
    let [attribute] = unsigned.as_slice() else {
        return Err(bad("it has several attributes that are not signed"));
    };
    match (attribute.oid, attribute.values.as_slice()) {
        (TIME_STAMP_TOKEN, [token]) => token
            .to_der()
            .map(Some)
            .map_err(|_| bad("its time-stamp is damaged")),
        _ => Err(bad("it has an attribute that is not signed")),
    }
}

/// Whether the signer's identifier refers to this certificate (RFC 5652, 5.3: version 1 names
/// issuer and serial number, version 3 the key's identifier).
fn belongs(signer: &Any, version: u8, certificate: &Certificate) -> bool {
    let tbs = certificate.tbs_certificate();
    match (signer.tag(), version) {
        (Tag::Sequence, 1) => signer
            .decode_as::<IssuerAndSerial>()
            .is_ok_and(|id| id.issuer == *tbs.issuer() && id.serial == *tbs.serial_number()),
        (Tag::ContextSpecific { .. }, 3) => tbs
            .get_extension::<x509_cert::ext::pkix::SubjectKeyIdentifier>()
            .ok()
            .flatten()
            .is_some_and(|(_, id)| id.0.as_bytes() == signer.value()),
        _ => false,
    }
}

/// The message with another signature value; `None` if it contains a time-stamp, which belongs to
/// the present value.
pub(crate) fn with_signature(message: &[u8], signature: &[u8]) -> Option<Vec<u8>> {
    let mut info = ContentInfo::from_der(message).ok()?;
    let [signer] = info.content.signers.as_slice() else {
        return None;
    };
    let signer = SignerInfo {
        signature: OctetString::new(signature).ok()?,
        ..signer.clone()
    };
    if signer.unsigned.is_some() {
        return None;
    }
    info.content.signers = SetOfVec::try_from(vec![signer]).ok()?;
    info.to_der().ok()
}

impl Parsed {
    /// The two forms of the signature value, if it has two.
    pub fn two_forms(&self) -> Option<TwoForms> {
        let key = self.certificate.tbs_certificate().subject_public_key_info();
        TwoForms::of(key, &self.signature)
    }

    /// Whether the digest in it is that of these pieces.
    pub fn digest_matches(&self, pieces: &[&[u8]]) -> bool {
        self.hash.digest(pieces) == self.message_digest
    }

    /// Checks the signature value over the attributes with the certificate's key.
    pub fn signature_value(&self) -> Checked {
        key::check(
            self.certificate.tbs_certificate().subject_public_key_info(),
            &self.algorithm,
            self.hash,
            &self.signed_der,
            &self.signature,
        )
    }

    /// Whether the signed attributes name this certificate; `None` if they name none.
    pub fn certificate_matches(&self) -> Option<bool> {
        let (oid, expected) = self.certificate_hash.as_ref()?;
        if *oid == SHA_1 {
            return Some(Sha1::digest(&self.certificate_der).as_slice() == expected.as_slice());
        }
        let hash = Hash::from_oid(*oid)?;
        Some(hash.digest(&[&self.certificate_der]) == *expected)
    }
}
