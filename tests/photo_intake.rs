//! Images from a stranger's folder: what is taken, what is refused and in which words, and what
//! of a photo reaches the certificate.

#![allow(clippy::unwrap_used)] // tests may panic

use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use proptest::prelude::*;
use sha2::{Digest, Sha256};
use std::fs;
use std::path::Path;
use warmlug::photo::{
    Detail, Folder, Kind, MAX_FILE_BYTES, MAX_SCANS, Original, Placement, PreparedImage, Subject,
};
use warmlug::visit::{ImageFacts, ImageProblem};
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::options::DecoderOptions;

const FULL: Placement = Placement {
    width_mm: 80.0,
    detail: Detail::Full,
    subject: Subject::Photo,
};
const LINE_ART: Placement = Placement {
    subject: Subject::LineArt,
    ..FULL
};

// ---- Fixtures -------------------------------------------------------------------------------

/// A picture with a different colour in each quarter, so that each of the eight ways up differs:
/// red, green, blue, white from the top left, row by row.
const QUARTERS: [[u8; 3]; 4] = [[200, 30, 30], [30, 180, 30], [40, 40, 200], [240, 240, 240]];

fn quarter(x: usize, y: usize, width: usize, height: usize) -> [u8; 3] {
    QUARTERS[usize::from(y >= height / 2) * 2 + usize::from(x >= width / 2)]
}

fn quarters(width: usize, height: usize) -> Vec<u8> {
    (0..height)
        .flat_map(|y| (0..width).flat_map(move |x| quarter(x, y, width, height)))
        .collect()
}

