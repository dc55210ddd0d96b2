//! Writing files so that a partial file is never visible.
//!
//! The bytes are written to a temporary file in the target's folder and synced; the file is then
//! renamed to the target in one step, and the folder is synced. If replacing is not permitted, that
//! step fails when the target exists, even if it was created a moment ago. Where the system supports
//! it, the temporary file has no name, so that even a killed run leaves none behind.

use std::fs::{File, Metadata};
use std::io::Write;
use std::path::Path;

use super::error::DiskError;

/// What to do with an existing file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing {
    /// Keep it and fail.
    Keep,
    /// Replace it.
    Replace,
}

/// Who may read the new file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Readers {
    /// The same users as for the file that is replaced; for a new file, as the user's settings say
    /// (on Unix 0666 less the umask).
    AsUsual,
    /// Only the owner (on Unix 0600).
    OwnerOnly,
}

/// Writes a complete file, or nothing.
///
/// Links are followed: the file that a link points to is replaced. Devices and pipes contain nothing
/// that could be lost, so they are written to and never replaced.
///
/// # Errors
/// [`DiskError::Exists`], [`DiskError::DiskFull`], [`DiskError::Permission`] or
/// [`DiskError::Write`]. The temporary file is removed in each case.
pub fn whole_file(
    path: &Path,
    bytes: &[u8],
    existing: Existing,
    readers: Readers,
) -> Result<(), DiskError> {
    let fault = |source: std::io::Error| DiskError::writing(path, source);
    let there = path.metadata().ok();
    if there.as_ref().is_some_and(|m| !m.is_file() && !m.is_dir()) {
        return pour(path, bytes).map_err(fault);
    }
    // Reported before the work; the last step below checks again without a race.
    if existing == Existing::Keep && path.symlink_metadata().is_ok() {
        return Err(DiskError::Exists {
            path: path.to_owned(),
        });
    }
    let target = match path.canonicalize() {
        Ok(real) if path.is_symlink() => real,
        _ => path.to_owned(),
    };
    let mode = mode(readers, there.as_ref());
    if !nameless::write(&target, bytes, existing, mode).map_err(fault)? {
        named(&target, bytes, existing, mode).map_err(fault)?;
    }
    sync_folder(folder_of(&target)).map_err(fault)
}

/// Writes to a device or a pipe.
fn pour(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = std::fs::OpenOptions::new().write(true).open(path)?;
    file.write_all(bytes)?;
    file.flush()
}

/// Permission bits of the written file; for a new one before the umask.
#[derive(Debug, Clone, Copy)]
#[cfg_attr(not(unix), allow(dead_code))] // other systems have none
struct Mode {
    bits: u32,
    exact: bool,
}

fn mode(readers: Readers, replaced: Option<&Metadata>) -> Mode {
    match (readers, replaced) {
        (Readers::OwnerOnly, _) => Mode {
            bits: 0o600,
            exact: false,
        },
        #[cfg(unix)]
        (Readers::AsUsual, Some(replaced)) if replaced.is_file() => {
            use std::os::unix::fs::PermissionsExt;
            Mode {
                bits: replaced.permissions().mode() & 0o777,
                exact: true,
            }
        }
        (Readers::AsUsual, _) => Mode {
            bits: 0o666,
            exact: false,
        },
    }
}

/// Writes the content of a file and syncs it.
fn fill(mut file: &File, bytes: &[u8], mode: Mode) -> std::io::Result<()> {
    file.write_all(bytes)?;
    #[cfg(unix)]
    if mode.exact {
        use std::os::unix::fs::PermissionsExt;
        file.set_permissions(std::fs::Permissions::from_mode(mode.bits))?;
    }
    #[cfg(not(unix))]
    let _ = mode;
    file.sync_all()
}

pub(super) fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

fn builder() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".warmlug-").suffix(".part");
    builder
}

/// Writes through a hidden temporary file next to the target.
fn named(path: &Path, bytes: &[u8], existing: Existing, mode: Mode) -> std::io::Result<()> {
    let folder = folder_of(path);
    #[cfg(unix)]
    let file = {
        use std::os::unix::fs::PermissionsExt;
        builder()
            .permissions(std::fs::Permissions::from_mode(mode.bits))
            .tempfile_in(folder)?
    };
    #[cfg(not(unix))]
    let file = builder().tempfile_in(folder)?;
    fill(file.as_file(), bytes, mode)?;
    match existing {
        Existing::Keep => file.persist_noclobber(path),
        Existing::Replace => file.persist(path),
    }
    .map(drop)
    .map_err(|e| e.error)
}

/// Syncs the folder. Errors are ignored: in a folder that cannot be read, or on a file system that
/// does not support this, the file is written all the same.
fn sync_folder(folder: &Path) -> std::io::Result<()> {
    #[cfg(unix)]
    match File::open(folder).and_then(|folder| folder.sync_all()) {
        Err(e)
            if !matches!(
                e.kind(),
                std::io::ErrorKind::PermissionDenied
                    | std::io::ErrorKind::InvalidInput
                    | std::io::ErrorKind::Unsupported
            ) =>
        {
            return Err(e);
        }
        _ => {}
    }
    #[cfg(not(unix))]
    let _ = folder;
    Ok(())
}

/// Files that get their name when they are complete.
#[cfg(target_os = "linux")]
mod nameless {
    use super::{Existing, Mode, builder, fill, folder_of};
    use rustix::fs::{AtFlags, CWD, Mode as Bits, OFlags, linkat, open};
    use rustix::io::Errno;
    use std::fs::File;
    use std::io;
    use std::os::fd::AsRawFd;
    use std::path::Path;

    /// Writes the file. Returns false, having written nothing, if the folder or the system does not
    /// support files without a name.
    pub(super) fn write(
        path: &Path,
        bytes: &[u8],
        existing: Existing,
        mode: Mode,
    ) -> io::Result<bool> {
        let folder = folder_of(path);
        let flags = OFlags::TMPFILE | OFlags::WRONLY | OFlags::CLOEXEC;
        let file = match open(folder, flags, Bits::from_raw_mode(mode.bits)) {
            Ok(fd) => File::from(fd),
            // The other way of writing reports the actual error.
            Err(_) => return Ok(false),
        };
        fill(&file, bytes, mode)?;
        let name = format!("/proc/self/fd/{}", file.as_raw_fd());
        let link = |to: &Path| linkat(CWD, &name, CWD, to, AtFlags::SYMLINK_FOLLOW);
        let linked = match existing {
            Existing::Keep => link(path),
            Existing::Replace => {
                // Only a rename can replace a file, and it needs a name.
                let named = builder().make_in(folder, |name| Ok(link(name)?));
                return match named {
                    Ok(named) => named.persist(path).map(|_| true).map_err(|e| e.error),
                    Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(false),
                    Err(e) => Err(e),
                };
            }
        };
        match linked {
            Ok(()) => Ok(true),
            // There is no /proc.
            Err(Errno::NOENT) => Ok(false),
            Err(e) => Err(e.into()),
        }
    }
}

#[cfg(not(target_os = "linux"))]
mod nameless {
    use super::{Existing, Mode};
    use std::path::Path;

    pub(super) fn write(_: &Path, _: &[u8], _: Existing, _: Mode) -> std::io::Result<bool> {
        Ok(false)
    }
}

/// Creates a folder, and its parents, that only the owner may enter.
///
/// # Errors
/// The folder can't be created.
pub fn private_folder(path: &Path) -> Result<(), DiskError> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt;
        builder.mode(0o700);
    }
    builder
        .create(path)
        .map_err(|source| DiskError::writing(path, source))
}
