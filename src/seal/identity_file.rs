//! Identities in files: opening, storing and replacing them, and where they are by default.

use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};
use zeroize::Zeroizing;

use super::error::SealError;
use super::identity::{Identity, IdentityError};
use super::key_folder::folder;
use super::passphrase::Passphrase;
use super::permissions::refuse_open_permissions;
#[cfg(feature = "pkcs11")]
use super::private_key::PrivateKey;
use crate::disk::{DiskError, Existing, Readers, private_folder, whole_file};

/// Size limit of an identity file, in bytes.
const MAX_FILE_BYTES: u64 = 1 << 20;

impl Identity {
    /// Opens a PKCS#12 file (current or old encryption) or a PEM file with a key and its
    /// certificate; RSA 2048–4096, P-256 or P-384.
    ///
    /// # Errors
    /// Other users can read the file; the passphrase is wrong; or the file contains no key, more
    /// than one, no certificate of the key, or a key of another kind.
    pub fn load(path: &Path, passphrase: &Passphrase) -> Result<Self, SealError> {
        refuse_open_permissions(path)?;
        let bytes = read(path)?;
        Self::open(&bytes, passphrase).map_err(|e| e.at(path))
    }

    /// Opens a pair of PEM files. The certificate's file may also contain its issuers.
    ///
    /// # Errors
    /// As [`Identity::load`]; the permissions of the key's file are checked.
    pub fn load_pair(
        certificate: &Path,
        key: &Path,
        passphrase: &Passphrase,
    ) -> Result<Self, SealError> {
        refuse_open_permissions(key)?;
        let certificates = read(certificate)?;
        let key_bytes = read(key)?;
        Self::from_pem(&certificates, &key_bytes, passphrase).map_err(|e| e.at(key))
    }

    /// Opens a key on a token through its PKCS#11 module; the passphrase is its PIN.
    ///
    /// # Errors
    /// The PIN is wrong, or the token has no key with a certificate, or several and no label was
    /// given.
    #[cfg(feature = "pkcs11")]
    pub fn load_token(
        module: &Path,
        label: Option<&str>,
        pin: &Passphrase,
    ) -> Result<Self, SealError> {
        let found = super::token::open(module, label, pin)?;
        Self::assemble(PrivateKey::Token(found.key), found.certificates).map_err(|reason| {
            SealError::BadIdentity {
                path: module.to_owned(),
                reason,
            }
        })
    }

    /// Stores the identity as a PKCS#12 file that only its owner may read, creating the folder if
    /// needed. An existing file is never replaced.
    ///
    /// # Errors
    /// [`DiskError::Exists`], or the file can't be written.
    pub fn save(&self, path: &Path, passphrase: &Passphrase) -> Result<(), SealError> {
        self.put(path, passphrase, Existing::Keep)
    }

    /// Replaces the identity at `path`, and keeps the old one at `aside`. At every moment one of the
    /// two is at `path`, even if the run is killed; a run killed between the two steps can be
    /// repeated. Hold [`lock`](fn@crate::disk::lock) meanwhile.
    ///
    /// # Errors
    /// As [`Identity::save`]; [`DiskError::Exists`] if there is another identity at `aside`.
    pub fn succeed(
        &self,
        path: &Path,
        aside: &Path,
        passphrase: &Passphrase,
    ) -> Result<(), SealError> {
        let old = read(path)?;
        match whole_file(aside, &old, Existing::Keep, Readers::OwnerOnly) {
            Err(DiskError::Exists { .. }) if read(aside)? == old => {}
            other => other?,
        }
        self.put(path, passphrase, Existing::Replace)
    }

    fn put(
        &self,
        path: &Path,
        passphrase: &Passphrase,
        existing: Existing,
    ) -> Result<(), SealError> {
        let bytes = self.to_pkcs12(passphrase)?;
        if let Some(folder) = path.parent().filter(|p| !p.as_os_str().is_empty()) {
            private_folder(folder)?;
        }
        Ok(whole_file(path, &bytes, existing, Readers::OwnerOnly)?)
    }

    /// How a new file is protected, in two sentences for the user.
    pub fn protection(path: &Path, passphrase: &Passphrase) -> String {
        if passphrase.is_empty() {
            format!(
                "The key is stored in {} without a passphrase: only the file's permissions protect \
                 it, so whoever can use this account can sign as you.",
                path.display(),
            )
        } else {
            format!(
                "The key is stored in {}, encrypted with your passphrase. If the passphrase is \
                 lost, the key is lost with it.",
                path.display(),
            )
        }
    }
}

impl IdentityError {
    fn at(self, path: &Path) -> SealError {
        match self {
            Self::WrongPassphrase => SealError::WrongPassphrase {
                path: path.to_owned(),
            },
            Self::Other(reason) => SealError::BadIdentity {
                path: path.to_owned(),
                reason,
            },
        }
    }
}

/// Path of the identity of a named inspector. Each person has a separate file, because a certificate
/// must be signed by the inspector.
///
/// # Errors
/// [`SealError::NoFolder`].
pub fn default_path(name: &str) -> Result<PathBuf, SealError> {
    Ok(folder()?.join("identities").join(file_name(name)))
}

fn file_name(name: &str) -> String {
    let name = name.trim().to_lowercase();
    let mut slug = String::new();
    for c in name.chars() {
        if c.is_ascii_alphanumeric() {
            slug.push(c);
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    slug.truncate(48);
    let slug = slug.trim_end_matches('-');
    // Names that differ only in characters that are not allowed in file names must not share a
    // file.
    let plain = name.chars().all(|c| c.is_ascii_alphanumeric() || c == ' ') && name.len() <= 48;
    if plain {
        format!("{slug}.p12")
    } else {
        let digest = Sha256::digest(name.as_bytes());
        let tag = base16ct::lower::encode_string(&digest[..4]);
        let dash = if slug.is_empty() { "" } else { "-" };
        format!("{slug}{dash}{tag}.p12")
    }
}

fn read(path: &Path) -> Result<Zeroizing<Vec<u8>>, SealError> {
    super::small::read(path, MAX_FILE_BYTES)?.ok_or_else(|| SealError::BadIdentity {
        path: path.to_owned(),
        reason: format!(
            "it has more than {MAX_FILE_BYTES} bytes; an identity has only a few thousand"
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_file_a_person() {
        assert_eq!(file_name("Rosa Lindqvist"), "rosa-lindqvist.p12");
        assert_eq!(file_name("  rosa lindqvist "), "rosa-lindqvist.p12");
        let accented = file_name("Zoë Brandt");
        assert!(accented.starts_with("zo-brandt-") && accented.ends_with(".p12"));
        assert_ne!(accented, file_name("Zoé Brandt"));
        assert_ne!(file_name("张伟"), file_name("李娜"));
        assert!(!file_name("../../etc/x").contains('/'));
    }
}
