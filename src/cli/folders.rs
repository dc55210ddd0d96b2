//! Folders of files that are named on the command line.

use super::error::CommandError;
use std::path::{Path, PathBuf};

/// The folder of a file; the current folder for a bare file name and for standard input.
pub(super) fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// Refuses a file whose folder does not exist. The folder is not created, because its name may be
/// misspelled.
pub(super) fn folder_exists(path: &Path) -> Result<(), CommandError> {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() && !folder.exists() => {
            Err(CommandError::System(format!(
                "{} can't be written: the folder {} does not exist. Create it first, or choose \
                 another folder",
                path.display(),
                folder.display()
            )))
        }
        _ => Ok(()),
    }
}

/// Refuses a folder where a file is expected.
pub(super) fn not_a_folder(target: &Path) -> Result<(), CommandError> {
    if target.is_dir() {
        return Err(CommandError::Refused(format!(
            "{}: that is a folder, not a file; name a file in it",
            target.display()
        )));
    }
    Ok(())
}
