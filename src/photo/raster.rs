//! Pictures that a PDF cannot contain unchanged: PNG, BMP, TIFF and WebP. They are recognised and
//! their headers read here; the `image` crate decodes their pixels within limits.
//!
//! Thermal cameras write BMP and TIFF, phones WebP. Of a TIFF with several pages, the first one is
//! the photo. An animated WebP is refused, because no single picture of it is the photo.

use super::error::PhotoError;
use super::image_limits::{MAX_DECODED_BYTES, MAX_PIXELS};
use super::pixels::{Pixels, on_white};
use super::png;
use super::turn::Turn;
use exif::{Context, In, Tag};
use image::codecs::bmp::BmpDecoder;
use image::codecs::png::PngDecoder;
use image::codecs::tiff::TiffDecoder;
use image::codecs::webp::WebPDecoder;
use image::{ColorType, ImageDecoder, ImageError, Limits};
use std::io::{Cursor, ErrorKind};

/// A format that is converted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Raster {
    Png,
    Bmp,
    Tiff,
    WebP,
}

/// The values in the header of such a file.
pub(super) struct Head {
    pub width: u32,
    pub height: u32,
    pub turn: Turn,
}

impl Raster {
    /// The format indicated by a file's first bytes.
    pub fn of(bytes: &[u8]) -> Option<Self> {
        if bytes.starts_with(&png::SIGNATURE) {
            return Some(Self::Png);
        }
        // TIFF 6.0, section 2: the byte order, and 42 in it.
        if bytes.starts_with(b"II*\0") || bytes.starts_with(b"MM\0*") {
            return Some(Self::Tiff);
        }
        if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
            return Some(Self::WebP);
        }
        // Two letters alone would be weak evidence, so the size of a known header after them is
        // checked too.
        let header = bytes.get(14..).and_then(|rest| rest.first_chunk::<4>());
        let size = header.map(|size| u32::from_le_bytes(*size));
        let bmp = bytes.starts_with(b"BM")
            && matches!(size, Some(12 | 16 | 40 | 52 | 56 | 64 | 108 | 124));
        bmp.then_some(Self::Bmp)
    }

    /// The name by which people know it.
    fn name(self) -> &'static str {
        match self {
            Self::Png => "PNG",
            Self::Bmp => "BMP",
            Self::Tiff => "TIFF",
            Self::WebP => "WebP",
        }
    }

    /// Examines a file without decoding its pixels: whether it is complete, and the values in its
    /// header.
    pub fn head(self, bytes: &[u8]) -> Result<Head, PhotoError> {
        match self {
            Self::Png => {
                let png = png::walk(bytes)?;
                if png.interlaced {
                    let decoder = PngDecoder::with_limits(Cursor::new(bytes), limits());
                    fits(&decoder.map_err(self.fault(bytes))?)?;
                }
                let exif = png.exif.and_then(|range| bytes.get(range));
                Ok(Head {
                    width: png.width,
                    height: png.height,
                    turn: exif.map_or(Turn::Upright, Turn::from_tiff),
                })
            }
            Self::Bmp => {
                let decoder = BmpDecoder::new(Cursor::new(bytes)).map_err(self.fault(bytes))?;
                let (width, height) = decoder.dimensions();
                whole_bmp(bytes, width, height)?;
                fits(&decoder)?;
                Ok(Head {
                    width,
                    height,
                    turn: Turn::Upright,
                })
            }
            Self::Tiff => {
                let decoder = TiffDecoder::new(Cursor::new(bytes)).map_err(self.fault(bytes))?;
                let (width, height) = decoder.dimensions();
                let turn = whole_tiff(bytes)?;
                fits(&decoder)?;
                Ok(Head {
                    width,
                    height,
                    turn,
                })
            }
            Self::WebP => {
                whole_webp(bytes)?;
                let mut decoder =
                    WebPDecoder::new(Cursor::new(bytes)).map_err(self.fault(bytes))?;
                if decoder.has_animation() {
                    return Err(PhotoError::Animated);
                }
                let (width, height) = decoder.dimensions();
                fits(&decoder)?;
                // A photo is not refused because of a damaged EXIF part.
                let exif = decoder.exif_metadata().ok().flatten();
                Ok(Head {
                    width,
                    height,
                    turn: exif.map_or(Turn::Upright, |exif| Turn::from_tiff(&exif)),
                })
            }
        }
    }

    /// Decodes to grey or RGB of 8 bits, with transparent pixels blended with white; `spread` as in
    /// [`Pixels::filled`].
    pub fn decode(self, bytes: &[u8], spread: bool) -> Result<Pixels, PhotoError> {
        let source = Cursor::new(bytes);
        let fault = self.fault(bytes);
        match self {
            Self::Png => {
                let decoder = PngDecoder::with_limits(source, limits()).map_err(fault)?;
                self.read(decoder, bytes, spread)
            }
            Self::Bmp => self.read(BmpDecoder::new(source).map_err(fault)?, bytes, spread),
            Self::Tiff => self.read(TiffDecoder::new(source).map_err(fault)?, bytes, spread),
            Self::WebP => self.read(WebPDecoder::new(source).map_err(fault)?, bytes, spread),
        }
    }

    fn read(
        self,
        mut decoder: impl ImageDecoder,
        bytes: &[u8],
        spread: bool,
    ) -> Result<Pixels, PhotoError> {
        fits(&decoder)?;
        let size = decoder.total_bytes();
        decoder.set_limits(limits()).map_err(self.fault(bytes))?;
        let (width, height) = decoder.dimensions();
        // Bytes a channel, channels with and without alpha.
        let (each, channels, components) = match decoder.color_type() {
            ColorType::L8 => (1, 1, 1),
            ColorType::La8 => (1, 2, 1),
            ColorType::Rgb8 => (1, 3, 3),
            ColorType::Rgba8 => (1, 4, 3),
            ColorType::L16 => (2, 1, 1),
            ColorType::La16 => (2, 2, 1),
            ColorType::Rgb16 => (2, 3, 3),
            ColorType::Rgba16 => (2, 4, 3),
            _ => return Err(PhotoError::Measurements(self.name())),
        };
        if each == 1 && channels == usize::from(components) {
            return Pixels::filled(width, height, components, spread, |room| {
                decoder.read_image(room).map_err(self.fault(bytes))
            });
        }
        if (each, channels, spread) == (1, 4, true) {
            // Already four bytes a pixel: blended where they are.
            return Pixels::blended(width, height, |room| {
                decoder.read_image(room).map_err(self.fault(bytes))
            });
        }
        let size = usize::try_from(size).map_err(|_| PhotoError::Memory(size))?;
        let mut raw = vec![0; size];
        decoder.read_image(&mut raw).map_err(self.fault(bytes))?;
        Pixels::filled(width, height, components, spread, |room| {
            if each == 2 {
                // The higher byte, as PNG defines the conversion from 16 to 8 bits.
                let (wide, _) = raw.as_chunks::<2>();
                let narrow = wide.iter().map(|v| (u16::from_ne_bytes(*v) >> 8) as u8);
                lay(narrow, channels, room);
            } else {
                lay(raw.iter().copied(), channels, room);
            }
            Ok(())
        })
    }

    /// An error of the decoder, worded for the owner of the file.
    fn fault(self, bytes: &[u8]) -> impl Fn(ImageError) -> PhotoError {
        let length = bytes.len();
        move |error| match error {
            ImageError::Unsupported(why) => PhotoError::Rare {
                format: self.name(),
                why: why.to_string(),
            },
            ImageError::Limits(_) => PhotoError::Memory(MAX_DECODED_BYTES),
            ImageError::IoError(why) if why.kind() == ErrorKind::UnexpectedEof => {
                PhotoError::CutShort(length)
            }
            other => PhotoError::Decode(other.to_string()),
        }
    }
}

