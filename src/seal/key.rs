//! Public keys and signature values: P-256, P-384, RSA of 2048 to 4096 bits, each with its hash.
//!
//! SHA-256 is used with P-256 and RSA, SHA-384 with P-384. ECDSA follows RFC 6979 and RSA is PKCS #1 v1.5,
//! so that signing needs no randomness.

use der::Encode;
use der::asn1::{AnyRef, BitString, ObjectIdentifier};
use p256::ecdsa::signature::hazmat::PrehashVerifier;
use rsa::Pkcs1v15Sign;
use rsa::traits::PublicKeyParts;
use sha2::{Digest, Sha256, Sha384, Sha512};
use x509_cert::certificate::Certificate;
use x509_cert::spki::{AlgorithmIdentifierOwned, DecodePublicKey, SubjectPublicKeyInfoOwned};

pub(crate) const SHA_256: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.16.840.1.101.3.4.2.1");
pub(crate) const SHA_384: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.16.840.1.101.3.4.2.2");
pub(crate) const SHA_512: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.16.840.1.101.3.4.2.3");
pub(crate) const RSA_ENCRYPTION: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.1.1");
const SHA_256_WITH_RSA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.1.11");
const SHA_384_WITH_RSA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.1.12");
const SHA_512_WITH_RSA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.1.13");
pub(crate) const EC_PUBLIC_KEY: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.10045.2.1");
const ECDSA_SHA_256: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.10045.4.3.2");
const ECDSA_SHA_384: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.10045.4.3.3");
const ECDSA_SHA_512: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.10045.4.3.4");
pub(crate) const P_256: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.10045.3.1.7");
pub(crate) const P_384: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.132.0.34");

/// Smallest and largest RSA modulus accepted, in bits.
const RSA_BITS: std::ops::RangeInclusive<usize> = 2048..=4096;

/// A strong hash: SHA-256 or longer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Hash {
    Sha256,
    Sha384,
    Sha512,
}

impl Hash {
    pub fn from_oid(oid: ObjectIdentifier) -> Option<Self> {
        match oid {
            SHA_256 => Some(Self::Sha256),
            SHA_384 => Some(Self::Sha384),
            SHA_512 => Some(Self::Sha512),
            _ => None,
        }
    }

    pub const fn oid(self) -> ObjectIdentifier {
        match self {
            Self::Sha256 => SHA_256,
            Self::Sha384 => SHA_384,
            Self::Sha512 => SHA_512,
        }
    }

    pub const fn name(self) -> &'static str {
        match self {
            Self::Sha256 => "SHA-256",
            Self::Sha384 => "SHA-384",
            Self::Sha512 => "SHA-512",
        }
    }

    /// The digest of the concatenation of several pieces.
    pub fn digest(self, pieces: &[&[u8]]) -> Vec<u8> {
        fn of<D: Digest>(pieces: &[&[u8]]) -> Vec<u8> {
            let mut hash = D::new();
            for piece in pieces {
                hash.update(piece);
            }
            hash.finalize().to_vec()
        }
        match self {
            Self::Sha256 => of::<Sha256>(pieces),
            Self::Sha384 => of::<Sha384>(pieces),
            Self::Sha512 => of::<Sha512>(pieces),
        }
    }

    pub fn rsa_padding(self) -> Pkcs1v15Sign {
        match self {
            Self::Sha256 => Pkcs1v15Sign::new::<Sha256>(),
            Self::Sha384 => Pkcs1v15Sign::new::<Sha384>(),
            Self::Sha512 => Pkcs1v15Sign::new::<Sha512>(),
        }
    }
}

/// A kind of key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    P256,
    P384,
    /// Bytes of the modulus.
    Rsa {
        bytes: usize,
    },
}

impl Kind {
    /// The kind of a public key.
    #[cfg(feature = "pkcs11")]
    pub fn of(key: &SubjectPublicKeyInfoOwned) -> Result<Self, String> {
        match (key.algorithm.oid, curve(key)) {
            (RSA_ENCRYPTION, _) => {
                let der = key.to_der().map_err(|e| e.to_string())?;
                let key = rsa::PublicKey::from_public_key_der(&der)
                    .map_err(|_| "its RSA public key is damaged".to_owned())?;
                check_rsa(key.n().bit_width() as usize)?;
                Ok(Self::Rsa { bytes: key.size() })
            }
            (EC_PUBLIC_KEY, Some(P_256)) => Ok(Self::P256),
            (EC_PUBLIC_KEY, Some(P_384)) => Ok(Self::P384),
            _ => Err("its key is neither RSA nor on P-256 or P-384".to_owned()),
        }
    }

