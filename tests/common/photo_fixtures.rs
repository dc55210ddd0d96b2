//! Pictures to test with, made on the spot, and ways to look at what became of them.

#![allow(dead_code)] // each test file uses a part of it

use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use std::fs;
use warmlug::photo::{Detail, Folder, Original, Placement, PreparedImage, Subject};
use warmlug::visit::ImageError;
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;

/// All pixels of a photo.
pub const FULL: Placement = Placement {
    width_mm: 80.0,
    detail: Detail::Full,
    subject: Subject::Photo,
};
/// All pixels of a logo.
pub const LINE_ART: Placement = Placement {
    subject: Subject::LineArt,
    ..FULL
};

/// A picture with a different colour in each quarter, so that each of the eight ways up differs:
/// red, green, blue, white from the top left, row by row.
pub const QUARTERS: [[u8; 3]; 4] = [[200, 30, 30], [30, 180, 30], [40, 40, 200], [240, 240, 240]];

pub fn quarter(x: usize, y: usize, width: usize, height: usize) -> [u8; 3] {
    QUARTERS[usize::from(y >= height / 2) * 2 + usize::from(x >= width / 2)]
}

pub fn quarters(width: usize, height: usize) -> Vec<u8> {
    (0..height)
        .flat_map(|y| (0..width).flat_map(move |x| quarter(x, y, width, height)))
        .collect()
}

/// Something like a photo: smooth, with texture.
pub fn scene(width: usize, height: usize) -> Vec<u8> {
    let mut noise = 1_u32;
    let mut out = Vec::with_capacity(width * height * 3);
    for y in 0..height {
        for x in 0..width {
            noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let grain = f64::from(noise >> 28);
            let (x, y) = (x as f64, y as f64);
            for v in [
                (x / 97.0).sin(),
                (y / 71.0 + x / 300.0).cos(),
                ((x + y) / 211.0).sin(),
            ] {
                out.push((120.0 + 80.0 * v + grain) as u8);
            }
        }
    }
    out
}

pub fn encode(
    pixels: &[u8],
    width: usize,
    height: usize,
    set: impl Fn(&mut Encoder<&mut Vec<u8>>),
) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = Encoder::new(&mut out, 90);
    encoder.set_sampling_factor(SamplingFactor::F_1_1);
    set(&mut encoder);
    let color = if pixels.len() == width * height {
        ColorType::Luma
    } else {
        ColorType::Rgb
    };
    encoder
        .encode(pixels, width as u16, height as u16, color)
        .unwrap();
    out
}

pub fn jpeg(width: usize, height: usize) -> Vec<u8> {
    encode(&quarters(width, height), width, height, |_| {})
}

pub fn png_of(
    width: u32,
    height: u32,
    color: png::ColorType,
    depth: png::BitDepth,
    data: &[u8],
) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, width, height);
    encoder.set_color(color);
    encoder.set_depth(depth);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(data).unwrap();
    writer.finish().unwrap();
    out
}

pub fn png(width: usize, height: usize) -> Vec<u8> {
    let data = quarters(width, height);
    png_of(
        width as u32,
        height as u32,
        png::ColorType::Rgb,
        png::BitDepth::Eight,
        &data,
    )
}

/// A JPEG segment of a given marker.
pub fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
    let mut out = vec![0xFF, marker];
    out.extend_from_slice(&u16::try_from(body.len() + 2).unwrap().to_be_bytes());
    out.extend_from_slice(body);
    out
}

/// Puts segments behind the start of image.
pub fn with_segments(jpeg: &[u8], segments: &[Vec<u8>]) -> Vec<u8> {
    let mut out = jpeg[..2].to_vec();
    segments.iter().for_each(|s| out.extend_from_slice(s));
    out.extend_from_slice(&jpeg[2..]);
    out
}

pub fn png_chunk(kind: &[u8; 4], body: &[u8]) -> Vec<u8> {
    let mut out = (body.len() as u32).to_be_bytes().to_vec();
    out.extend_from_slice(kind);
    out.extend_from_slice(body);
    out.extend_from_slice(&crc32fast::hash(&out[4..]).to_be_bytes());
    out
}

