//! JPEG files as a chain of segments (ITU-T T.81, annex B): whether the chain is complete, the
//! values in the header, and which bytes are the picture.
//!
//! Walking the chain touches each byte of a photo once, through `memchr`, and decodes none of it:
//! 12 megapixels take well under a millisecond. It detects a truncated file and a header that
//! announces more than the data can contain. It does not detect a flipped bit inside the data,
//! which shows as a stain on the photo, as it does on the camera.

use super::bytes::Bytes;
use super::error::PhotoError;
use super::image_limits::MAX_SCANS;
use std::ops::Range;
use std::sync::Arc;

/// First bytes of every JPEG: start of image and the first byte of a marker.
pub(super) const SIGNATURE: [u8; 3] = [0xFF, SOI, 0xFF];

// Markers, T.81 table B.1.
const SOF0: u8 = 0xC0;
const SOF2: u8 = 0xC2;
const DHT: u8 = 0xC4;
const JPG: u8 = 0xC8;
const DAC: u8 = 0xCC;
const SOF15: u8 = 0xCF;
const RST0: u8 = 0xD0;
const RST7: u8 = 0xD7;
const SOI: u8 = 0xD8;
const EOI: u8 = 0xD9;
const SOS: u8 = 0xDA;
const DQT: u8 = 0xDB;
const DNL: u8 = 0xDC;
const DRI: u8 = 0xDD;
const DHP: u8 = 0xDE;
const EXP: u8 = 0xDF;
const APP0: u8 = 0xE0;
const APP1: u8 = 0xE1;
const APP14: u8 = 0xEE;
const TEM: u8 = 0x01;

/// How the coefficients of a picture are coded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Coding {
    /// Sequential, with the number of tables that every decoder supports.
    Baseline,
    /// Sequential with more tables, which PDF readers need not support.
    Extended,
    /// In several passes.
    Progressive,
}

/// The values in the chain of segments.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Jpeg {
    pub width: u16,
    pub height: u16,
    /// 1 (grey) or 3.
    pub components: u8,
    pub coding: Coding,
    /// Size of the coefficients while a progressive picture is decoded, in bytes.
    pub coefficient_bytes: Option<u64>,
    /// TIFF block of the first EXIF segment.
    pub exif: Option<Range<usize>>,
    /// Whether it has a JFIF header, which means that three components are Y'CbCr.
    jfif: bool,
    /// Colour transform of the Adobe segment: 0 RGB, 1 Y'CbCr.
    adobe: Option<u8>,
    /// Whether the component ids spell "RGB", from which common decoders conclude RGB if no header
    /// says otherwise.
    rgb_ids: bool,
    /// Bytes of the file that make up the picture: tables, frame header, scans.
    picture: Vec<Range<usize>>,
}

/// One component of the frame.
struct Component {
    id: u8,
    /// Sampling factors, 1 to 4.
    h: u8,
    v: u8,
    /// Number of its quantisation table.
    table: u8,
    seen: bool,
}

struct Frame {
    width: u16,
    height: u16,
    coding: Coding,
    components: Vec<Component>,
}

impl Frame {
    /// Size of all coefficients, two bytes each, which a decoder must keep from one pass to the
    /// next: whole interleaved units (T.81 A.2.4). `None` if there is only one pass.
    fn coefficient_bytes(&self) -> Option<u64> {
        if self.coding != Coding::Progressive {
            return None;
        }
        let most = |f: fn(&Component) -> u8| self.components.iter().map(f).max().unwrap_or(1);
        let units = |side: u16, factor: u8| u64::from(side).div_ceil(8 * u64::from(factor));
        let units = units(self.width, most(|c| c.h)) * units(self.height, most(|c| c.v));
        let blocks: u64 = self
            .components
            .iter()
            .map(|c| u64::from(c.h) * u64::from(c.v))
            .sum();
        Some(units * blocks * 128)
    }

