//! A progressive JPEG (ITU-T T.81, annex G) decoded at a half, a quarter or an eighth of its size, in a
//! fraction of the memory that its coefficients take.
//!
//! Decoders keep all coefficients, two bytes each, until the last pass is read: 243 MB for a photo of
//! 9000 × 9000 pixels. A reduced picture is made of the lowest frequencies of each block alone, and of
//! the others the passes ask only whether they are zero yet. So the lowest are kept, and one bit of
//! each other: 29 MB for the same photo at a quarter of its size. Colours at a lower resolution are
//! taken at more frequencies and not enlarged afterwards.

mod coefficients;
mod entropy;
mod samples;

use self::coefficients::{Channel, Pass, Span};
use self::entropy::{Bits, Codes};
use self::samples::Transform;
use super::bytes::Bytes;
use super::error::PhotoError;
use super::jpeg;
use super::pixels::Pixels;
use super::workspace;

// Markers, T.81 table B.1.
const SOF2: u8 = 0xC2;
const DHT: u8 = 0xC4;
const SOS: u8 = 0xDA;
const DQT: u8 = 0xDB;
const DRI: u8 = 0xDD;

fn damaged(why: &str) -> PhotoError {
    PhotoError::Decode(why.to_owned())
}

/// Decodes a picture that [`jpeg::walk`] found in order, at its size divided by `by` (2, 4 or 8),
/// rounded up, four bytes a pixel. `None` if its channels differ in size in a way that is not known
/// here.
pub(super) fn decode(picture: &Bytes, by: u32, rgb: bool) -> Result<Option<Pixels>, PhotoError> {
    let mut reading = Reading::default();
    for piece in picture.pieces() {
        if !reading.piece(piece, by as usize)? {
            return Ok(None);
        }
    }
    reading.pixels(by, rgb).map(Some)
}

#[derive(Default)]
struct Reading {
    width: usize,
    height: usize,
    /// Largest sampling factors.
    most: (usize, usize),
    channels: Vec<Channel>,
    quantisation: [Option<[u16; 64]>; 4],
    dc: [Option<Codes>; 4],
    ac: [Option<Codes>; 4],
    interval: usize,
}

impl Reading {
    /// Reads the segments in a piece; `false` if the picture is of a kind that is not known here.
    fn piece(&mut self, piece: &[u8], by: usize) -> Result<bool, PhotoError> {
        let mut at = 0;
        while let Some([0xFF, marker, rest @ ..]) = piece.get(at..) {
            let marker = *marker;
            if marker == 0xFF {
                at += 1;
                continue;
            }
            let Some([high, low]) = rest.first_chunk::<2>() else {
                // The start or the end of the image.
                break;
            };
            if marker == 0xD8 {
                at += 2;
                continue;
            }
            let length = usize::from(u16::from_be_bytes([*high, *low]));
            let body = rest.get(2..length).unwrap_or_default();
            at += 2 + length;
            match marker {
                DQT => self.quantisation(body),
                DHT => self.codes(body)?,
                DRI => {
                    let body = body.first_chunk::<2>().copied().unwrap_or_default();
                    self.interval = u16::from_be_bytes(body).into();
                }
                SOF2 if !self.frame(body, by)? => return Ok(false),
                SOS => {
                    let end = jpeg::end_of_scan(piece, at).unwrap_or(piece.len());
                    let data = piece.get(at..end).unwrap_or_default();
                    if !self.pass(body, data)? {
                        return Ok(false);
                    }
                    at = end;
                }
                _ => {}
            }
        }
        Ok(true)
    }

    fn quantisation(&mut self, mut body: &[u8]) {
        while let [head, rest @ ..] = body {
            let wide = head >> 4 == 1;
            let size = if wide { 128 } else { 64 };
            let Some((values, rest)) = rest.split_at_checked(size) else {
                return;
            };
            let mut table = [0; 64];
            for (n, value) in table.iter_mut().enumerate() {
                *value = match wide {
                    true => u16::from_be_bytes([values[2 * n], values[2 * n + 1]]),
                    false => values[n].into(),
                };
            }
            if let Some(place) = self.quantisation.get_mut(usize::from(head & 15)) {
                *place = Some(table);
            }
            body = rest;
        }
    }

