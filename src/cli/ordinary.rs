//! Files that can be read without waiting.

use super::error::CommandError;
use super::find;
use std::path::Path;

/// Refuses anything but a regular file or a link to one.
pub(super) fn ordinary_file(path: &Path) -> Result<(), CommandError> {
    let about = path
        .metadata()
        .map_err(|e| CommandError::reading(path, &e))?;
    // Reading a pipe or a device could block for ever.
    if !about.is_file() {
        return Err(CommandError::Refused(format!(
            "{}: this is not a regular file",
            path.display()
        )));
    }
    Ok(())
}

/// Refuses anything but a regular file with an expected extension.
pub(super) fn ordinary(path: &Path, named: &str, kinds: &[&str]) -> Result<(), CommandError> {
    if !find::is_of_kind(path, kinds) {
        let names: Vec<String> = kinds.iter().map(|k| format!(".{k}")).collect();
        return Err(CommandError::Refused(format!(
            "`{named}`: the name of this file must end in {}",
            names.join(" or ")
        )));
    }
    ordinary_file(path)
}
