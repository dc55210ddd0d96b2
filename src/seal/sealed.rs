//! A sealed file as a type of its own.

use super::report::SignatureReport;

/// A sealed PDF. Only sealing creates a value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sealed {
    bytes: Vec<u8>,
    /// What verifying found, if that was done; a file without a time-stamp need not be verified.
    signatures: Vec<SignatureReport>,
}

impl Sealed {
    /// A file that was just sealed. Only [`super::sign`] calls it.
    pub(super) fn new(bytes: Vec<u8>, signatures: Vec<SignatureReport>) -> Self {
        Self { bytes, signatures }
    }

    /// A sealed file followed by a revision that the seal permits.
    pub(crate) fn with_revision(&self, revision: &[u8]) -> Self {
        Self {
            bytes: [self.bytes(), revision].concat(),
            signatures: self.signatures.clone(),
        }
    }

    /// The whole file.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// The signatures of a file that was time-stamped, as they were verified afterwards, oldest first;
    /// none of a file without a time-stamp.
    #[cfg(not(target_family = "wasm"))]
    pub(crate) fn signatures(&self) -> &[SignatureReport] {
        &self.signatures
    }

    /// The whole file, owned.
    pub fn into_bytes(self) -> Vec<u8> {
        self.bytes
    }
}
