//! From an original to the stream in a PDF: passed through, or decoded, turned, scaled
//! and encoded again.

use super::bytes::Bytes;
use super::error::PhotoError;
use super::jpeg::{Coding, Jpeg};
use super::original::{Format, Original};
use super::pixels::Pixels;
use super::png_rows;
use super::progressive;
use super::raster::Raster;
use super::reduced;
use super::taken::Taken;
use super::turn::Turn;
use crate::visit::surroundings::ImageError;

/// Resolution to which images are scaled at their printed size, in pixels per inch.
pub const PRINT_DPI: f64 = 300.0;

/// Resolution up to which an image is not scaled, in pixels per inch: a tenth above [`PRINT_DPI`].
/// Resampling by less than a tenth blurs the photo and saves next to nothing.
pub const PASS_DPI: f64 = 330.0;

/// Resolution to which line art is scaled, in pixels per inch, so that sharp edges print well.
pub const LINE_ART_DPI: f64 = 600.0;

/// Resolution up to which line art is not scaled: a tenth more, as for photos.
pub const LINE_ART_PASS_DPI: f64 = 660.0;

/// Quality of photos that had to be encoded again, on the usual scale of 1 to 100.
pub const JPEG_QUALITY: u8 = 85;

/// How an image will be printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Printed width of the upright image in millimetres; the height follows from its shape.
    pub width_mm: f64,
    /// How much of its detail is kept.
    pub detail: Detail,
    /// What kind of picture it is.
    pub subject: Subject,
}

/// How much detail of an image is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    /// Print resolution: above [`PASS_DPI`] a photo is scaled to [`PRINT_DPI`]; above
    /// [`LINE_ART_PASS_DPI`] line art is scaled to [`LINE_ART_DPI`].
    Print,
    /// All pixels, for reading on a screen or as evidence.
    Full,
}

/// Kind of picture, which decides how it is encoded if it has to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// A photo: JPEG.
    Photo,
    /// A logo or a signature: without loss.
    LineArt,
}

/// An image ready to be put into a PDF as an image XObject of 8 bits a component, in DeviceRGB
/// (3 components), DeviceGray (1), or Indexed over DeviceRGB (1 and a palette). Holds pixels only,
/// no metadata.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PreparedImage {
    /// The stream's bytes.
    pub bytes: Bytes,
    /// How they are coded.
    pub kind: Kind,
    /// Components per pixel: 1 (grey, or a palette index) or 3 (RGB).
    pub components: u8,
    /// Colours of an indexed image, 3 bytes (RGB) each, at most 256 of them.
    pub palette: Option<Vec<u8>>,
    /// Width in pixels, upright.
    pub width: u32,
    /// Height in pixels, upright.
    pub height: u32,
    /// SHA-256 of the file from which it was made.
    pub sha256_of_original: [u8; 32],
    /// When, and with which camera, it was taken, according to that file; unknown for line art.
    pub taken: Taken,
}

/// How the bytes of a [`PreparedImage`] are coded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A complete JPEG: `/DCTDecode` without parameters; its header describes the coding of
    /// colours.
    Jpeg {
        /// Whether the pixels are those of the original, bit for bit.
        untouched: bool,
    },
    /// Uncompressed pixels, row by row, one byte per component; the writer of the file compresses
    /// them.
    Rows,
}

