//! One image file as it was read: its bytes, what its header says, its digest.

use super::damage::Fault;
use super::jpeg::{self, Jpeg};
use super::png;
use super::turn::Turn;
use super::{MAX_FILE_BYTES, MAX_PIXELS};
use crate::visit::surroundings::{ImageError, ImageFacts};
use sha2::{Digest, Sha256};
use std::sync::{Arc, OnceLock};

/// A whole image of a usable kind. Facts, digest and embedded picture all come from the one copy
/// of the bytes that it holds, so they cannot belong to different files.
#[derive(Debug)]
pub struct Original {
    bytes: Arc<Vec<u8>>,
    format: Format,
    turn: Turn,
    facts: ImageFacts,
    digest: OnceLock<[u8; 32]>,
}

#[derive(Debug)]
pub(super) enum Format {
    Jpeg(Jpeg),
    Png,
}

impl Original {
    /// Looks at the bytes of an image file without decoding its pixels. What it is told by its
    /// content; its name does not matter.
    ///
    /// # Errors
    /// More than [`MAX_FILE_BYTES`] or [`MAX_PIXELS`], neither JPEG nor PNG, damaged or cut
    /// short, or of a kind that cannot be used (CMYK, more than 8 bits, arithmetic coding).
    pub fn from_bytes(bytes: Vec<u8>) -> Result<Self, ImageError> {
        if bytes.len() as u64 > MAX_FILE_BYTES {
            let bytes = bytes.len() as u64;
            return Err(ImageError::TooManyBytes {
                bytes,
                limit: MAX_FILE_BYTES,
            });
        }
        let (format, width, height, exif) = if bytes.starts_with(&jpeg::SIGNATURE) {
            let jpeg = jpeg::walk(&bytes)?;
            let (w, h, exif) = (jpeg.width.into(), jpeg.height.into(), jpeg.exif.clone());
            (Format::Jpeg(jpeg), w, h, exif)
        } else if bytes.starts_with(&png::SIGNATURE) {
            let png = png::walk(&bytes)?;
            let (w, h, exif) = (png.width, png.height, png.exif.clone());
            (Format::Png, w, h, exif)
        } else if bytes.is_empty() {
            return Err(Fault::Empty.into());
        } else if bytes.get(4..8) == Some(b"ftyp") {
            // The ISO base media container (ISO/IEC 14496-12), in which phones keep HEIC photos.
            return Err(Fault::Heic.into());
        } else {
            return Err(ImageError::UnknownFormat);
        };
        let pixels = u64::from(width) * u64::from(height);
        if pixels > MAX_PIXELS {
            return Err(ImageError::TooManyPixels {
                pixels,
                limit: MAX_PIXELS,
            });
        }
        let turn = Turn::from_tiff(&bytes, exif.as_ref());
        let facts = if turn.swaps() {
            ImageFacts {
                width: height,
                height: width,
            }
        } else {
            ImageFacts { width, height }
        };
        Ok(Self {
            bytes: Arc::new(bytes),
            format,
            turn,
            facts,
            digest: OnceLock::new(),
        })
    }

    /// Size in pixels, upright.
    pub fn facts(&self) -> ImageFacts {
        self.facts
    }

    /// The file's bytes, as read.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// SHA-256 of the file's bytes.
    pub fn sha256(&self) -> [u8; 32] {
        *self
            .digest
            .get_or_init(|| Sha256::digest(self.bytes()).into())
    }

    /// The same bytes, to be shared.
    pub(super) fn shared(&self) -> &Arc<Vec<u8>> {
        &self.bytes
    }

    pub(super) fn format(&self) -> &Format {
        &self.format
    }

    pub(super) fn turn(&self) -> Turn {
        self.turn
    }
}
