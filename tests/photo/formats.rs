//! BMP, TIFF and WebP, as thermal cameras and phones write them: what is taken, what it becomes, and
//! what is refused in which words. The files in `formats/` were made by a library that is not ours;
//! its `make.py` names it and says what each shows.

use crate::photo_fixtures::*;
use proptest::prelude::*;
use std::path::Path;
use warmlug::photo::{Detail, Kind, Placement, Subject};
use warmlug::visit::{ImageError, ImageFacts};

const TAKEN: [&str; 14] = [
    "rgb.bmp",
    "palette.bmp",
    "grey.bmp",
    "rgb.tif",
    "lzw.tif",
    "deflate.tif",
    "packbits.tif",
    "grey.tif",
    "grey16.tif",
    "pages.tif",
    "sideways.tif",
    "lossy.webp",
    "lossless.webp",
    "sideways.webp",
];

fn file(name: &str) -> Vec<u8> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/photo/formats");
    std::fs::read(folder.join(name)).unwrap()
}

/// The weights of ITU-R BT.601 that Pillow makes grey by.
fn grey([r, g, b]: [u8; 3]) -> u8 {
    ((u32::from(r) * 299 + u32::from(g) * 587 + u32::from(b) * 114) / 1000) as u8
}

#[test]
fn every_format_shows_its_picture_upright() {
    for name in TAKEN {
        let original = open(file(name)).unwrap();
        let facts = ImageFacts {
            width: 48,
            height: 32,
        };
        assert_eq!(original.facts(), facts, "{name}");
        let art = original.prepare(LINE_ART).unwrap();
        assert_eq!((art.width, art.height, art.kind), (48, 32, Kind::Rows));
        let pixels = colours(&art);
        let each = if name.starts_with("grey") { 1 } else { 3 };
        assert_eq!(pixels.len(), 48 * 32 * each, "{name}");
        let slack = if name.starts_with("lossy") { 6 } else { 1 };
        for (x, y) in [(4, 4), (44, 4), (4, 28), (44, 28)] {
            let wanted = quarter(x, y, 48, 32);
            let wanted = match each {
                1 => vec![grey(wanted)],
                _ => wanted.to_vec(),
            };
            let at = (y * 48 + x) * each;
            let shown = &pixels[at..at + each];
            assert!(near(shown, &wanted, slack), "{name} at {x},{y}: {shown:?}");
        }
        let photo = original.prepare(FULL).unwrap();
        assert_eq!(photo.kind, Kind::Jpeg { untouched: false }, "{name}");
    }
}

#[test]
fn what_is_transparent_lies_on_white() {
    for name in ["alpha.tif", "alpha.webp"] {
        let art = open(file(name)).unwrap().prepare(LINE_ART).unwrap();
        let pixels = colours(&art);
        assert_eq!(pixels[..3], QUARTERS[0], "{name}");
        // 40·128/255 + 255·127/255 = 147.08, 200·128/255 + 127 = 227.39.
        let blue = (28 * 48 + 4) * 3;
        assert_eq!(pixels[blue..blue + 3], [147, 147, 227], "{name}");
    }
}

#[test]
fn every_format_is_scaled_for_print() {
    let narrow = Placement {
        width_mm: 25.4 / 50.0, // 12 pixels of line art
        detail: Detail::Print,
        subject: Subject::LineArt,
    };
    for name in TAKEN.iter().chain(&["alpha.tif", "alpha.webp"]) {
        let scaled = open(file(name)).unwrap().prepare(narrow).unwrap();
        assert_eq!((scaled.width, scaled.height), (12, 8), "{name}");
        let pixels = colours(&scaled);
        let wanted = match pixels.len() {
            96 => vec![grey(QUARTERS[0])],
            _ => QUARTERS[0].to_vec(),
        };
        let shown = &pixels[..wanted.len()];
        assert!(near(shown, &wanted, 6), "{name}: {shown:?}");
    }
}

#[test]
fn nothing_but_the_picture_passes() {
    for name in ["rgb.tif", "sideways.webp"] {
        let told = file(name);
        assert!(told.windows(8).any(|w| w == b"TELLTALE"), "{name}");
        for place in [FULL, LINE_ART] {
            let prepared = open(told.clone()).unwrap().prepare(place).unwrap();
            let bytes = prepared.bytes.whole();
            for needle in [&b"TELLTALE"[..], b"Exif"] {
                assert!(!bytes.windows(needle.len()).any(|w| w == needle), "{name}");
            }
        }
    }
}

