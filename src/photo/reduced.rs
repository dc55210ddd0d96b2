//! Decoding a JPEG at a half, a quarter or an eighth of its size: the inverse cosine transform
//! computes fewer pixels per block, as common JPEG libraries do for thumbnails.
//!
//! This saves time and memory for images that are scaled to less than half anyway: a photo of 12
//! megapixels takes 12 MB of pixels for print instead of 48 MB. The decoder's vector code rounds
//! differently and is not used, so that every processor gives the same pixels. Progressive pictures
//! are decoded by [`super::progressive`].

use super::bytes::Bytes;
use super::error::PhotoError;
use super::pixels::Pixels;
use jpeg_decoder::{Decoder, Error};
use std::io::{BufReader, Read};

/// The factor (eight, four or two) by which a picture of this size can be reduced without becoming
/// smaller than needed; `None` if the full size is needed.
pub(super) fn factor(size: (u32, u32), wanted: (u32, u32)) -> Option<u32> {
    let leaves = |by: u32| size.0.div_ceil(by) >= wanted.0 && size.1.div_ceil(by) >= wanted.1;
    [8, 4, 2].into_iter().find(|by| leaves(*by))
}

/// Decodes a JPEG of 1 or 3 components at its size divided by `by`, rounded up. `None` if this
/// decoder does not support the kind, although others may.
pub(super) fn decode(
    picture: &Bytes,
    size: (u32, u32),
    by: u32,
    components: u8,
) -> Result<Option<Pixels>, PhotoError> {
    let pieces = picture.pieces();
    let empty: Box<dyn Read> = Box::new(std::io::empty());
    let all = pieces
        .into_iter()
        .fold(empty, |all, piece| Box::new(all.chain(piece)));
    let mut decoder = Decoder::new(BufReader::new(all));
    let (Ok(width), Ok(height)) = (
        u16::try_from(size.0.div_ceil(by)),
        u16::try_from(size.1.div_ceil(by)),
    ) else {
        return Err(PhotoError::Proportions);
    };
    let outcome = decoder
        .scale(width, height)
        .and_then(|size| Ok((size, decoder.decode()?)));
    let ((width, height), data) = match outcome {
        Ok(decoded) => decoded,
        Err(Error::Unsupported(_)) => return Ok(None),
        Err(why) => return Err(PhotoError::Decode(why.to_string())),
    };
    // The coefficients of a progressive picture are much larger than the reduced pixels.
    drop(decoder);
    Pixels::of(width.into(), height.into(), components, false, data).map(Some)
}
