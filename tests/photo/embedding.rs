//! From a photo, a logo or a signature to what the certificate holds: upright, of the right
//! resolution, its pixels untouched where that is possible, and nothing else of the file.

use crate::photo_fixtures::*;
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use sha2::{Digest, Sha256};
use warmlug::photo::{Detail, Kind, Placement, Subject};
use warmlug::visit::ImageFacts;
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::options::DecoderOptions;

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
            let (pixels, pw, ph) = decode_jpeg(&prepared.bytes.whole());
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
            assert_eq!(colours(&logo.prepare(LINE_ART).unwrap()), upright);
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
        decode_jpeg(&passed.bytes.whole()),
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
                !holds(&image.bytes.whole(), needle),
                "{:?} {:?}",
                image.kind,
                needle
            );
        }
    }
}

/// A JPEG of RGB coefficients, known only from an Adobe segment: they must not be read as Y'CbCr.
fn coded_rgb(pixels: &[u8], width: u16, height: u16) -> Vec<u8> {
    let mut planes = Vec::new();
    let mut encoder = Encoder::new(&mut planes, 100);
    encoder.set_sampling_factor(SamplingFactor::F_1_1);
    // Encoding Y'CbCr planes as they come stores the three values untransformed.
    encoder
        .encode(pixels, width, height, ColorType::Ycbcr)
        .unwrap();
    let no_jfif = [&planes[..2], &planes[20..]].concat();
    assert_eq!(&planes[6..10], b"JFIF");
    with_segments(&no_jfif, &[segment(0xEE, b"Adobe\0\x64\0\0\0\0\0")])
}

#[test]
fn colours_of_a_passed_photo_are_what_its_own_header_says() {
    let passed = open(coded_rgb(&quarters(32, 32), 32, 32))
        .unwrap()
        .prepare(FULL)
        .unwrap();
    assert_eq!(passed.kind, Kind::Jpeg { untouched: true });
    assert!(passed.bytes.whole().windows(5).any(|w| w == b"Adobe"));
    let (decoded, ..) = decode_jpeg(&passed.bytes.whole());
    assert!(near(&decoded[..3], &QUARTERS[0], 6), "{:?}", &decoded[..3]);

    // Neither header: the ids 1, 2, 3 are Y'CbCr, and the copy says so.
    let plain = jpeg(32, 32);
    let bare = [&plain[..2], &plain[20..]].concat();
    let passed = open(bare).unwrap().prepare(FULL).unwrap();
    assert!(passed.bytes.whole().windows(5).any(|w| w == b"JFIF\0"));
    assert_eq!(decode_jpeg(&passed.bytes.whole()), decode_jpeg(&plain));
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
    assert_eq!(
        decode_jpeg(&prepared.bytes.whole()),
        decode_jpeg(&progressive)
    );

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
    assert_eq!(decode_jpeg(&passed.bytes.whole()), decode_jpeg(&restarts));

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
        let (_, w, h) = decode_jpeg(&prepared.bytes.whole());
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
    let pixels = quarters(640, 480);
    let grey: Vec<u8> = pixels.chunks(3).map(|p| p[0]).collect();
    let eight = png::BitDepth::Eight;
    let ways = [
        ("Y'CbCr", encode(&pixels, 640, 480, |_| {}), 3),
        ("RGB in a JPEG", coded_rgb(&pixels, 640, 480), 3),
        ("grey JPEG", encode(&grey, 640, 480, |_| {}), 1),
        (
            "PNG",
            png_of(640, 480, png::ColorType::Rgb, eight, &pixels),
            3,
        ),
        (
            "grey PNG",
            png_of(640, 480, png::ColorType::Grayscale, eight, &grey),
            1,
        ),
    ];
    let place = Placement {
        width_mm: 25.4 / 6.0,
        detail: Detail::Print,
        subject: Subject::LineArt,
    };
    for (way, file, components) in ways {
        let prepared = open(file).unwrap().prepare(place).unwrap();
        let size = (prepared.width, prepared.height, prepared.kind);
        assert_eq!(size, (100, 75, Kind::Rows), "{way}");
        let scaled = colours(&prepared);
        assert_eq!(scaled.len(), 100 * 75 * components, "{way}");
        for (x, y) in [(20, 15), (80, 15), (20, 60), (80, 60)] {
            let at = (y * 100 + x) * components;
            let wanted = &quarter(x, y, 100, 75)[..components];
            assert!(near(&scaled[at..at + components], wanted, 4), "{way}");
        }
    }
}

