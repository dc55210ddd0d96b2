//! Errors of writing files, worded for the user.

#[cfg(not(target_family = "wasm"))]
use std::io::ErrorKind;
#[cfg(not(target_family = "wasm"))]
use std::path::Path;
use std::path::PathBuf;
use thiserror::Error;

/// Why a file could not be written.
#[derive(Debug, Error)]
pub enum DiskError {
    /// A file can't be written, for a reason without a variant of its own.
    #[error("{} can't be written: {source}", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// The system's error.
        source: std::io::Error,
    },
    /// The disk is full or over quota.
    #[error("{} can't be written: the disk is full. No partial file was left; free some space and run the command again", path.display())]
    DiskFull {
        /// The file.
        path: PathBuf,
    },
    /// No permission to write the folder or the file.
    #[error("{} can't be written: you have no permission there; check who owns it", path.display())]
    Permission {
        /// The file.
        path: PathBuf,
    },
    /// The target exists and must not be replaced.
    #[error("{} already exists and was not changed; choose another name with -o, or replace it with --force", path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
}

impl DiskError {
    /// From the system's error on writing `path`.
    #[cfg(not(target_family = "wasm"))]
    pub(super) fn writing(path: &Path, source: std::io::Error) -> Self {
        let path = path.to_owned();
        match source.kind() {
            ErrorKind::AlreadyExists => Self::Exists { path },
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => Self::DiskFull { path },
            ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
                Self::Permission { path }
            }
            _ => Self::Write { path, source },
        }
    }
}
