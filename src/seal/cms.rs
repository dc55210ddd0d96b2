//! The signature itself: CMS SignedData (RFC 5652) as PAdES baseline asks of it
//! (ETSI EN 319 142-1, table 1).
//!
//! Detached; signed attributes content-type, message-digest and signing-certificate-v2
//! (RFC 5035), and no signing-time, which EN 319 142-1 forbids here (the time stands in /M);
//! the signer's certificate and its issuers inside.

use std::cmp::Ordering;

use der::asn1::{ObjectIdentifier, OctetString, SetOfVec};
use der::{Any, Decode, DerOrd, Encode, Sequence, Tag, Tagged, ValueOrd};
use sha1::Sha1;
use sha2::{Digest, Sha256};
use x509_cert::attr::{Attribute, Attributes};
use x509_cert::certificate::Certificate;
use x509_cert::name::Name;
use x509_cert::serial_number::SerialNumber;
use x509_cert::spki::AlgorithmIdentifierOwned;

use super::error::SealError;
use super::identity::Identity;
use super::key::{self, Checked, Hash, TwoForms};
use super::strict_der;
use super::timestamp::Authority;

const SIGNED_DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.2");
const DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.1");
const CONTENT_TYPE: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.3");
const MESSAGE_DIGEST: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.4");
const SIGNING_TIME: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.5");
const TIME_STAMP_INFO: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.1.4");
const TIME_STAMP_TOKEN: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.14");
const SIGNING_CERTIFICATE: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.12");
const SHA_1: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.14.3.2.26");
const SIGNING_CERTIFICATE_V2: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.47");

#[derive(Debug, Sequence)]
struct ContentInfo {
    content_type: ObjectIdentifier,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT")]
    content: SignedData,
}

/// `certificates` keeps the order it was read in: a SET of DER is sorted, but authorities'
/// programs write the signer first.
#[derive(Debug, Sequence)]
struct SignedData {
    version: u8,
    digest_algorithms: SetOfVec<AlgorithmIdentifierOwned>,
    content: EncapsulatedContent,
    #[asn1(
        context_specific = "0",
        tag_mode = "IMPLICIT",
        constructed = "true",
        optional = "true"
    )]
    certificates: Option<Vec<Any>>,
    #[asn1(
        context_specific = "1",
        tag_mode = "IMPLICIT",
        constructed = "true",
        optional = "true"
    )]
    revocations: Option<SetOfVec<Any>>,
    signers: SetOfVec<SignerInfo>,
}

#[derive(Debug, Sequence)]
struct EncapsulatedContent {
    content_type: ObjectIdentifier,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT", optional = "true")]
    content: Option<Any>,
}

#[derive(Debug, Clone, PartialEq, Eq, Sequence, ValueOrd)]
struct SignerInfo {
    version: u8,
    signer: Any,
    digest_algorithm: AlgorithmIdentifierOwned,
    #[asn1(
        context_specific = "0",
        tag_mode = "IMPLICIT",
        constructed = "true",
        optional = "true"
    )]
    signed: Option<Attributes>,
    signature_algorithm: AlgorithmIdentifierOwned,
    signature: OctetString,
    #[asn1(
        context_specific = "1",
        tag_mode = "IMPLICIT",
        constructed = "true",
        optional = "true"
    )]
    unsigned: Option<Attributes>,
}

#[derive(Debug, PartialEq, Eq, Sequence)]
struct IssuerAndSerial {
    issuer: Name,
    serial: SerialNumber,
}

#[derive(Debug, Sequence)]
struct SigningCertificateV2 {
    certificates: Vec<CertificateId>,
    #[asn1(optional = "true")]
    policies: Option<Any>,
}

/// The older form (RFC 2634, 5.4), which many time-stamps still carry; its hash is SHA-1.
#[derive(Debug, Sequence)]
struct SigningCertificate {
    certificates: Vec<OldCertificateId>,
    #[asn1(optional = "true")]
    policies: Option<Any>,
}

#[derive(Debug, Sequence)]
struct OldCertificateId {
    hash: OctetString,
    #[asn1(optional = "true")]
    issuer_serial: Option<Any>,
}

#[derive(Debug, Sequence)]
struct CertificateId {
    #[asn1(optional = "true")]
    hash_algorithm: Option<AlgorithmIdentifierOwned>,
    hash: OctetString,
    #[asn1(optional = "true")]
    issuer_serial: Option<Any>,
}

/// Bytes that a signature by this identity takes at most, time-stamp not counted.
pub(crate) fn room(identity: &Identity) -> usize {
    let certificates: usize = std::iter::once(identity.certificate_der().len())
        .chain(identity.chain.iter().map(Vec::len))
        .sum();
    // Attributes, algorithm names and lengths take under 300 bytes; the issuer's name
    // stands twice, and is shorter than its certificate.
    let issuer = identity
        .certificate()
        .tbs_certificate()
        .issuer()
        .to_der()
        .map_or(0, |der| der.len());
    300 + certificates + issuer + identity.key.kind().longest_signature()
}

