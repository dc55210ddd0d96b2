//! Reading files that must be small: keys, lists, passphrases.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use zeroize::Zeroizing;

use super::error::SealError;

/// The bytes of a file of at most `most` bytes; `None` if it has more. Reading stops at that
/// length, even for an endless device and whatever length the system reports.
///
/// # Errors
/// [`SealError::Read`].
pub(super) fn read(path: &Path, most: u64) -> Result<Option<Zeroizing<Vec<u8>>>, SealError> {
    let mut bytes = Zeroizing::new(Vec::new());
    File::open(path)
        .and_then(|file| file.take(most + 1).read_to_end(&mut bytes))
        .map_err(|source| SealError::Read {
            path: path.to_owned(),
            source,
        })?;
    Ok((bytes.len() as u64 <= most).then_some(bytes))
}