/// Refuses a picture that needs more than [`MAX_DECODED_BYTES`] when it is decoded whole: four bytes a
/// pixel, and in addition the decoded values where they have to be converted. Pictures with more than
/// [`MAX_PIXELS`] are refused by their number of pixels.
fn fits(decoder: &impl ImageDecoder) -> Result<(), PhotoError> {
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    let converted = match decoder.color_type() {
        ColorType::L8 | ColorType::Rgb8 | ColorType::Rgba8 => 0,
        _ => decoder.total_bytes(),
    };
    let needed = pixels.saturating_mul(4).saturating_add(converted);
    if needed > MAX_DECODED_BYTES && pixels <= MAX_PIXELS {
        return Err(PhotoError::Memory(needed));
    }
    Ok(())
}

/// Memory that a decoder may use besides that of its pixels.
fn limits() -> Limits {
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(MAX_DECODED_BYTES);
    limits
}

/// Writes pixels without alpha, blended with white.
fn lay(values: impl Iterator<Item = u8>, channels: usize, room: &mut [u8]) {
    let opaque = channels % 2 == 1;
    let mut values = values;
    let colours = if opaque { channels } else { channels - 1 };
    let mut colour = [0; 3];
    for place in room.chunks_exact_mut(colours) {
        let colour = &mut colour[..colours];
        colour.iter_mut().zip(&mut values).for_each(|(c, v)| *c = v);
        let alpha = if opaque { Some(255) } else { values.next() };
        for (to, from) in place.iter_mut().zip(colour) {
            *to = on_white(*from, alpha.unwrap_or(255));
        }
    }
}

