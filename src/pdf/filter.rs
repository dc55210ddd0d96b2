//! Decoding the only stream filter that structure and attachments use: FlateDecode with PNG
//! predictors (ISO 32000-1, 7.4.4), up to a given number of bytes.

use std::io::Read;

use super::error::PdfError;
use super::object::{Dict, Object};

/// Bytes by which compression may make a stream longer.
const OVERHEAD: usize = 64;

/// Decodes a stream's bytes like [`decode`], but fails if bytes are left over or the stream has
/// other decoding parameters.
pub(crate) fn whole(dict: &Dict, data: &[u8], limit: usize) -> Result<Vec<u8>, PdfError> {
    let (bytes, taken) = decoded(dict, data, limit)?;
    let parameters = parameters(dict)?;
    let known = [
        b"Predictor".as_slice(),
        b"Colors",
        b"BitsPerComponent",
        b"Columns",
    ];
    let fine = parameters.is_none_or(|parms| {
        parms
            .0
            .iter()
            .all(|(key, value)| known.contains(&key.as_slice()) && value.as_integer().is_some())
    });
    if !fine || (taken.is_none() && parameters.is_some()) {
        return Err(PdfError::Unsupported("unusual stream parameters"));
    }
    if taken.is_some_and(|n| n != data.len() as u64 || data.len() > bytes.len() + OVERHEAD) {
        return Err(PdfError::Table("something follows a compressed stream"));
    }
    Ok(bytes)
}

/// Decodes a stream's bytes to at most `limit` bytes.
pub(crate) fn decode(dict: &Dict, data: &[u8], limit: usize) -> Result<Vec<u8>, PdfError> {
    Ok(decoded(dict, data, limit)?.0)
}

/// The same, also returning the number of input bytes that a compressed stream used.
fn decoded(dict: &Dict, data: &[u8], limit: usize) -> Result<(Vec<u8>, Option<u64>), PdfError> {
    let filter = match dict.get(b"Filter") {
        None | Some(Object::Null) => None,
        Some(Object::Name(name)) => Some(name.as_slice()),
        Some(Object::Array(items)) => match items.as_slice() {
            [] => None,
            [Object::Name(name)] => Some(name.as_slice()),
            _ => return Err(PdfError::Unsupported("a chain of stream filters")),
        },
        Some(_) => return Err(PdfError::Unsupported("an indirect stream filter")),
    };
    if dict.get(b"F").is_some() {
        return Err(PdfError::Unsupported("a stream kept in another file"));
    }
    match filter {
        None if data.len() > limit => Err(PdfError::Bound("a stream")),
        None => Ok((data.to_vec(), None)),
        Some(b"FlateDecode") => {
            let (inflated, taken) = inflate(data, limit)?;
            let bytes = match parameters(dict)? {
                Some(parms) => unpredict(parms, inflated)?,
                None => inflated,
            };
            Ok((bytes, Some(taken)))
        }
        Some(_) => Err(PdfError::Unsupported("an unusual stream filter")),
    }
}

fn parameters(dict: &Dict) -> Result<Option<&Dict>, PdfError> {
    match dict.get(b"DecodeParms") {
        None | Some(Object::Null) => Ok(None),
        Some(Object::Dictionary(parms)) => Ok(Some(parms)),
        Some(Object::Array(items)) => match items.as_slice() {
            [] | [Object::Null] => Ok(None),
            [Object::Dictionary(parms)] => Ok(Some(parms)),
            _ => Err(PdfError::Unsupported("unusual stream parameters")),
        },
        Some(_) => Err(PdfError::Unsupported("unusual stream parameters")),
    }
}

/// The decoded bytes, and the number of input bytes used for them.
fn inflate(data: &[u8], limit: usize) -> Result<(Vec<u8>, u64), PdfError> {
    let mut out = Vec::new();
    // One byte past the limit distinguishes "too long" from "exactly as long as allowed".
    let mut reader = flate2::read::ZlibDecoder::new(data).take(limit as u64 + 1);
    reader
        .read_to_end(&mut out)
        .map_err(|_| PdfError::Table("a compressed stream can't be inflated"))?;
    if out.len() > limit {
        return Err(PdfError::Bound("a compressed stream"));
    }
    Ok((out, reader.get_ref().total_in()))
}

/// Maximum number of bytes in a row of a predicted stream; rows of a cross-reference stream have 6
/// to 20.
const MAX_COLUMNS: usize = 64;

fn unpredict(parms: &Dict, data: Vec<u8>) -> Result<Vec<u8>, PdfError> {
    let predictor = parms.integer(b"Predictor").unwrap_or(1);
    if predictor == 1 {
        return Ok(data);
    }
    let colors = parms.integer(b"Colors").unwrap_or(1);
    let bits = parms.integer(b"BitsPerComponent").unwrap_or(8);
    let columns = parms.integer(b"Columns").unwrap_or(1);
    if !(10..=15).contains(&predictor)
        || colors != 1
        || bits != 8
        || !(1..=MAX_COLUMNS as i64).contains(&columns)
    {
        return Err(PdfError::Unsupported("an unusual stream predictor"));
    }
    let width = usize::try_from(columns).unwrap_or(1);
    if !data.len().is_multiple_of(width + 1) {
        return Err(PdfError::Table("a predicted stream with a broken row"));
    }
    let mut out = Vec::with_capacity(data.len());
    let (mut above, mut line) = ([0_u8; MAX_COLUMNS], [0_u8; MAX_COLUMNS]);
    for row in data.chunks_exact(width + 1) {
        line[..width].copy_from_slice(&row[1..]);
        for n in 0..width {
            let left = if n > 0 { line[n - 1] } else { 0 };
            let corner = if n > 0 { above[n - 1] } else { 0 };
            let guess = match row[0] {
                0 => 0,
                1 => left,
                2 => above[n],
                3 => ((u16::from(left) + u16::from(above[n])) / 2) as u8,
                4 => paeth(left, above[n], corner),
                _ => return Err(PdfError::Table("an unknown row predictor")),
            };
            line[n] = line[n].wrapping_add(guess);
        }
        out.extend_from_slice(&line[..width]);
        above = line;
    }
    Ok(out)
}

fn paeth(left: u8, above: u8, corner: u8) -> u8 {
    let (a, b, c) = (i16::from(left), i16::from(above), i16::from(corner));
    let estimate = a + b - c;
    let (da, db, dc) = (
        (estimate - a).abs(),
        (estimate - b).abs(),
        (estimate - c).abs(),
    );
    if da <= db && da <= dc {
        left
    } else if db <= dc {
        above
    } else {
        corner
    }
}