    /// Smallest number of bits in which the whole picture can have been coded: two codes of one bit
    /// per block if sequential (T.81 F.1.2), one in the first pass if progressive (G.1.2).
    fn least_bits(&self) -> u64 {
        let most = |f: fn(&Component) -> u8| self.components.iter().map(f).max().unwrap_or(1);
        let (h_max, v_max) = (u64::from(most(|c| c.h)), u64::from(most(|c| c.v)));
        let blocks: u64 = self
            .components
            .iter()
            .map(|c| {
                let w = (u64::from(self.width) * u64::from(c.h)).div_ceil(h_max);
                let h = (u64::from(self.height) * u64::from(c.v)).div_ceil(v_max);
                w.div_ceil(8) * h.div_ceil(8)
            })
            .sum();
        match self.coding {
            Coding::Progressive => blocks,
            Coding::Baseline | Coding::Extended => 2 * blocks,
        }
    }
}

/// Walks all segments of a file up to its end of image. The bytes after it are ignored: phones
/// append films, depth maps and smaller copies.
pub(super) fn walk(bytes: &[u8]) -> Result<Jpeg, PhotoError> {
    let cut = || PhotoError::CutShort(bytes.len());
    let mut frame: Option<Frame> = None;
    let mut exif = None;
    let mut jfif = false;
    let mut adobe = None;
    let mut picture = Ranges::default();
    let mut data_bytes = 0_u64;
    let mut scans = 0_usize;
    // The tables defined so far, one bit each.
    let mut quantisation = 0_u8;
    let mut dc_tables = 0_u8;
    let mut ac_tables = 0_u8;

    let mut at = 2; // behind the start of image
    loop {
        if *bytes.get(at).ok_or_else(cut)? != 0xFF {
            return Err(PhotoError::NoMarker(at));
        }
        // Any number of FF may precede a marker (B.1.1.2).
        let mut code = at + 1;
        while *bytes.get(code).ok_or_else(cut)? == 0xFF {
            code += 1;
        }
        let marker = bytes[code];
        match marker {
            EOI => break,
            TEM => {
                at = code + 1;
                continue;
            }
            0x00 | SOI | RST0..=RST7 => return Err(PhotoError::NoMarker(at)),
            _ => {}
        }
        let length = match bytes.get(code + 1..code + 3) {
            Some(l) => usize::from(u16::from_be_bytes([l[0], l[1]])),
            None => return Err(cut()),
        };
        if length < 2 {
            return Err(PhotoError::SegmentLength(code - 1));
        }
        let end = code + 1 + length;
        let body = bytes.get(code + 3..end).ok_or_else(cut)?;
        let start = code - 1;
        match marker {
            DQT => {
                quantisation |=
                    quantisation_tables(body).ok_or(PhotoError::SegmentLength(start))?;
                picture.add(start..end);
            }
            DHT => {
                let (dc, ac) = huffman_tables(body).ok_or(PhotoError::SegmentLength(start))?;
                dc_tables |= dc;
                ac_tables |= ac;
                picture.add(start..end);
            }
            DRI => {
                if body.len() != 2 {
                    return Err(PhotoError::SegmentLength(start));
                }
                picture.add(start..end);
            }
            SOS => {
                let frame = frame.as_mut().ok_or(PhotoError::NoFrame)?;
                scans += 1;
                if scans > MAX_SCANS {
                    return Err(PhotoError::Scans(scans));
                }
                let scan = ScanTables {
                    quantisation,
                    dc: dc_tables,
                    ac: ac_tables,
                };
                check_scan(body, frame, scan, start)?;
                let data_end = end_of_scan(bytes, end).ok_or_else(cut)?;
                data_bytes += (data_end - end) as u64;
                picture.add(start..data_end);
                at = data_end;
                continue;
            }
            // Gives a size that the header left open; all readers use the header.
            DNL | DHP | EXP | DAC | JPG => return Err(PhotoError::Coding(marker)),
            SOF0..=SOF15 => {
                if frame.is_some() {
                    return Err(PhotoError::TwoFrames);
                }
                frame = Some(read_frame(marker, body, start)?);
                picture.add(start..end);
            }
            APP0 if body.starts_with(b"JFIF\0") => jfif = true,
            APP1 if exif.is_none() && body.starts_with(b"Exif\0") && body.len() > 6 => {
                exif = Some(code + 9..end);
            }
            APP14 if adobe.is_none() && body.len() >= 12 && body.starts_with(b"Adobe") => {
                adobe = Some(body[11]);
            }
            // No other segment belongs to the picture.
            _ => {}
        }
        at = end;
    }

    let frame = frame.ok_or(PhotoError::NoFrame)?;
    if frame.components.iter().any(|c| !c.seen) {
        return Err(PhotoError::MissingChannel);
    }
    if data_bytes * 8 < frame.least_bits() {
        return Err(PhotoError::TooLittleData {
            width: frame.width.into(),
            height: frame.height.into(),
            bytes: data_bytes,
        });
    }
    Ok(Jpeg {
        width: frame.width,
        height: frame.height,
        components: frame.components.len() as u8,
        coding: frame.coding,
        coefficient_bytes: frame.coefficient_bytes(),
        exif,
        jfif,
        adobe,
        rgb_ids: frame.components.iter().map(|c| c.id).eq(*b"RGB"),
        picture: picture.0,
    })
}

