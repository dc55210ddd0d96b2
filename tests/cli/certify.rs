//! `warmlug certify`, `verify` and `extract`: a certificate's way out and back.

use crate::run::{Bench, EXAMPLES, alone, copy, visit};
use serde_json::Value;
use sha2::{Digest, Sha256};

#[test]
fn every_example_certifies_and_verifies() {
    let bench = Bench::new();
    for example in EXAMPLES {
        let certificate = bench.certified(example);
        let path = certificate.to_string_lossy();
        let ran = bench.run(&["verify", &path]);
        assert_eq!(ran.code, 5, "{example}: {}{}", ran.out, ran.err);
        assert!(ran.out.starts_with("Unchanged since "), "{}", ran.out);
        assert!(
            ran.out
                .contains("findings      recomputed from the visit file inside; "),
            "{}",
            ran.out
        );
        let json = bench.run(&["verify", &path, "--format", "json"]);
        let json: Value = serde_json::from_str(&json.out).unwrap();
        assert_eq!(json["acceptable"], false, "{example}");
        assert_eq!(json["unchanged"], true, "{example}");
        assert_eq!(json["objections"], serde_json::json!([]), "{example}");
        assert_eq!(json["pages"]["answer"], "yes", "{example}");
        assert_eq!(json["findings_follow"]["answer"], "yes", "{example}");
    }
}

