//! Finding files in folders and in lists of paths.

use super::bounded_read;
use super::error::CommandError;
use std::fs::FileType;
use std::io::BufRead;
use std::path::{Path, PathBuf};

/// Collects the wanted files below a folder, sorted by name. Links to folders are not followed, to
/// avoid cycles; `wanted` decides about everything that is not a folder.
///
/// # Errors
/// A folder cannot be read.
pub(super) fn below(
    folder: &Path,
    enter: &impl Fn(&Path) -> bool,
    wanted: &impl Fn(&Path, FileType) -> bool,
    found: &mut Vec<PathBuf>,
) -> Result<(), CommandError> {
    let mut entries = std::fs::read_dir(folder)
        .and_then(Iterator::collect::<Result<Vec<_>, _>>)
        .map_err(|e| CommandError::reading(folder, &e))?;
    entries.sort_by_key(std::fs::DirEntry::file_name);
    for entry in entries {
        let path = entry.path();
        let kind = entry
            .file_type()
            .map_err(|e| CommandError::reading(&path, &e))?;
        if kind.is_dir() {
            if enter(&path) {
                below(&path, enter, wanted, found)?;
            }
        } else if wanted(&path, kind) {
            found.push(path);
        }
    }
    Ok(())
}

/// Reads paths from a list, one per line; `-` is standard input.
///
/// # Errors
/// The list cannot be read.
pub(super) fn listed(list: &Path) -> Result<Vec<PathBuf>, CommandError> {
    let mut paths = Vec::new();
    for line in bounded_read::read_bytes(list)?.lines() {
        let line = line.map_err(|e| CommandError::reading(list, &e))?;
        if !line.trim().is_empty() {
            paths.push(PathBuf::from(line));
        }
    }
    Ok(paths)
}

/// Whether a file's name has one of these extensions (`pdf`).
pub(super) fn is_of_kind(path: &Path, kinds: &[&str]) -> bool {
    let end = path.extension().and_then(|e| e.to_str()).unwrap_or("");
    kinds.iter().any(|kind| kind.eq_ignore_ascii_case(end))
}