    fn codes(&mut self, mut body: &[u8]) -> Result<(), PhotoError> {
        while let [head, rest @ ..] = body {
            let Some((counts, rest)) = rest.split_first_chunk::<16>() else {
                break;
            };
            let number: usize = counts.iter().map(|n| usize::from(*n)).sum();
            let Some((values, rest)) = rest.split_at_checked(number) else {
                break;
            };
            let tables = match head >> 4 {
                0 => &mut self.dc,
                _ => &mut self.ac,
            };
            if let Some(place) = tables.get_mut(usize::from(head & 15)) {
                *place = Some(Codes::new(counts, values)?);
            }
            body = rest;
        }
        Ok(())
    }

    fn frame(&mut self, body: &[u8], by: usize) -> Result<bool, PhotoError> {
        let [_, h1, h0, w1, w0, _, rest @ ..] = body else {
            return Err(PhotoError::NoFrame);
        };
        self.width = u16::from_be_bytes([*w1, *w0]).into();
        self.height = u16::from_be_bytes([*h1, *h0]).into();
        let (parts, _) = rest.as_chunks::<3>();
        let factors = |part: &[u8; 3]| (usize::from(part[1] >> 4), usize::from(part[1] & 15));
        let all = || parts.iter().map(factors);
        self.most = (
            all().map(|(h, _)| h).max().unwrap_or(1),
            all().map(|(_, v)| v).max().unwrap_or(1),
        );
        let points = 8 / by;
        for part in parts {
            let (h, v) = factors(part);
            let side = |most: usize, factor: usize| {
                let wanted = points * most / factor.max(1);
                let known =
                    factor > 0 && most.is_multiple_of(factor) && matches!(wanted, 1 | 2 | 4 | 8);
                known.then_some(wanted)
            };
            let (Some(across), Some(down)) = (side(self.most.0, h), side(self.most.1, v)) else {
                return Ok(false);
            };
            let span = |size: usize, most: usize, factor: usize| Span {
                own: (size * factor).div_ceil(most).div_ceil(8),
                padded: size.div_ceil(8 * most) * factor,
                factor,
            };
            self.channels.push(Channel::new(
                (part[0], part[2]),
                (
                    span(self.width, self.most.0, h),
                    span(self.height, self.most.1, v),
                ),
                (Transform::new(across), Transform::new(down)),
            ));
        }
        Ok(!self.channels.is_empty())
    }

    /// Reads one pass over the picture (G.1.2); `false` if it mixes channels as no encoder does.
    fn pass(&mut self, head: &[u8], data: &[u8]) -> Result<bool, PhotoError> {
        let Some(([_, selectors @ ..], [first, last, bits])) = head.split_last_chunk::<3>() else {
            return Err(damaged("a pass has no head"));
        };
        let (selectors, _) = selectors.as_chunks::<2>();
        let pass = Pass {
            first: *first,
            last: *last,
            again: bits >> 4 > 0,
            shift: u32::from(bits & 15),
        };
        if pass.shift > 13 {
            return Err(damaged("a pass begins at a bit that no coefficient has"));
        }
        let mut parts = Vec::new();
        for [id, tables] in selectors {
            let of = |c: &Channel| c.id == *id;
            let channel = self.channels.iter().position(of);
            let channel = channel.ok_or_else(|| damaged("a pass belongs to no channel"))?;
            let table = |tables: &[Option<Codes>; 4], number: u8| {
                tables.get(usize::from(number)).and_then(Clone::clone)
            };
            parts.push(Part {
                channel,
                dc: table(&self.dc, tables >> 4),
                ac: table(&self.ac, tables & 15),
                before: 0,
            });
        }
        // T.81, G.1.1.1.1: the lowest frequency is coded apart, the others channel by channel.
        if pass.first == 0 && pass.last > 0 || pass.first > 0 && parts.len() != 1 {
            return Ok(false);
        }
        let mut bits = Bits::new(data);
        let mut run = 0;
        let (across, down) = match parts.as_slice() {
            [only] => {
                let (x, y) = self.channels[only.channel].spans();
                (x.own, y.own)
            }
            _ => (
                self.width.div_ceil(8 * self.most.0),
                self.height.div_ceil(8 * self.most.1),
            ),
        };
        let alone = parts.len() == 1;
        let mut units = 0_usize;
        for y in 0..down {
            for x in 0..across {
                if self.interval > 0 && units > 0 && units.is_multiple_of(self.interval) {
                    bits.restart(((units / self.interval - 1) % 8) as u8)?;
                    parts.iter_mut().for_each(|part| part.before = 0);
                    run = 0;
                }
                units += 1;
                for part in &mut parts {
                    let channel = &mut self.channels[part.channel];
                    let (h, v) = match alone {
                        true => (1, 1),
                        false => (channel.spans().0.factor, channel.spans().1.factor),
                    };
                    for block in (0..h * v).map(|n| (x * h + n % h, y * v + n / h)) {
                        let block = channel.block(block);
                        if pass.first == 0 {
                            channel.mean(
                                block,
                                pass,
                                part.dc.as_ref(),
                                &mut part.before,
                                &mut bits,
                            )?;
                        } else if pass.again {
                            channel.refine(block, pass, part.ac.as_ref(), &mut run, &mut bits)?;
                        } else {
                            channel.first(block, pass, part.ac.as_ref(), &mut run, &mut bits)?;
                        }
                    }
                }
            }
        }
        Ok(true)
    }