#[test]
fn kinds_that_cannot_be_used_are_named() {
    assert_eq!(
        refusal(file("moving.webp")),
        "cannot be used: it is an animation; save the picture that you need as a JPEG"
    );
    assert_eq!(
        refusal(file("preview.tif")),
        "cannot be used: its first picture is a preview, as in a camera's raw file; export the photo \
         as a JPEG"
    );
    let problem = refusal(file("float.tif"));
    assert!(
        problem.starts_with("cannot be used: it is a rare kind of TIFF"),
        "{problem}"
    );
    let media = |brand: &[u8]| refusal([b"\0\0\0\x18ftyp", brand, b"\0\0\0\0"].concat());
    for (brand, kind) in [
        (b"heic", "a HEIC"),
        (b"mif1", "a HEIC"),
        (b"avif", "an AVIF"),
    ] {
        assert_eq!(
            media(brand),
            format!(
                "cannot be used: it is {kind} photo, which cannot be read here; export it as a JPEG \
                 or send it to yourself as one (for the next ones, set the phone's camera to JPEG, \
                 often called \"most compatible\")"
            )
        );
    }
    assert_eq!(
        media(b"isom"),
        "cannot be used: it is a video or another kind of media file; export a photo as a JPEG"
    );
}

#[test]
fn a_letter_or_two_do_not_make_a_picture() {
    for text in [
        &b"BMW, and so on, for many more bytes than a head has"[..],
        b"RIFF\0\0\0\0WAVE and sound",
        b"II*",
        b"MM",
    ] {
        assert_eq!(open(text.to_vec()).unwrap_err(), ImageError::UnknownFormat);
    }
}

#[test]
fn every_shortened_file_is_refused() {
    // What follows the first page of a TIFF is not looked at.
    for name in TAKEN.iter().filter(|name| **name != "pages.tif") {
        let whole = file(name);
        for length in 0..whole.len() {
            let taken = open(whole[..length].to_vec());
            let shown = taken.and_then(|original| original.prepare(LINE_ART));
            assert!(
                shown.is_err(),
                "{length} of {} bytes of {name} were taken",
                whole.len()
            );
        }
    }
}

#[test]
fn a_header_that_promises_too_much_is_refused() {
    let mut bmp = file("rgb.bmp");
    bmp[18..22].copy_from_slice(&20_000_u32.to_le_bytes());
    bmp[22..26].copy_from_slice(&20_000_u32.to_le_bytes());
    assert!(refusal(bmp).contains("cut short"));
    // Packed rows may come from next to nothing, so only the number of pixels speaks.
    let packed = solid_webp(10_001, 10_000);
    assert_eq!(
        refusal(packed),
        "has 100010000 pixels; at most 100000000 are allowed"
    );
    // It can only be decoded whole: 4 bytes a pixel, at most 264 MB.
    assert!(refusal(solid_webp(10_000, 10_000)).contains("it would take 400 MB"));
    open(solid_webp(8_000, 8_000)).unwrap();
}

