//! Reading files and standard input, within limits.

use super::error::CommandError;
use crate::pdf::MAX_FILE_BYTES;
use crate::visit::limits::FILE_BYTES;
use std::io::Read;
use std::path::Path;
use std::string::FromUtf8Error;

/// The name of a file in messages.
pub(super) fn name(path: &Path) -> String {
    if is_stream(path) {
        "standard input".to_owned()
    } else {
        path.display().to_string()
    }
}

/// Whether a path means standard input.
pub(super) fn is_stream(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// Reads a file or standard input of at most [`MAX_INPUT_BYTES`].
pub(super) fn read_bytes(path: &Path) -> Result<Vec<u8>, CommandError> {
    read_most(path, MAX_INPUT_BYTES)
}

/// Reads a certificate from a file or standard input, of at most as many bytes as a PDF may have.
pub(super) fn read_certificate(path: &Path) -> Result<Vec<u8>, CommandError> {
    read_most(path, MAX_FILE_BYTES as u64)
}

/// Reads a file or standard input of at most `most` bytes.
fn read_most(path: &Path, most: u64) -> Result<Vec<u8>, CommandError> {
    let too_large = || {
        CommandError::Refused(format!(
            "{}: larger than {} MiB, the limit for such a file",
            name(path),
            most >> 20
        ))
    };
    let known = std::fs::metadata(path).ok().filter(|_| !is_stream(path));
    if known.is_some_and(|known| known.is_file() && known.len() > most) {
        return Err(too_large());
    }
    let outcome = if is_stream(path) {
        read_within(std::io::stdin().lock(), 0, most + 1)
    } else {
        read_file(path, most + 1)
    };
    let bytes = outcome.map_err(|e| CommandError::reading(path, &e))?;
    if bytes.len() as u64 > most {
        return Err(too_large());
    }
    Ok(bytes)
}

/// Like [`read_within`], in one read if the file's length is known.
fn read_file(path: &Path, most: u64) -> std::io::Result<Vec<u8>> {
    let file = std::fs::File::open(path)?;
    let length = file.metadata()?.len();
    read_within(file, length, most)
}

/// Reads to the end, or at most `most` bytes, and never allocates more than that: a buffer that
/// doubles when it is full would request up to twice the limit.
fn read_within(mut from: impl Read, expected: u64, most: u64) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    // One byte more, so that the end is found without another allocation.
    let mut step = match expected {
        0 => 1 << 16, // not known
        length => length.saturating_add(1),
    };
    loop {
        step = step.min(most - bytes.len() as u64);
        bytes.try_reserve_exact(usize::try_from(step).unwrap_or(usize::MAX))?;
        let read = (&mut from).take(step).read_to_end(&mut bytes)? as u64;
        if read < step || bytes.len() as u64 == most {
            return Ok(bytes);
        }
        step = bytes.len() as u64;
    }
}

/// Maximum size of a file that is read into memory, enough for a certificate with 200 photos.
const MAX_INPUT_BYTES: u64 = 512 << 20;

/// The beginning of a file, up to the maximum length of a visit file.
pub(super) fn beginning(path: &Path) -> Result<Vec<u8>, CommandError> {
    read_file(path, FILE_BYTES as u64).map_err(|e| CommandError::reading(path, &e))
}

/// Reads a visit file, a rules file or another text file.
pub(super) fn read_text(path: &Path) -> Result<String, CommandError> {
    text(read_most(path, FILE_BYTES as u64)?, path)
}

/// The text in these bytes of a file.
pub(super) fn text(bytes: Vec<u8>, path: &Path) -> Result<String, CommandError> {
    String::from_utf8(bytes).map_err(|e| not_text(&e, path))
}

/// The error for a file that is not text.
pub(super) fn not_text(error: &FromUtf8Error, path: &Path) -> CommandError {
    let before = &error.as_bytes()[..error.utf8_error().valid_up_to()];
    let line = 1 + before.iter().filter(|b| **b == b'\n').count();
    CommandError::Refused(format!(
        "{}: line {line} is not UTF-8 text; save the file as UTF-8",
        name(path)
    ))
}