    /// The picture.
    fn pixels(&self, by: u32, rgb: bool) -> Result<Pixels, PhotoError> {
        let by = by as usize;
        let (width, height) = (self.width.div_ceil(by), self.height.div_ceil(by));
        let mut data = workspace::room(width * height * 4);
        let components = self.channels.len();
        // Samples of one row of units, all channels at the same resolution.
        let tall = self.most.1 * 8 / by;
        let stride = self.width.div_ceil(8 * self.most.0) * self.most.0 * 8 / by;
        let mut rows = vec![vec![0; stride * tall]; components];
        for (unit, lines) in data.chunks_mut(width * tall * 4).enumerate() {
            for (channel, rows) in self.channels.iter().zip(&mut rows) {
                let table = self.quantisation.get(usize::from(channel.table));
                let table = table.and_then(Option::as_ref);
                let table = table.ok_or_else(|| damaged("a table is missing"))?;
                channel.samples(unit, table, stride, rows);
            }
            for (y, line) in lines.chunks_mut(width * 4).enumerate() {
                let from = y * stride;
                let (pixels, _) = line.as_chunks_mut::<4>();
                match rows.as_slice() {
                    [first, second, third] => {
                        for (x, pixel) in pixels.iter_mut().enumerate() {
                            let at = from + x;
                            let values = [first[at], second[at], third[at]];
                            let [r, g, b] = if rgb { values } else { to_rgb(values) };
                            *pixel = [r, g, b, 0];
                        }
                    }
                    [grey, ..] => {
                        for (x, pixel) in pixels.iter_mut().enumerate() {
                            *pixel = [grey[from + x], 0, 0, 0];
                        }
                    }
                    [] => {}
                }
            }
        }
        let (Ok(width), Ok(height)) = (u32::try_from(width), u32::try_from(height)) else {
            return Err(PhotoError::Proportions);
        };
        Pixels::of(width, height, components as u8, true, data)
    }
}

/// A channel in one pass.
struct Part {
    channel: usize,
    dc: Option<Codes>,
    ac: Option<Codes>,
    /// Mean of the block before (F.1.1.5.1).
    before: i32,
}

/// Red, green and blue of brightness and colours (JFIF 1.02, "Conversion to and from RGB").
fn to_rgb([y, cb, cr]: [u8; 3]) -> [u8; 3] {
    // The factors, times 2^16.
    const RED: i32 = 91_881;
    const GREEN: (i32, i32) = (22_554, 46_802);
    const BLUE: i32 = 116_130;
    let half = 1 << 15;
    let (y, cb, cr) = (i32::from(y) << 16, i32::from(cb) - 128, i32::from(cr) - 128);
    [y + RED * cr, y - GREEN.0 * cb - GREEN.1 * cr, y + BLUE * cb]
        .map(|value| ((value + half) >> 16).clamp(0, 255) as u8)
}
