//! Images from a stranger's folder: what is taken, what is refused and in which words, and that
//! nothing in them makes the program hang or panic.

use crate::photo_fixtures::*;
use jpeg_encoder::{ColorType, Encoder};
use proptest::prelude::*;
use sha2::{Digest, Sha256};
use std::fs;
use std::path::Path;
use warmlug::photo::{Detail, Folder, MAX_FILE_BYTES, MAX_SCANS, Placement, Subject};
use warmlug::visit::{ImageError, ImageFacts};

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
                matches!(problem, ImageError::Damaged(_))
                    || (!known && problem == ImageError::UnknownFormat),
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
        "has 100000001 pixels; at most 100000000 are allowed"
    );
    // What only looks right is found out when it is decoded, a photo row by row.
    let photo = Placement {
        width_mm: 85.0,
        detail: Detail::Print,
        subject: Subject::Photo,
    };
    let problem = at_the_limit.prepare(photo).unwrap_err();
    assert!(matches!(problem, ImageError::Damaged(_)), "{problem}");
    // Line art is decoded whole.
    let problem = at_the_limit.prepare(LINE_ART).unwrap_err();
    assert!(problem.to_string().contains("400 MB"), "{problem}");
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
        "has 67108865 bytes; at most 67108864 are allowed"
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
        "cannot be used: it uses a rare kind of JPEG coding (frame C9); save it as an ordinary JPEG"
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
        "is not a JPEG, PNG, TIFF, WebP or BMP image"
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
fn a_progressive_picture_that_takes_too_much_memory_is_refused() {
    // 64 × 128 bytes a megapixel and channel, colours at half resolution or not.
    open(progressive(9000, 9000, 0x22)).unwrap();
    assert_eq!(
        refusal(progressive(9000, 9000, 0x11)),
        "cannot be used: it is a progressive JPEG that would take 486 MB of memory to decode; the \
         limit is 264 MB. Save a smaller copy, or save it as an ordinary JPEG (not progressive)"
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
        "is damaged or cut short: the JPEG file states its size twice"
    );
}

// ---- The folder -----------------------------------------------------------------------------

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
        assert_eq!(folder.image(path), Err(ImageError::Outside), "{path}");
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
        assert_eq!(folder.image(path), Err(ImageError::Outside), "{path}");
    }
    assert!(matches!(
        folder.image("round.jpg"),
        Err(ImageError::Unreadable(_))
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
    assert_eq!(say("pipe.jpg"), "cannot be read: it is not a regular file");
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
    let wanted = Err(ImageError::TooManyBytes {
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
            assert_eq!(result.unwrap_err(), ImageError::Changed, "{change}");
        }
    }
}

#[test]
fn a_folder_that_is_not_there_is_an_error() {
    assert!(Folder::new(Path::new("no/such/folder")).is_err());
}

// ---- Never a panic ------------------------------------------------------------------------------

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