#[test]
fn a_photo_decoded_at_a_fraction_of_its_size_is_the_same_photo() {
    // 1600 pixels are reduced to 800, 400 or 200 on the way; each shown pixel is compared with the
    // mean of the pixels that it covers.
    let (width, height) = (1600, 1200);
    let pixels = scene(width, height);
    let grey: Vec<u8> = pixels.chunks(3).map(|p| p[1]).collect();
    let fine = |e: &mut Encoder<&mut Vec<u8>>| e.set_quality(95);
    let ways = [
        ("baseline", encode(&pixels, width, height, fine), 3),
        (
            "progressive",
            encode(&pixels, width, height, |e| {
                fine(e);
                e.set_progressive(true);
            }),
            3,
        ),
        (
            "colours at half resolution",
            encode(&pixels, width, height, |e| {
                fine(e);
                e.set_sampling_factor(SamplingFactor::F_2_2);
            }),
            3,
        ),
        ("RGB", coded_rgb(&pixels, 1600, 1200), 3),
        ("grey", encode(&grey, width, height, fine), 1),
    ];
    for (way, file, each) in ways {
        let source = if each == 1 { &grey } else { &pixels };
        let original = open(file).unwrap();
        for wide in [800, 400, 200] {
            let place = Placement {
                width_mm: 25.4 * f64::from(wide) / 600.0 + 0.001,
                detail: Detail::Print,
                subject: Subject::LineArt,
            };
            let art = original.prepare(place).unwrap();
            assert_eq!((art.width, art.height), (wide, wide * 3 / 4), "{way}");
            let shown = colours(&art);
            let by = width / wide as usize;
            let mut total = 0.0;
            for (at, value) in shown.iter().enumerate() {
                let (pixel, channel) = (at / each, at % each);
                let (x, y) = (pixel % wide as usize * by, pixel / wide as usize * by);
                let covered = (0..by * by).map(|i| {
                    let at = (y + i / by) * width + x + i % by;
                    f64::from(source[at * each + channel])
                });
                let mean = covered.sum::<f64>() / (by * by) as f64;
                let off = (f64::from(*value) - mean).abs();
                assert!(off < 12.0, "{way}, {wide} wide: {value} for {mean}");
                total += off;
            }
            let mean = total / shown.len() as f64;
            assert!(mean < 2.0, "{way}, {wide} wide: {mean} on average");
        }
    }
}

// ---- PNG ------------------------------------------------------------------------------------

#[test]
fn line_art_stays_lossless_and_lies_on_white() {
    let red = |alpha| [200_u8, 30, 30, alpha];
    let data = [red(255), red(0), red(128), red(1)].concat();
    let logo = png_of(2, 2, png::ColorType::Rgba, png::BitDepth::Eight, &data);
    let prepared = open(logo).unwrap().prepare(LINE_ART).unwrap();
    assert_eq!((prepared.kind, prepared.components), (Kind::Rows, 1));
    let palette = [200, 30, 30, 255, 255, 255, 227, 142, 142, 255, 254, 254];
    assert_eq!(prepared.palette.as_deref(), Some(&palette[..]));
    // v·a/255 + 255·(1 − a/255): 200·128/255 + 127 = 227.39, 30·128/255 + 127 = 142.06.
    let wanted = [200, 30, 30, 255, 255, 255, 227, 142, 142, 255, 254, 254];
    assert_eq!(colours(&prepared), wanted);

    let grey = png_of(
        2,
        1,
        png::ColorType::GrayscaleAlpha,
        png::BitDepth::Eight,
        &[9, 255, 9, 0],
    );
    let prepared = open(grey).unwrap().prepare(LINE_ART).unwrap();
    assert_eq!((prepared.components, colours(&prepared)), (1, vec![9, 255]));
}

#[test]
fn few_colours_become_a_palette() {
    for (colors, indexed) in [(256_usize, true), (257, false)] {
        let mut data: Vec<u8> = (0..colors)
            .flat_map(|i| [(i % 256) as u8, (i / 256) as u8, 77])
            .collect();
        data.extend_from_within(..3 * 20);
        let logo = png_of(
            (colors + 20) as u32,
            1,
            png::ColorType::Rgb,
            png::BitDepth::Eight,
            &data,
        );
        let prepared = open(logo).unwrap().prepare(LINE_ART).unwrap();
        assert_eq!(prepared.palette.is_some(), indexed, "{colors}");
        assert_eq!(prepared.components, if indexed { 1 } else { 3 });
        assert_eq!(colours(&prepared), data);
    }
    let grey = [5, 5, 5, 250, 250, 250];
    let logo = png_of(2, 1, png::ColorType::Rgb, png::BitDepth::Eight, &grey);
    let prepared = open(logo).unwrap().prepare(LINE_ART).unwrap();
    assert_eq!((prepared.palette.clone(), prepared.components), (None, 1));
    assert_eq!(colours(&prepared), [5, 250]);
}

#[test]
fn line_art_is_scaled_only_above_its_own_resolution() {
    for (width, wanted) in [(660, 660), (661, 600), (1320, 600)] {
        let place = Placement {
            width_mm: 25.4,
            detail: Detail::Print,
            subject: Subject::LineArt,
        };
        let prepared = open(png(width, 20)).unwrap().prepare(place).unwrap();
        assert_eq!(prepared.width, wanted, "{width}");
    }
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
        colours(&open(sixteen).unwrap().prepare(LINE_ART).unwrap()),
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
        colours(&open(one).unwrap().prepare(LINE_ART).unwrap()),
        wanted
    );
}

#[test]
fn a_png_photo_becomes_a_jpeg() {
    let prepared = open(png(64, 48)).unwrap().prepare(FULL).unwrap();
    assert_eq!(prepared.kind, Kind::Jpeg { untouched: false });
    let (pixels, ..) = decode_jpeg(&prepared.bytes.whole());
    assert!(near(&pixels[..3], &QUARTERS[0], 10));
}

// ---- The same everywhere ------------------------------------------------------------------------

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