    pub const fn hash(self) -> Hash {
        match self {
            Self::P384 => Hash::Sha384,
            Self::P256 | Self::Rsa { .. } => Hash::Sha256,
        }
    }

    /// The identifier of its signatures in CMS.
    pub fn algorithm(self) -> AlgorithmIdentifierOwned {
        match self {
            Self::P256 => bare(ECDSA_SHA_256),
            Self::P384 => bare(ECDSA_SHA_384),
            Self::Rsa { .. } => AlgorithmIdentifierOwned {
                oid: RSA_ENCRYPTION,
                parameters: Some(AnyRef::NULL.into()),
            },
        }
    }

    /// Maximum size of a signature by this key, in bytes.
    pub const fn longest_signature(self) -> usize {
        match self {
            Self::P256 => 72,
            Self::P384 => 104,
            Self::Rsa { bytes } => bytes,
        }
    }
}

fn bare(oid: ObjectIdentifier) -> AlgorithmIdentifierOwned {
    AlgorithmIdentifierOwned {
        oid,
        parameters: None,
    }
}

pub(crate) fn check_rsa(bits: usize) -> Result<(), String> {
    if RSA_BITS.contains(&bits) {
        Ok(())
    } else {
        Err(format!(
            "its RSA key has {bits} bits; {} to {} are accepted",
            RSA_BITS.start(),
            RSA_BITS.end()
        ))
    }
}

/// The result of checking a signature value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Checked {
    Valid,
    Invalid,
    /// Not determined, because this program does not know the algorithm.
    Unknown(String),
    /// Too weak to prove anything.
    Weak(String),
}

/// Whether a signature algorithm is RSA with PKCS #1 v1.5, which is named with NULL parameters.
pub(crate) fn is_rsa(algorithm: ObjectIdentifier) -> bool {
    [
        RSA_ENCRYPTION,
        SHA_256_WITH_RSA,
        SHA_384_WITH_RSA,
        SHA_512_WITH_RSA,
    ]
    .contains(&algorithm)
}

/// Checks a signature value over a message.
pub(crate) fn check(
    key: &SubjectPublicKeyInfoOwned,
    algorithm: &AlgorithmIdentifierOwned,
    hash: Hash,
    message: &[u8],
    signature: &[u8],
) -> Checked {
    let digest = hash.digest(&[message]);
    let Ok(key_der) = key.to_der() else {
        return Checked::Invalid;
    };
    let fits = match algorithm.oid {
        RSA_ENCRYPTION => key.algorithm.oid == RSA_ENCRYPTION,
        SHA_256_WITH_RSA => key.algorithm.oid == RSA_ENCRYPTION && hash == Hash::Sha256,
        SHA_384_WITH_RSA => key.algorithm.oid == RSA_ENCRYPTION && hash == Hash::Sha384,
        SHA_512_WITH_RSA => key.algorithm.oid == RSA_ENCRYPTION && hash == Hash::Sha512,
        ECDSA_SHA_256 => key.algorithm.oid == EC_PUBLIC_KEY && hash == Hash::Sha256,
        ECDSA_SHA_384 => key.algorithm.oid == EC_PUBLIC_KEY && hash == Hash::Sha384,
        ECDSA_SHA_512 => key.algorithm.oid == EC_PUBLIC_KEY && hash == Hash::Sha512,
        other => return Checked::Unknown(format!("signature algorithm {other}")),
    };
    if !fits {
        return Checked::Invalid;
    }
    let valid = match key.algorithm.oid {
        RSA_ENCRYPTION => {
            let Ok(key) = rsa::PublicKey::from_public_key_der(&key_der) else {
                return Checked::Unknown("an RSA key that can't be read".to_owned());
            };
            let bits = key.n().bit_width() as usize;
            if bits < *RSA_BITS.start() {
                return Checked::Weak(format!("an RSA key of only {bits} bits"));
            }
            key.verify(hash.rsa_padding(), &digest, signature).is_ok()
        }
        _ => match curve(key) {
            Some(P_256) => p256::ecdsa::VerifyingKey::from_public_key_der(&key_der)
                .ok()
                .zip(p256::ecdsa::Signature::from_der(signature).ok())
                .is_some_and(|(key, s)| key.verify_prehash(&digest, &s).is_ok()),
            Some(P_384) => p384::ecdsa::VerifyingKey::from_public_key_der(&key_der)
                .ok()
                .zip(p384::ecdsa::Signature::from_der(signature).ok())
                .is_some_and(|(key, s)| key.verify_prehash(&digest, &s).is_ok()),
            _ => return Checked::Unknown("a curve other than P-256 and P-384".to_owned()),
        },
    };
    if valid {
        Checked::Valid
    } else {
        Checked::Invalid
    }
}