impl Original {
    /// Turns the image into what a PDF can contain.
    ///
    /// A baseline or progressive JPEG that is upright and not too large for its printed size is
    /// passed through: its coded pixels are copied unchanged and not decoded. Any other image is
    /// decoded once, scaled, turned upright and encoded: photos as JPEG of quality
    /// [`JPEG_QUALITY`], line art without loss. Transparent pixels are blended with white.
    ///
    /// # Errors
    /// The pixel data turn out to be damaged.
    pub fn prepare(&self, placement: Placement) -> Result<PreparedImage, ImageError> {
        let facts = self.facts();
        let taken = match placement.subject {
            Subject::Photo => self.taken(),
            Subject::LineArt => Taken::default(),
        };
        let target = match placement.detail {
            Detail::Full => None,
            Detail::Print => {
                let (pass, to) = match placement.subject {
                    Subject::Photo => (PASS_DPI, PRINT_DPI),
                    Subject::LineArt => (LINE_ART_PASS_DPI, LINE_ART_DPI),
                };
                let inches = placement.width_mm / 25.4;
                scaled_size(facts.width, facts.height, pass * inches, to * inches)
            }
        };
        if let (Format::Jpeg(jpeg), None) = (self.format(), target)
            && passes(jpeg)
            && self.turn() == Turn::Upright
        {
            return Ok(PreparedImage {
                bytes: jpeg.picture(self.shared()),
                kind: Kind::Jpeg { untouched: true },
                components: jpeg.components,
                palette: None,
                width: facts.width,
                height: facts.height,
                sha256_of_original: self.sha256(),
                taken,
            });
        }

        // Scaled before turning, because there are fewer pixels to turn afterwards.
        let target = target.map(|(width, height)| match self.turn().swaps() {
            true => (height, width),
            false => (width, height),
        });
        let mut pixels = self.decoded(target)?;
        if let Some((width, height)) = target {
            pixels = pixels.scale(width, height)?;
        }
        let mut pixels = pixels.turn(self.turn());
        let (width, height) = (pixels.width, pixels.height);
        let palette = match placement.subject {
            Subject::Photo => None,
            Subject::LineArt => pixels.index(),
        };
        let components = pixels.components;
        let (bytes, kind) = match placement.subject {
            Subject::Photo => {
                let kind = Kind::Jpeg { untouched: false };
                (pixels.to_jpeg(JPEG_QUALITY)?, kind)
            }
            Subject::LineArt => (pixels.data, Kind::Rows),
        };
        Ok(PreparedImage {
            bytes: bytes.into(),
            kind,
            components,
            palette,
            width,
            height,
            sha256_of_original: self.sha256(),
            taken,
        })
    }

    /// The pixels as stored; for a JPEG possibly at a reduced size, but not smaller than the
    /// target.
    fn decoded(&self, target: Option<(u32, u32)>) -> Result<Pixels, PhotoError> {
        let jpeg = match self.format() {
            Format::Raster(raster) => {
                let facts = self.facts();
                let size = match self.turn().swaps() {
                    true => (facts.height, facts.width),
                    false => (facts.width, facts.height),
                };
                let by = target.and_then(|target| reduced::factor(size, target));
                if let Some(by) = by
                    && *raster == Raster::Png
                    && let Some(pixels) = png_rows::decode(self.bytes(), by)?
                {
                    return Ok(pixels);
                }
                return raster.decode(self.bytes(), target.is_some());
            }
            Format::Jpeg(jpeg) => jpeg,
        };
        let picture = jpeg.picture(self.shared());
        let size = (jpeg.width.into(), jpeg.height.into());
        let by = target.and_then(|target| reduced::factor(size, target));
        if let Some(by) = by
            && jpeg.coding == Coding::Progressive
            && let Some(pixels) = progressive::decode(&picture, by, jpeg.is_rgb())?
        {
            return Ok(pixels);
        }
        if let Some(by) = by
            && let Some(pixels) = reduced::decode(&picture, size, by, jpeg.components)?
        {
            return Ok(pixels);
        }
        let spread = target.is_some() && !jpeg.is_rgb();
        Pixels::from_jpeg(&picture.whole(), jpeg.components, spread)
    }
}

/// Whether every PDF reader can decode the JPEG as it is (ISO 32000-1, 7.4.8).
fn passes(jpeg: &Jpeg) -> bool {
    matches!(jpeg.coding, Coding::Baseline | Coding::Progressive)
}

/// The size to which an image of `width` × `height` pixels is scaled: unchanged if it is at most
/// `pass` pixels wide, otherwise at most `to` pixels wide. Widths that are not numbers scale
/// nothing.
fn scaled_size(width: u32, height: u32, pass: f64, to: f64) -> Option<(u32, u32)> {
    let oversized = to > 0.0 && f64::from(width) > pass;
    if !oversized {
        return None;
    }
    let w = to.floor().max(1.0);
    let h = (f64::from(height) * w / f64::from(width)).round().max(1.0);
    Some((w as u32, h as u32))
}
