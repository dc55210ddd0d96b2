//! Decoded pixels: scaled, turned, and encoded again; and those of a JPEG at its full size.
//!
//! The crates used here choose vector instructions by the processor. Decoding and scaling give the
//! same pixels either way, because both compute in integers. For the JPEG encoder, only the
//! portable code is used: its vector code rounds differently, and the certificate must not depend
//! on the computer that made it.

use super::error::PhotoError;
use super::turn::Turn;
use super::workspace;
use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions};
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use std::collections::HashMap;
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

/// Pixels of 8 bits a component, row by row from the top left.
pub(super) struct Pixels {
    pub width: u32,
    pub height: u32,
    /// 1 (grey) or 3 (RGB).
    pub components: u8,
    /// Whether each pixel has four bytes, as scaling needs them: red, green, blue and a padding
    /// byte.
    spread: bool,
    pub(super) data: Vec<u8>,
}

/// A value blended with white by its opacity.
pub(super) fn on_white(value: u8, opacity: u8) -> u8 {
    let (v, a) = (u32::from(value), u32::from(opacity));
    ((v * a + 255 * (255 - a) + 127) / 255) as u8
}

fn decode(error: impl std::fmt::Display) -> PhotoError {
    PhotoError::Decode(error.to_string())
}

impl Pixels {
    /// Decodes a JPEG of 1 or 3 components at its full size, with or without padding to four bytes
    /// per pixel. The decoder cannot pad the pixels of a JPEG whose coefficients are RGB.
    ///
    /// This is the decoder inside `image`, called directly, because `image` never uses its strict
    /// mode and would print damaged data as if they were the photo.
    pub fn from_jpeg(bytes: &[u8], components: u8, spread: bool) -> Result<Self, PhotoError> {
        let space = match (spread, components) {
            (true, _) => ColorSpace::RGBA,
            (false, 1) => ColorSpace::Luma,
            (false, _) => ColorSpace::RGB,
        };
        let side = usize::from(u16::MAX);
        let options = DecoderOptions::default()
            .set_max_width(side)
            .set_max_height(side)
            .set_strict_mode(true)
            .jpeg_set_out_colorspace(space);
        let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
        decoder.decode_headers().map_err(decode)?;
        let size = decoder.output_buffer_size().ok_or(PhotoError::NoFrame)?;
        let mut data = workspace::room(size);
        decoder.decode_into(&mut data).map_err(decode)?;
        let (width, height) = decoder.dimensions().ok_or(PhotoError::NoFrame)?;
        let (Ok(width), Ok(height)) = (u32::try_from(width), u32::try_from(height)) else {
            return Err(PhotoError::Proportions);
        };
        Self::of(width, height, components, spread, data)
    }

    /// Pixels that `fill` writes, row by row, one byte per component. If they will be scaled, they
    /// are then padded to four bytes each in the same buffer.
    pub fn filled(
        width: u32,
        height: u32,
        components: u8,
        spread: bool,
        fill: impl FnOnce(&mut [u8]) -> Result<(), PhotoError>,
    ) -> Result<Self, PhotoError> {
        let pixels = width as usize * height as usize;
        let each = usize::from(components);
        if !spread {
            let mut data = vec![0; pixels * each];
            fill(&mut data)?;
            return Self::of(width, height, components, false, data);
        }
        // At the end of the buffer, so that no pixel is overwritten before it is read.
        let mut data = workspace::room(pixels * 4);
        let from = pixels * (4 - each);
        fill(data.get_mut(from..).unwrap_or_default())?;
        for pixel in 0..pixels {
            let read = from + pixel * each;
            let mut place = [0; 4];
            place[..each].copy_from_slice(&data[read..read + each]);
            data[pixel * 4..pixel * 4 + 4].copy_from_slice(&place);
        }
        Self::of(width, height, components, true, data)
    }

    /// RGB pixels from those with opacity that `fill` writes, blended with white; four bytes a pixel.
    pub fn blended(
        width: u32,
        height: u32,
        fill: impl FnOnce(&mut [u8]) -> Result<(), PhotoError>,
    ) -> Result<Self, PhotoError> {
        let mut data = workspace::room(width as usize * height as usize * 4);
        fill(&mut data)?;
        for pixel in data.as_chunks_mut::<4>().0 {
            let [red, green, blue, opacity] = *pixel;
            let [red, green, blue] = [red, green, blue].map(|value| on_white(value, opacity));
            *pixel = [red, green, blue, 0];
        }
        Self::of(width, height, 3, true, data)
    }

