//! What strangers' files may cost. The program runs with so much address space and so many
//! seconds of processor time, and the system ends it when it asks for more: a test that passes
//! has stayed within both. The figures are those of an unoptimized build.

use crate::photo_fixtures::{black_tiff, png_chunk, progressive, segment, solid_webp};
use crate::run::{Bench, Ran, alone};
use flate2::Compression;
use flate2::write::ZlibEncoder;
use std::fmt::Write as _;
use std::io::Write as _;
use warmlug::seal::{Identity, Person, SignOptions, sign};

/// Address space for what holds no pictures, MiB.
const SPACE: u64 = 256;
/// Address space for a picture that is decoded whole, MiB: 264 MB of it.
const WHOLE: u64 = 640;
/// Processor time for a file that is refused, seconds.
const SECONDS: u64 = 10;

/// Refused with a sentence, and not by the system.
fn refused(ran: &Ran, words: &str) {
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains(words), "{}", ran.err);
    assert!(!ran.err.contains("panicked"), "{}", ran.err);
}

fn check(bench: &Bench, text: &str) -> Ran {
    bench.write("visit.yaml", text);
    bench.run_within(SPACE, SECONDS, &["check", "visit.yaml"])
}

#[test]
fn alias_bombs_do_not_go_off() {
    let bench = Bench::new();
    let mut bomb = "a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n".to_owned();
    for i in 1..30 {
        let again = vec![format!("*a{}", i - 1); 10].join(", ");
        writeln!(bomb, "a{i}: &a{i} [{again}]").unwrap();
    }
    refused(&check(&bench, &bomb), "visit.yaml:");
    let mut merged = "a0: &a0 { k0: 1 }\n".to_owned();
    for i in 1..2000 {
        writeln!(merged, "a{i}: &a{i} {{ <<: *a{}, k{i}: 1 }}", i - 1).unwrap();
    }
    refused(&check(&bench, &merged), "visit.yaml:");
    bench.write("rules.yaml", &bomb);
    bench.write("visit.yaml", &alone("limited-visit"));
    let args = ["check", "visit.yaml", "--rules", "rules.yaml"];
    refused(&bench.run_within(SPACE, SECONDS, &args), "rules.yaml");
}

#[test]
fn deep_nesting_is_refused() {
    let bench = Bench::new();
    let most = warmlug::visit::limits::FILE_BYTES;
    let mut steps = String::new();
    for depth in 0..2500 {
        writeln!(steps, "{}a:", " ".repeat(depth)).unwrap();
    }
    let files = [
        "[".repeat(most),
        "{a: ".repeat(most / 4),
        "- ".repeat(most / 2),
        "? ".repeat(most / 2),
        "!a ".repeat(most / 3),
        "&a ".repeat(most / 3),
        format!("a: \"{}", "\\".repeat(most - 4)),
        steps,
    ];
    for text in &files {
        let start = text[..8].to_owned();
        refused(&check(&bench, text), "visit.yaml");
        bench.write("rules.yaml", &text[..text.len().min(500_000)]);
        bench.write("good.yaml", &alone("limited-visit"));
        let args = ["check", "good.yaml", "--rules", "rules.yaml"];
        let ran = bench.run_within(SPACE, SECONDS, &args);
        assert_eq!(ran.code, 1, "{start}: {}", ran.err);
    }
}

