//! The passphrase of an identity: wiped from memory after use, never printed.

use std::fmt;
use std::path::Path;

use zeroize::Zeroizing;

use super::error::SealError;

/// The environment variable with a passphrase.
pub const VARIABLE: &str = "WARMLUG_PASSPHRASE";
/// Size limit of a passphrase file, in bytes.
const MAX_BYTES: u64 = 4096;

/// A passphrase. It never comes from an argument, because those are visible in process lists and
/// shell histories.
#[derive(Clone, Default)]
pub struct Passphrase(Zeroizing<String>);

impl Passphrase {
    /// Wraps a passphrase, for example from a prompt.
    pub fn new(text: String) -> Self {
        Self(Zeroizing::new(text))
    }

    /// The passphrase of a file that is protected only by its permissions.
    pub fn empty() -> Self {
        Self::default()
    }

    /// Reads `WARMLUG_PASSPHRASE`; `None` if it is not set.
    pub fn from_environment() -> Option<Self> {
        std::env::var(VARIABLE).ok().map(Self::new)
    }

    /// Reads the first line of a file.
    ///
    /// # Errors
    /// The file can't be read, is not UTF-8, is longer than 4096 bytes, or is readable by others.
    pub fn from_file(path: &Path) -> Result<Self, SealError> {
        super::permissions::refuse_open_permissions(path)?;
        let bad = || SealError::PassphraseFile {
            path: path.to_owned(),
        };
        let bytes = super::small::read(path, MAX_BYTES)?.ok_or_else(bad)?;
        let text = std::str::from_utf8(&bytes).map_err(|_| bad())?;
        Ok(Self::new(text.lines().next().unwrap_or("").to_owned()))
    }

    /// Whether it is empty.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub(crate) fn expose(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Passphrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Passphrase(…)")
    }
}
