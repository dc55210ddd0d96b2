//! Permissions of files that hold secrets.

use std::path::Path;

use super::error::SealError;

/// Refuses a file that other users of this computer can read.
///
/// # Errors
/// [`SealError::OpenPermissions`], [`SealError::Read`].
#[cfg(unix)]
pub(crate) fn refuse_open_permissions(path: &Path) -> Result<(), SealError> {
    use std::os::unix::fs::PermissionsExt;
    let metadata = std::fs::metadata(path).map_err(|source| SealError::Read {
        path: path.to_owned(),
        source,
    })?;
    let mode = metadata.permissions().mode() & 0o777;
    if mode & 0o077 == 0 {
        Ok(())
    } else {
        Err(SealError::OpenPermissions {
            path: path.to_owned(),
            mode,
        })
    }
}

/// On Windows, inherited permissions already protect a user's configuration folder.
#[cfg(not(unix))]
pub(crate) fn refuse_open_permissions(_path: &Path) -> Result<(), SealError> {
    Ok(())
}
