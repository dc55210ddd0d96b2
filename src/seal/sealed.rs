//! A sealed file as a type of its own.

/// A sealed PDF. Only sealing creates a value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sealed(Vec<u8>);

impl Sealed {
    /// A file that was just sealed. Only [`super::sign`] calls it.
    pub(super) fn new(bytes: Vec<u8>) -> Self {
        Self(bytes)
    }

    /// A sealed file followed by a revision that the seal permits.
    pub(crate) fn with_revision(&self, revision: &[u8]) -> Self {
        Self([self.bytes(), revision].concat())
    }

    /// The whole file.
    pub fn bytes(&self) -> &[u8] {
        &self.0
    }

    /// The whole file, owned.
    pub fn into_bytes(self) -> Vec<u8> {
        self.0
    }
}
