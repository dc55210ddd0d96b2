//! PNG files as a chain of chunks (W3C Portable Network Graphics, third edition): whether the chain
//! is complete and every check sum right, and the values in the header. Pixels are decoded only
//! when the certificate is made.

use super::error::PhotoError;
use std::ops::Range;

/// First bytes of every PNG (5.2).
pub(super) const SIGNATURE: [u8; 8] = *b"\x89PNG\r\n\x1a\n";

/// Maximum expansion of deflate: 258 bytes for slightly more than two bits; zlib's documentation
/// states 1032:1.
const DEFLATE_MOST: u64 = 1032;

/// The values in the chain of chunks.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Png {
    pub width: u32,
    pub height: u32,
    /// Whether its rows do not come in order (8.1).
    pub interlaced: bool,
    /// TIFF block of the eXIf chunk.
    pub exif: Option<Range<usize>>,
}

/// Walks all chunks up to IEND. The bytes after it are ignored.
pub(super) fn walk(bytes: &[u8]) -> Result<Png, PhotoError> {
    let cut = || PhotoError::CutShort(bytes.len());
    let mut header: Option<Header> = None;
    let mut exif = None;
    let mut palette = false;
    let mut data_bytes = 0_u64;
    let mut data_ended = false;
    let mut at = SIGNATURE.len();
    loop {
        let Some(head) = bytes.get(at..).and_then(|rest| rest.first_chunk::<8>()) else {
            return Err(cut());
        };
        let [l3, l2, l1, l0, kind @ ..] = *head;
        let length = u32::from_be_bytes([l3, l2, l1, l0]);
        if length > i32::MAX as u32 || !kind.iter().all(u8::is_ascii_alphabetic) {
            return Err(PhotoError::Chunk(at));
        }
        let end = at + 8 + length as usize;
        let sum = bytes
            .get(end..)
            .and_then(|rest| rest.first_chunk::<4>())
            .ok_or_else(cut)?;
        if crc32fast::hash(&bytes[at + 4..end]) != u32::from_be_bytes(*sum) {
            return Err(PhotoError::Checksum(at));
        }
        let body = &bytes[at + 8..end];
        match (&kind, header) {
            (b"IHDR", None) => header = Some(read_header(body)?),
            (_, None) | (b"IHDR", Some(_)) => return Err(PhotoError::Chunk(at)),
            (b"PLTE", _) => palette = true,
            (b"IDAT", Some(header)) => {
                // Data chunks follow one another (5.6); an indexed picture has its palette first.
                if data_ended || (header.color == 3 && !palette) {
                    return Err(PhotoError::Chunk(at));
                }
                data_bytes += u64::from(length);
            }
            (b"eXIf", _) => exif = exif.or(Some(at + 8..end)),
            (b"IEND", _) => break,
            // A chunk with a capital letter first is needed to read the picture (5.4).
            (kind, _) if kind[0].is_ascii_uppercase() => return Err(PhotoError::Chunk(at)),
            _ => {}
        }
        data_ended |= data_bytes > 0 && kind != *b"IDAT";
        at = end + 4;
    }
    let header = header.ok_or(PhotoError::PngHeader)?;
    if data_bytes.saturating_mul(DEFLATE_MOST) < header.raw_bytes() {
        return Err(PhotoError::TooLittleData {
            width: header.width,
            height: header.height,
            bytes: data_bytes,
        });
    }
    Ok(Png {
        width: header.width,
        height: header.height,
        interlaced: header.interlaced,
        exif,
    })
}

#[derive(Clone, Copy)]
struct Header {
    width: u32,
    height: u32,
    bits: u8,
    color: u8,
    interlaced: bool,
}

impl Header {
    /// Bytes of the unfiltered pixels, rounded down.
    fn raw_bytes(&self) -> u64 {
        let channels = match self.color {
            2 => 3,
            4 => 2,
            6 => 4,
            _ => 1,
        };
        let pixels = u64::from(self.width) * u64::from(self.height);
        pixels.saturating_mul(channels * u64::from(self.bits)) / 8
    }
}

/// Reads IHDR (11.2.1).
fn read_header(body: &[u8]) -> Result<Header, PhotoError> {
    let [
        w3,
        w2,
        w1,
        w0,
        h3,
        h2,
        h1,
        h0,
        bits,
        color,
        0,
        0,
        interlaced @ (0 | 1),
    ] = *body
    else {
        return Err(PhotoError::PngHeader);
    };
    let width = u32::from_be_bytes([w3, w2, w1, w0]);
    let height = u32::from_be_bytes([h3, h2, h1, h0]);
    let allowed = match color {
        0 => matches!(bits, 1 | 2 | 4 | 8 | 16),
        2 | 4 | 6 => matches!(bits, 8 | 16),
        3 => matches!(bits, 1 | 2 | 4 | 8),
        _ => false,
    };
    let side = 1..=i32::MAX as u32;
    if !allowed || !side.contains(&width) || !side.contains(&height) {
        return Err(PhotoError::PngHeader);
    }
    Ok(Header {
        width,
        height,
        bits,
        color,
        interlaced: interlaced == 1,
    })
}