/// Makes the signature over pieces that stand together in the file, stamped if an authority is
/// given.
pub(crate) fn sign(
    identity: &Identity,
    pieces: &[&[u8]],
    authority: Option<&Authority<'_>>,
) -> Result<Vec<u8>, SealError> {
    let hash = identity.key.hash();
    let digest = hash.digest(pieces);
    let fault = |e: der::Error| SealError::Key(e.to_string());
    let signed = signed_attributes(identity.certificate_der(), &digest).map_err(fault)?;
    // RFC 5652, 5.4: what is signed is the attributes as a SET, not under their [0].
    let signature = identity
        .key
        .sign(&signed.to_der().map_err(fault)?)
        .map_err(SealError::Key)?;
    let token = authority
        .map(|authority| authority.stamp(hash, &signature))
        .transpose()?;
    assemble(identity, hash, signed, &signature, token.as_deref()).map_err(fault)
}

fn assemble(
    identity: &Identity,
    hash: Hash,
    signed: Attributes,
    signature: &[u8],
    token: Option<&[u8]>,
) -> Result<Vec<u8>, der::Error> {
    let unsigned = match token {
        None => None,
        Some(token) => Some(SetOfVec::try_from(vec![Attribute {
            oid: TIME_STAMP_TOKEN,
            values: SetOfVec::try_from(vec![Any::from_der(token)?])?,
        }])?),
    };
    let digest_algorithm = AlgorithmIdentifierOwned {
        oid: hash.oid(),
        parameters: None,
    };
    let tbs = identity.certificate().tbs_certificate();
    let signer = IssuerAndSerial {
        issuer: tbs.issuer().clone(),
        serial: tbs.serial_number().clone(),
    };
    let mut certificates = vec![Any::from_der(identity.certificate_der())?];
    for issuer in &identity.chain {
        certificates.push(Any::from_der(issuer)?);
    }
    ContentInfo {
        content_type: SIGNED_DATA,
        content: SignedData {
            version: 1,
            digest_algorithms: SetOfVec::try_from(vec![digest_algorithm.clone()])?,
            content: EncapsulatedContent {
                content_type: DATA,
                content: None,
            },
            certificates: Some(SetOfVec::try_from(certificates)?.into_vec()),
            revocations: None,
            signers: SetOfVec::try_from(vec![SignerInfo {
                version: 1,
                signer: Any::encode_from(&signer)?,
                digest_algorithm,
                signed: Some(signed),
                signature_algorithm: identity.key.kind().algorithm(),
                signature: OctetString::new(signature)?,
                unsigned,
            }])?,
        },
    }
    .to_der()
}

fn signed_attributes(certificate: &[u8], digest: &[u8]) -> Result<Attributes, der::Error> {
    let one = |oid, value: Any| -> Result<Attribute, der::Error> {
        Ok(Attribute {
            oid,
            values: SetOfVec::try_from(vec![value])?,
        })
    };
    let reference = SigningCertificateV2 {
        // SHA-256 is the default of RFC 5035 and so is not written (DER).
        certificates: vec![CertificateId {
            hash_algorithm: None,
            hash: OctetString::new(Sha256::digest(certificate).to_vec())?,
            issuer_serial: None,
        }],
        policies: None,
    };
    SetOfVec::try_from(vec![
        one(CONTENT_TYPE, Any::encode_from(&DATA)?)?,
        one(
            MESSAGE_DIGEST,
            Any::encode_from(&OctetString::new(digest)?)?,
        )?,
        one(SIGNING_CERTIFICATE_V2, Any::encode_from(&reference)?)?,
    ])
}

/// A signature taken apart, its shape checked, nothing in it believed yet.
#[derive(Debug)]
pub(crate) struct Parsed {
    pub certificate: Certificate,
    pub certificate_der: Vec<u8>,
    /// The other certificates in it, in DER.
    pub others: Vec<Vec<u8>>,
    pub hash: Hash,
    pub has_signing_time: bool,
    /// What it carries inside; a signature of a PDF nothing.
    pub content: Option<Vec<u8>>,
    /// The time-stamp beside the signature, in DER.
    pub token: Option<Vec<u8>>,
    /// The signature value itself.
    pub signature: Vec<u8>,
    message_digest: Vec<u8>,
    certificate_hash: Option<(ObjectIdentifier, Vec<u8>)>,
    signed_der: Vec<u8>,
    algorithm: AlgorithmIdentifierOwned,
}

/// What kind of message is expected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Content {
    /// A signature over bytes that stand elsewhere.
    Detached,
    /// A time-stamp, which carries what it says (RFC 3161, 2.4.2).
    TimeStamp,
}

/// Why a signature can't be taken apart.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum CmsError {
    /// Broken, or not what a PDF signature must be.
    #[error("{0}")]
    Bad(String),
    /// Rests on a hash too weak to prove anything, or unknown here.
    #[error("{0}")]
    Algorithm(String),
}