    /// Pixels as they are.
    pub fn of(
        width: u32,
        height: u32,
        components: u8,
        spread: bool,
        data: Vec<u8>,
    ) -> Result<Self, PhotoError> {
        let each = if spread { 4 } else { components };
        let wanted = u64::from(width) * u64::from(height) * u64::from(each);
        if data.len() as u64 != wanted {
            return Err(PhotoError::CutShort(data.len()));
        }
        Ok(Self {
            width,
            height,
            components,
            spread,
            data,
        })
    }

    /// Scales with a Lanczos filter of three lobes, which keeps thin conductors visible and print
    /// legible.
    ///
    /// The resizer is built only for pixels of four bytes: its code for the other kinds takes 3 MB
    /// of the program, and does not compile reproducibly.
    pub fn scale(self, width: u32, height: u32) -> Result<Self, PhotoError> {
        let kind = PixelType::U8x4;
        let stored = self.spread()?;
        let from =
            ImageRef::new(stored.width, stored.height, &stored.data, kind).map_err(decode)?;
        let mut to = Image::new(width, height, kind);
        let options = ResizeOptions::new()
            .resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3))
            .use_alpha(false);
        workspace::with_resizer(|resizer| resizer.resize(&from, &mut to, &options))
            .map_err(decode)?;
        let (scaled, _) = to.buffer().as_chunks::<4>();
        let data = match stored.components {
            1 => scaled.iter().map(|[grey, ..]| *grey).collect(),
            _ => scaled
                .iter()
                .flat_map(|[r, g, b, _]| [*r, *g, *b])
                .collect(),
        };
        workspace::give_back(stored.data);
        Self::of(width, height, stored.components, false, data)
    }

    /// With four bytes a pixel.
    fn spread(self) -> Result<Self, PhotoError> {
        if self.spread {
            return Ok(self);
        }
        Self::filled(self.width, self.height, self.components, true, |room| {
            room.copy_from_slice(&self.data);
            Ok(())
        })
    }

    /// Turns the picture upright.
    pub fn turn(self, turn: Turn) -> Self {
        let (width, height) = if turn.swaps() {
            (self.height, self.width)
        } else {
            (self.width, self.height)
        };
        let data = match self.components {
            1 => turn.apply::<1>(self.data, self.width as usize),
            _ => turn.apply::<3>(self.data, self.width as usize),
        };
        Self {
            width,
            height,
            components: self.components,
            spread: false,
            data,
        }
    }

    /// Encodes as a baseline JPEG, colours at half resolution as cameras do.
    pub fn to_jpeg(&self, quality: u8) -> Result<Vec<u8>, PhotoError> {
        let (Ok(width), Ok(height)) = (u16::try_from(self.width), u16::try_from(self.height))
        else {
            return Err(PhotoError::Proportions);
        };
        let color = if self.components == 1 {
            ColorType::Luma
        } else {
            ColorType::Rgb
        };
        let mut bytes = Vec::with_capacity(self.data.len() / 8);
        let mut encoder = Encoder::new(&mut bytes, quality);
        encoder.set_sampling_factor(SamplingFactor::F_2_2);
        encoder
            .encode(&self.data, width, height, color)
            .map_err(decode)?;
        Ok(bytes)
    }

    /// Replaces pixels by palette indexes if there are few colours, as in logos and signatures,
    /// which takes a third of the bytes. Returns the palette; `None` if the image has more than 256
    /// colours or is grey. Grey pixels in three components are reduced to one.
    pub fn index(&mut self) -> Option<Vec<u8>> {
        if self.components != 3 {
            return None;
        }
        let (pixels, _) = self.data.as_chunks::<3>();
        if pixels.iter().all(|[r, g, b]| r == g && g == b) {
            self.data = pixels.iter().map(|[r, ..]| *r).collect();
            self.components = 1;
            return None;
        }
        let mut places: HashMap<[u8; 3], u8> = HashMap::new();
        let mut palette = Vec::new();
        let mut indexed = Vec::with_capacity(pixels.len());
        // Neighbours mostly share a colour.
        let mut last: Option<([u8; 3], u8)> = None;
        for &color in pixels {
            let place = match last {
                Some((same, place)) if same == color => place,
                _ => {
                    let next = u8::try_from(places.len()).ok();
                    match (places.get(&color), next) {
                        (Some(place), _) => *place,
                        (None, Some(next)) => {
                            places.insert(color, next);
                            palette.extend_from_slice(&color);
                            next
                        }
                        (None, None) => return None,
                    }
                }
            };
            last = Some((color, place));
            indexed.push(place);
        }
        self.data = indexed;
        self.components = 1;
        Some(palette)
    }
}
