//! The digests that identify a sealed file.
//!
//! For an elliptic-curve key, two signature values are valid for the same message. Anybody can
//! replace one by the other without the key: nothing that was signed changes, but the SHA-256 of
//! the file does. A certificate is therefore identified by the digest of either form. A time-stamp
//! in the signature is not signed either and can be removed or replaced; the digest of the signed
//! bytes stays the same.

use std::ops::Range;

use sha2::{Digest, Sha256};

/// The other form of a file's certifying signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct OtherForm {
    /// Where its hexadecimal digits are in the file.
    digits: Range<usize>,
    /// The digits of the other form.
    replacement: Vec<u8>,
    /// The other form is the one with the smaller s.
    low: bool,
}

impl OtherForm {
    /// `None` if there is no room for the message between these digits.
    pub fn new(file: &[u8], digits: Range<usize>, message: &[u8], low: bool) -> Option<Self> {
        let before = file.get(digits.clone())?;
        let mut replacement = base16ct::lower::encode_string(message).into_bytes();
        if before.iter().any(u8::is_ascii_uppercase) {
            replacement.make_ascii_uppercase();
        }
        if replacement.len() > before.len() {
            return None;
        }
        replacement.resize(before.len(), b'0');
        Some(Self {
            digits,
            replacement,
            low,
        })
    }
}

/// The digests that identify a sealed file, each as 64 lower-case hexadecimal digits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Digests {
    /// SHA-256 of the file as it was sealed.
    pub sha256: String,
    /// SHA-256 of the file with the other form of its certifying signature, if it has two.
    pub other_form: Option<String>,
    /// SHA-256 of the signed bytes: the file without the string of its signature. It does not
    /// depend on the unsigned parts of the signature.
    pub signed: String,
    /// The digest that is the same for either form: that of the form with the smaller s.
    pub identity: String,
}

impl Digests {
    /// `contents` is where the string with the digits of the certifying signature is.
    pub(crate) fn of(file: &[u8], contents: &Range<usize>, other: Option<&OtherForm>) -> Self {
        let hex = |hash: Sha256| base16ct::lower::encode_string(&hash.finalize());
        let signed = Sha256::new()
            .chain_update(file.get(..contents.start).unwrap_or_default())
            .chain_update(file.get(contents.end..).unwrap_or_default());
        let signed = hex(signed);
        let Some(OtherForm {
            digits,
            replacement,
            low,
        }) = other
        else {
            let sha256 = hex(Sha256::new().chain_update(file));
            return Self {
                identity: sha256.clone(),
                sha256,
                signed,
                other_form: None,
            };
        };
        let before = Sha256::new().chain_update(&file[..digits.start]);
        let after = &file[digits.end..];
        let with = |middle: &[u8]| hex(before.clone().chain_update(middle).chain_update(after));
        let (sha256, other_form) = (with(&file[digits.clone()]), with(replacement));
        Self {
            identity: if *low { &other_form } else { &sha256 }.clone(),
            sha256,
            signed,
            other_form: Some(other_form),
        }
    }
}
