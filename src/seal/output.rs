//! Writing files so that nobody ever sees half of one.
//!
//! The bytes go to a temporary file in the target's folder, are synced, and take the target's
//! name in one step; then the folder is synced. Without leave to replace, that step fails when
//! the target exists, even if it came into being a moment ago.

use std::io::{ErrorKind, Write};
use std::path::Path;

use super::error::SealError;

/// What to do with a file that is already there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing {
    /// Leave it and fail.
    Keep,
    /// Replace it.
    Replace,
}

/// Who may read the new file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Readers {
    /// Whoever the user's settings let (on Unix 0666 less the umask).
    AsUsual,
    /// The owner alone (on Unix 0600).
    OwnerOnly,
}

/// Writes a whole file, or nothing.
///
/// # Errors
/// [`SealError::Exists`], [`SealError::DiskFull`], [`SealError::Permission`] or
/// [`SealError::Write`]. The temporary file is gone in each case.
pub fn whole_file(
    path: &Path,
    bytes: &[u8],
    existing: Existing,
    readers: Readers,
) -> Result<(), SealError> {
    let fault = |source: std::io::Error| failure(path, source);
    // Told early, before the work; the last step below tells it again without a race.
    if existing == Existing::Keep && path.symlink_metadata().is_ok() {
        return Err(SealError::Exists {
            path: path.to_owned(),
        });
    }
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(".warmlug-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = match readers {
            Readers::AsUsual => 0o666,
            Readers::OwnerOnly => 0o600,
        };
        builder.permissions(std::fs::Permissions::from_mode(mode));
    }
    #[cfg(not(unix))]
    let _ = readers;
    let mut file = builder.tempfile_in(folder).map_err(fault)?;
    file.write_all(bytes).map_err(fault)?;
    file.as_file().sync_all().map_err(fault)?;
    match existing {
        Existing::Keep => file.persist_noclobber(path),
        Existing::Replace => file.persist(path),
    }
    .map_err(|e| fault(e.error))?;
    #[cfg(unix)]
    std::fs::File::open(folder)
        .and_then(|folder| folder.sync_all())
        .map_err(fault)?;
    Ok(())
}

/// Makes a folder, and the folders above it, that only the owner may enter.
///
/// # Errors
/// The folder can't be made.
pub fn private_folder(path: &Path) -> Result<(), SealError> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt;
        builder.mode(0o700);
    }
    builder.create(path).map_err(|source| failure(path, source))
}

fn failure(path: &Path, source: std::io::Error) -> SealError {
    let path = path.to_owned();
    match source.kind() {
        ErrorKind::AlreadyExists => SealError::Exists { path },
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => SealError::DiskFull { path },
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            SealError::Permission { path }
        }
        _ => SealError::Write { path, source },
    }
}
