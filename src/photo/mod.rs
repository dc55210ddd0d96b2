//! Images of a visit: photos, the firm's logo, the handwritten signature.
//!
//! Answers for two moments. At check time an image is read once and looked at without decoding
//! it: does it lie inside the visit's folder, is it of a size that can be handled, is it whole and
//! of a known format (JPEG, PNG, TIFF, WebP, BMP), which way up is it ([`Folder`], [`Original`]). When
//! the certificate is made, the same bytes become a stream that a PDF can hold
//! ([`Original::prepare`], [`PreparedImage`]).
//!
//! A photo is evidence, so its pixels pass through untouched wherever that is possible. What the
//! camera wrote around them does not: position, serial number, thumbnail, comment. A photo shows
//! a home, and where that home is stands in the certificate's address or nowhere. Only the
//! segments that a decoder needs are copied, so a kind of metadata that nobody has thought of
//! yet stays out too.
//!
//! Colour profiles are left behind as well: pixels are read as sRGB, the output intent of the
//! certificate. A photo taken in a wider space (Display P3) prints slightly less saturated.
//!
//! Left to others: which image goes where and how large (`compose`, `typeset`), and the words
//! around a problem, which name the file (`visit`).

mod bytes;
mod damage;
mod folder;
mod jpeg;
mod original;
mod pixels;
mod png;
mod prepare;
mod raster;
mod reduced;
mod turn;
mod workspace;

pub use bytes::Bytes;
pub use folder::{Folder, MAX_KEPT_BYTES};
pub use original::Original;
pub use prepare::{Detail, Kind, Placement, PreparedImage, Subject};

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

/// Resolution to which images are scaled at their printed size, in pixels per inch.
pub const PRINT_DPI: f64 = 300.0;

/// Resolution up to which an image counts as not oversized, in pixels per inch: [`PRINT_DPI`]
/// and a tenth. Resampling by less than a tenth blurs the photo and saves next to nothing.
pub const PASS_DPI: f64 = 330.0;

/// Resolution to which line art is scaled, in pixels per inch: what printers can show of a sharp
/// edge.
pub const LINE_ART_DPI: f64 = 600.0;

/// Resolution up to which line art counts as not oversized: a tenth more, as for photos.
pub const LINE_ART_PASS_DPI: f64 = 660.0;

/// Quality of photos that had to be encoded anew, on the usual scale of 1 to 100.
pub const JPEG_QUALITY: u8 = 85;
