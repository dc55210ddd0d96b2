//! Images of the document: their shape on the page and their stream in the file.

use lopdf::{Dictionary, Object, Stream};

use super::TypesetError;
use crate::compose::tree::Document;
use crate::photo::{Kind, PreparedImage};

/// Width and height in pixels.
pub(super) fn size(document: &Document, image: usize) -> Result<(f32, f32), TypesetError> {
    let image = document
        .images
        .get(image)
        .ok_or(TypesetError::Image(image))?;
    Ok((image.width.max(1) as f32, image.height.max(1) as f32))
}

/// The image XObject (ISO 32000-1, 8.9.5): the bytes go in as they are.
pub(super) fn stream(image: &PreparedImage) -> Stream {
    let space = if image.components == 1 {
        "DeviceGray"
    } else {
        "DeviceRGB"
    };
    let mut dict = Dictionary::from_iter([
        ("Type", Object::from("XObject")),
        ("Subtype", "Image".into()),
        ("Width", i64::from(image.width).into()),
        ("Height", i64::from(image.height).into()),
        ("ColorSpace", space.into()),
        ("BitsPerComponent", 8.into()),
    ]);
    match image.kind {
        Kind::Jpeg { .. } => dict.set("Filter", "DCTDecode"),
        Kind::Flate => {
            dict.set("Filter", "FlateDecode");
            dict.set(
                "DecodeParms",
                Dictionary::from_iter([
                    ("Predictor", Object::from(15)),
                    ("Colors", i64::from(image.components).into()),
                    ("BitsPerComponent", 8.into()),
                    ("Columns", i64::from(image.width).into()),
                ]),
            );
        }
    }
    Stream::new(dict, image.bytes.clone())
}
