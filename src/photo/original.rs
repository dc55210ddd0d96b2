//! One image file as it was read: its bytes, the values in its header, its digest.

use super::error::PhotoError;
use super::image_limits::{MAX_FILE_BYTES, MAX_PIXELS, MAX_PROGRESSIVE_BYTES};
use super::jpeg::{self, Jpeg};
use super::raster::Raster;
use super::taken::Taken;
use super::turn::Turn;
use crate::visit::surroundings::{ImageError, ImageFacts};
use sha2::{Digest, Sha256};
use std::sync::{Arc, OnceLock};

/// A complete image of a usable kind. Facts, digest and embedded picture all come from its one copy
/// of the bytes, so they cannot belong to different files.
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
    Raster(Raster),
}

/// Whether a file with these first bytes (18 suffice) announces a format that is read.
pub fn announces_image(first: &[u8]) -> bool {
    first.starts_with(&jpeg::SIGNATURE) || Raster::of(first).is_some()
}

impl Original {
    /// Examines the bytes of an image file without decoding its pixels. Its kind is recognised by
    /// its content, not by its name.
    ///
    /// # Errors
    /// More than [`MAX_FILE_BYTES`], [`MAX_PIXELS`] or [`MAX_PROGRESSIVE_BYTES`]; not a JPEG, PNG,
    /// TIFF, WebP or BMP; damaged or cut short; or of a kind that cannot be used (a CMYK or 12-bit
    /// JPEG, arithmetic coding, a picture that moves).
    pub fn from_bytes(bytes: Vec<u8>) -> Result<Self, ImageError> {
        if bytes.len() as u64 > MAX_FILE_BYTES {
            let bytes = bytes.len() as u64;
            return Err(ImageError::TooManyBytes {
                bytes,
                limit: MAX_FILE_BYTES,
            });
        }
        let (format, width, height, turn) = if bytes.starts_with(&jpeg::SIGNATURE) {
            let jpeg = jpeg::walk(&bytes)?;
            let exif = jpeg.exif.clone().and_then(|range| bytes.get(range));
            let turn = exif.map_or(Turn::Upright, Turn::from_tiff);
            let (width, height) = (jpeg.width.into(), jpeg.height.into());
            (Format::Jpeg(jpeg), width, height, turn)
        } else if let Some(raster) = Raster::of(&bytes) {
            let head = raster.head(&bytes)?;
            // The decoder reads a WebP of 16,384 pixels on a side, the maximum, as one with none.
            if head.width == 0 || head.height == 0 {
                return Err(PhotoError::NoPixels.into());
            }
            (Format::Raster(raster), head.width, head.height, head.turn)
        } else if bytes.is_empty() {
            return Err(PhotoError::Empty.into());
        } else if bytes.get(4..8) == Some(b"ftyp") {
            return Err(media(bytes.get(8..12).unwrap_or_default()).into());
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
        if let Format::Jpeg(jpeg) = &format {
            // The file and, for a progressive one, all of its coefficients are in memory together.
            let needed = jpeg.coefficient_bytes.map_or(0, |n| n + bytes.len() as u64);
            if needed > MAX_PROGRESSIVE_BYTES {
                return Err(PhotoError::Progressive(needed).into());
            }
        }
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

    /// When, and with which camera, it was taken.
    pub fn taken(&self) -> Taken {
        Taken::of(self.bytes())
    }

    /// Where it was taken, for a visit file that says that this is kept.
    pub fn place(&self) -> Option<String> {
        super::taken::place(self.bytes())
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

/// The kind of a file in the ISO base media container (ISO/IEC 14496-12), by its brand. Phones
/// store HEIC and AVIF photos (ISO/IEC 23008-12) and films in it.
fn media(brand: &[u8]) -> PhotoError {
    match brand {
        b"heic" | b"heix" | b"heim" | b"heis" | b"hevc" | b"hevx" | b"mif1" | b"msf1" => {
            PhotoError::Phone("a HEIC")
        }
        b"avif" | b"avis" => PhotoError::Phone("an AVIF"),
        _ => PhotoError::Media,
    }
}