/// Whether the rows of an uncompressed BMP are all there ([MS-WMF] 2.2.2.3 and 2.2.2.9: rows of
/// whole 32-bit units from the offset that the file's head names).
fn whole_bmp(bytes: &[u8], width: u32, height: u32) -> Result<(), PhotoError> {
    let two = |at: usize| {
        let bytes = bytes.get(at..)?.first_chunk::<2>()?;
        Some(u64::from(u16::from_le_bytes(*bytes)))
    };
    let four = |at: usize| {
        let bytes = bytes.get(at..)?.first_chunk::<4>()?;
        Some(u64::from(u32::from_le_bytes(*bytes)))
    };
    let (Some(start), Some(header)) = (four(10), four(14)) else {
        return Err(PhotoError::CutShort(bytes.len()));
    };
    // The oldest header has no word for compression.
    let (bits, compression) = match header {
        12 => (two(24), Some(0)),
        _ => (two(28), four(30)),
    };
    let (Some(bits), Some(compression)) = (bits, compression) else {
        return Err(PhotoError::CutShort(bytes.len()));
    };
    // Uncompressed, or with masks for the colours; of a run-length coded one only decoding shows.
    if matches!(compression, 0 | 3 | 6) {
        let row = (u64::from(width) * bits).div_ceil(32) * 4;
        if start.saturating_add(row.saturating_mul(height.into())) > bytes.len() as u64 {
            return Err(PhotoError::CutShort(bytes.len()));
        }
    }
    Ok(())
}

/// Checks that all parts of a TIFF's first page are present and that the page is the photo (TIFF
/// 6.0, sections 3 and 15); returns which way up it is.
fn whole_tiff(bytes: &[u8]) -> Result<Turn, PhotoError> {
    const SUBFILE: Tag = Tag(Context::Tiff, 0x00FE);
    const STRIPS: [Tag; 2] = [Tag::StripOffsets, Tag::StripByteCounts];
    const TILES: [Tag; 2] = [Tag(Context::Tiff, 0x0144), Tag(Context::Tiff, 0x0145)];
    let mut reader = exif::Reader::new();
    let read = reader.continue_on_error(true).read_raw(bytes.to_vec());
    let fields = match read.or_else(|e| e.distill_partial_result(|_| {})) {
        Ok(fields) => fields,
        Err(why) => return Err(PhotoError::Decode(why.to_string())),
    };
    let numbers = |tag: Tag| -> Vec<u64> {
        let field = fields.get_field(tag, In::PRIMARY);
        let values = field.and_then(|field| field.value.iter_uint());
        values.map_or_else(Vec::new, |values| values.map(u64::from).collect())
    };
    // Raw files of cameras begin with a small picture for browsing.
    if numbers(SUBFILE).first().is_some_and(|kind| kind & 1 == 1) {
        return Err(PhotoError::Preview);
    }
    for [places, lengths] in [STRIPS, TILES] {
        let parts = numbers(places).into_iter().zip(numbers(lengths));
        for (place, length) in parts {
            if place + length > bytes.len() as u64 {
                return Err(PhotoError::CutShort(bytes.len()));
            }
        }
    }
    Ok(Turn::from_fields(&fields))
}

/// Whether a WebP has all the bytes that its header announces (RFC 9649, 2.4).
fn whole_webp(bytes: &[u8]) -> Result<(), PhotoError> {
    let announced = bytes.get(4..).and_then(|rest| rest.first_chunk::<4>());
    let announced = announced.map_or(u64::MAX, |size| u64::from(u32::from_le_bytes(*size)) + 8);
    if announced > bytes.len() as u64 {
        return Err(PhotoError::CutShort(bytes.len()));
    }
    Ok(())
}