/// Puts a chunk behind IHDR.
pub fn with_chunk(png: &[u8], chunk: &[u8]) -> Vec<u8> {
    [&png[..33], chunk, &png[33..]].concat()
}

/// The smallest TIFF block with an orientation, in either byte order.
pub fn tiff(orientation: u16, big: bool) -> Vec<u8> {
    let two = |v: u16| {
        if big {
            v.to_be_bytes()
        } else {
            v.to_le_bytes()
        }
    };
    let four = |v: u32| {
        if big {
            v.to_be_bytes()
        } else {
            v.to_le_bytes()
        }
    };
    let mut out = if big { b"MM".to_vec() } else { b"II".to_vec() };
    out.extend_from_slice(&two(42));
    out.extend_from_slice(&four(8));
    out.extend_from_slice(&two(1));
    out.extend_from_slice(&two(0x0112));
    out.extend_from_slice(&two(3));
    out.extend_from_slice(&four(1));
    out.extend_from_slice(&two(orientation));
    out.extend_from_slice(&[0, 0]);
    out.extend_from_slice(&four(0));
    out
}

pub fn exif_segment(tiff: &[u8]) -> Vec<u8> {
    segment(0xE1, &[b"Exif\0\0", tiff].concat())
}

/// A TIFF block as a phone writes it: maker, position, maker's note, thumbnail.
pub fn telltale_tiff() -> Vec<u8> {
    let mut out = b"II*\0\x08\0\0\0".to_vec();
    let entry = |tag: u16, kind: u16, count: u32, value: u32| {
        let mut e = tag.to_le_bytes().to_vec();
        e.extend_from_slice(&kind.to_le_bytes());
        e.extend_from_slice(&count.to_le_bytes());
        e.extend_from_slice(&value.to_le_bytes());
        e
    };
    // IFD0 at 8: 4 entries, 2 + 4·12 + 4 = 54 bytes, so IFD GPS at 62.
    out.extend_from_slice(&4_u16.to_le_bytes());
    out.extend(entry(0x010F, 2, 12, 160)); // Make
    out.extend(entry(0x0112, 3, 1, 1)); // Orientation
    out.extend(entry(0x8825, 4, 1, 62)); // GPS IFD
    out.extend(entry(0x927C, 7, 12, 172)); // MakerNote
    out.extend_from_slice(&0_u32.to_le_bytes());
    // GPS at 62: 4 entries, 54 bytes, to 116.
    out.extend_from_slice(&4_u16.to_le_bytes());
    out.extend(entry(1, 2, 2, u32::from(b'S')));
    out.extend(entry(2, 5, 3, 116));
    out.extend(entry(3, 2, 2, u32::from(b'W')));
    out.extend(entry(4, 5, 3, 136));
    out.extend_from_slice(&0_u32.to_le_bytes());
    for n in [48_u32, 1, 52, 1, 31_527] {
        out.extend_from_slice(&n.to_le_bytes());
    }
    out.extend_from_slice(&123_u32.to_le_bytes()); // 136 − 4: overlaps are allowed in TIFF
    out.resize(160, 0x77);
    out.extend_from_slice(b"TELLTALE-MAKTELLTALE-NOT");
    out
}

pub fn open(bytes: Vec<u8>) -> Result<Original, ImageError> {
    Original::from_bytes(bytes)
}

pub fn refusal(bytes: Vec<u8>) -> String {
    open(bytes).unwrap_err().to_string()
}

pub fn decode_jpeg(bytes: &[u8]) -> (Vec<u8>, usize, usize) {
    let mut decoder = JpegDecoder::new(ZCursor::new(bytes));
    let pixels = decoder.decode().unwrap();
    let (width, height) = decoder.dimensions().unwrap();
    (pixels, width, height)
}

/// The colours of rows, places in a palette looked up.
pub fn colours(image: &PreparedImage) -> Vec<u8> {
    match &image.palette {
        Some(colors) => image
            .bytes
            .whole()
            .iter()
            .flat_map(|p| colors[usize::from(*p) * 3..][..3].to_vec())
            .collect(),
        None => image.bytes.whole().into_owned(),
    }
}

pub fn near(a: &[u8], b: &[u8], slack: u8) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.abs_diff(*b) <= slack)
}

