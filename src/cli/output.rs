//! Results: on standard output, or in files that are written completely or not at all.

use super::error::CommandError;
use super::folders::{folder_exists, not_a_folder};
use crate::disk::{DiskError, Existing, Readers, whole_file};
use std::io::Write;
use std::path::Path;

/// Prints a result to standard output.
pub(super) fn print(text: &str) -> Result<(), CommandError> {
    print_bytes(text.as_bytes())
}

/// Writes bytes to standard output.
pub(super) fn print_bytes(bytes: &[u8]) -> Result<(), CommandError> {
    let mut out = std::io::stdout().lock();
    out.write_all(bytes)
        .and_then(|()| out.flush())
        .map_err(|e| CommandError::writing(Path::new("standard output"), &e))
}

/// Writes a file to standard output. A closed pipe is an error, because the file is incomplete.
pub(super) fn print_file(bytes: &[u8]) -> Result<(), CommandError> {
    print_bytes(bytes).map_err(|failure| match failure {
        CommandError::ClosedPipe => CommandError::CutOff,
        other => other,
    })
}

/// Writes a complete file or nothing.
pub(super) fn write(path: &Path, bytes: &[u8], force: bool) -> Result<(), CommandError> {
    let existing = if force {
        Existing::Replace
    } else {
        Existing::Keep
    };
    folder_exists(path)?;
    not_a_folder(path)?;
    whole_file(path, bytes, existing, Readers::AsUsual).map_err(|error| match error {
        DiskError::Permission { .. } => {
            CommandError::System(format!("{error}, or choose another folder with -o"))
        }
        other => other.into(),
    })
}