/// Something like a photo: smooth, with texture.
fn scene(width: usize, height: usize) -> Vec<u8> {
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

fn encode(
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

fn jpeg(width: usize, height: usize) -> Vec<u8> {
    encode(&quarters(width, height), width, height, |_| {})
}

fn png_of(
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

fn png(width: usize, height: usize) -> Vec<u8> {
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
fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
    let mut out = vec![0xFF, marker];
    out.extend_from_slice(&u16::try_from(body.len() + 2).unwrap().to_be_bytes());
    out.extend_from_slice(body);
    out
}

/// Puts segments behind the start of image.
fn with_segments(jpeg: &[u8], segments: &[Vec<u8>]) -> Vec<u8> {
    let mut out = jpeg[..2].to_vec();
    segments.iter().for_each(|s| out.extend_from_slice(s));
    out.extend_from_slice(&jpeg[2..]);
    out
}

fn png_chunk(kind: &[u8; 4], body: &[u8]) -> Vec<u8> {
    let mut out = (body.len() as u32).to_be_bytes().to_vec();
    out.extend_from_slice(kind);
    out.extend_from_slice(body);
    out.extend_from_slice(&crc32fast::hash(&out[4..]).to_be_bytes());
    out
}

/// Puts a chunk behind IHDR.
fn with_chunk(png: &[u8], chunk: &[u8]) -> Vec<u8> {
    [&png[..33], chunk, &png[33..]].concat()
}

/// The smallest TIFF block with an orientation, in either byte order.
fn tiff(orientation: u16, big: bool) -> Vec<u8> {
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

fn exif_segment(tiff: &[u8]) -> Vec<u8> {
    segment(0xE1, &[b"Exif\0\0", tiff].concat())
}

// ---- Reading results ------------------------------------------------------------------------

fn open(bytes: Vec<u8>) -> Result<Original, ImageProblem> {
    Original::from_bytes(bytes)
}

fn refusal(bytes: Vec<u8>) -> String {
    open(bytes).unwrap_err().to_string()
}

fn decode_jpeg(bytes: &[u8]) -> (Vec<u8>, usize, usize) {
    let mut decoder = JpegDecoder::new(ZCursor::new(bytes));
    let pixels = decoder.decode().unwrap();
    let (width, height) = decoder.dimensions().unwrap();
    (pixels, width, height)
}

/// Inflates and unfilters a `Flate` image by wrapping it into a PNG again.
fn decode_flate(image: &PreparedImage) -> Vec<u8> {
    let mut ihdr = image.width.to_be_bytes().to_vec();
    ihdr.extend_from_slice(&image.height.to_be_bytes());
    ihdr.extend_from_slice(&[8, if image.components == 1 { 0 } else { 2 }, 0, 0, 0]);
    let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
    file.extend(png_chunk(b"IHDR", &ihdr));
    file.extend(png_chunk(b"IDAT", &image.bytes));
    file.extend(png_chunk(b"IEND", b""));
    let mut reader = png::Decoder::new(std::io::Cursor::new(file))
        .read_info()
        .unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut pixels).unwrap();
    pixels
}

fn near(a: &[u8], b: &[u8], slack: u8) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.abs_diff(*b) <= slack)
}

// ---- Which way up ---------------------------------------------------------------------------

/// Stores an upright picture in the way that an orientation value describes. The table is the
/// standard's own (CIPA DC-008, tag Orientation): which visual side the stored row 0 and column
/// 0 are.
fn store(upright: &[u8], width: usize, height: usize, orientation: u16) -> (Vec<u8>, usize, usize) {
    let (row0, column0) = [
        ("top", "left"),
        ("top", "right"),
        ("bottom", "right"),
        ("bottom", "left"),
        ("left", "top"),
        ("right", "top"),
        ("right", "bottom"),
        ("left", "bottom"),
    ][usize::from(orientation) - 1];
    let sideways = orientation > 4;
    let (rows, columns) = if sideways {
        (width, height)
    } else {
        (height, width)
    };
    let mut out = Vec::new();
    for r in 0..rows {
        for c in 0..columns {
            let (mut x, mut y) = (0, 0);
            for (side, n) in [(row0, r), (column0, c)] {
                match side {
                    "top" => y = n,
                    "bottom" => y = height - 1 - n,
                    "left" => x = n,
                    _ => x = width - 1 - n,
                }
            }
            let at = (y * width + x) * 3;
            out.extend_from_slice(&upright[at..at + 3]);
        }
    }
    (out, columns, rows)
}

#[test]
fn all_eight_orientations_come_out_upright() {
    let (width, height) = (48, 32);
    let upright = quarters(width, height);
    for orientation in 1..=8 {
        let (stored, w, h) = store(&upright, width, height, orientation);
        for big in [false, true] {
            let exif = tiff(orientation, big);
            let plain = encode(&stored, w, h, |e| e.set_quality(100));
            let photo = open(with_segments(&plain, &[exif_segment(&exif)])).unwrap();
            let facts = ImageFacts {
                width: 48,
                height: 32,
            };
            assert_eq!(photo.facts(), facts, "orientation {orientation}");
            let prepared = photo.prepare(FULL).unwrap();
            assert_eq!((prepared.width, prepared.height), (48, 32));
            assert_eq!(
                prepared.kind,
                Kind::Jpeg {
                    untouched: orientation == 1
                }
            );
            let (pixels, pw, ph) = decode_jpeg(&prepared.bytes);
            assert_eq!((pw, ph), (width, height));
            for (x, y) in [(4, 4), (44, 4), (4, 28), (44, 28)] {
                let at = (y * width + x) * 3;
                let wanted = quarter(x, y, width, height);
                assert!(
                    near(&pixels[at..at + 3], &wanted, 8),
                    "{orientation} at {x},{y}"
                );
            }

            let (stored, w, h) = store(&upright, width, height, orientation);
            let plain = png_of(
                w as u32,
                h as u32,
                png::ColorType::Rgb,
                png::BitDepth::Eight,
                &stored,
            );
            let logo = open(with_chunk(&plain, &png_chunk(b"eXIf", &exif))).unwrap();
            assert_eq!(logo.facts(), facts);
            assert_eq!(decode_flate(&logo.prepare(LINE_ART).unwrap()), upright);
        }
    }
}

#[test]
fn a_senseless_orientation_is_upright() {
    for value in [0, 9, 65535] {
        let photo = open(with_segments(
            &jpeg(48, 32),
            &[exif_segment(&tiff(value, false))],
        ));
        assert_eq!(
            photo.unwrap().facts(),
            ImageFacts {
                width: 48,
                height: 32
            }
        );
    }
}

// ---- What of a photo reaches the certificate ------------------------------------------------

/// A TIFF block as a phone writes it: maker, position, maker's note, thumbnail.
fn telltale_tiff() -> Vec<u8> {
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

#[test]
fn nothing_that_the_camera_wrote_around_the_picture_passes() {
    let plain = jpeg(64, 48);
    let telltale = telltale_tiff();
    let told = with_segments(
        &plain,
        &[
            segment(0xE0, b"JFXX\0\x10TELLTALE-THUMB"),
            exif_segment(&telltale),
            segment(
                0xE1,
                b"http://ns.adobe.com/xap/1.0/\0<x exif:GPSLatitude='TELLTALE'/>",
            ),
            segment(0xE2, b"ICC_PROFILE\0\x01\x01TELLTALE"),
            segment(0xE2, b"MPF\0TELLTALE"),
            segment(0xE5, b"TELLTALE"),
            segment(0xED, b"Photoshop 3.0\08BIMTELLTALE"),
            segment(0xFE, b"TELLTALE comment"),
            segment(0xF0, b"TELLTALE"),
        ],
    );
    let told = [told, b"TELLTALE film behind the picture".to_vec()].concat();
    let digest: [u8; 32] = Sha256::digest(&told).into();

    // The same as a PNG, with text chunks.
    let drawn = with_chunk(
        &with_chunk(&png(64, 48), &png_chunk(b"tEXt", b"Comment\0TELLTALE")),
        &png_chunk(b"eXIf", &telltale),
    );

    let photo = open(told.clone()).unwrap();
    let passed = photo.prepare(FULL).unwrap();
    assert_eq!(passed.kind, Kind::Jpeg { untouched: true });
    assert_eq!(
        passed.sha256_of_original, digest,
        "the digest is that of the file as it was"
    );
    assert_eq!(
        decode_jpeg(&passed.bytes),
        decode_jpeg(&plain),
        "the pixels are untouched"
    );

    let narrow = Placement {
        width_mm: 2.0,
        detail: Detail::Print,
        subject: Subject::Photo,
    };
    let scaled = photo.prepare(narrow).unwrap();
    assert_eq!(scaled.kind, Kind::Jpeg { untouched: false });
    let art = photo.prepare(LINE_ART).unwrap();
    let from_png = open(drawn.clone()).unwrap();
    let (png_photo, png_art) = (
        from_png.prepare(FULL).unwrap(),
        from_png.prepare(LINE_ART).unwrap(),
    );

    let holds =
        |haystack: &[u8], needle: &[u8]| haystack.windows(needle.len()).any(|w| w == needle);
    // The needles are found where they are, or the test would prove nothing.
    let seconds = 31_527_u32.to_le_bytes();
    for needle in [&b"TELLTALE"[..], b"Exif", b"GPS", &seconds] {
        assert!(holds(&told, needle));
    }
    assert!(holds(&drawn, b"TELLTALE") && holds(&drawn, &seconds));
    for image in [&passed, &scaled, &art, &png_photo, &png_art] {
        for needle in [
            &b"TELLTALE"[..],
            b"Exif",
            b"GPS",
            b"http",
            b"ICC_PROFILE",
            &seconds,
        ] {
            assert!(
                !holds(&image.bytes, needle),
                "{:?} {:?}",
                image.kind,
                needle
            );
        }
    }
}

#[test]
fn colours_of_a_passed_photo_are_what_its_own_header_says() {
    // RGB coefficients, told only by an Adobe segment: they must not be taken for Y'CbCr.
    let pixels = quarters(32, 32);
    let mut planes = Vec::new();
    let mut encoder = Encoder::new(&mut planes, 100);
    encoder.set_sampling_factor(SamplingFactor::F_1_1);
    // Encoding Y'CbCr planes as they come stores the three values untransformed.
    encoder.encode(&pixels, 32, 32, ColorType::Ycbcr).unwrap();
    let no_jfif = [&planes[..2], &planes[20..]].concat();
    assert_eq!(&planes[6..10], b"JFIF");
    let adobe = segment(0xEE, b"Adobe\0\x64\0\0\0\0\0");
    let passed = open(with_segments(&no_jfif, &[adobe]))
        .unwrap()
        .prepare(FULL)
        .unwrap();
    assert_eq!(passed.kind, Kind::Jpeg { untouched: true });
    assert!(passed.bytes.windows(5).any(|w| w == b"Adobe"));
    let (decoded, ..) = decode_jpeg(&passed.bytes);
    assert!(near(&decoded[..3], &QUARTERS[0], 6), "{:?}", &decoded[..3]);

    // Neither header: the ids 1, 2, 3 are Y'CbCr, and the copy says so.
    let plain = jpeg(32, 32);
    let bare = [&plain[..2], &plain[20..]].concat();
    let passed = open(bare).unwrap().prepare(FULL).unwrap();
    assert!(passed.bytes.windows(5).any(|w| w == b"JFIF\0"));
    assert_eq!(decode_jpeg(&passed.bytes), decode_jpeg(&plain));
}

#[test]
fn progressive_and_grey_photos_pass_through() {
    let pixels = scene(96, 64);
    let progressive = encode(&pixels, 96, 64, |e| e.set_progressive(true));
    let prepared = open(progressive.clone()).unwrap().prepare(FULL).unwrap();
    assert_eq!(
        (prepared.kind, prepared.components),
        (Kind::Jpeg { untouched: true }, 3)
    );
    assert_eq!(decode_jpeg(&prepared.bytes), decode_jpeg(&progressive));

    let grey: Vec<u8> = pixels.chunks(3).map(|p| p[1]).collect();
    let grey = encode(&grey, 96, 64, |_| {});
    let prepared = open(grey).unwrap().prepare(FULL).unwrap();
    assert_eq!(
        (prepared.kind, prepared.components),
        (Kind::Jpeg { untouched: true }, 1)
    );
}

#[test]
fn a_restart_marker_or_filling_inside_the_data_does_not_end_it() {
    let restarts = encode(&scene(96, 64), 96, 64, |e| e.set_restart_interval(3));
    assert!(restarts.windows(2).any(|w| w == [0xFF, 0xD3]));
    let passed = open(restarts.clone()).unwrap().prepare(FULL).unwrap();
    assert_eq!(decode_jpeg(&passed.bytes), decode_jpeg(&restarts));

    let mut filled = restarts;
    let end = filled.len() - 2;
    filled.splice(end..end, [0xFF; 5]);
    open(filled).unwrap();
}

// ---- Resolution -----------------------------------------------------------------------------

#[test]
fn a_photo_is_scaled_only_above_the_resolution_of_print() {
    // 25.4 mm are one inch, so pixels across are dots per inch.
    let place = |detail| Placement {
        width_mm: 25.4,
        detail,
        subject: Subject::Photo,
    };
    for (width, detail, wanted) in [
        (300, Detail::Print, 300),
        (330, Detail::Print, 330),
        (331, Detail::Print, 300),
        (660, Detail::Print, 300),
        (660, Detail::Full, 660),
    ] {
        let original = open(encode(&scene(width, 40), width, 40, |_| {})).unwrap();
        let prepared = original.prepare(place(detail)).unwrap();
        assert_eq!(prepared.width, wanted, "{width} {detail:?}");
        assert_eq!(
            prepared.kind,
            Kind::Jpeg {
                untouched: width as u32 == wanted
            }
        );
        let height = (40.0 * f64::from(wanted) / width as f64).round() as u32;
        assert_eq!(prepared.height, height, "its shape is kept");
        let (_, w, h) = decode_jpeg(&prepared.bytes);
        assert_eq!((w as u32, h as u32), (prepared.width, prepared.height));
    }
}

#[test]
fn a_sideways_photo_is_measured_by_its_upright_width() {
    // Stored 660 × 320, upright 320 × 660: 320 dots an inch are not oversized, yet it is turned.
    let sideways = with_segments(
        &encode(&scene(660, 320), 660, 320, |_| {}),
        &[exif_segment(&tiff(6, false))],
    );
    let inch = Placement {
        width_mm: 25.4,
        detail: Detail::Print,
        subject: Subject::Photo,
    };
    let prepared = open(sideways.clone()).unwrap().prepare(inch).unwrap();
    assert_eq!((prepared.width, prepared.height), (320, 660));
    let half = Placement {
        width_mm: 12.7,
        ..inch
    };
    let prepared = open(sideways).unwrap().prepare(half).unwrap();
    assert_eq!((prepared.width, prepared.height), (150, 309));
}

#[test]
fn an_impossible_width_does_not_scale() {
    for width_mm in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let place = Placement {
            width_mm,
            detail: Detail::Print,
            subject: Subject::Photo,
        };
        assert_eq!(
            open(jpeg(64, 48)).unwrap().prepare(place).unwrap().width,
            64
        );
    }
}

#[test]
fn scaling_keeps_the_mean_and_the_place_of_things() {
    let original = open(encode(&quarters(640, 480), 640, 480, |_| {})).unwrap();
    let place = Placement {
        width_mm: 25.4 / 3.0,
        detail: Detail::Print,
        subject: Subject::LineArt,
    };
    let prepared = original.prepare(place).unwrap();
    assert_eq!(
        (prepared.width, prepared.height, prepared.kind),
        (100, 75, Kind::Flate)
    );
    let pixels = decode_flate(&prepared);
    for (x, y) in [(20, 15), (80, 15), (20, 60), (80, 60)] {
        let at = (y * 100 + x) * 3;
        assert!(near(&pixels[at..at + 3], &quarter(x, y, 100, 75), 4));
    }
}

// ---- PNG ------------------------------------------------------------------------------------

#[test]
fn line_art_stays_lossless_and_lies_on_white() {
    let red = |alpha| [200_u8, 30, 30, alpha];
    let data = [red(255), red(0), red(128), red(1)].concat();
    let logo = png_of(2, 2, png::ColorType::Rgba, png::BitDepth::Eight, &data);
    let prepared = open(logo).unwrap().prepare(LINE_ART).unwrap();
    assert_eq!((prepared.kind, prepared.components), (Kind::Flate, 3));
    // v·a/255 + 255·(1 − a/255): 200·128/255 + 127 = 227.39, 30·128/255 + 127 = 142.06.
    let wanted = [200, 30, 30, 255, 255, 255, 227, 142, 142, 255, 254, 254];
    assert_eq!(decode_flate(&prepared), wanted);

    let grey = png_of(
        2,
        1,
        png::ColorType::GrayscaleAlpha,
        png::BitDepth::Eight,
        &[9, 255, 9, 0],
    );
    let prepared = open(grey).unwrap().prepare(LINE_ART).unwrap();
    assert_eq!(
        (prepared.components, decode_flate(&prepared)),
        (1, vec![9, 255])
    );
}

#[test]
fn every_depth_of_png_comes_to_eight_bits() {
    let sixteen = png_of(
        1,
        1,
        png::ColorType::Rgb,
        png::BitDepth::Sixteen,
        &[200, 1, 30, 2, 7, 3],
    );
    assert_eq!(
        decode_flate(&open(sixteen).unwrap().prepare(LINE_ART).unwrap()),
        [200, 30, 7]
    );
    let one = png_of(
        8,
        1,
        png::ColorType::Grayscale,
        png::BitDepth::One,
        &[0b1010_0000],
    );
    let wanted = [255, 0, 255, 0, 0, 0, 0, 0];
    assert_eq!(
        decode_flate(&open(one).unwrap().prepare(LINE_ART).unwrap()),
        wanted
    );
}

#[test]
fn a_png_photo_becomes_a_jpeg() {
    let prepared = open(png(64, 48)).unwrap().prepare(FULL).unwrap();
    assert_eq!(prepared.kind, Kind::Jpeg { untouched: false });
    let (pixels, ..) = decode_jpeg(&prepared.bytes);
    assert!(near(&pixels[..3], &QUARTERS[0], 10));
}

// ---- Damaged, lying, of a wrong kind --------------------------------------------------------

#[test]
fn every_shortened_file_is_refused() {
    for whole in [
        jpeg(32, 16),
        encode(&scene(32, 16), 32, 16, |e| e.set_progressive(true)),
        png(32, 16),
    ] {
        open(whole.clone()).unwrap();
        for length in 0..whole.len() {
            let problem = open(whole[..length].to_vec()).unwrap_err();
            let known = length >= 8;
            assert!(
                matches!(problem, ImageProblem::Damaged(_))
                    || (!known && problem == ImageProblem::UnknownFormat),
                "{length} of {} bytes: {problem}",
                whole.len()
            );
        }
    }
}

#[test]
fn every_flipped_bit_of_a_png_is_found() {
    let whole = png(16, 8);
    for at in 8..whole.len() {
        let mut bytes = whole.clone();
        bytes[at] ^= 4;
        assert!(open(bytes).is_err(), "byte {at}");
    }
}

/// Replaces width and height in the frame header.
fn with_size(jpeg: &[u8], width: u16, height: u16) -> Vec<u8> {
    let mut out = jpeg.to_vec();
    let at = out.windows(2).position(|w| w == [0xFF, 0xC0]).unwrap();
    out[at + 5..at + 7].copy_from_slice(&height.to_be_bytes());
    out[at + 7..at + 9].copy_from_slice(&width.to_be_bytes());
    out
}

#[test]
fn a_header_that_promises_more_than_there_is_is_refused() {
    let small = jpeg(32, 16);
    assert_eq!(
        refusal(with_size(&small, 8000, 6000)),
        "is damaged or cut short: 8000 × 6000 pixels cannot come from 33 bytes of picture data"
    );
    assert_eq!(
        refusal(with_size(&small, 65535, 65535)),
        "is damaged or cut short: 65535 × 65535 pixels cannot come from 33 bytes of picture data"
    );
    assert_eq!(
        refusal(with_size(&small, 32, 0)),
        "is damaged or cut short: the JPEG header at byte 20 contradicts itself"
    );
    assert_eq!(
        refusal(big_png(10_000, 10_000, 100)),
        "is damaged or cut short: 10000 × 10000 pixels cannot come from 100 bytes of picture data"
    );
}

/// A PNG of one bit a pixel with any header and so many bytes of senseless data.
fn big_png(width: u32, height: u32, data: usize) -> Vec<u8> {
    let mut ihdr = width.to_be_bytes().to_vec();
    ihdr.extend_from_slice(&height.to_be_bytes());
    ihdr.extend_from_slice(&[1, 0, 0, 0, 0]);
    let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
    file.extend(png_chunk(b"IHDR", &ihdr));
    file.extend(png_chunk(b"IDAT", &vec![0x55; data]));
    file.extend(png_chunk(b"IEND", b""));
    file
}

#[test]
fn a_hundred_megapixels_are_taken_and_not_one_more() {
    let at_the_limit = open(big_png(10_000, 10_000, 20_000)).unwrap();
    assert_eq!(at_the_limit.facts().width, 10_000);
    assert_eq!(
        refusal(big_png(100_000_001, 1, 20_000)),
        "has 100000001 pixels; at most 100000000 are taken"
    );
    // What only looks right is found out when it is decoded.
    let problem = at_the_limit.prepare(LINE_ART).unwrap_err();
    assert!(matches!(problem, ImageProblem::Damaged(_)), "{problem}");
}

#[test]
fn sixty_four_mebibytes_are_taken_and_not_one_byte_more() {
    let mut bytes = jpeg(32, 16);
    bytes.resize(MAX_FILE_BYTES as usize, 0);
    bytes = {
        open(bytes.clone()).unwrap();
        bytes.push(0);
        bytes
    };
    assert_eq!(
        refusal(bytes),
        "has 67108865 bytes; at most 67108864 are taken"
    );
}

#[test]
fn passes_are_counted() {
    // A progressive file whose last scan is repeated.
    let whole = encode(&scene(32, 16), 32, 16, |e| e.set_progressive(true));
    let starts: Vec<usize> = whole
        .windows(2)
        .enumerate()
        .filter(|(_, w)| w == &[0xFF, 0xDA])
        .map(|(i, _)| i)
        .collect();
    let last = *starts.last().unwrap();
    let scan = whole[last..whole.len() - 2].to_vec();
    let with_scans = |n: usize| {
        let more = scan.repeat(n - starts.len());
        [&whole[..whole.len() - 2], &more, &whole[whole.len() - 2..]].concat()
    };
    open(with_scans(MAX_SCANS)).unwrap();
    assert_eq!(
        refusal(with_scans(MAX_SCANS + 1)),
        "cannot be used: its picture data come in 41 passes; save it as an ordinary JPEG"
    );
}

#[test]
fn kinds_that_cannot_be_used_are_named() {
    let cmyk = {
        let mut out = Vec::new();
        let pixels = vec![100; 16 * 16 * 4];
        Encoder::new(&mut out, 90)
            .encode(&pixels, 16, 16, ColorType::Cmyk)
            .unwrap();
        out
    };
    assert_eq!(
        refusal(cmyk),
        "cannot be used: it is a CMYK picture for a printing press; save it as an RGB JPEG"
    );
    let patch = |offset: usize, value: u8| {
        let mut out = jpeg(32, 16);
        let at = out.windows(2).position(|w| w == [0xFF, 0xC0]).unwrap();
        out[at + offset] = value;
        out
    };
    assert_eq!(
        refusal(patch(1, 0xC9)),
        "cannot be used: it is coded in a rare kind of JPEG (frame C9); save it as an ordinary JPEG"
    );
    assert_eq!(
        refusal(patch(4, 12)),
        "cannot be used: it has 12 bits a colour channel; save it as an ordinary 8-bit JPEG"
    );
    assert_eq!(
        refusal(patch(9, 2)),
        "cannot be used: it has 2 colour channels; save it as an RGB or grey JPEG"
    );
    assert_eq!(
        refusal(b"GIF89a, and so on".to_vec()),
        "is neither a JPEG nor a PNG image"
    );
    let heic = b"\0\0\0\x18ftypheic\0\0\0\0".to_vec();
    assert_eq!(
        refusal(heic),
        "cannot be used: it is a HEIC photo; save or send it as a JPEG (most phones can be set to take JPEG photos)"
    );
    assert_eq!(
        refusal(Vec::new()),
        "is damaged or cut short: the file is empty"
    );
    assert_eq!(
        refusal(b"\xFF\xD8\xFF\xD9".to_vec()),
        "is damaged or cut short: the JPEG picture has no size before its data begin"
    );
    // Sampling factor 0, a component named twice.
    assert_eq!(
        refusal(patch(11, 0x01)),
        "is damaged or cut short: the JPEG header at byte 20 contradicts itself"
    );
    assert_eq!(
        refusal(patch(13, 0)),
        "is damaged or cut short: the JPEG header at byte 20 contradicts itself"
    );
}

#[test]
fn pictures_that_lack_a_part_are_refused() {
    let whole = jpeg(32, 16);
    let without = |marker: u8| {
        let mut out = whole.clone();
        while let Some(at) = out.windows(2).position(|w| w == [0xFF, marker]) {
            let length = usize::from(u16::from_be_bytes([out[at + 2], out[at + 3]]));
            out.drain(at..at + 2 + length);
        }
        out
    };
    assert_eq!(
        refusal(without(0xDB)),
        "is damaged or cut short: the JPEG picture data at byte 471 need a table that the file lacks"
    );
    assert_eq!(
        refusal(without(0xC4)),
        "is damaged or cut short: the JPEG picture data at byte 177 need a table that the file lacks"
    );
    assert_eq!(
        refusal(without(0xC0)),
        "is damaged or cut short: the JPEG picture has no size before its data begin"
    );
    let twice = with_segments(&whole, &[segment(0xC0, &[8, 0, 16, 0, 32, 1, 1, 0x11, 0])]);
    assert_eq!(
        refusal(twice),
        "is damaged or cut short: the JPEG file says its size twice"
    );
}

// ---- The folder -----------------------------------------------------------------------------

fn folder_with(files: &[(&str, &[u8])]) -> (tempfile::TempDir, Folder) {
    let dir = tempfile::tempdir().unwrap();
    for (name, bytes) in files {
        let path = dir.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    let folder = Folder::new(dir.path()).unwrap();
    (dir, folder)
}

#[test]
fn paths_inside_are_read() {
    let (_dir, folder) = folder_with(&[("photos/a.jpg", &jpeg(48, 32)), ("logo.png", &png(8, 4))]);
    assert_eq!(
        folder.image("photos/a.jpg"),
        Ok(ImageFacts {
            width: 48,
            height: 32
        })
    );
    assert_eq!(
        folder.image("./photos/../logo.png"),
        Ok(ImageFacts {
            width: 8,
            height: 4
        })
    );
}

#[test]
fn paths_outside_are_refused_whether_or_not_the_file_exists() {
    let (dir, _) = folder_with(&[("visit/a.jpg", &jpeg(48, 32)), ("other.jpg", &jpeg(8, 8))]);
    let folder = Folder::new(&dir.path().join("visit")).unwrap();
    let absolute = dir.path().join("visit/a.jpg");
    for path in [
        "../other.jpg",
        "../missing.jpg",
        "a/../../other.jpg",
        "../visit/a.jpg",
        "/etc/passwd",
        absolute.to_str().unwrap(),
    ] {
        assert_eq!(folder.image(path), Err(ImageProblem::Outside), "{path}");
    }
}

#[cfg(unix)]
#[test]
fn links_may_not_lead_out() {
    use std::os::unix::fs::symlink;
    let (dir, _) = folder_with(&[("visit/a.jpg", &jpeg(48, 32)), ("other.jpg", &jpeg(8, 8))]);
    let root = dir.path().join("visit");
    symlink("a.jpg", root.join("inside.jpg")).unwrap();
    symlink("../other.jpg", root.join("outside.jpg")).unwrap();
    symlink("..", root.join("up")).unwrap();
    symlink("/dev/zero", root.join("zero.jpg")).unwrap();
    symlink("round.jpg", root.join("round.jpg")).unwrap();
    let folder = Folder::new(&root).unwrap();
    assert!(folder.image("inside.jpg").is_ok());
    for path in ["outside.jpg", "up/other.jpg", "zero.jpg"] {
        assert_eq!(folder.image(path), Err(ImageProblem::Outside), "{path}");
    }
    assert!(matches!(
        folder.image("round.jpg"),
        Err(ImageProblem::Unreadable(_))
    ));
    // The visit's folder may itself be reached through a link.
    symlink("visit", dir.path().join("link")).unwrap();
    assert!(
        Folder::new(&dir.path().join("link"))
            .unwrap()
            .image("a.jpg")
            .is_ok()
    );
}

#[cfg(unix)]
#[test]
fn what_is_no_ordinary_file_is_not_waited_for() {
    let (dir, folder) = folder_with(&[("sub/a.jpg", &jpeg(48, 32))]);
    let made = std::process::Command::new("mkfifo")
        .arg(dir.path().join("pipe.jpg"))
        .status();
    assert!(made.unwrap().success());
    let say = |path| folder.image(path).unwrap_err().to_string();
    assert_eq!(
        say("pipe.jpg"),
        "cannot be read: it is not an ordinary file"
    );
    assert_eq!(say("sub"), "cannot be read: it is a folder");
    assert_eq!(say("missing.jpg"), "does not exist");
    assert_eq!(say("sub/a.jpg/b.jpg"), "does not exist");
}

#[test]
fn a_huge_file_is_refused_without_reading_it() {
    let (dir, folder) = folder_with(&[]);
    let file = fs::File::create(dir.path().join("huge.jpg")).unwrap();
    file.set_len(1 << 40).unwrap();
    let limit = MAX_FILE_BYTES;
    let wanted = Err(ImageProblem::TooManyBytes {
        bytes: 1 << 40,
        limit,
    });
    assert_eq!(folder.image("huge.jpg"), wanted);
}

#[test]
fn what_was_checked_is_what_is_embedded() {
    let (before, after) = (jpeg(48, 32), jpeg(32, 48));
    let digest: [u8; 32] = Sha256::digest(&before).into();
    let (dir, folder) = folder_with(&[("a.jpg", &before)]);
    folder.image("a.jpg").unwrap();
    fs::write(dir.path().join("a.jpg"), &after).unwrap();
    let prepared = folder.prepare("a.jpg", FULL).unwrap();
    assert_eq!((prepared.width, prepared.sha256_of_original), (48, digest));
}

#[test]
fn a_file_that_was_not_kept_must_be_the_same_still() {
    for change in ["none", "other", "gone"] {
        let before = jpeg(48, 32);
        let (dir, folder) = folder_with(&[("a.jpg", &before), ("b.jpg", &before)]);
        // Room for one of the two.
        let folder = folder.keeping_at_most(before.len());
        folder.image("a.jpg").unwrap();
        folder.image("b.jpg").unwrap();
        let path = dir.path().join("b.jpg");
        match change {
            "other" => fs::write(path, jpeg(32, 48)).unwrap(),
            "gone" => fs::remove_file(path).unwrap(),
            _ => {}
        }
        assert!(folder.prepare("a.jpg", FULL).is_ok());
        let result = folder.prepare("b.jpg", FULL);
        if change == "none" {
            assert_eq!(result.unwrap(), folder.prepare("a.jpg", FULL).unwrap());
        } else {
            assert_eq!(result.unwrap_err(), ImageProblem::Changed, "{change}");
        }
    }
}

#[test]
fn a_folder_that_is_not_there_is_an_error() {
    assert!(Folder::new(Path::new("no/such/folder")).is_err());
}

// ---- The same everywhere, and never a panic -------------------------------------------------

#[test]
fn decoding_does_not_depend_on_the_processor() {
    let photo = encode(&scene(640, 480), 640, 480, |e| {
        e.set_sampling_factor(SamplingFactor::F_2_2)
    });
    let (fast, ..) = decode_jpeg(&photo);
    let portable = DecoderOptions::default().set_use_unsafe(false);
    let slow = JpegDecoder::new_with_options(ZCursor::new(&photo[..]), portable)
        .decode()
        .unwrap();
    assert!(fast == slow);
}

fn try_all(bytes: Vec<u8>) {
    if let Ok(original) = open(bytes) {
        let small = Placement {
            width_mm: 1.0,
            detail: Detail::Print,
            subject: Subject::LineArt,
        };
        for placement in [FULL, LINE_ART, small] {
            if let Ok(prepared) = original.prepare(placement) {
                assert!(prepared.width > 0 && prepared.height > 0);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_mutilated_jpeg_never_panics(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        progressive in any::<bool>(),
    ) {
        let mut bytes = encode(&scene(40, 24), 40, 24, |e| e.set_progressive(progressive));
        for (at, value) in changes {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        try_all(bytes);
    }

    #[test]
    fn a_mutilated_png_with_right_check_sums_never_panics(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        ihdr in prop::option::of((1_u32..40, 1_u32..40, 0_u8..17, 0_u8..7, 0_u8..2)),
    ) {
        let whole = png(40, 24);
        let mut out = whole[..8].to_vec();
        let mut at = 8;
        while at < whole.len() {
            let length = u32::from_be_bytes(whole[at..at + 4].try_into().unwrap()) as usize;
            let kind: [u8; 4] = whole[at + 4..at + 8].try_into().unwrap();
            let mut body = whole[at + 8..at + 8 + length].to_vec();
            match (&kind, &ihdr) {
                (b"IHDR", Some((w, h, bits, color, interlace))) => {
                    body = [&w.to_be_bytes()[..], &h.to_be_bytes(), &[*bits, *color, 0, 0, *interlace]].concat();
                }
                (b"IDAT", _) => for (i, value) in &changes {
                    let i = i.index(body.len());
                    body[i] = *value;
                },
                _ => {}
            }
            out.extend(png_chunk(&kind, &body));
            at += length + 12;
        }
        try_all(out);
    }

    #[test]
    fn hostile_exif_never_panics(
        mut block in prop::collection::vec(any::<u8>(), 0..300),
        honest in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..20),
        start in any::<bool>(),
    ) {
        if start {
            block = telltale_tiff();
            for (at, value) in honest {
                let at = at.index(block.len());
                block[at] = value;
            }
        }
        let facts = open(with_segments(&jpeg(48, 32), &[exif_segment(&block)])).unwrap().facts();
        prop_assert!(facts.width * facts.height == 48 * 32);
    }
}

#[test]
fn exif_directories_in_a_circle_end() {
    // Each IFD names itself as the next one.
    let mut circle = tiff(6, false);
    let end = circle.len();
    circle[end - 4..].copy_from_slice(&8_u32.to_le_bytes());
    let photo = open(with_segments(&jpeg(48, 32), &[exif_segment(&circle)])).unwrap();
    assert_eq!(photo.facts().width, 32, "what could be read still counts");
}

// ---- Speed ----------------------------------------------------------------------------------

/// Times for photos of 12 megapixels, printed:
/// `cargo test --release --test photo_intake -- --ignored --nocapture speed`
#[test]
#[ignore = "prints times; run in release"]
fn speed() {
    let pixels = scene(4000, 3000);
    let photo = encode(&pixels, 4000, 3000, |e| {
        e.set_sampling_factor(SamplingFactor::F_2_2)
    });
    let (dir, _) = folder_with(&[("a.jpg", &photo), ("b.jpg", &photo)]);
    println!("photo: {} bytes", photo.len());
    for _ in 0..5 {
        let folder = Folder::new(dir.path()).unwrap();
        let start = std::time::Instant::now();
        for path in ["a.jpg", "b.jpg"] {
            folder.image(path).unwrap();
            folder.prepare(path, FULL).unwrap();
        }
        println!("two passed through: {:?}", start.elapsed());
        let print = Placement {
            width_mm: 165.0,
            detail: Detail::Print,
            subject: Subject::Photo,
        };
        let start = std::time::Instant::now();
        let scaled = folder.prepare("a.jpg", print).unwrap();
        println!(
            "one scaled to {} × {}: {:?}",
            scaled.width,
            scaled.height,
            start.elapsed()
        );
    }
}
