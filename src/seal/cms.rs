//! Writing the signature: CMS SignedData (RFC 5652) as required by PAdES baseline (ETSI EN 319 142-1,
//! table 1).
//!
//! It is detached. The signed attributes are content-type, message-digest and signing-certificate-v2
//! (RFC 5035), but not signing-time, which EN 319 142-1 forbids here (the time is in /M). The signer's
//! certificate and those of its issuers are included.

use der::asn1::{OctetString, SetOfVec};
use der::{Any, Decode, Encode};
use sha2::{Digest, Sha256};
use x509_cert::attr::{Attribute, Attributes};
use x509_cert::spki::AlgorithmIdentifierOwned;

use super::cms_types::{
    CONTENT_TYPE, CertificateId, ContentInfo, DATA, EncapsulatedContent, IssuerAndSerial,
    MESSAGE_DIGEST, SIGNED_DATA, SIGNING_CERTIFICATE_V2, SignedData, SignerInfo,
    SigningCertificateV2, TIME_STAMP_TOKEN,
};
use super::error::SealError;
use super::identity::Identity;
use super::key::Hash;
use super::timestamp::Authority;

/// Maximum size of a signature by this identity without a time-stamp, in bytes.
pub(crate) fn room(identity: &Identity) -> usize {
    let certificates: usize = std::iter::once(identity.certificate_der().len())
        .chain(identity.chain.iter().map(Vec::len))
        .sum();
    // Attributes, algorithm names and lengths need less than 300 bytes; the issuer's name is included
    // twice.
    let issuer = identity
        .certificate()
        .tbs_certificate()
        .issuer()
        .to_der()
        .map_or(0, |der| der.len());
    300 + certificates + issuer + identity.key.kind().longest_signature()
}

/// Signs the concatenation of these pieces, with a time-stamp if there is an authority.
pub(crate) fn sign(
    identity: &Identity,
    pieces: &[&[u8]],
    authority: Option<&Authority<'_>>,
) -> Result<Vec<u8>, SealError> {
    let hash = identity.key.hash();
    let digest = hash.digest(pieces);
    let fault = |e: der::Error| SealError::Key(e.to_string());
    let signed = signed_attributes(identity.certificate_der(), &digest).map_err(fault)?;
    // RFC 5652, 5.4: the attributes are signed as a SET, not with their tag [0].
    let signature = identity
        .key
        .sign(&signed.to_der().map_err(fault)?)
        .map_err(SealError::Key)?;
    let token = authority
        .map(|authority| authority.stamp(hash, &[&signature]))
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
        // SHA-256 is the default of RFC 5035, which DER omits.
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
