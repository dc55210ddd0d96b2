//! Output files of commands: they never overwrite an input, and one that cannot be written is reported
//! before the work.

use super::error::CommandError;
use super::folders::{folder_exists, folder_of, not_a_folder};
use crate::disk::DiskError;
use std::path::Path;

/// Refuses a target that is one of the command's inputs, under any name. `--force` permits replacing
/// a result, not what it is made from.
pub(super) fn spare<P: AsRef<Path>>(
    target: &Path,
    read: impl IntoIterator<Item = P>,
) -> Result<(), CommandError> {
    // Most targets are new, and `register` reads thousands of files.
    if target.metadata().is_err() {
        return Ok(());
    }
    for file in read {
        let file = file.as_ref();
        if same_file(target, file) {
            return Err(CommandError::Usage(format!(
                "{}: this would overwrite {}, which the command reads; choose another name",
                target.display(),
                file.display()
            )));
        }
    }
    Ok(())
}

/// Refuses a target that could not be written: an existing file without `--force`, a folder, or a
/// file in a folder that does not exist. Writing checks again without a race.
pub(super) fn free(target: &Path, force: bool) -> Result<(), CommandError> {
    folder_exists(target)?;
    not_a_folder(target)?;
    // Devices and pipes are not replaced but written to.
    let taken = match target.metadata() {
        Ok(about) => about.is_file(),
        Err(_) => target.symlink_metadata().is_ok(),
    };
    if taken && !force {
        return Err(DiskError::Exists {
            path: target.to_owned(),
        }
        .into());
    }
    Ok(())
}

/// Whether two targets are the same file, existing or not.
pub(super) fn same_target(a: &Path, b: &Path) -> bool {
    let place = |path: &Path| {
        Some((
            folder_of(path).canonicalize().ok()?,
            path.file_name()?.to_owned(),
        ))
    };
    same_file(a, b) || place(a).is_some_and(|a| place(b) == Some(a))
}

/// Whether two paths lead to the same regular file, through links or hard links.
pub(super) fn same_file(a: &Path, b: &Path) -> bool {
    let (Ok(about), Ok(other)) = (a.metadata(), b.metadata()) else {
        return false;
    };
    // A terminal may be both read and written.
    if !about.is_file() || !other.is_file() {
        return false;
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        if (about.dev(), about.ino()) == (other.dev(), other.ino()) {
            return true;
        }
    }
    matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b)
}