#[test]
fn files_too_large_are_not_read_whole() {
    let bench = Bench::new();
    bench.write("good.yaml", &alone("limited-visit"));
    // Holes: half a gibibyte that takes no room on the disk.
    let huge = std::fs::File::create(bench.path("huge.yaml")).unwrap();
    huge.set_len(600 << 20).unwrap();
    for args in [
        &["check", "huge.yaml"][..],
        &["check", "/dev/zero"],
        &["check", "good.yaml", "--rules", "huge.yaml"],
        &["worksheet", "huge.yaml"],
        &["fill", "huge.yaml", "--with", "good.yaml"],
    ] {
        refused(
            &bench.run_within(SPACE, SECONDS, args),
            "larger than 4 MiB, the limit for such a file",
        );
    }
    let text = "# nothing but this line\n".repeat(30_000);
    bench.write("long.yaml", &text);
    let args = ["check", "good.yaml", "--rules", "long.yaml"];
    refused(&bench.run_within(SPACE, SECONDS, &args), "long.yaml");
    // Keys, lists and passphrases.
    let sealed = bench.certified("limited-visit");
    let sealed = sealed.to_str().unwrap();
    for args in [
        &["verify", sealed, "--trust", "/dev/zero"][..],
        &["verify", sealed, "--known", "/dev/zero"],
        &["certify", "good.yaml", "--crl", "/dev/zero", "-o", "a.pdf"],
        &[
            "certify",
            "good.yaml",
            "--identity",
            "huge.yaml",
            "-o",
            "a.pdf",
        ],
    ] {
        let ran = bench.run_within(SPACE, SECONDS, args);
        assert_eq!(ran.code, 1, "{args:?}: {}", ran.err);
        assert!(!ran.err.trim().is_empty());
    }
    // Certificates may be larger, yet not without end. Room for two buffers of that size, while one
    // grows into the other, beside the gibibyte of addresses that the allocator sets aside.
    let ran = bench.run_within(1024 + 400, 30, &["verify", "--no-known", "/dev/zero"]);
    refused(&ran, "larger than 128 MiB, the limit for such a file");
}

/// A visit with so many connections, twice measured.
fn connections(n: usize) -> String {
    let base = alone("limited-visit");
    let (head, rest) = base.split_once("    places:").unwrap();
    let (_, rest) = rest.split_once("    # Proved before").unwrap();
    let (isolation, _) = rest.split_once("        - at: \"16:05\"").unwrap();
    let isolation = isolation.replace(
        "    looked_at:\n      - { place: charger, seen: [dust, corroded], note: \"Rust on two cover screws.\" }\n",
        "",
    );
    let mut text = format!("{head}    places:\n");
    for i in 0..n {
        if i % 64 == 0 {
            let place = i / 64;
            write!(
                text,
                "      - id: place-{place}\n        name: Place {place}\n        connections:\n"
            )
            .unwrap();
        }
        let leg = 1 + i % 2;
        writeln!(
            text,
            "          - {{ id: c-{i}, leg: L{leg}, kind: lug, torque: 5 N·m, surface: insulation }}"
        )
        .unwrap();
    }
    write!(text, "    # Proved before{isolation}").unwrap();
    for (at, current) in [("16:25", 44), ("17:10", 48)] {
        write!(
            text,
            "        - at: \"{at}\"\n          air: 33.5 °C\n          current: {current} A\n          readings:\n"
        )
        .unwrap();
        for i in 0..n {
            writeln!(text, "            c-{i}: {}.5 °C", 40 + i % 30).unwrap();
        }
    }
    text
}

