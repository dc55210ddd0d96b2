//! Limits of the images that are read: size, pixels, memory and scans.

use crate::visit::surroundings::ImageError;

/// Largest image file that is read, in bytes (64 MiB). The largest JPEG files of cameras with
/// 100 megapixels stay below it; our choice.
pub const MAX_FILE_BYTES: u64 = 64 << 20;

/// Most pixels that an image may have (100 megapixels, 400 MB while it is scaled); our choice.
pub const MAX_PIXELS: u64 = 100_000_000;

/// Most bytes that a decoded picture may have before it is made one of 8 bits a channel: 100
/// megapixels with transparency. Our choice.
pub const MAX_DECODED_BYTES: u64 = 4 * MAX_PIXELS;

/// Most bytes that a progressive JPEG and its coefficients may take together: a photo of 9000 × 9000
/// pixels with colours at half resolution has 243 MB of coefficients. Whoever reads the certificate
/// needs as much for one that passed through. Our choice.
pub const MAX_PROGRESSIVE_BYTES: u64 = 264_000_000;

/// Most scans of a progressive JPEG. Encoders write about ten; a file with thousands makes every
/// reader of the certificate decode the whole picture as often. Our choice.
pub const MAX_SCANS: usize = 40;

/// The refusal of a file of more than [`MAX_FILE_BYTES`].
pub(super) fn too_large(bytes: u64) -> ImageError {
    ImageError::TooManyBytes {
        bytes,
        limit: MAX_FILE_BYTES,
    }
}
