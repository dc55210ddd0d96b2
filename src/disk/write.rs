//! Writing files so that nobody ever sees half of one.
//!
//! The bytes go to a temporary file in the target's folder, are synced, and take the target's
//! name in one step; then the folder is synced. Without leave to replace, that step fails when
//! the target exists, even if it came into being a moment ago. Where the system can do it, the
//! temporary file has no name, so that not even a run that is killed leaves one behind.

use std::fs::{File, Metadata};
use std::io::{ErrorKind, Write};
use std::path::Path;

use super::error::DiskError;

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
    /// Whoever could read the file that is replaced; of a new one whoever the user's settings let
    /// (on Unix 0666 less the umask).
    AsUsual,
    /// The owner alone (on Unix 0600).
    OwnerOnly,
}

/// Writes a whole file, or nothing.
///
/// A link is followed, so that the file it leads to is replaced. A device or a pipe holds nothing
/// that could be lost: it is written into, and never replaced.
///
/// # Errors
/// [`DiskError::Exists`], [`DiskError::DiskFull`], [`DiskError::Permission`] or
/// [`DiskError::Write`]. The temporary file is gone in each case.
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
    // Told early, before the work; the last step below tells it again without a race.
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

/// Writes into a device or a pipe.
fn pour(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = std::fs::OpenOptions::new().write(true).open(path)?;
    file.write_all(bytes)?;
    file.flush()
}

/// Permission bits of the new file: of a new one before the umask.
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

/// Fills a file and makes sure that it is on the disk.
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

/// Writes over a file with a name of its own, hidden beside the target.
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

/// Makes sure that the new name is on the disk. A folder that may be written but not read, and a
/// file system that can't do it, have the file all the same.
fn sync_folder(folder: &Path) -> std::io::Result<()> {
    #[cfg(unix)]
    match File::open(folder).and_then(|folder| folder.sync_all()) {
        Err(e)
            if !matches!(
                e.kind(),
                ErrorKind::PermissionDenied | ErrorKind::InvalidInput | ErrorKind::Unsupported
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

/// Files that get their name when they are whole.
#[cfg(target_os = "linux")]
mod nameless {
    use super::{Existing, Mode, builder, fill, folder_of};
    use rustix::fs::{AtFlags, CWD, Mode as Bits, OFlags, linkat, open};
    use rustix::io::Errno;
    use std::fs::File;
    use std::io;
    use std::os::fd::AsRawFd;
    use std::path::Path;

    /// Writes the file; false where folder or system know no files without a name, and nothing
    /// was written.
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
            // What is really wrong is told by the other way.
            Err(_) => return Ok(false),
        };
        fill(&file, bytes, mode)?;
        let name = format!("/proc/self/fd/{}", file.as_raw_fd());
        let link = |to: &Path| linkat(CWD, &name, CWD, to, AtFlags::SYMLINK_FOLLOW);
        let linked = match existing {
            Existing::Keep => link(path),
            Existing::Replace => {
                // Only a rename replaces, and it needs a name.
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
            // No /proc here.
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

/// Makes a folder, and the folders above it, that only the owner may enter.
///
/// # Errors
/// The folder can't be made.
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
