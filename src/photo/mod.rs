//! Images of a visit: photos, the firm's logo, the handwritten signature.
//!
//! Answers for two moments. At check time an image is read once and looked at without decoding
//! it: is it inside the visit's folder, is it of a size that can be handled, is it whole and
//! of a known format (JPEG, PNG, TIFF, WebP, BMP), which way up is it ([`Folder`], [`Original`]). When
//! the certificate is made, the same bytes become a stream that a PDF can contain
//! ([`Original::prepare`], [`PreparedImage`]).
//!
//! A photo is evidence, so its pixels pass through untouched wherever that is possible. What the
//! camera wrote around them does not: position, serial number, thumbnail, comment. Only when and with
//! what camera it was taken goes into the record ([`Taken`]). A photo shows
//! a home, and only the certificate's address may say where that home is. Only the
//! segments that a decoder needs are copied, so a kind of metadata that is not yet known
//! yet stays out too.
//!
//! Colour profiles are left behind as well: pixels are read as sRGB, the output intent of the
//! certificate. A photo taken in a wider space (Display P3) prints slightly less saturated.
//!
//! Decided elsewhere: which image goes where and how large (`compose`, `typeset`), and the words
//! around a problem, which name the file (`visit`).

mod bytes;
mod chosen_files;
mod error;
mod image_limits;
mod jpeg;
#[cfg(not(target_family = "wasm"))]
mod on_disk;
mod original;
mod pixels;
mod png;
mod prepare;
mod raster;
mod reduced;
mod taken;
mod turn;
mod visit_folder;
mod workspace;

pub use bytes::Bytes;
pub use chosen_files::ChosenFiles;
pub use image_limits::{
    MAX_DECODED_BYTES, MAX_FILE_BYTES, MAX_PIXELS, MAX_PROGRESSIVE_BYTES, MAX_SCANS,
};
pub use original::{Original, announces_image};
pub use prepare::{
    Detail, JPEG_QUALITY, Kind, LINE_ART_DPI, LINE_ART_PASS_DPI, PASS_DPI, PRINT_DPI, Placement,
    PreparedImage, Subject,
};
pub use taken::Taken;
pub use visit_folder::{Folder, MAX_KEPT_BYTES};
