//! Keys that never leave their token (PKCS#11): smart cards, security keys, HSMs. Built only with
//! the feature `pkcs11`.
//!
//! The token signs a digest; the kind of key comes from the certificate that the token stores under
//! the key's identifier. Each signature is verified with that certificate before it is used, which
//! detects a token that signs with another key or incorrectly.

use cryptoki::context::{CInitializeArgs, CInitializeFlags, Pkcs11};
use cryptoki::error::{Error, RvError};
use cryptoki::mechanism::Mechanism;
use cryptoki::object::{Attribute, AttributeType, ObjectClass, ObjectHandle};
use cryptoki::session::{Session, UserType};
use der::Decode;
use std::path::Path;
use std::sync::Mutex;
use x509_cert::certificate::Certificate;
use x509_cert::spki::SubjectPublicKeyInfoOwned;

use super::error::SealError;
use super::key::{self, Checked, Hash, Kind};
use super::passphrase::Passphrase;

/// DigestInfo before a SHA-256 digest (RFC 8017, 9.2, note 1).
const SHA_256_INFO: [u8; 19] = [
    0x30, 0x31, 0x30, 0x0d, 0x06, 0x09, 0x60, 0x86, 0x48, 0x01, 0x65, 0x03, 0x04, 0x02, 0x01, 0x05,
    0x00, 0x04, 0x20,
];

/// A key inside a token.
pub(crate) struct TokenKey {
    session: Mutex<Session>,
    handle: ObjectHandle,
    pub kind: Kind,
    pub public: SubjectPublicKeyInfoOwned,
}

/// A key found on a token, and the certificates stored with it.
pub(crate) struct Found {
    pub key: TokenKey,
    pub certificates: Vec<Vec<u8>>,
}

/// Opens the key of a token.
///
/// # Errors
/// [`SealError::WrongPassphrase`] for a wrong PIN; [`SealError::BadIdentity`] if the module cannot be
/// loaded, or the token has no key that can sign, or has several and no label selects one.
pub(crate) fn open(
    module: &Path,
    label: Option<&str>,
    pin: &Passphrase,
) -> Result<Found, SealError> {
    let bad = |reason: String| SealError::BadIdentity {
        path: module.to_owned(),
        reason,
    };
    let fault = |e: Error| bad(format!("the token refused the request ({e})"));
    let library = Pkcs11::new(module)
        .map_err(|_| bad("it can't be loaded as a PKCS#11 module".to_owned()))?;
    match library.initialize(CInitializeArgs::new(CInitializeFlags::OS_LOCKING_OK)) {
        Ok(()) | Err(Error::Pkcs11(RvError::CryptokiAlreadyInitialized, _)) => {}
        Err(e) => return Err(fault(e)),
    }
    let mut candidates = Vec::new();
    for slot in library.get_slots_with_initialized_token().map_err(fault)? {
        let session = library.open_ro_session(slot).map_err(fault)?;
        match session.login(UserType::User, Some(&pin.expose().to_owned().into())) {
            Ok(()) | Err(Error::Pkcs11(RvError::UserAlreadyLoggedIn, _)) => {}
            Err(Error::Pkcs11(RvError::PinIncorrect | RvError::PinLenRange, _)) => {
                return Err(SealError::WrongPassphrase {
                    path: module.to_owned(),
                });
            }
            Err(e) => return Err(fault(e)),
        }
        let mut template = vec![
            Attribute::Class(ObjectClass::PRIVATE_KEY),
            Attribute::Sign(true),
        ];
        template.extend(label.map(|label| Attribute::Label(label.as_bytes().to_vec())));
        let keys = session.find_objects(&template).map_err(fault)?;
        match keys.as_slice() {
            [] => {}
            [handle] => candidates.push((session, *handle)),
            _ => {
                return Err(bad(
                    "its token has several keys; choose one with --token-label".to_owned(),
                ));
            }
        }
    }
    let (session, handle) = match (candidates.pop(), candidates.is_empty()) {
        (Some(one), true) => one,
        (Some(_), false) => {
            return Err(bad(
                "several tokens have a key; choose one with --token-label".to_owned(),
            ));
        }
        (None, _) => return Err(bad("no token with a signing key was found".to_owned())),
    };
    let id = attribute(&session, handle, AttributeType::Id)
        .ok_or_else(|| bad("the key on its token has no identifier".to_owned()))?;
    let find = |template: &[Attribute]| -> Result<Vec<Vec<u8>>, SealError> {
        let objects = session.find_objects(template).map_err(fault)?;
        Ok(objects
            .into_iter()
            .filter_map(|object| attribute(&session, object, AttributeType::Value))
            .collect())
    };
    let class = Attribute::Class(ObjectClass::CERTIFICATE);
    let own = find(&[class.clone(), Attribute::Id(id)])?;
    let certificate = own
        .first()
        .and_then(|der| Certificate::from_der(der).ok())
        .ok_or_else(|| bad("the key on its token has no certificate".to_owned()))?;
    let public = certificate
        .tbs_certificate()
        .subject_public_key_info()
        .clone();
    let kind = Kind::of(&public).map_err(bad)?;
    let mut certificates = own;
    certificates.extend(find(&[class])?);
    Ok(Found {
        key: TokenKey {
            session: Mutex::new(session),
            handle,
            kind,
            public,
        },
        certificates,
    })
}

fn attribute(session: &Session, object: ObjectHandle, kind: AttributeType) -> Option<Vec<u8>> {
    let found = session.get_attributes(object, &[kind]).ok()?;
    found.into_iter().find_map(|attribute| match attribute {
        Attribute::Id(bytes) | Attribute::Value(bytes) if !bytes.is_empty() => Some(bytes),
        _ => None,
    })
}

impl TokenKey {
    /// Signs a message; the signature is in the form that CMS uses.
    pub fn sign(&self, hash: Hash, message: &[u8]) -> Result<Vec<u8>, String> {
        let digest = hash.digest(&[message]);
        let (mechanism, data) = match self.kind {
            Kind::P256 | Kind::P384 => (Mechanism::Ecdsa, digest),
            Kind::Rsa { .. } => (
                Mechanism::RsaPkcs,
                [SHA_256_INFO.as_slice(), &digest].concat(),
            ),
        };
        let made = self
            .session
            .lock()
            .map_err(|_| "the token is unusable after an earlier failure".to_owned())?
            .sign(&mechanism, self.handle, &data)
            .map_err(|e| format!("the token did not sign ({e})"))?;
        let signature = match self.kind {
            // A token returns the two numbers one after the other (PKCS#11, 6.3.1); CMS uses DER.
            Kind::P256 => p256::ecdsa::Signature::from_slice(&made)
                .map(|s| s.normalize_s().to_der().as_bytes().to_vec())
                .map_err(|e| e.to_string())?,
            Kind::P384 => p384::ecdsa::Signature::from_slice(&made)
                .map(|s| s.normalize_s().to_der().as_bytes().to_vec())
                .map_err(|e| e.to_string())?,
            Kind::Rsa { .. } => made,
        };
        match key::check(
            &self.public,
            &self.kind.algorithm(),
            hash,
            message,
            &signature,
        ) {
            Checked::Valid => Ok(signature),
            _ => Err("the token signs with another key than its certificate's".to_owned()),
        }
    }
}