fn try_all(bytes: Vec<u8>) {
    let small = Placement {
        width_mm: 0.5,
        detail: Detail::Print,
        subject: Subject::Photo,
    };
    if let Ok(original) = open(bytes) {
        // A changed header may promise much; what that costs is for the tests of bounds.
        let ImageFacts { width, height } = original.facts();
        if u64::from(width) * u64::from(height) > 4_000_000 {
            return;
        }
        for placement in [FULL, LINE_ART, small] {
            if let Ok(prepared) = original.prepare(placement) {
                assert!(prepared.width > 0 && prepared.height > 0);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn a_mutilated_file_never_panics(
        which in prop::sample::select(&TAKEN[..]),
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..8),
        head in any::<bool>(),
    ) {
        let mut bytes = file(which);
        // Half of the time where the headers are.
        let most = if head { bytes.len().min(200) } else { bytes.len() };
        for (at, value) in changes {
            bytes[at.index(most)] = value;
        }
        try_all(bytes);
    }

    #[test]
    fn a_mutilated_jpeg_never_panics_when_it_is_reduced(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        progressive in any::<bool>(),
    ) {
        let mut bytes = encode(&scene(200, 168), 200, 168, |e| e.set_progressive(progressive));
        for (at, value) in changes {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        try_all(bytes);
    }
}

/// The passes of these files refine earlier ones, as common encoders write them (libjpeg's own order:
/// T.81, figure G.1 and table G.1 show such passes).
#[test]
fn passes_that_refine_earlier_ones_are_reduced_to_the_same_photo() {
    for (name, each) in [
        ("420", 3),
        ("422", 3),
        ("444", 3),
        ("grey", 1),
        ("restarts", 3),
    ] {
        let bytes = file(&format!("passes-{name}.jpg"));
        // Decoded at its full size by another decoder.
        let (full, width, height) = decode_jpeg(&bytes);
        let (full, of_full) = (&full, full.len() / (width * height));
        let original = open(bytes).unwrap();
        for by in [2, 4, 8] {
            let (wide, tall) = (width / by, height / by);
            let place = Placement {
                width_mm: 25.4 * wide as f64 / 600.0 + 0.001,
                detail: Detail::Print,
                subject: Subject::LineArt,
            };
            let art = original.prepare(place).unwrap();
            assert_eq!(
                (art.width, art.height),
                (wide as u32, tall as u32),
                "{name}"
            );
            let shown = colours(&art);
            let mut total = 0.0;
            for (at, value) in shown.iter().enumerate() {
                let (pixel, channel) = (at / each, at % each);
                let (x, y) = (pixel % wide * by, pixel / wide * by);
                let covered = (0..by * by).map(|i| {
                    let at = (y + i / by) * width + x + i % by;
                    f64::from(full[at * of_full + channel])
                });
                let mean = covered.sum::<f64>() / (by * by) as f64;
                total += (f64::from(*value) - mean).abs();
            }
            let off = total / shown.len() as f64;
            assert!(off < 3.0, "{name} at 1/{by}: {off} on average");
        }
    }
}

/// Above 16 megapixels a PNG is read row by row; each pixel is the mean of those that it covers, and
/// what the last column and row cover is less.
#[test]
fn a_large_png_is_reduced_to_the_same_picture() {
    use png::{BitDepth, ColorType};
    let (width, height) = (4201_u32, 4001_u32);
    let value = |x: u32, y: u32| ((x / 9 * 31 + y / 7 * 17) % 256) as u8;
    let opacity = |x: u32, y: u32| {
        if (x / 500 + y / 500).is_multiple_of(2) {
            255
        } else {
            128
        }
    };
    for (color, each) in [(ColorType::Rgba, 4), (ColorType::Grayscale, 1)] {
        let mut data = Vec::with_capacity((width * height) as usize * each);
        for (x, y) in (0..height).flat_map(|y| (0..width).map(move |x| (x, y))) {
            let v = value(x, y);
            match each {
                4 => data.extend([v, v / 2, 255 - v, opacity(x, y)]),
                _ => data.push(v),
            }
        }
        let file = png_of(width, height, color, BitDepth::Eight, &data);
        // An eighth, exactly: 526 of 4201 pixels, rounded up.
        let place = Placement {
            width_mm: 25.4 * 526.0 / 600.0 + 0.001,
            detail: Detail::Print,
            subject: Subject::LineArt,
        };
        let art = open(file).unwrap().prepare(place).unwrap();
        assert_eq!((art.width, art.height), (526, 501));
        let shown = colours(&art);
        let channels = each.min(3);
        for (x, y) in [(0, 0), (100, 77), (263, 250), (444, 499), (525, 500)] {
            let (across, down) = (
                (x * 8..width.min(x * 8 + 8)),
                (y * 8..height.min(y * 8 + 8)),
            );
            for channel in 0..channels {
                let (mut sum, mut count) = (0.0, 0.0);
                for (px, py) in down
                    .clone()
                    .flat_map(|y| across.clone().map(move |x| (x, y)))
                {
                    let v = value(px, py);
                    let v = f64::from([v, v / 2, 255 - v][channel]);
                    let a = if each == 4 {
                        f64::from(opacity(px, py)) / 255.0
                    } else {
                        1.0
                    };
                    sum += v * a + 255.0 * (1.0 - a);
                    count += 1.0;
                }
                let found = f64::from(shown[(y * 526 + x) as usize * channels + channel]);
                let off = (found - sum / count).abs();
                assert!(
                    off <= 1.5,
                    "{x}, {y}, {channel}: {found} for {}",
                    sum / count
                );
            }
        }
    }
}