#[test]
fn the_largest_visit_is_certified_and_a_larger_one_refused() {
    let bench = Bench::new();
    let most = warmlug::visit::limits::CONNECTIONS;
    bench.write("visit.yaml", &connections(most));
    let ran = bench.run_within(1024, 120, &["certify", "visit.yaml", "-o", "large.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = bench.run_within(1024, 120, &["verify", "large.pdf"]);
    assert_eq!(ran.code, 5, "{}{}", ran.out, ran.err);
    refused(&check(&bench, &connections(most + 1)), "4096");
}

/// A PNG that says to have this size, with these bytes of pixels.
fn png(width: u32, height: u32, pixels: u64) -> Vec<u8> {
    let mut header = [width.to_be_bytes(), height.to_be_bytes()].concat();
    header.extend([8, 0, 0, 0, 0]); // 8 bits, grey
    let mut packed = ZlibEncoder::new(Vec::new(), Compression::fast());
    std::io::copy(
        &mut std::io::Read::take(std::io::repeat(0), pixels),
        &mut packed,
    )
    .unwrap();
    [
        b"\x89PNG\r\n\x1a\n".to_vec(),
        png_chunk(b"IHDR", &header),
        png_chunk(b"IDAT", &packed.finish().unwrap()),
        png_chunk(b"IEND", b""),
    ]
    .concat()
}

/// A grey JPEG of one colour that says to have this size, with the data of so many blocks.
fn jpeg(width: u16, height: u16, blocks: usize) -> Vec<u8> {
    let mut out = vec![0xFF, 0xD8];
    out.extend(segment(0xDB, &[&[0][..], &[1; 64]].concat()));
    let size = [
        &[8][..],
        &height.to_be_bytes(),
        &width.to_be_bytes(),
        &[1, 1, 0x11, 0],
    ]
    .concat();
    out.extend(segment(0xC0, &size));
    // One code each, of one bit: the difference is nothing; the block ends.
    let one = |class: u8| [&[class, 1][..], &[0; 15], &[0]].concat();
    out.extend(segment(0xC4, &one(0x00)));
    out.extend(segment(0xC4, &one(0x10)));
    out.extend(segment(0xDA, &[1, 1, 0, 0, 63, 0]));
    out.extend(std::iter::repeat_n(0, blocks.div_ceil(4)));
    out.extend([0xFF, 0xD9]);
    out
}

fn with_photo(bench: &Bench, name: &str, bytes: &[u8]) {
    let text = format!(
        "{}photos:\n  - {{ id: p1, file: {name}, caption: The panel }}\n",
        alone("limited-visit")
    );
    bench.write("visit.yaml", &text);
    std::fs::write(bench.path(name), bytes).unwrap();
}

#[test]
fn pictures_of_100_megapixels_fit_and_larger_ones_are_refused() {
    let bench = Bench::new();
    // Room for some rows of a PNG and for a reduced JPEG; of the others, for the decoded picture, 4 bytes a
    // pixel, beside the program and its stacks.
    for (name, bytes, space) in [
        ("a.png", png(10_000, 10_000, 10_000 * 10_001), SPACE),
        ("a.jpg", jpeg(10_000, 10_000, 1250 * 1250), SPACE),
        ("a.tif", black_tiff(8_000, 8_000, 64_000_000), WHOLE),
        ("a.webp", solid_webp(8_000, 8_000), WHOLE),
        ("a.bmp", rle_bmp(8_000, 8_000), WHOLE),
    ] {
        with_photo(&bench, name, &bytes);
        let args = ["certify", "visit.yaml", "--force", "-o", "a.pdf"];
        let ran = bench.run_within(space, 60, &args);
        assert_eq!(ran.code, 0, "{name}: {}", ran.err);
    }
    for (name, bytes) in [
        ("b.png", png(10_000, 10_001, 10)),
        ("c.png", png(u32::MAX >> 1, u32::MAX >> 1, 10)),
        ("b.jpg", jpeg(10_000, 10_001, 10)),
        ("c.jpg", jpeg(u16::MAX, u16::MAX, 10)),
        ("b.tif", black_tiff(10_000, 10_001, 10)),
        ("c.tif", black_tiff(1 << 30, 1 << 30, 10)),
        ("b.webp", solid_webp(10_000, 10_001)),
        ("c.webp", solid_webp(1 << 14, 1 << 14)),
        ("b.bmp", rle_bmp(10_000, 10_001)),
        ("c.bmp", rle_bmp(65_000, 60_000)),
    ] {
        with_photo(&bench, name, &bytes);
        for command in ["check", "certify"] {
            let ran = bench.run_within(SPACE, SECONDS, &[command, "visit.yaml"]);
            assert_eq!(ran.code, 1, "{command}, {name}: {}", ran.err);
            refused(&ran, "pixels");
        }
    }
}

#[test]
fn pictures_that_are_decoded_whole_take_a_bounded_amount_of_memory() {
    let bench = Bench::new();
    let mut interlaced = png(8_200, 8_200, 8_200 * 8_201);
    // IHDR has the interlace method last, and then its check sum.
    interlaced[28] = 1;
    let sum = crc32fast::hash(&interlaced[12..29]);
    interlaced[29..33].copy_from_slice(&sum.to_be_bytes());
    for (name, bytes) in [
        ("a.tif", black_tiff(8_200, 8_200, 8_200 * 8_200)),
        ("a.webp", solid_webp(8_200, 8_200)),
        ("a.bmp", rle_bmp(8_200, 8_200)),
        ("a.png", interlaced),
    ] {
        with_photo(&bench, name, &bytes);
        for command in ["check", "certify"] {
            let ran = bench.run_within(SPACE, SECONDS, &[command, "visit.yaml"]);
            assert_eq!(ran.code, 1, "{command}, {name}: {}", ran.err);
            // 4 bytes for each of 8,200 × 8,200 pixels.
            refused(
                &ran,
                "decoding it would take 268 MB of memory; the limit is 264 MB",
            );
            refused(&ran, "save it as an ordinary JPEG");
        }
    }
}

/// A BMP of runs of one colour, all of its rows or none, that says to have this size.
fn rle_bmp(width: u32, height: u32) -> Vec<u8> {
    let mut rows = Vec::new();
    if width <= 10_000 {
        for _ in 0..height {
            for start in (0..width).step_by(255) {
                rows.extend([255.min(width - start) as u8, 1]);
            }
            rows.extend([0, 0]); // the row ends
        }
    }
    rows.extend([0, 1]); // the picture ends
    let start = 14 + 40 + 2 * 4;
    let mut out = b"BM".to_vec();
    for value in [start + rows.len() as u32, 0, start, 40, width, height] {
        out.extend(value.to_le_bytes());
    }
    out.extend([1, 0, 8, 0]); // planes, bits
    for value in [1, rows.len() as u32, 0, 0, 2, 2] {
        out.extend(value.to_le_bytes()); // run lengths, …, two colours
    }
    out.extend([0, 0, 0, 0, 90, 160, 40, 0]);
    [out, rows].concat()
}

#[test]
fn a_large_progressive_photo_takes_less_than_its_coefficients() {
    let bench = Bench::new();
    with_photo(&bench, "a.jpg", &progressive(9000, 9000, 0x22));
    // Kept whole, they are 243 MB; the space holds the program and its stacks too.
    let ran = bench.run_within(SPACE, 60, &["certify", "visit.yaml", "-o", "a.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    with_photo(&bench, "b.jpg", &progressive(9000, 9000, 0x11));
    for command in ["check", "certify"] {
        let ran = bench.run_within(SPACE, SECONDS, &[command, "visit.yaml"]);
        refused(&ran, "would take 486 MB of memory to decode");
    }
}

#[test]
fn lying_headers_are_found_out() {
    let bench = Bench::new();
    // A bomb behind a small header, of which only the picture is taken; a large header with nothing behind it; a gigabyte of text.
    let mut text = ZlibEncoder::new(b"Comment\0\0".to_vec(), Compression::fast());
    std::io::copy(
        &mut std::io::Read::take(std::io::repeat(b'a'), 512 << 20),
        &mut text,
    )
    .unwrap();
    let small = png(8, 8, 72);
    let commented = [
        &small[..33],
        &png_chunk(b"zTXt", &text.finish().unwrap()),
        &small[33..],
    ];
    let mut long = small.clone();
    long[33..37].copy_from_slice(&u32::MAX.to_be_bytes());
    for (name, bytes, code) in [
        ("bomb.png", png(8, 8, 256 << 20), 0),
        ("empty.png", png(10_000, 10_000, 0), 1),
        ("cut.png", png(10_000, 10_000, 1000), 1),
        ("long.png", long, 1),
        ("text.png", commented.concat(), 0),
        ("cut.jpg", jpeg(10_000, 10_000, 4), 1),
        ("none.jpg", jpeg(0, 10_000, 4), 1),
        ("bomb.tif", black_tiff(8, 8, 256 << 20), 0),
        ("flat.webp", solid_webp(300, 200), 0),
        ("runs.bmp", rle_bmp(300, 200), 0),
        ("cut.tif", black_tiff(10_000, 10_000, 1000), 1),
    ] {
        with_photo(&bench, name, &bytes);
        let args = ["certify", "visit.yaml", "--force", "-o", "a.pdf"];
        let ran = bench.run_within(1024, 30, &args);
        assert_eq!(ran.code, code, "{name}: {}", ran.err);
        assert!(!ran.err.contains("panicked"), "{name}: {}", ran.err);
    }
}

/// A PDF with so many pages, all with one content stream, and an empty field for the seal.
fn pages(n: usize, content: &[u8]) -> Vec<u8> {
    let mut packed = ZlibEncoder::new(Vec::new(), Compression::best());
    packed.write_all(content).unwrap();
    let packed = packed.finish().unwrap();
    let mut out = b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n".to_vec();
    let mut places = Vec::new();
    let mut put = |out: &mut Vec<u8>, body: &[u8]| {
        places.push(out.len());
        writeln!(out, "{} 0 obj", places.len()).unwrap();
        out.extend_from_slice(body);
        out.extend_from_slice(b"\nendobj\n");
    };
    put(
        &mut out,
        b"<</Type/Catalog/Pages 2 0 R/AcroForm<</Fields[4 0 R]/SigFlags 1>>>>",
    );
    let kids: String = (0..n).map(|i| format!("{} 0 R ", 5 + i)).collect();
    put(
        &mut out,
        format!("<</Type/Pages/Count {n}/Kids[{kids}]>>").as_bytes(),
    );
    let mut stream =
        format!("<</Length {}/Filter/FlateDecode>>stream\n", packed.len()).into_bytes();
    stream.extend_from_slice(&packed);
    stream.extend_from_slice(b"\nendstream");
    put(&mut out, &stream);
    put(
        &mut out,
        b"<</Type/Annot/Subtype/Widget/FT/Sig/T(Seal)/F 132/Rect[0 0 0 0]/P 5 0 R>>",
    );
    for i in 0..n {
        let field = if i == 0 { "/Annots[4 0 R]" } else { "" };
        put(
            &mut out,
            format!("<</Type/Page/Parent 2 0 R/MediaBox[0 0 612 792]/Contents 3 0 R{field}>>")
                .as_bytes(),
        );
    }
    let start = out.len();
    let count = places.len() + 1;
    writeln!(out, "xref\n0 {count}\n0000000000 65535 f ").unwrap();
    for place in &places {
        writeln!(out, "{place:010} 00000 n ").unwrap();
    }
    let id = "<30313233343536373839616263646566>";
    writeln!(
        out,
        "trailer\n<</Size {count}/Root 1 0 R/ID[{id}{id}]>>\nstartxref\n{start}\n%%EOF"
    )
    .unwrap();
    out
}

#[test]
fn a_hostile_pdf_of_ten_thousand_pages_is_refused() {
    let bench = Bench::new();
    bench.write("good.yaml", &alone("townhouse-return"));
    let stranger = Identity::create(
        &Person {
            name: "A. Stranger".to_owned(),
            ..Person::default()
        },
        "2026-01-01T00:00:00Z".parse().unwrap(),
    )
    .unwrap();
    let at = SignOptions::at("2026-10-06T11:42:00-05:00".parse().unwrap());
    // Every page inflates to 16 MiB, 156 GiB together.
    let bomb = pages(10_000, &b"BT (Satisfactory) Tj ET ".repeat(700_000));
    let plain = pages(10_000, b"BT (Satisfactory) Tj ET");
    for (name, bytes) in [
        ("unsigned.pdf", plain.clone()),
        (
            "signed.pdf",
            sign(&plain, &stranger, &at).unwrap().into_bytes(),
        ),
        (
            "bomb.pdf",
            sign(&bomb, &stranger, &at).unwrap().into_bytes(),
        ),
        ("few.pdf", {
            let few = pages(1500, &b"BT (Satisfactory) Tj ET ".repeat(700_000));
            sign(&few, &stranger, &at).unwrap().into_bytes()
        }),
    ] {
        std::fs::write(bench.path(name), bytes).unwrap();
        let earlier = format!("{}earlier: [ {name} ]\n", alone("townhouse-return"));
        bench.write("later.yaml", &earlier);
        for args in [
            &["verify", "--no-known", name][..],
            &["register", name],
            &["new", "--from", name, "-o", "next.yaml"],
            &["extract", name, "-o", "out"],
            &["certify", "later.yaml", "-o", "later.pdf"],
            &["fill", "good.yaml", "--with", name],
        ] {
            let ran = bench.run_within(SPACE, SECONDS, args);
            assert_eq!(ran.code, 1, "{args:?}: {}{}", ran.out, ran.err);
            assert!(!ran.err.contains("panicked"), "{args:?}: {}", ran.err);
        }
        assert!(!bench.path("next.yaml").exists());
    }
}

/// A zip with these files, packed.
fn zip(files: &[(&str, u8, u64)], sheet: &str) -> Vec<u8> {
    let mut out = std::io::Cursor::new(Vec::new());
    zip_into(&mut out, zip::CompressionMethod::Deflated, files, sheet);
    out.into_inner()
}

/// Writes a worksheet and files to a zip. A file is a name, a byte, and how often it is repeated.
fn zip_into(
    out: impl std::io::Write + std::io::Seek,
    method: zip::CompressionMethod,
    files: &[(&str, u8, u64)],
    sheet: &str,
) {
    let mut out = zip::ZipWriter::new(out);
    let packed = zip::write::SimpleFileOptions::default().compression_method(method);
    out.start_file("worksheet.json", packed).unwrap();
    out.write_all(sheet.as_bytes()).unwrap();
    for (name, byte, length) in files {
        out.start_file(*name, packed).unwrap();
        let begin: &[u8] = if name.ends_with(".jpg") {
            b"\xFF\xD8\xFF"
        } else {
            b""
        };
        let all = std::io::Read::chain(begin, std::io::repeat(*byte));
        let mut content = std::io::Read::take(all, *length);
        std::io::copy(&mut content, &mut out).unwrap();
    }
    out.finish().unwrap();
}

#[test]
fn zip_bombs_do_not_go_off() {
    let bench = Bench::new();
    let before = alone("limited-visit");
    bench.write("visit.yaml", &before);
    let listed = |names: &[&str]| {
        let photos: Vec<String> = names
            .iter()
            .map(|n| format!("{{\"id\":\"p\",\"file\":\"{n}\",\"caption\":\"\"}}"))
            .collect();
        format!("{{\"values\":{{}},\"photos\":[{}]}}", photos.join(","))
    };
    let many: Vec<String> = (0..200).map(|i| format!("photos/{i}.jpg")).collect();
    let many: Vec<&str> = many.iter().map(String::as_str).collect();
    let same = vec!["photos/a.jpg"; 200];
    let spaces = " ".repeat(64 << 20);
    let deep = format!("{{\"values\":{}", "[".repeat(1 << 20));
    for (name, bytes, words) in [
        (
            "one.zip",
            zip(
                &[("photos/a.jpg", 0, 300 << 20)],
                &listed(&["photos/a.jpg"]),
            ),
            "the zip contains too much",
        ),
        (
            "same.zip",
            zip(&[("photos/a.jpg", 0, 60 << 20)], &listed(&same)),
            "the zip names two photos `photos/a.jpg`",
        ),
        (
            "many.zip",
            zip(
                &many.iter().map(|n| (*n, 0, 4 << 20)).collect::<Vec<_>>(),
                &listed(&many),
            ),
            "the zip contains too much",
        ),
        ("sheet.zip", zip(&[], &spaces), "the zip contains too much"),
        (
            "deep.zip",
            zip(&[], &deep),
            "this is not a zip file saved by the browser application",
        ),
        (
            "path.zip",
            zip(&[("photos/../a.jpg", 0, 1)], &listed(&["photos/../a.jpg"])),
            "is not in photos/",
        ),
        (
            "case.zip",
            zip(
                &[("photos/a.jpg", 0, 9), ("photos/A.JPG", 0, 9)],
                &listed(&["photos/a.jpg", "photos/A.JPG"]),
            ),
            "the zip names two photos `photos/A.JPG`",
        ),
    ] {
        std::fs::write(bench.path(name), bytes).unwrap();
        let args = ["fill", "visit.yaml", "--with", name];
        // One photo of 64 MiB at a time.
        refused(&bench.run_within(SPACE, 60, &args), words);
        assert_eq!(
            std::fs::read_to_string(bench.path("visit.yaml")).unwrap(),
            before
        );
        assert!(!bench.path("photos").exists(), "{name}");
    }
}

/// The names of so many photos, and the sheet that lists them.
fn listed(photos: usize, values: &str) -> (Vec<String>, String) {
    let names: Vec<String> = (0..photos).map(|i| format!("photos/{i}.jpg")).collect();
    let listed: Vec<String> = names
        .iter()
        .zip(0..)
        .map(|(n, i)| format!("{{\"id\":\"p{i}\",\"file\":\"{n}\",\"caption\":\"A panel\"}}"))
        .collect();
    let listed = listed.join(",");
    (
        names,
        format!("{{\"values\":{{{values}}},\"photos\":[{listed}]}}"),
    )
}

/// Fills in the visit from a zip whose photos, of 40 MiB each, take more than the space there is.
fn all_are_written(bench: &Bench, names: &[String]) {
    let args = ["fill", "visit.yaml", "--with", "visit.zip", "--replace"];
    let ran = bench.run_within(SPACE, 60, &args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for name in names {
        assert_eq!(bench.path(name).metadata().unwrap().len(), 40 << 20);
    }
}

#[test]
fn photos_of_a_zip_are_written_one_by_one() {
    let bench = Bench::new();
    bench.write("visit.yaml", &alone("limited-visit"));
    let torque =
        "\"unit-12/torque/panel-L1/found\":\"held\",\"unit-12/torque/panel-L1/left\":\"5 N·m\"";
    let (names, sheet) = listed(10, torque);
    let photos: Vec<(&str, u8, u64)> = names.iter().map(|n| (n.as_str(), 7, 40 << 20)).collect();
    std::fs::write(bench.path("visit.zip"), zip(&photos, &sheet)).unwrap();
    all_are_written(&bench, &names);
}

/// Photos are compressed already: a zip of them may be large, one of zeros may not.
#[test]
fn many_large_photos_fit_in_a_zip() {
    let bench = Bench::new();
    bench.write("visit.yaml", &alone("limited-visit"));
    let (names, sheet) = listed(14, "\"unit-12/torque/panel-L1/found\":\"held\"");
    let photos: Vec<(&str, u8, u64)> = names.iter().map(|n| (n.as_str(), 7, 40 << 20)).collect();
    let file = std::fs::File::create(bench.path("visit.zip")).unwrap();
    zip_into(file, zip::CompressionMethod::Stored, &photos, &sheet);
    all_are_written(&bench, &names);
}

#[test]
fn photos_named_like_devices_are_refused() {
    let bench = Bench::new();
    let before = alone("limited-visit");
    bench.write("visit.yaml", &before);
    for name in ["con.jpg", "NUL.png", "Com1.jpeg", "lpt9.old.jpg", "aux.tif"] {
        let sheet = format!(
            "{{\"values\":{{\"unit-12/torque/panel-L1/found\":\"held\"}},\
             \"photos\":[{{\"id\":\"p\",\"file\":\"photos/{name}\",\"caption\":\"A panel\"}}]}}"
        );
        let file = format!("photos/{name}");
        std::fs::write(bench.path("visit.zip"), zip(&[(&file, 7, 9)], &sheet)).unwrap();
        let args = [
            "fill",
            "visit.yaml",
            "--with",
            "visit.zip",
            "--replace",
            "--force",
        ];
        let ran = bench.run(&args);
        refused(&ran, "which Windows takes for a device");
        let now = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
        assert_eq!(now, before, "{name}");
        assert!(!bench.path("photos").exists(), "{name}");
    }
}

#[cfg(unix)]
#[test]
fn photos_are_not_written_through_links() {
    use std::os::unix::fs::symlink;
    let bench = Bench::new();
    let before = alone("limited-visit");
    bench.write("visit.yaml", &before);
    let sheet = "{\"values\":{\"unit-12/torque/panel-L1/found\":\"held\"},\
                 \"photos\":[{\"id\":\"p\",\"file\":\"photos/a.jpg\",\"caption\":\"A panel\"}]}";
    std::fs::write(
        bench.path("visit.zip"),
        zip(&[("photos/a.jpg", 7, 9)], sheet),
    )
    .unwrap();
    std::fs::create_dir(bench.path("elsewhere")).unwrap();
    let fill = || {
        let args = [
            "fill",
            "visit.yaml",
            "--with",
            "visit.zip",
            "--replace",
            "--force",
        ];
        refused(&bench.run_within(SPACE, SECONDS, &args), "this is a link");
        let now = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
        assert_eq!(now, before);
    };
    symlink("elsewhere", bench.path("photos")).unwrap();
    fill();
    assert!(!bench.path("elsewhere/a.jpg").exists());
    std::fs::remove_file(bench.path("photos")).unwrap();
    std::fs::create_dir(bench.path("photos")).unwrap();
    bench.write("elsewhere/a.jpg", "another's");
    symlink("../elsewhere/a.jpg", bench.path("photos/a.jpg")).unwrap();
    fill();
    let there = std::fs::read_to_string(bench.path("elsewhere/a.jpg")).unwrap();
    assert_eq!(there, "another's");
}

#[test]
fn only_pictures_of_a_zip_are_kept() {
    let bench = Bench::new();
    let before = alone("limited-visit");
    bench.write("visit.yaml", &before);
    for (name, first) in [
        ("n.exe", &b"\xFF\xD8\xFF"[..]),
        ("n.jpg.sh", b"\xFF\xD8\xFF"),
        ("n", b"\xFF\xD8\xFF"),
        ("jpg", b"\xFF\xD8\xFF"),
        ("n.jpg.", b"\xFF\xD8\xFF"),
        ("n.jpg", b"MZ\x90\0"),
        ("n.JPG", b"#!/bin/sh"),
        ("n.png", b""),
        ("n.svg", b"<svg"),
        ("n.html", b"<html"),
    ] {
        let sheet = format!(
            "{{\"values\":{{\"unit-12/torque/panel-L1/found\":\"held\"}},\
             \"photos\":[{{\"id\":\"p\",\"file\":\"photos/{name}\",\"caption\":\"A panel\"}}]}}"
        );
        let mut out = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
        let packed = zip::write::SimpleFileOptions::default();
        for (name, content) in [
            ("worksheet.json".to_owned(), sheet.as_bytes()),
            (format!("photos/{name}"), first),
        ] {
            out.start_file(name, packed).unwrap();
            out.write_all(content).unwrap();
        }
        let zip = out.finish().unwrap().into_inner();
        std::fs::write(bench.path("visit.zip"), zip).unwrap();
        let args = [
            "fill",
            "visit.yaml",
            "--with",
            "visit.zip",
            "--replace",
            "--force",
        ];
        let ran = bench.run(&args);
        refused(&ran, "is not a JPEG, PNG, TIFF, WebP or BMP image");
        assert!(ran.err.contains(&format!("photos/{name}`")), "{}", ran.err);
        let now = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
        assert_eq!(now, before, "{name}");
        assert!(!bench.path("photos").exists(), "{name}");
    }
}

/// Names in somebody else's zip are repeated in messages, without what would clear the screen, begin a line
/// of its own or turn the text around (ECMA-48, 8.3.39; Unicode UAX 9, 2.2).
#[test]
fn names_in_a_zip_do_not_steer_the_terminal() {
    let bench = Bench::new();
    bench.write("visit.yaml", &alone("limited-visit"));
    let name = "\\u001b[2J\\nGenuine: signed\\u202e.jpg";
    let value = "\"unit-12/torque/panel-L1/found\":\"held\"";
    let photo = format!("{{\"id\":\"p\",\"file\":\"photos/{name}\",\"caption\":\"A panel\"}}");
    for sheet in [
        format!("{{\"values\":{{{value}}},\"photos\":[{photo}]}}"),
        format!("{{\"values\":{{{value},\"unit-12/{name}\":\"x\"}},\"photos\":[]}}"),
    ] {
        std::fs::write(bench.path("visit.zip"), zip(&[], &sheet)).unwrap();
        let ran = bench.run(&["fill", "visit.yaml", "--with", "visit.zip"]);
        refused(&ran, "[2JGenuine: signed.jpg");
        assert!(!ran.err.contains(['\u{1b}', '\u{202e}']), "{:?}", ran.err);
        assert_eq!(ran.err.lines().count(), 1, "{}", ran.err);
    }
}

#[test]
fn a_photo_is_never_overwritten_by_another() {
    let bench = Bench::new();
    let before = alone("limited-visit");
    bench.write("visit.yaml", &before);
    let sheet = "{\"values\":{\"unit-12/torque/panel-L1/found\":\"held\"},\"photos\":[\
                 {\"id\":\"a\",\"file\":\"photos/a.jpg\",\"caption\":\"A panel\"},\
                 {\"id\":\"b\",\"file\":\"photos/b.jpg\",\"caption\":\"A panel\"}]}";
    let photos = [("photos/a.jpg", 7, 9), ("photos/b.jpg", 7, 9)];
    std::fs::write(bench.path("visit.zip"), zip(&photos, sheet)).unwrap();
    bench.write("photos/b.jpg", "evidence!");
    let args = [
        "fill",
        "visit.yaml",
        "--with",
        "visit.zip",
        "--replace",
        "--force",
    ];
    refused(&bench.run(&args), "another photo of this name");
    let read = |name: &str| std::fs::read(bench.path(name)).unwrap();
    assert_eq!(read("photos/b.jpg"), b"evidence!");
    assert!(
        !bench.path("photos/a.jpg").exists(),
        "nothing is written by halves"
    );
    assert_eq!(read("visit.yaml"), before.as_bytes());
    // The same picture is no other one.
    let same = b"\xFF\xD8\xFF\x07\x07\x07\x07\x07\x07";
    std::fs::write(bench.path("photos/b.jpg"), same).unwrap();
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(
        (&read("photos/a.jpg")[..], &read("photos/b.jpg")[..]),
        (&same[..], &same[..])
    );
}
