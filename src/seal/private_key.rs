//! Private keys of every kind, with one interface. RSA signatures use PKCS #1 v1.5, the padding that every
//! reader of PDF signatures knows.

use der::Decode;
use p256::ecdsa::signature::hazmat::PrehashSigner;
use pkcs8::EncodePrivateKey;
use rsa::pkcs1::DecodeRsaPrivateKey;
use rsa::traits::PublicKeyParts;
use x509_cert::spki::{EncodePublicKey, SubjectPublicKeyInfoOwned};
use zeroize::Zeroizing;

use super::key::{EC_PUBLIC_KEY, Hash, Kind, P_256, P_384, RSA_ENCRYPTION, check_rsa};

/// A private key. No `Debug`, no `Clone`: it is moved into one identity and wiped with it.
pub(crate) enum PrivateKey {
    P256(p256::ecdsa::SigningKey),
    P384(p384::ecdsa::SigningKey),
    Rsa(Box<rsa::PrivateKey>),
    /// Inside a token, which it never leaves.
    #[cfg(feature = "pkcs11")]
    Token(super::token::TokenKey),
}

impl PrivateKey {
    /// Reads an unencrypted PKCS #8 key.
    pub fn from_pkcs8(der: &[u8]) -> Result<Self, String> {
        let info = pkcs8::PrivateKeyInfoRef::try_from(der)
            .map_err(|_| "its private key is not in PKCS #8".to_owned())?;
        let damaged = || "its private key is damaged".to_owned();
        match info.algorithm.oid {
            RSA_ENCRYPTION => {
                let key = rsa::PrivateKey::try_from(info).map_err(|_| damaged())?;
                check_rsa(key.n().bit_width() as usize)?;
                Ok(Self::Rsa(Box::new(key)))
            }
            EC_PUBLIC_KEY => match info.algorithm.parameters_oid().map_err(|_| damaged())? {
                P_256 => p256::SecretKey::try_from(info)
                    .map(|key| Self::P256(key.into()))
                    .map_err(|_| damaged()),
                P_384 => p384::SecretKey::try_from(info)
                    .map(|key| Self::P384(key.into()))
                    .map_err(|_| damaged()),
                _ => Err("its key is on a curve other than P-256 and P-384".to_owned()),
            },
            _ => Err("its key is neither RSA nor elliptic".to_owned()),
        }
    }

    /// Reads the older form of elliptic keys (SEC 1). If the curve is ambiguous, the certificate decides,
    /// because it must match the key.
    pub fn from_sec1(der: &[u8]) -> Result<Self, String> {
        if let Ok(key) = p256::SecretKey::from_sec1_der(der) {
            return Ok(Self::P256(key.into()));
        }
        p384::SecretKey::from_sec1_der(der)
            .map(|key| Self::P384(key.into()))
            .map_err(|_| "its elliptic key is damaged, or not on P-256 or P-384".to_owned())
    }

    /// Reads the older form of RSA keys (PKCS #1).
    pub fn from_pkcs1(der: &[u8]) -> Result<Self, String> {
        let key = rsa::PrivateKey::from_pkcs1_der(der)
            .map_err(|_| "its RSA private key is damaged".to_owned())?;
        check_rsa(key.n().bit_width() as usize)?;
        Ok(Self::Rsa(Box::new(key)))
    }

    /// The key as unencrypted PKCS #8, wiped when dropped.
    pub fn to_pkcs8(&self) -> Result<Zeroizing<Vec<u8>>, String> {
        match self {
            Self::P256(key) => key.to_pkcs8_der(),
            Self::P384(key) => key.to_pkcs8_der(),
            Self::Rsa(key) => key.to_pkcs8_der(),
            #[cfg(feature = "pkcs11")]
            Self::Token(_) => return Err("a key never leaves its token".to_owned()),
        }
        .map(|document| document.to_bytes())
        .map_err(|e| e.to_string())
    }

    pub fn kind(&self) -> Kind {
        match self {
            Self::P256(_) => Kind::P256,
            Self::P384(_) => Kind::P384,
            Self::Rsa(key) => Kind::Rsa { bytes: key.size() },
            #[cfg(feature = "pkcs11")]
            Self::Token(key) => key.kind,
        }
    }

    pub fn hash(&self) -> Hash {
        self.kind().hash()
    }

    pub fn public(&self) -> Result<SubjectPublicKeyInfoOwned, String> {
        let document = match self {
            Self::P256(key) => key.verifying_key().to_public_key_der(),
            Self::P384(key) => key.verifying_key().to_public_key_der(),
            Self::Rsa(key) => key.to_public_key().to_public_key_der(),
            #[cfg(feature = "pkcs11")]
            Self::Token(key) => return Ok(key.public.clone()),
        }
        .map_err(|e| e.to_string())?;
        SubjectPublicKeyInfoOwned::from_der(document.as_bytes()).map_err(|e| e.to_string())
    }

    /// Signs a message with the hash of [`Self::hash`]. Of the two values of s that fit, an
    /// elliptic key gives the smaller one, so that the file has one form only.
    pub fn sign(&self, message: &[u8]) -> Result<Vec<u8>, String> {
        let digest = self.hash().digest(&[message]);
        match self {
            Self::P256(key) => PrehashSigner::<p256::ecdsa::Signature>::sign_prehash(key, &digest)
                .map(|signature| signature.normalize_s().to_der().as_bytes().to_vec())
                .map_err(|e| e.to_string()),
            Self::P384(key) => PrehashSigner::<p384::ecdsa::Signature>::sign_prehash(key, &digest)
                .map(|signature| signature.normalize_s().to_der().as_bytes().to_vec())
                .map_err(|e| e.to_string()),
            Self::Rsa(key) => key
                .sign(self.hash().rsa_padding(), &digest)
                .map_err(|e| e.to_string()),
            #[cfg(feature = "pkcs11")]
            Self::Token(key) => key.sign(self.hash(), message),
        }
    }
}
