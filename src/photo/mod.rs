//! Images of a visit: photos, the firm's logo, the handwritten signature.
//!
//! Images are handled twice. When a visit is checked, each image is read once and examined without
//! decoding it: whether it is inside the visit's folder, within the size limits, complete and of a
//! known format (JPEG, PNG, TIFF, WebP, BMP), and which way up it is ([`Folder`], [`Original`]).
//! When the certificate is made, the same bytes become a stream that a PDF can contain
//! ([`Original::prepare`], [`PreparedImage`]).
//!
//! A photo is evidence, so its pixels are passed through unchanged wherever that is possible. The
//! camera's metadata (position, serial number, thumbnail, comment) is removed; only the time and
//! the camera go into the record ([`Taken`]). A photo shows a home, and only the certificate's
//! address may say where that home is. Only the segments that a decoder needs are copied, so
//! unknown kinds of metadata are removed too.
//!
//! Colour profiles are removed as well: pixels are interpreted as sRGB, the output intent of the
//! certificate. A photo taken in a wider colour space (Display P3) prints slightly less saturated.
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
mod png_rows;
mod prepare;
mod progressive;
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
