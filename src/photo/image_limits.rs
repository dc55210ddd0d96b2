//! Limits of the images that are read: size, pixels, memory and scans.

use crate::visit::surroundings::ImageError;

/// Largest image file that is read, in bytes (64 MiB). The largest JPEG files of cameras with
/// 100 megapixels stay below it; our choice.
pub const MAX_FILE_BYTES: u64 = 64 << 20;

/// Maximum number of pixels of an image (100 megapixels). Our choice.
pub const MAX_PIXELS: u64 = 100_000_000;

/// Maximum memory for a picture that can only be decoded whole, in bytes: 66 megapixels of four bytes
/// each, or 26 of 16 bits per channel. JPEGs, and PNGs that are not interlaced, are decoded at a
/// fraction of their size. Our choice.
pub const MAX_DECODED_BYTES: u64 = MAX_PROGRESSIVE_BYTES;

/// Maximum size of a progressive JPEG together with its coefficients, in bytes: a photo of 9000 ×
/// 9000 pixels with colours at half resolution has 243 MB of coefficients. A reader of the
/// certificate needs as much memory for a photo that was passed through. Our choice.
pub const MAX_PROGRESSIVE_BYTES: u64 = 264_000_000;

/// Maximum number of scans of a progressive JPEG. Encoders write about ten; with thousands, every
/// reader of the certificate would decode the whole picture thousands of times. Our choice.
pub const MAX_SCANS: usize = 40;

/// The error for a file of more than [`MAX_FILE_BYTES`].
pub(super) fn too_large(bytes: u64) -> ImageError {
    ImageError::TooManyBytes {
        bytes,
        limit: MAX_FILE_BYTES,
    }
}
