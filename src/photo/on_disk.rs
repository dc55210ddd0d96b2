//! Files of a visit's folder on the disk. A path may come from a stranger.

use super::image_limits::{MAX_FILE_BYTES, too_large};
use crate::visit::surroundings::ImageError;
use std::fs::File;
use std::io::{self, Read};
use std::path::{Component, Path};

/// Reads a file inside the folder, of bounded size.
pub(super) fn read(root: &Path, path: &str) -> Result<Vec<u8>, ImageError> {
    // Checked before the disk is accessed, so that a path from a stranger cannot even be used to
    // find out which files exist elsewhere.
    if leads_out(Path::new(path)) {
        return Err(ImageError::Outside);
    }
    let real = root.join(path).canonicalize().map_err(trouble)?;
    if !real.starts_with(root) {
        return Err(ImageError::Outside);
    }
    let about = real.metadata().map_err(trouble)?;
    if about.is_dir() {
        return Err(ImageError::Unreadable("it is a folder".to_owned()));
    }
    // Reading a pipe or a device could block forever.
    if !about.is_file() {
        return Err(ImageError::Unreadable(
            "it is not a regular file".to_owned(),
        ));
    }
    let size = about.len();
    if size > MAX_FILE_BYTES {
        return Err(too_large(size));
    }
    let mut bytes = Vec::with_capacity(size as usize + 1);
    let mut file = File::open(&real).map_err(trouble)?;
    let before = file.metadata().map_err(trouble)?;
    // The file may grow while it is read.
    Read::take(&mut file, MAX_FILE_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(trouble)?;
    // A mixture of old and new bytes may look like a complete picture.
    let after = file.metadata().map_err(trouble)?;
    let same = before.len() == after.len() && before.modified().ok() == after.modified().ok();
    if !same || bytes.len() as u64 != after.len() {
        return Err(ImageError::Changed);
    }
    Ok(bytes)
}

/// Whether a path, as written, leaves the folder it starts from.
fn leads_out(path: &Path) -> bool {
    let mut depth = 0_usize;
    for part in path.components() {
        match part {
            Component::Prefix(_) | Component::RootDir => return true,
            Component::CurDir => {}
            Component::Normal(_) => depth += 1,
            Component::ParentDir => match depth.checked_sub(1) {
                Some(d) => depth = d,
                None => return true,
            },
        }
    }
    false
}

fn trouble(error: io::Error) -> ImageError {
    match error.kind() {
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => ImageError::Missing,
        io::ErrorKind::PermissionDenied => {
            ImageError::Unreadable("you have no permission to read it".to_owned())
        }
        _ => ImageError::Unreadable(error.to_string()),
    }
}