/// Which of the two values of s that are valid for the same message, elliptic-curve key and r a
/// signature has. Anybody can replace one by the other without the key (SEC 1, 4.1.4).
pub(crate) struct TwoForms {
    /// The signature has the larger one.
    pub high: bool,
    /// The signature with the other one, in DER.
    pub other: Vec<u8>,
}

impl TwoForms {
    /// `None` for a signature that has one form only, such as RSA.
    pub fn of(key: &SubjectPublicKeyInfoOwned, signature: &[u8]) -> Option<Self> {
        match curve(key)? {
            P_256 => {
                let one = p256::ecdsa::Signature::from_der(signature).ok()?;
                let (r, s) = one.split_scalars();
                let other = p256::ecdsa::Signature::from_scalars(r.to_bytes(), (-*s).to_bytes());
                Some(Self {
                    high: one.normalize_s() != one,
                    other: other.ok()?.to_der().as_bytes().to_vec(),
                })
            }
            P_384 => {
                let one = p384::ecdsa::Signature::from_der(signature).ok()?;
                let (r, s) = one.split_scalars();
                let other = p384::ecdsa::Signature::from_scalars(r.to_bytes(), (-*s).to_bytes());
                Some(Self {
                    high: one.normalize_s() != one,
                    other: other.ok()?.to_der().as_bytes().to_vec(),
                })
            }
            _ => None,
        }
    }
}

/// Whether the key of `issuer` signed this certificate or list of revoked certificates (RFC 5280, 4.1.1.3
/// and 5.1.1.3).
pub(crate) fn signed_by(
    issuer: &Certificate,
    signed: &impl Encode,
    algorithm: &AlgorithmIdentifierOwned,
    signature: &BitString,
) -> bool {
    let (Some(hash), Ok(message), Some(signature)) = (
        hash_of(algorithm.oid),
        signed.to_der(),
        signature.as_bytes(),
    ) else {
        return false;
    };
    let key = issuer.tbs_certificate().subject_public_key_info();
    check(key, algorithm, hash, &message, signature) == Checked::Valid
}

/// The algorithm with which a certificate is signed, in words, if this program does not know or
/// does not accept it.
pub(crate) fn unknown_algorithm(certificate: &Certificate) -> Option<String> {
    let oid = certificate.signature_algorithm().oid;
    if hash_of(oid).is_some() {
        return None;
    }
    Some(match oid.to_string().as_str() {
        "1.2.840.113549.1.1.4" => "MD5, which is too weak".to_owned(),
        "1.2.840.113549.1.1.5" | "1.2.840.10045.4.1" => "SHA-1, which is too weak".to_owned(),
        other => format!("an algorithm that this program does not know ({other})"),
    })
}

/// The hash of a signature algorithm that includes one, such as those of certificates.
fn hash_of(algorithm: ObjectIdentifier) -> Option<Hash> {
    match algorithm {
        SHA_256_WITH_RSA | ECDSA_SHA_256 => Some(Hash::Sha256),
        SHA_384_WITH_RSA | ECDSA_SHA_384 => Some(Hash::Sha384),
        SHA_512_WITH_RSA | ECDSA_SHA_512 => Some(Hash::Sha512),
        _ => None,
    }
}

fn curve(key: &SubjectPublicKeyInfoOwned) -> Option<ObjectIdentifier> {
    key.algorithm.parameters.as_ref()?.decode_as().ok()
}

/// The kind and size of a key in words; `None` if this program does not know it.
pub(crate) fn describe(key: &SubjectPublicKeyInfoOwned) -> Option<String> {
    match key.algorithm.oid {
        RSA_ENCRYPTION => {
            let der = key.to_der().ok()?;
            let key = rsa::PublicKey::from_public_key_der(&der).ok()?;
            Some(format!("RSA {}", key.n().bit_width()))
        }
        EC_PUBLIC_KEY => match curve(key)? {
            P_256 => Some("P-256".to_owned()),
            P_384 => Some("P-384".to_owned()),
            _ => None,
        },
        _ => None,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod vectors;