#[test]
fn same_inputs_identity_and_time_give_the_same_bytes() {
    let bench = Bench::new();
    // Within the life of the identity that the first run makes.
    let at = (chrono::Utc::now() + chrono::Duration::days(1)).to_rfc3339();
    let write = |name: &str| {
        let ran = bench.run(&[
            "certify",
            &visit("townhouse-return"),
            "-o",
            name,
            "--signed-at",
            &at,
        ]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        std::fs::read(bench.path(name)).unwrap()
    };
    assert!(write("a.pdf") == write("b.pdf"), "two runs differ");
}

#[test]
fn the_first_run_makes_an_identity_and_says_so() {
    let bench = Bench::new();
    let first = bench.run(&["certify", &visit("townhouse-first"), "-o", "a.pdf"]);
    assert!(
        first.err.contains("Created a self-signed identity for"),
        "{}",
        first.err
    );
    assert!(first.err.contains("without a passphrase"), "{}", first.err);
    let second = bench.run(&["certify", &visit("townhouse-first"), "-o", "b.pdf"]);
    assert!(!second.err.contains("Created a"), "{}", second.err);
}

#[test]
fn an_existing_certificate_is_kept_without_force() {
    let bench = Bench::new();
    bench.write("a.pdf", "precious");
    let args = ["certify", &visit("townhouse-first"), "-o", "a.pdf"];
    let refused = bench.run(&args);
    assert_eq!(refused.code, 1);
    assert!(refused.err.contains("--force"), "{}", refused.err);
    assert_eq!(std::fs::read(bench.path("a.pdf")).unwrap(), b"precious");
    let forced = bench.run(&[&args[..], &["--force"]].concat());
    assert_eq!(forced.code, 0, "{}", forced.err);
    assert!(
        std::fs::read(bench.path("a.pdf"))
            .unwrap()
            .starts_with(b"%PDF-")
    );
}

#[test]
fn a_draft_is_unsigned_and_does_not_verify() {
    let bench = Bench::new();
    let ran = bench.run(&[
        "certify",
        &visit("townhouse-first"),
        "-o",
        "d.pdf",
        "--draft",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(!bench.path("config").exists(), "a draft needs no identity");
    let verify = bench.run(&["verify", "d.pdf"]);
    assert_eq!(verify.code, 1);
    assert!(verify.out.contains("not signed"), "{}", verify.out);
}

#[test]
fn standard_output_takes_the_certificate() {
    let bench = Bench::new();
    let ran = bench.run(&["certify", &visit("townhouse-first"), "-o", "-"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let verify = bench.run_with(&["verify", "-"], &ran.raw);
    assert_eq!(verify.code, 5, "{}", verify.out);
}

#[test]
fn one_changed_byte_is_found() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-first");
    let good = std::fs::read(&path).unwrap();
    for place in [9, good.len() / 3, good.len() / 2, good.len() - 200] {
        let mut bad = good.clone();
        bad[place] ^= 1;
        std::fs::write(&path, &bad).unwrap();
        let ran = bench.run(&["verify", &path.to_string_lossy()]);
        assert_eq!(ran.code, 1, "byte {place}: {}", ran.out);
    }
}

#[test]
fn extract_gives_back_the_visit_file_byte_for_byte() {
    let bench = Bench::new();
    let path = bench.certified("townhouse-return");
    let path = path.to_string_lossy();
    let ran = bench.run(&["extract", &path, "--only", "visit.yaml"]);
    assert_eq!(ran.raw, std::fs::read(visit("townhouse-return")).unwrap());
    let ran = bench.run(&["extract", &path, "-o", "record"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for name in [
        "visit.yaml",
        "assessment.json",
        "photos.sha256",
        "earlier-1.yaml",
    ] {
        assert!(
            bench.path("record").join(name).exists(),
            "{name}: {}",
            ran.out
        );
    }
}

#[test]
fn the_place_of_a_photo_is_kept_only_where_the_visit_file_says_so() {
    let bench = Bench::new();
    let own = std::fs::read_to_string(visit("townhouse-first")).unwrap();
    let entry = "    file: photos/panel.jpg\n";
    assert_eq!(own.matches(entry).count(), 1);
    let from = std::path::PathBuf::from(visit("townhouse-first"));
    for picture in [
        "logo.png",
        "signature.png",
        "photos/panel.jpg",
        "photos/charger.jpg",
    ] {
        let bytes = std::fs::read(from.parent().unwrap().join(picture)).unwrap();
        let to = bench.path(&format!("place/{picture}"));
        std::fs::create_dir_all(to.parent().unwrap()).unwrap();
        std::fs::write(to, bytes).unwrap();
    }
    // A place out at sea, which the photo's metadata has (examples/draw_photos.py).
    for (kept, place) in [("no", None), ("yes", Some("-48.87549-123.39252/"))] {
        let text = own.replace(entry, &format!("{entry}    keep_place: {kept}\n"));
        bench.write("place/visit.yaml", &text);
        let to = format!("{kept}.pdf");
        let ran = bench.run(&["certify", "place/visit.yaml", "-o", &to]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let ran = bench.run(&["extract", &to, "--only", "photos.json"]);
        let taken: serde_json::Value = serde_json::from_slice(&ran.raw).unwrap();
        assert_eq!(taken[0]["place"].as_str(), place);
        let ran = bench.run(&["verify", &to, "--allow-uncompared"]);
        assert_eq!(ran.code, 0, "{}", ran.out);
    }
}

#[test]
fn the_first_page_alone_is_an_extract_that_names_the_whole() {
    let bench = Bench::new();
    for example in ["townhouse-return", "landlord-six"] {
        let whole = bench.certified(example);
        let whole = whole.to_string_lossy();
        let page = format!("{example}-page-1.pdf");
        let ran = bench.run(&["extract", &whole, "--first-page"]);
        assert_eq!(ran.code, 0, "{}", ran.err);

        let digest = Sha256::digest(std::fs::read(&*whole).unwrap());
        let digest = base16ct::lower::encode_string(&digest);
        let ran = bench.run(&["verify", &page, "--format", "json"]);
        assert_eq!(ran.code, 1, "{}", ran.out);
        let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
        assert_eq!(json["extract_of"]["sha256"], digest.as_str());
        assert_eq!(
            (&json["unchanged"], &json["genuine"]),
            (&true.into(), &false.into())
        );
        let sentence = json["sentence"].as_str().unwrap();
        assert!(
            sentence.starts_with("Extract; ask for the whole certificate"),
            "{sentence}"
        );
        let ran = bench.run(&["verify", &page]);
        let told = ran.out.replace(['\n', ' '], "");
        assert!(told.contains(&digest), "{}", ran.out);
        assert!(told.contains("extractof"), "{}", ran.out);

        // One page, without the record.
        #[cfg(target_os = "linux")]
        {
            let bytes = std::fs::read(bench.path(&page)).unwrap();
            let pdf = crate::pdf_common::Pdf::load(&bytes);
            assert_eq!(pdf.pages().len(), 1);
        }
        let ran = bench.run(&["extract", &page, "--only", "visit.yaml"]);
        assert_eq!(ran.code, 1);
        assert!(ran.err.contains("it contains: extract.json"), "{}", ran.err);

        let ran = bench.run(&["extract", &page, "--first-page", "-o", "again.pdf"]);
        assert_eq!(ran.code, 1);
        assert!(ran.err.contains("an extract already"), "{}", ran.err);

        let ran = bench.run(&["register", &page, &whole, "--format", "jsonl"]);
        assert!(ran.err.contains("skipped: it has no record"), "{}", ran.err);
        assert!(!ran.out.contains("page-1"), "{}", ran.out);
    }
    // Nobody else can make one.
    let ran = bench.run(&[
        "identity",
        "new",
        "--name",
        "Somebody Else",
        "-o",
        "other.p12",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let asked = [
        "extract",
        "townhouse-return.pdf",
        "--first-page",
        "-o",
        "other.pdf",
    ];
    let ran = bench.run(&[&asked[..], &["--identity", "other.p12"]].concat());
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("sealed with the key of the certificate"),
        "{}",
        ran.err
    );
    assert!(!bench.path("other.pdf").exists());
}

#[test]
fn a_certificate_can_be_the_earlier_visit_and_a_broken_one_cannot() {
    let bench = Bench::new();
    let first = bench.certified("townhouse-first");
    let visit = alone("townhouse-return");
    bench.write(
        "visit.yaml",
        &format!("{visit}\nearlier: [ townhouse-first.pdf ]\n"),
    );
    let ran = bench.run(&["check", "visit.yaml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("Against earlier visits"), "{}", ran.out);

    let mut bytes = std::fs::read(&first).unwrap();
    let half = bytes.len() / 2;
    bytes[half] ^= 1;
    std::fs::write(&first, bytes).unwrap();
    let ran = bench.run(&["check", "visit.yaml"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("Get an undamaged copy"), "{}", ran.err);
}

#[test]
fn one_failing_visit_does_not_stop_the_others() {
    let bench = Bench::new();
    bench.write("bad.yaml", "visit: 1\n");
    for name in ["townhouse-first", "limited-visit"] {
        let from = std::path::PathBuf::from(visit(name));
        copy(from.parent().unwrap(), &bench.path(name));
    }
    let ran = bench.run(&[
        "certify",
        "townhouse-first/visit.yaml",
        "bad.yaml",
        "limited-visit/visit.yaml",
    ]);
    assert_eq!(ran.code, 1);
    assert!(
        bench.path("townhouse-first/certificate.pdf").exists(),
        "{}",
        ran.err
    );
    assert!(
        bench.path("limited-visit/certificate.pdf").exists(),
        "{}",
        ran.err
    );
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_exits_with_4() {
    let bench = Bench::new();
    let ran = bench.run(&[
        "certify",
        &visit("townhouse-first"),
        "-o",
        "/proc/self/certificate.pdf",
    ]);
    assert_eq!(ran.code, 4, "{}", ran.err);
}

#[test]
fn photos_are_scaled_for_print_or_kept_whole() {
    let bench = Bench::new();
    let (width, height) = (3000_u16, 2000_u16);
    let mut pixels = Vec::new();
    for y in 0..u32::from(height) {
        for x in 0..u32::from(width) {
            pixels.push(u8::try_from((x / 7 + y / 5) % 256).unwrap());
        }
    }
    std::fs::create_dir_all(bench.path("photos")).unwrap();
    let photo = bench.path("photos/panel.jpg");
    jpeg_encoder::Encoder::new_file(&photo, 70)
        .unwrap()
        .encode(&pixels, width, height, jpeg_encoder::ColorType::Luma)
        .unwrap();
    let source = std::fs::read_to_string(visit("limited-visit")).unwrap();
    // The example with this photo in place of its own.
    let (head, rest) = source.split_once("\nphotos:\n").unwrap();
    let tail = rest
        .lines()
        .skip_while(|l| l.starts_with(' ') || l.is_empty())
        .collect::<Vec<_>>()
        .join("\n");
    let photos = "photos:\n  - { id: p1, file: photos/panel.jpg, caption: Panel }";
    bench.write("visit.yaml", &format!("{head}\n{photos}\n{tail}\n"));

    let certify = |name: &str, more: &[&str]| {
        let file = bench.path("visit.yaml");
        let mut args = vec!["certify", file.to_str().unwrap(), "-o", name];
        args.extend(more);
        let ran = bench.run(&args);
        assert_eq!(ran.code, 0, "{}", ran.err);
        std::fs::read(bench.path(name)).unwrap()
    };
    let holds = |pdf: &[u8], key: &str| memchr::memmem::find(pdf, key.as_bytes()).is_some();
    let scaled = certify("scaled.pdf", &[]);
    let whole = certify("whole.pdf", &["--full-photos"]);
    assert!(holds(&whole, "/Width 3000/Height 2000"));
    assert!(!holds(&scaled, "/Width 3000/Height 2000"));
    // The scan itself goes in untouched.
    let original = std::fs::read(&photo).unwrap();
    let scan = &original[original.len() - 4000..];
    assert!(memchr::memmem::find(&whole, scan).is_some());
    assert!(scaled.len() < whole.len());
}

#[test]
fn a_certificate_never_takes_the_place_of_its_visit_file() {
    let bench = Bench::new();
    let text = crate::run::alone("townhouse-first");
    bench.write("visit.yaml", &text);
    let ran = bench.run(&["certify", "visit.yaml", "-o", "visit.yaml", "--force"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert_eq!(
        std::fs::read_to_string(bench.path("visit.yaml")).unwrap(),
        text
    );
}

#[test]
fn a_folder_that_is_not_there_is_named() {
    let bench = Bench::new();
    bench.write("visit.yaml", &alone("townhouse-first"));
    for args in [
        &["certify", "visit.yaml", "-o", "nodir/x.pdf"][..],
        &["register", "visit.yaml", "-o", "nodir/x.txt"],
    ] {
        let ran = bench.run(args);
        assert_eq!(ran.code, 4, "{}", ran.err);
        assert!(
            ran.err.contains("the folder nodir does not exist"),
            "{}",
            ran.err
        );
        assert!(!ran.err.contains(".part"), "{}", ran.err);
    }
    assert!(!bench.path("nodir").exists());
    assert!(
        !bench.path("config").exists(),
        "an identity was made for nothing"
    );
}

#[test]
fn nothing_is_signed_for_a_name_of_the_starter_file() {
    let bench = Bench::new();
    let source = alone("townhouse-first");
    let start = source.find("inspector:").unwrap();
    let name = start + source[start..].find("name: ").unwrap() + "name: ".len();
    let end = name + source[name..].find([',', '\n', '}']).unwrap();
    let visit = format!("{}Your Name{}", &source[..name], &source[end..]);
    bench.write("visit.yaml", &visit);
    let ran = bench.run(&["certify", "visit.yaml"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.err
            .contains("“Your Name” is a placeholder and cannot be signed"),
        "{}",
        ran.err
    );
    assert!(!bench.path("certificate.pdf").exists());
    assert_eq!(bench.run(&["certify", "visit.yaml", "--draft"]).code, 0);
}

#[test]
fn a_signer_who_was_not_the_inspector_is_remarked_on() {
    let bench = Bench::new();
    let made = bench.run(&["identity", "new", "--name", "Noor Haddad", "-o", "noor.p12"]);
    assert_eq!(made.code, 0, "{}", made.err);
    let ran = bench.run(&[
        "certify",
        &visit("townhouse-first"),
        "-o",
        "a.pdf",
        "--identity",
        "noor.p12",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err
            .contains("signed by Noor Haddad, but the inspector of this visit is"),
        "{}",
        ran.err
    );
}

/// Nobody can sign for readings that are still to be taken. The site's day is the signer's, or the
/// next one where the site lies up to 14 hours ahead of UTC (IANA: Pacific/Kiritimati).
#[test]
fn nothing_is_signed_before_the_day_of_the_visit() {
    let bench = Bench::new();
    let path = visit("townhouse-first");
    let signed_at =
        |time: &str| bench.run(&["certify", &path, "-o", "early.pdf", "--signed-at", time]);
    let ran = signed_at("2024-11-05T12:00:00Z");
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.err.contains("before the day of the visit"),
        "{}",
        ran.err
    );
    assert!(!bench.path("early.pdf").exists());
    // On the visit's day where the site's clock is furthest ahead: only the identity is too young.
    let ran = signed_at("2024-11-12T10:00:00Z");
    assert!(
        !ran.err.contains("before the day of the visit"),
        "{}",
        ran.err
    );
}

/// Nobody can sign for readings that are still to be taken. Without a zone, the last reading may have
/// been taken up to 14 hours earlier than its time says in UTC.
#[test]
fn nothing_is_signed_before_the_last_reading() {
    let bench = Bench::new();
    let source = alone("townhouse-first");
    assert!(!source.contains("zone:"), "the example names a zone");
    bench.write("plain.yaml", &source);
    for (name, zone) in [
        ("chicago.yaml", "America/Chicago"),
        ("east.yaml", "\"+05:30\""),
    ] {
        let day = "  date: 2024-11-13\n";
        let zoned = source.replacen(day, &format!("{day}  zone: {zone}\n"), 1);
        assert_ne!(zoned, source);
        bench.write(name, &zoned);
    }
    // The last round was at 10:52; Chicago was 6 hours behind UTC on that day.
    for (path, early, in_time) in [
        ("plain.yaml", "2024-11-12T20:51:59Z", "2024-11-12T20:52:00Z"),
        (
            "chicago.yaml",
            "2024-11-13T16:51:59Z",
            "2024-11-13T16:52:00Z",
        ),
        ("east.yaml", "2024-11-13T05:21:59Z", "2024-11-13T05:22:00Z"),
    ] {
        let signed_at = |time: &str| {
            let ran = bench.run(&["certify", path, "-o", "early.pdf", "--signed-at", time]);
            assert_eq!(ran.code, 1, "{path}: {}", ran.err);
            assert!(!bench.path("early.pdf").exists());
            ran.err
        };
        let err = signed_at(early);
        assert!(err.contains("before the last reading"), "{path}: {err}");
        // Only the identity, created now, is too young for this.
        let err = signed_at(in_time);
        assert!(!err.contains("the last reading"), "{path}: {err}");
    }
}

/// Where no authority can be reached, nothing is signed if a time-stamp is required, and otherwise the
/// missing one is told. Nothing listens on port 1.
#[test]
fn a_required_time_stamp_that_cannot_be_had_leaves_nothing_signed() {
    let bench = Bench::new();
    bench.write("visit.yaml", &alone("townhouse-first"));
    let certify = |more: &[&str]| {
        let args = [
            "certify",
            "visit.yaml",
            "-o",
            "c.pdf",
            "--timestamp",
            "http://127.0.0.1:1/tsr",
        ];
        bench.run(&[&args[..], more].concat())
    };
    let ran = certify(&["--timestamp-required"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("Nothing was signed"), "{}", ran.err);
    assert!(!bench.path("c.pdf").exists());
    let ran = certify(&[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err.contains("Signed without a time-stamp"),
        "{}",
        ran.err
    );
    assert!(bench.path("c.pdf").exists());
}
