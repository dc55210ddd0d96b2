//! Images of the document: their shape on the page and their dictionary in the file.

use crate::pdf::{Dict, Id, Object, Writer};

use super::columns::column_width;
use super::error::TypesetError;
use super::sheet::{GUTTER, INDENT, Sheet};
use crate::compose::document::{Columns, Document, Format};
use crate::photo::{Kind, PreparedImage};
use crate::visit::Paper;

/// Millimetres per point.
const MM: f64 = 25.4 / 72.0;
/// Largest height of a photo, as a share of its column's width.
const PHOTO_HEIGHT: f32 = 0.64;
/// Largest width and height of a logo.
const LOGO: (f32, f32) = (110.0, 40.0);
/// Largest width and height of a handwritten signature.
const SIGNATURE: (f32, f32) = (INDENT - GUTTER, 42.0);

/// Purpose of an image on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Printed {
    /// A photo.
    Photo {
        /// Number of photos side by side.
        abreast: u8,
    },
    /// The firm's logo.
    Logo,
    /// A handwritten signature.
    Signature,
}

/// Largest width in millimetres at which an upright image of this size in pixels is printed. This
/// decides how much detail is kept when it is prepared.
#[must_use]
pub fn printed_width_mm(printed: Printed, paper: Paper, width: u32, height: u32) -> f64 {
    let size = (width.max(1) as f32, height.max(1) as f32);
    let room = match printed {
        Printed::Photo { abreast } => photo_room(column_width(
            &Sheet::new(Format::Sheets(paper)),
            Columns::Abreast(abreast),
        )),
        Printed::Logo => LOGO,
        Printed::Signature => SIGNATURE,
    };
    f64::from(fitted(size, room).0) * MM
}

/// The size of an image that fits into a rectangle with its own proportions.
pub(super) fn fitted((width, height): (f32, f32), room: (f32, f32)) -> (f32, f32) {
    let scale = (room.0 / width).min(room.1 / height);
    (width * scale, height * scale)
}

/// Rectangle for a photo in a column of this width. A portrait photo is narrower than the column,
/// so that photos side by side are about equally high.
pub(super) fn photo_room(width: f32) -> (f32, f32) {
    (width, width * PHOTO_HEIGHT)
}

/// Size of a logo in points.
pub(super) fn logo(document: &Document, image: usize) -> Result<(f32, f32), TypesetError> {
    Ok(fitted(size(document, image)?, LOGO))
}

/// Size of a handwritten signature in points.
pub(super) fn signature(document: &Document, image: usize) -> Result<(f32, f32), TypesetError> {
    Ok(fitted(size(document, image)?, SIGNATURE))
}

/// Width and height in pixels.
pub(super) fn size(document: &Document, image: usize) -> Result<(f32, f32), TypesetError> {
    let image = document
        .images
        .get(image)
        .ok_or(TypesetError::Image(image))?;
    Ok((image.width.max(1) as f32, image.height.max(1) as f32))
}

/// Adds an image XObject (ISO 32000-1, 8.9.5): a JPEG unchanged, rows of pixels compressed.
pub(super) fn add<'a>(file: &mut Writer<'a>, image: &'a PreparedImage) -> Id {
    let space = match &image.palette {
        Some(colors) => Object::Array(vec![
            "Indexed".into(),
            "DeviceRGB".into(),
            (colors.len() as i64 / 3 - 1).into(),
            Object::literal(colors.as_slice()),
        ]),
        None if image.components == 1 => "DeviceGray".into(),
        None => "DeviceRGB".into(),
    };
    let mut dict = Dict::from([
        ("Type", "XObject".into()),
        ("Subtype", "Image".into()),
        ("Width", i64::from(image.width).into()),
        ("Height", i64::from(image.height).into()),
        ("ColorSpace", space),
        ("BitsPerComponent", 8.into()),
    ]);
    match image.kind {
        Kind::Jpeg { .. } => {
            dict.set("Filter", "DCTDecode");
            file.pieces(dict, image.bytes.pieces())
        }
        // Colours change little from row to row, so prediction helps. Palette indexes and grey
        // strokes repeat, which prediction would hide.
        Kind::Rows if image.components > 1 => {
            file.rows(dict, &image.bytes.whole(), image.width, image.components)
        }
        Kind::Rows => file.stream(dict, &image.bytes.whole()),
    }
}
