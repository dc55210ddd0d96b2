//! Why a file could not be written, worded for whoever must act.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// Why a file could not be written.
#[derive(Debug, Error)]
pub enum DiskError {
    /// A file can't be written, for no reason that has its own error here.
    #[error("{} can't be written: {source}", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The disk is full or over quota.
    #[error("{} can't be written: the disk is full. Nothing was left behind; make room and run the command again", path.display())]
    DiskFull {
        /// The file.
        path: PathBuf,
    },
    /// The folder or the file may not be written.
    #[error("{} can't be written: you have no permission there; see who owns it", path.display())]
    Permission {
        /// The file.
        path: PathBuf,
    },
    /// The target exists and may not be replaced.
    #[error("{} exists already and is left as it is; choose another name with -o, or replace it with --force", path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
}

impl DiskError {
    /// From what the system said about writing `path`.
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
