//! The structures of a CMS message (RFC 5652, RFC 5035), as they are encoded.

use der::asn1::{ObjectIdentifier, OctetString, SetOfVec};
use der::{Any, Sequence, ValueOrd};
use x509_cert::attr::Attributes;
use x509_cert::name::Name;
use x509_cert::serial_number::SerialNumber;
use x509_cert::spki::AlgorithmIdentifierOwned;

pub(crate) const SIGNED_DATA: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.2");
pub(crate) const DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.1");
pub(crate) const CONTENT_TYPE: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.3");
pub(crate) const MESSAGE_DIGEST: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.4");
pub(crate) const SIGNING_TIME: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.5");
pub(crate) const TIME_STAMP_INFO: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.1.4");
pub(crate) const TIME_STAMP_TOKEN: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.14");
pub(crate) const SIGNING_CERTIFICATE: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.12");
pub(crate) const SHA_1: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.14.3.2.26");
pub(crate) const SIGNING_CERTIFICATE_V2: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.47");

#[derive(Debug, Sequence)]
pub(crate) struct ContentInfo {
    pub content_type: ObjectIdentifier,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT")]
    pub content: SignedData,
}

/// `certificates` keeps the order in which they were read: DER sorts a SET, but programs of authorities write
/// the signer first.
#[derive(Debug, Sequence)]
pub(crate) struct SignedData {
    pub version: u8,
    pub digest_algorithms: SetOfVec<AlgorithmIdentifierOwned>,
    pub content: EncapsulatedContent,
    #[asn1(
        context_specific = "0",
        tag_mode = "IMPLICIT",
        constructed = "true",
        optional = "true"
    )]
    pub certificates: Option<Vec<Any>>,
    #[asn1(
        context_specific = "1",
        tag_mode = "IMPLICIT",
        constructed = "true",
        optional = "true"
    )]
    pub revocations: Option<SetOfVec<Any>>,
    pub signers: SetOfVec<SignerInfo>,
}

#[derive(Debug, Sequence)]
pub(crate) struct EncapsulatedContent {
    pub content_type: ObjectIdentifier,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT", optional = "true")]
    pub content: Option<Any>,
}

#[derive(Debug, Clone, PartialEq, Eq, Sequence, ValueOrd)]
pub(crate) struct SignerInfo {
    pub version: u8,
    pub signer: Any,
    pub digest_algorithm: AlgorithmIdentifierOwned,
    #[asn1(
        context_specific = "0",
        tag_mode = "IMPLICIT",
        constructed = "true",
        optional = "true"
    )]
    pub signed: Option<Attributes>,
    pub signature_algorithm: AlgorithmIdentifierOwned,
    pub signature: OctetString,
    #[asn1(
        context_specific = "1",
        tag_mode = "IMPLICIT",
        constructed = "true",
        optional = "true"
    )]
    pub unsigned: Option<Attributes>,
}

#[derive(Debug, PartialEq, Eq, Sequence)]
pub(crate) struct IssuerAndSerial {
    pub issuer: Name,
    pub serial: SerialNumber,
}

#[derive(Debug, Sequence)]
pub(crate) struct SigningCertificateV2 {
    pub certificates: Vec<CertificateId>,
    #[asn1(optional = "true")]
    pub policies: Option<Any>,
}

/// The older form (RFC 2634, 5.4), which many time-stamps still use; its hash is SHA-1.
#[derive(Debug, Sequence)]
pub(crate) struct SigningCertificate {
    pub certificates: Vec<OldCertificateId>,
    #[asn1(optional = "true")]
    pub policies: Option<Any>,
}

#[derive(Debug, Sequence)]
pub(crate) struct OldCertificateId {
    pub hash: OctetString,
    #[asn1(optional = "true")]
    pub issuer_serial: Option<Any>,
}

#[derive(Debug, Sequence)]
pub(crate) struct CertificateId {
    #[asn1(optional = "true")]
    pub hash_algorithm: Option<AlgorithmIdentifierOwned>,
    pub hash: OctetString,
    #[asn1(optional = "true")]
    pub issuer_serial: Option<Any>,
}