impl Jpeg {
    /// Whether three components are RGB and not Y'CbCr. The rule of common decoders: a JFIF
    /// header decides, else an Adobe segment, else the component ids.
    pub fn is_rgb(&self) -> bool {
        self.components == 3
            && !self.jfif
            && self.adobe.map_or(self.rgb_ids, |transform| transform == 0)
    }

    /// Only the picture: the coded pixels unchanged, without anything that is not needed to decode
    /// them. The colour information that a decoder needs is written again.
    pub fn picture(&self, bytes: &Arc<Vec<u8>>) -> Bytes {
        let mut head = vec![0xFF, SOI];
        if self.is_rgb() {
            // Adobe segment with colour transform 0 (ITU-T T.872, 6.5.3).
            head.extend_from_slice(&[0xFF, APP14, 0, 14]);
            head.extend_from_slice(b"Adobe\0\x64\0\0\0\0\0");
        } else {
            // JFIF 1.02, square pixels, no thumbnail (JFIF 1.02, "JFIF segment").
            head.extend_from_slice(&[0xFF, APP0, 0, 16]);
            head.extend_from_slice(b"JFIF\0\x01\x02\0\0\x01\0\x01\0\0");
        }
        Bytes::passed(head, bytes, &self.picture, &[0xFF, EOI])
    }
}

/// Ranges in ascending order, joined where they touch.
#[derive(Default)]
struct Ranges(Vec<Range<usize>>);

impl Ranges {
    fn add(&mut self, range: Range<usize>) {
        match self.0.last_mut() {
            Some(last) if last.end == range.start => last.end = range.end,
            _ => self.0.push(range),
        }
    }
}

/// End of the entropy-coded data that begin at `from`: the first FF that is neither stuffed (FF 00)
/// nor a restart marker (B.1.1.5).
pub(super) fn end_of_scan(bytes: &[u8], from: usize) -> Option<usize> {
    let rest = bytes.get(from..)?;
    // A run of FF before a marker belongs to the marker.
    let mut run: Option<usize> = None;
    for i in memchr::memchr_iter(0xFF, rest) {
        let begin = run.take().unwrap_or(i);
        match rest.get(i + 1)? {
            0x00 | RST0..=RST7 => {}
            0xFF => run = Some(begin),
            _ => return Some(from + begin),
        }
    }
    None
}

