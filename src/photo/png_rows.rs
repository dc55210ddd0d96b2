//! A large PNG decoded row by row, at a fraction of its size: each pixel is the mean of those that it
//! covers. A photo of 100 megapixels takes 400 MB when it is decoded whole.

use super::error::PhotoError;
use super::image_limits::MAX_DECODED_BYTES;
use super::pixels::{Pixels, on_white};
use super::workspace;
use png::{BitDepth, ColorType, Decoder, DecodingError, Limits, Transformations};
use std::io::{Cursor, ErrorKind};

/// The number of pixels above which a picture is decoded this way (16 megapixels); below, all of them
/// fit into the memory that is kept anyway. Our choice.
const LARGE: u64 = 16 << 20;

/// Decodes a PNG at its size divided by `by`, rounded up, transparent pixels blended with white, four
/// bytes a pixel. `None` if it is not large, or interlaced, so that its rows do not come in order.
pub(super) fn decode(bytes: &[u8], by: u32) -> Result<Option<Pixels>, PhotoError> {
    let fault = |error: DecodingError| match error {
        DecodingError::IoError(why) if why.kind() == ErrorKind::UnexpectedEof => {
            PhotoError::CutShort(bytes.len())
        }
        DecodingError::LimitsExceeded => PhotoError::Memory(MAX_DECODED_BYTES),
        other => PhotoError::Decode(other.to_string()),
    };
    let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), Limits::default());
    decoder.ignore_checksums(false);
    decoder.set_transformations(Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(fault)?;
    let (width, height) = reader.info().size();
    if reader.info().interlaced || u64::from(width) * u64::from(height) <= LARGE {
        return Ok(None);
    }
    let (colours, alpha) = match reader.output_color_type() {
        (ColorType::Grayscale, BitDepth::Eight) => (1, false),
        (ColorType::GrayscaleAlpha, BitDepth::Eight) => (1, true),
        (ColorType::Rgb, BitDepth::Eight) => (3, false),
        (ColorType::Rgba, BitDepth::Eight) => (3, true),
        _ => return Ok(None),
    };
    let (wide, tall) = (width.div_ceil(by), height.div_ceil(by));
    let each = colours + usize::from(alpha);
    let mut data = workspace::room(wide as usize * tall as usize * 4);
    let (places, _) = data.as_chunks_mut::<4>();
    let mut sums = vec![[0_u32; 3]; wide as usize];
    let by = by as usize;
    for places in places.chunks_mut(wide as usize) {
        sums.fill([0; 3]);
        let mut rows = 0;
        while rows < by {
            let Some(row) = reader.next_row().map_err(fault)? else {
                break;
            };
            rows += 1;
            for (covered, sum) in row.data().chunks(by * each).zip(&mut sums) {
                for pixel in covered.chunks_exact(each) {
                    let opacity = if alpha { pixel[colours] } else { 255 };
                    for (sum, value) in sum.iter_mut().zip(&pixel[..colours]) {
                        *sum += u32::from(on_white(*value, opacity));
                    }
                }
            }
        }
        for (x, (place, sum)) in places.iter_mut().zip(&sums).enumerate() {
            let across = by.min(width as usize - x * by);
            let covered = (across * rows) as u32;
            if covered == 0 {
                return Err(PhotoError::CutShort(bytes.len()));
            }
            let [first, second, third] = sum.map(|sum| ((sum + covered / 2) / covered) as u8);
            *place = [first, second, third, 0];
        }
    }
    // What follows the rows is read too, so that damage there is found.
    if reader.next_row().map_err(fault)?.is_some() {
        return Err(PhotoError::PngHeader);
    }
    Pixels::of(wide, tall, colours as u8, true, data).map(Some)
}