/// A folder on the disk with these files.
pub fn folder_with(files: &[(&str, &[u8])]) -> (tempfile::TempDir, Folder) {
    let dir = tempfile::tempdir().unwrap();
    for (name, bytes) in files {
        let path = dir.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    let folder = Folder::new(dir.path()).unwrap();
    (dir, folder)
}

/// A lossless WebP of one colour, which takes no bits a pixel (RFC 9649, 3.4 to 3.7: no transform, no
/// colour cache, one prefix code with one symbol for each channel and for distances).
pub fn solid_webp(width: u32, height: u32) -> Vec<u8> {
    let mut bits = Vec::new();
    let mut put = |value: u32, count: u32| bits.extend((0..count).map(|i| value >> i & 1 == 1));
    put(0x2F, 8);
    put(width - 1, 14);
    put(height - 1, 14);
    put(0, 1 + 3); // no alpha, version 0
    put(0, 1 + 1 + 1);
    for _ in 0..5 {
        put(1, 1); // a simple code
        put(0, 1); // of one symbol
        put(0, 1); // of one bit
        put(1, 1);
    }
    let mut data: Vec<u8> = bits
        .chunks(8)
        .map(|byte| byte.iter().rev().fold(0, |b, bit| b << 1 | u8::from(*bit)))
        .collect();
    data.extend([0; 8]);
    data.resize(data.len().next_multiple_of(2), 0);
    let length = (data.len() as u32).to_le_bytes();
    let chunk = [b"VP8L", &length[..], &data].concat();
    let size = (4 + chunk.len() as u32).to_le_bytes();
    [b"RIFF", &size[..], b"WEBP", &chunk].concat()
}

/// A TIFF of one grey strip, packed as `Deflate`, of black pixels of 8 bits: the picture says to
/// have this size and comes with so many bytes.
pub fn black_tiff(width: u32, height: u32, pixels: u64) -> Vec<u8> {
    let mut packed = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::fast());
    let mut black = std::io::Read::take(std::io::repeat(0), pixels);
    std::io::copy(&mut black, &mut packed).unwrap();
    let packed = packed.finish().unwrap();
    let entries = [
        (256_u16, 4_u16, width), // ImageWidth
        (257, 4, height),        // ImageLength
        (258, 3, 8),             // BitsPerSample
        (259, 3, 8),             // Compression: Deflate
        (262, 3, 1),             // PhotometricInterpretation: black is zero
        (273, 4, 122),           // StripOffsets
        (278, 4, height),        // RowsPerStrip
        (279, 4, packed.len() as u32),
    ];
    let mut out = b"II*\0\x08\0\0\0".to_vec();
    out.extend((entries.len() as u16).to_le_bytes());
    for (tag, kind, value) in entries {
        out.extend(tag.to_le_bytes());
        out.extend(kind.to_le_bytes());
        out.extend(1_u32.to_le_bytes());
        out.extend(value.to_le_bytes());
    }
    out.extend(0_u32.to_le_bytes());
    out.resize(122, 0);
    [out, packed].concat()
}

/// A progressive JPEG of one grey, whose first component has these sampling factors (`0x22`: colours
/// at half resolution). Its one pass has a bit a block.
pub fn progressive(width: u16, height: u16, sampling: u8) -> Vec<u8> {
    let mut out = vec![0xFF, 0xD8];
    out.extend(segment(0xDB, &[&[0][..], &[1; 64]].concat()));
    let size = [&[8][..], &height.to_be_bytes(), &width.to_be_bytes()].concat();
    let channels = [3, 1, sampling, 0, 2, 0x11, 0, 3, 0x11, 0];
    out.extend(segment(0xC2, &[&size[..], &channels].concat()));
    // One code of one bit: no difference.
    out.extend(segment(0xC4, &[&[0, 1][..], &[0; 15], &[0]].concat()));
    out.extend(segment(0xDA, &[3, 1, 0, 2, 0, 3, 0, 0, 0, 0]));
    let (across, down) = (usize::from(sampling >> 4), usize::from(sampling & 15));
    let units = usize::from(width).div_ceil(8 * across) * usize::from(height).div_ceil(8 * down);
    out.extend(std::iter::repeat_n(
        0,
        (units * (across * down + 2)).div_ceil(8),
    ));
    out.extend([0xFF, 0xD9]);
    out
}