fn read_frame(marker: u8, body: &[u8], at: usize) -> Result<Frame, PhotoError> {
    let coding = match marker {
        SOF0 => Coding::Baseline,
        SOF2 => Coding::Progressive,
        0xC1 => Coding::Extended,
        _ => return Err(PhotoError::Coding(marker)),
    };
    let [precision, h1, h0, w1, w0, count, rest @ ..] = body else {
        return Err(PhotoError::SegmentLength(at));
    };
    if *precision != 8 {
        return Err(PhotoError::Precision(*precision));
    }
    match count {
        1 | 3 => {}
        4 => return Err(PhotoError::Cmyk),
        n => return Err(PhotoError::Channels(*n)),
    }
    let (parts, []) = rest.as_chunks::<3>() else {
        return Err(PhotoError::SegmentLength(at));
    };
    if parts.len() != usize::from(*count) {
        return Err(PhotoError::SegmentLength(at));
    }
    let components: Vec<Component> = parts
        .iter()
        .map(|[id, sampling, table]| Component {
            id: *id,
            h: sampling >> 4,
            v: sampling & 15,
            table: *table,
            seen: false,
        })
        .collect();
    let (width, height) = (
        u16::from_be_bytes([*w1, *w0]),
        u16::from_be_bytes([*h1, *h0]),
    );
    let sound = |c: &Component| (1..=4).contains(&c.h) && (1..=4).contains(&c.v) && c.table < 4;
    let mut ids: Vec<u8> = components.iter().map(|c| c.id).collect();
    ids.sort_unstable();
    ids.dedup();
    if width == 0 || height == 0 || ids.len() != components.len() || !components.iter().all(sound) {
        return Err(PhotoError::Frame(at));
    }
    Ok(Frame {
        width,
        height,
        coding,
        components,
    })
}

/// Numbers of the quantisation tables in a DQT segment, one bit each (B.2.4.1).
fn quantisation_tables(mut body: &[u8]) -> Option<u8> {
    let mut found = 0;
    while let [head, rest @ ..] = body {
        let size = match head >> 4 {
            0 => 64,
            1 => 128,
            _ => return None,
        };
        let number = head & 15;
        if number > 3 {
            return None;
        }
        found |= 1 << number;
        body = rest.get(size..)?;
    }
    Some(found)
}

/// Numbers of the DC and of the AC tables in a DHT segment, one bit each (B.2.4.2).
fn huffman_tables(mut body: &[u8]) -> Option<(u8, u8)> {
    let (mut dc, mut ac) = (0, 0);
    while let [head, rest @ ..] = body {
        let number = head & 15;
        if number > 3 {
            return None;
        }
        match head >> 4 {
            0 => dc |= 1 << number,
            1 => ac |= 1 << number,
            _ => return None,
        }
        let (counts, rest) = rest.split_at_checked(16)?;
        let values: usize = counts.iter().map(|n| usize::from(*n)).sum();
        if values > 256 {
            return None;
        }
        body = rest.get(values..)?;
    }
    Some((dc, ac))
}

/// Tables defined before a scan, one bit each.
#[derive(Clone, Copy)]
struct ScanTables {
    quantisation: u8,
    dc: u8,
    ac: u8,
}

/// Checks a scan header (B.2.3) against the frame and records the components in the scan.
fn check_scan(
    body: &[u8],
    frame: &mut Frame,
    tables: ScanTables,
    at: usize,
) -> Result<(), PhotoError> {
    let [count, rest @ ..] = body else {
        return Err(PhotoError::SegmentLength(at));
    };
    let Some((selectors, [first, last, approximation])) = rest.split_last_chunk::<3>() else {
        return Err(PhotoError::SegmentLength(at));
    };
    let (selectors, []) = selectors.as_chunks::<2>() else {
        return Err(PhotoError::SegmentLength(at));
    };
    if selectors.is_empty() || selectors.len() != usize::from(*count) {
        return Err(PhotoError::SegmentLength(at));
    }
    let (needs_dc, needs_ac) = match frame.coding {
        Coding::Baseline | Coding::Extended => (true, true),
        // The first DC pass is Huffman-coded, later ones are bare bits (G.1.2.1).
        Coding::Progressive => (*first == 0 && approximation >> 4 == 0, *first > 0),
    };
    if *first > 63 || *last > 63 || first > last {
        return Err(PhotoError::Frame(at));
    }
    for [id, numbers] in selectors {
        let component = frame
            .components
            .iter_mut()
            .find(|c| c.id == *id)
            .ok_or(PhotoError::ScanOfNothing(at))?;
        let has = |set: u8, number: u8| number < 4 && set & (1 << number) != 0;
        if !has(tables.quantisation, component.table)
            || (needs_dc && !has(tables.dc, numbers >> 4))
            || (needs_ac && !has(tables.ac, numbers & 15))
        {
            return Err(PhotoError::MissingTable(at));
        }
        component.seen |= *first == 0 || frame.coding != Coding::Progressive;
    }
    Ok(())
}
