//! The images in a certificate, as they were prepared: the inputs of its pages that are not in the
//! record.

use super::recompute::Record;
use crate::compose::Images;
use crate::pdf::object::Stream;
use crate::pdf::revisions::Place;
use crate::pdf::{Dict, File, Id, Object, PdfError, filter};
use crate::photo::{Kind, MAX_DECODED_BYTES, PreparedImage, Taken};
use crate::visit::Visit;
use std::collections::BTreeMap;

/// Why the images of a certificate cannot be taken from it, as the end of a sentence.
#[derive(Debug, thiserror::Error)]
pub(crate) enum ImagesError {
    #[error(transparent)]
    Pdf(#[from] PdfError),
    #[error("the pages have no image {0}")]
    Missing(usize),
    #[error("image {0} is not encoded as in any certificate")]
    Foreign(usize),
    #[error("the list of photo digests is damaged")]
    Digests,
    #[error("the list of the photos' times is damaged")]
    Taken,
}

/// The images of a visit, with the digests and times of the photos that are in the record.
///
/// # Errors
/// See [`ImagesError`].
pub(crate) fn read(
    certified: &[u8],
    visit: &Visit,
    record: &Record,
) -> Result<Images, ImagesError> {
    let wanted = visit.photos.len()
        + usize::from(visit.inspector.logo.is_some())
        + usize::from(visit.inspector.signature_image.is_some());
    if wanted == 0 {
        return Ok(Images::default());
    }
    let file = File::parse(certified)?;
    let found = named(&file)?;
    let mut next = 0;
    let mut take = |digest: [u8; 32]| {
        let number = next;
        next += 1;
        let id = found.get(&number).ok_or(ImagesError::Missing(number + 1))?;
        let Object::Stream(stream) = file.object(*id)? else {
            return Err(ImagesError::Foreign(number + 1));
        };
        prepared(&file, &stream, digest).ok_or(ImagesError::Foreign(number + 1))
    };
    let mut lines = record.photos.lines();
    let taken: Vec<Taken> = match record.taken.as_str() {
        "" => Vec::new(),
        json => serde_json::from_str(json).map_err(|_| ImagesError::Taken)?,
    };
    let mut taken = taken.into_iter();
    let mut photos = Vec::new();
    for _ in &visit.photos {
        let line = lines.next().unwrap_or_default();
        let photo = take(digest(line).ok_or(ImagesError::Digests)?)?;
        photos.push(PreparedImage {
            taken: taken.next().unwrap_or_default(),
            ..photo
        });
    }
    // The record has no digests of these. They only affect the file's identifier.
    let mut line_art = |path: &Option<String>| path.as_ref().map(|_| take([0; 32])).transpose();
    Ok(Images {
        photos,
        logo: line_art(&visit.inspector.logo)?,
        signature: line_art(&visit.inspector.signature_image)?,
    })
}

/// The digest at the beginning of a line.
fn digest(line: &str) -> Option<[u8; 32]> {
    let mut digest = [0; 32];
    let hex = line.get(..64)?;
    (base16ct::lower::decode(hex, &mut digest).ok()?.len() == 32).then_some(digest)
}

/// The images by number: certificates name them `I0`, `I1`, … wherever they use them.
fn named(file: &File<'_>) -> Result<BTreeMap<usize, Id>, PdfError> {
    let mut found = BTreeMap::new();
    for number in file.numbers() {
        let generation = match file.place(number) {
            Place::Free => continue,
            Place::At { generation, .. } => generation,
            Place::Inside { .. } => 0,
        };
        let dict = match file.object(Id { number, generation })? {
            Object::Dictionary(dict) | Object::Stream(Stream { dict, .. }) => dict,
            _ => continue,
        };
        let Object::Dictionary(resources) = file.value(&dict, b"Resources")? else {
            continue;
        };
        let Object::Dictionary(objects) = file.value(&resources, b"XObject")? else {
            continue;
        };
        for (name, object) in &objects.0 {
            let number = name.strip_prefix(b"I").and_then(|digits| {
                let digits = std::str::from_utf8(digits).ok()?;
                digits.parse::<usize>().ok()
            });
            if let (Some(number), Some(id)) = (number, object.as_reference()) {
                found.entry(number).or_insert(id);
            }
        }
    }
    Ok(found)
}

/// An image as it was prepared; `None` if this program would not write such an image.
fn prepared(
    file: &File<'_>,
    stream: &Stream,
    sha256_of_original: [u8; 32],
) -> Option<PreparedImage> {
    let dict = &stream.dict;
    let size = |key: &[u8]| u32::try_from(dict.integer(key)?).ok().filter(|n| *n > 0);
    let (width, height) = (size(b"Width")?, size(b"Height")?);
    let (components, palette) = match dict.get(b"ColorSpace")? {
        Object::Name(name) if name == b"DeviceRGB" => (3, None),
        Object::Name(name) if name == b"DeviceGray" => (1, None),
        Object::Array(items) => match items.as_slice() {
            [Object::Name(kind), _, _, Object::String(colors)] if kind == b"Indexed" => {
                (1, Some(colors.bytes.clone()))
            }
            _ => return None,
        },
        _ => return None,
    };
    let data = file.bytes.get(stream.data.clone())?;
    let (bytes, kind) = if dict.is_name(b"Filter", b"DCTDecode") {
        // Whether it passed through makes no difference to the pages.
        (data.to_vec(), Kind::Jpeg { untouched: false })
    } else {
        (rows(dict, data, width, components)?, Kind::Rows)
    };
    Some(PreparedImage {
        bytes: bytes.into(),
        kind,
        components,
        palette,
        width,
        height,
        sha256_of_original,
        taken: Taken::default(),
    })
}

/// The pixels of an image, decompressed and without prediction (ISO 32000-1, 7.4.4.4; PNG, 9.2).
fn rows(dict: &Dict, data: &[u8], width: u32, components: u8) -> Option<Vec<u8>> {
    let limit = usize::try_from(MAX_DECODED_BYTES).unwrap_or(usize::MAX);
    let mut plain = dict.clone();
    plain.0.retain(|(key, _)| key != b"DecodeParms");
    let inflated = filter::whole(&plain, data, limit).ok()?;
    let Some(Object::Dictionary(parms)) = dict.get(b"DecodeParms") else {
        return Some(inflated);
    };
    let columns = usize::try_from(width).ok()? * usize::from(components);
    let fits = parms.integer(b"Predictor") == Some(15)
        && parms.integer(b"Columns") == Some(width.into())
        && parms.integer(b"Colors") == Some(components.into());
    if !fits || !inflated.len().is_multiple_of(columns + 1) {
        return None;
    }
    let mut out: Vec<u8> = Vec::with_capacity(inflated.len());
    for row in inflated.chunks_exact(columns + 1) {
        let (tag, row) = row.split_first()?;
        let above = out.len().checked_sub(columns);
        for (i, byte) in row.iter().enumerate() {
            let less = match (tag, above) {
                (0, _) => 0,
                (2, above) => above.map_or(0, |start| out[start + i]),
                _ => return None,
            };
            out.push(byte.wrapping_add(less));
        }
    }
    Some(out)
}
