//! The list of known signers in its file: read, changed by one run at a time, and where it is by default.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::error::SealError;
use super::key_folder::folder;
use super::known::KnownSigners;
use super::small;
use crate::disk::{Existing, Readers, lock, private_folder, whole_file};

/// Size limit of the file, in bytes.
const MAX_BYTES: u64 = 4 << 20;

impl KnownSigners {
    /// Reads the file; a missing file counts as empty.
    ///
    /// # Errors
    /// The file or a line of it can't be read.
    pub fn read(path: &Path) -> Result<Self, SealError> {
        let bad = |reason: &str| SealError::KnownSigners {
            path: path.to_owned(),
            line: 0,
            reason: reason.to_owned(),
        };
        let bytes = match small::read(path, MAX_BYTES) {
            Err(SealError::Read { source, .. }) if source.kind() == ErrorKind::NotFound => {
                return Ok(Self::default());
            }
            other => other?.ok_or_else(|| bad("the file is too large for such a list"))?,
        };
        let text = std::str::from_utf8(&bytes).map_err(|_| bad("it is not UTF-8 text"))?;
        Self::parse(text, path)
    }

    /// Changes the file, creating the folder if needed. Other runs that change it at the same time
    /// wait, so that no line is lost. The file is written only if it changed; returns whether it was.
    ///
    /// # Errors
    /// It can't be read or written.
    pub fn change(path: &Path, change: impl FnOnce(&mut Self)) -> Result<bool, SealError> {
        if let Some(folder) = path.parent().filter(|p| !p.as_os_str().is_empty()) {
            private_folder(folder)?;
        }
        let _lock = lock(path);
        let before = Self::read(path)?;
        let mut after = before.clone();
        change(&mut after);
        if after == before {
            return Ok(false);
        }
        let text = after.text();
        whole_file(path, text.as_bytes(), Existing::Replace, Readers::OwnerOnly)?;
        Ok(true)
    }
}

/// Path of the list: `known-signers` in the configuration folder.
///
/// # Errors
/// [`SealError::NoFolder`].
pub fn default_path() -> Result<PathBuf, SealError> {
    Ok(folder()?.join("known-signers"))
}