/// Takes a DER signature apart.
pub(crate) fn parse(bytes: &[u8]) -> Result<Parsed, CmsError> {
    parse_content(bytes, Content::Detached)
}

/// Takes a DER message of a kind apart.
pub(crate) fn parse_content(bytes: &[u8], kind: Content) -> Result<Parsed, CmsError> {
    let bad = |what: &str| CmsError::Bad(what.to_owned());
    match strict_der::value_length(bytes) {
        Ok(length) if length == bytes.len() => {}
        Ok(_) => return Err(bad("something follows the signature")),
        Err(what) => return Err(bad(what)),
    }
    let info =
        ContentInfo::from_der(bytes).map_err(|_| bad("it is no CMS SignedData (RFC 5652)"))?;
    // What was read must be all that stands there, in the one way DER can write it.
    if info.to_der().ok().as_deref() != Some(bytes) {
        return Err(bad("it is not written in DER"));
    }
    let data = info.content;
    let certificates = data.certificates.as_deref().unwrap_or_default();
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
            return Err(bad(
                "it carries contents of its own instead of pointing to the file",
            ));
        }
        (Content::TimeStamp, content) => content
            .as_ref()
            .and_then(|any| any.decode_as::<OctetString>().ok())
            .map(|octets| Some(octets.as_bytes().to_vec()))
            .ok_or_else(|| bad("it carries no contents"))?,
    };
    let [signer] = data.signers.as_slice() else {
        return Err(bad("it does not have exactly one signer"));
    };
    // The version follows from the rest (RFC 5652, 5.1). No signature covers it, so that another
    // one would be a change that nothing else notices; authorities differ in theirs.
    let fits = match kind {
        Content::Detached => data.version == signer.version,
        Content::TimeStamp => matches!(data.version, 1 | 3),
    };
    if !fits {
        return Err(bad("its version is impossible"));
    }
    let hash = Hash::from_oid(signer.digest_algorithm.oid).ok_or_else(|| {
        CmsError::Algorithm(format!(
            "the hash {} is too weak or unknown",
            signer.digest_algorithm.oid
        ))
    })?;
    if data
        .digest_algorithms
        .iter()
        .any(|a| a.oid != signer.digest_algorithm.oid)
        || data.digest_algorithms.is_empty()
    {
        return Err(bad("its two lists of hashes differ"));
    }
    let signed = signer
        .signed
        .as_ref()
        .ok_or_else(|| bad("it has no signed attributes"))?;
    let single = |oid: ObjectIdentifier| -> Result<Option<&Any>, CmsError> {
        let mut found = signed.iter().filter(|a| a.oid == oid);
        match (found.next(), found.next()) {
            (None, _) => Ok(None),
            (Some(attribute), None) if attribute.values.len() == 1 => Ok(attribute.values.get(0)),
            _ => Err(bad("a signed attribute stands twice")),
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
        signature: signer.signature.as_bytes().to_vec(),
    })
}

/// The one attribute that nobody signed and that may stand here all the same: the time-stamp.
fn token(signer: &SignerInfo, kind: Content) -> Result<Option<Vec<u8>>, CmsError> {
    let bad = |what: &str| CmsError::Bad(what.to_owned());
    let Some(unsigned) = &signer.unsigned else {
        return Ok(None);
    };
    if kind == Content::TimeStamp {
        // An authority may put what it likes beside its signature; nothing of it is used.
        return Ok(None);
    }
    let [attribute] = unsigned.as_slice() else {
        return Err(bad("it carries several attributes that nobody signed"));
    };
    match (attribute.oid, attribute.values.as_slice()) {
        (TIME_STAMP_TOKEN, [token]) => token
            .to_der()
            .map(Some)
            .map_err(|_| bad("its time-stamp is damaged")),
        _ => Err(bad("it carries an attribute that nobody signed")),
    }
}

/// Whether the signer's identifier means this certificate (RFC 5652, 5.3: version 1 names
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

/// The message with another signature value; `None` if it carries a time-stamp, which belongs to the
/// value that is there.
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

    /// Whether the digest inside is the digest of these pieces.
    pub fn digest_matches(&self, pieces: &[&[u8]]) -> bool {
        self.hash.digest(pieces) == self.message_digest
    }

    /// Whether the signature value was made over the attributes by the certificate's key.
    pub fn signature_value(&self) -> Checked {
        key::check(
            self.certificate.tbs_certificate().subject_public_key_info(),
            &self.algorithm,
            self.hash,
            &self.signed_der,
            &self.signature,
        )
    }

    /// Whether the signed attributes name this very certificate; `None` when they name none.
    pub fn certificate_matches(&self) -> Option<bool> {
        let (oid, expected) = self.certificate_hash.as_ref()?;
        if *oid == SHA_1 {
            return Some(Sha1::digest(&self.certificate_der).as_slice() == expected.as_slice());
        }
        let hash = Hash::from_oid(*oid)?;
        Some(hash.digest(&[&self.certificate_der]) == *expected)
    }
}
