//! The visit's folder: reads images by relative path, each once, and nothing outside.

use super::chosen_files::ChosenFiles;
use super::image_limits::{MAX_FILE_BYTES, too_large};
use super::original::Original;
use super::prepare::{Placement, PreparedImage};
use crate::visit::surroundings::{ImageError, ImageFacts};
use sha2::{Digest, Sha256};
use std::collections::HashMap;
#[cfg(not(target_family = "wasm"))]
use std::io;
#[cfg(not(target_family = "wasm"))]
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// Maximum total size of image files that are kept in memory between checking a visit and making
/// its certificate (160 MiB). Further files are read again and must still have the same digest. Our
/// choice: enough for the photos of a thorough visit, but not for 200 files of [`MAX_FILE_BYTES`].
pub const MAX_KEPT_BYTES: usize = 160 << 20;

/// The folder of one visit file.
#[derive(Debug)]
pub struct Folder {
    files: Files,
    most_kept: usize,
    state: Mutex<State>,
}

/// Where the files of a folder are.
#[derive(Debug)]
enum Files {
    /// In this folder of the disk.
    #[cfg(not(target_family = "wasm"))]
    OnDisk(PathBuf),
    /// In memory.
    InMemory(Arc<ChosenFiles>),
}

#[derive(Debug, Default)]
struct State {
    kept_bytes: usize,
    seen: HashMap<String, Seen>,
}

/// The result of examining a path.
#[derive(Debug, Clone)]
enum Seen {
    Kept(Arc<Original>),
    Known { facts: ImageFacts, sha256: [u8; 32] },
    Refused(ImageError),
}

impl Folder {
    /// A folder on the disk; the one that contains the visit file.
    ///
    /// # Errors
    /// The folder does not exist or cannot be entered.
    #[cfg(not(target_family = "wasm"))]
    pub fn new(root: &Path) -> io::Result<Self> {
        let root = if root.as_os_str().is_empty() {
            Path::new(".")
        } else {
            root
        };
        Ok(Self {
            files: Files::OnDisk(root.canonicalize()?),
            most_kept: MAX_KEPT_BYTES,
            state: Mutex::default(),
        })
    }

    /// Files that are in memory already.
    pub fn in_memory(files: Arc<ChosenFiles>) -> Self {
        Self {
            files: Files::InMemory(files),
            most_kept: MAX_KEPT_BYTES,
            state: Mutex::default(),
        }
    }

    /// The same folder with a limit other than [`MAX_KEPT_BYTES`].
    #[must_use]
    pub fn keeping_at_most(self, bytes: usize) -> Self {
        Self {
            most_kept: bytes,
            ..self
        }
    }

    /// Examines an image for [`crate::visit::Surroundings::image`]. The file is read only the first
    /// time.
    ///
    /// # Errors
    /// Why the image cannot be used.
    pub fn image(&self, path: &str) -> Result<ImageFacts, ImageError> {
        match self.seen(path) {
            Some(Seen::Kept(original)) => Ok(original.facts()),
            Some(Seen::Known { facts, .. }) => Ok(facts),
            Some(Seen::Refused(problem)) => Err(problem),
            None => self.look(path).map(|original| original.facts()),
        }
    }

    /// The image as it was when it was first examined.
    ///
    /// # Errors
    /// Why the image cannot be used; [`ImageError::Changed`] if it had to be read again and has
    /// changed.
    pub fn original(&self, path: &str) -> Result<Arc<Original>, ImageError> {
        match self.seen(path) {
            Some(Seen::Kept(original)) => Ok(original),
            Some(Seen::Refused(problem)) => Err(problem),
            Some(Seen::Known { sha256, .. }) => {
                let bytes = self.read(path).map_err(|_| ImageError::Changed)?;
                let original = Original::from_bytes(bytes).map_err(|_| ImageError::Changed)?;
                if original.sha256() != sha256 {
                    return Err(ImageError::Changed);
                }
                Ok(Arc::new(original))
            }
            None => self.look(path),
        }
    }

    /// Turns an image into what a PDF can contain: [`Original::prepare`] of [`Folder::original`].
    ///
    /// # Errors
    /// As for these two.
    pub fn prepare(&self, path: &str, placement: Placement) -> Result<PreparedImage, ImageError> {
        self.original(path)?.prepare(placement)
    }

    /// SHA-256 of a file in the folder, of any kind.
    ///
    /// # Errors
    /// Why the file cannot be read.
    pub fn sha256(&self, path: &str) -> Result<[u8; 32], ImageError> {
        Ok(Sha256::digest(self.read(path)?).into())
    }

    fn seen(&self, path: &str) -> Option<Seen> {
        let state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        state.seen.get(path).cloned()
    }

    fn look(&self, path: &str) -> Result<Arc<Original>, ImageError> {
        let result = self.read(path).and_then(Original::from_bytes).map(Arc::new);
        let mut state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        let seen = match &result {
            Ok(original) if state.kept_bytes + original.bytes().len() <= self.most_kept => {
                state.kept_bytes += original.bytes().len();
                Seen::Kept(Arc::clone(original))
            }
            Ok(original) => Seen::Known {
                facts: original.facts(),
                sha256: original.sha256(),
            },
            Err(problem) => Seen::Refused(problem.clone()),
        };
        state.seen.insert(path.to_owned(), seen);
        result
    }

    /// Reads a file inside the folder, of bounded size.
    fn read(&self, path: &str) -> Result<Vec<u8>, ImageError> {
        match &self.files {
            #[cfg(not(target_family = "wasm"))]
            Files::OnDisk(root) => super::on_disk::read(root, path),
            Files::InMemory(files) => {
                let bytes = files.get(path).ok_or(ImageError::Missing)?;
                match bytes.len() as u64 {
                    size if size > MAX_FILE_BYTES => Err(too_large(size)),
                    _ => Ok(bytes.to_vec()),
                }
            }
        }
    }
}
