//! Filing: labels, and indexes of certificates.

use super::run::{Bench, visit};
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::path::Path;

fn digest(path: &Path) -> String {
    base16ct::lower::encode_string(&Sha256::digest(std::fs::read(path).unwrap()))
}

fn verified(bench: &Bench, file: &str) -> Value {
    let ran = bench.run(&["verify", file, "--format", "json"]);
    assert_eq!(ran.code, 1, "{}", ran.out);
    serde_json::from_str(&ran.out).unwrap()
}

#[test]
fn a_label_names_its_certificate_and_is_taken_for_nothing_else() {
    let bench = Bench::new();
    for (example, pages) in [("townhouse-return", 1), ("landlord-six", 6)] {
        let whole = bench.certified(example);
        let path = whole.to_string_lossy();
        let ran = bench.run(&["extract", &path, "--label"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(
            ran.err.contains("not signed; print it at 100 %"),
            "{}",
            ran.err
        );
        let label = format!("{example}-label.pdf");

        let json = verified(&bench, &label);
        assert_eq!(json["label_of"]["sha256"], digest(&whole));
        assert_eq!(
            (&json["unchanged"], &json["acceptable"]),
            (&false.into(), &false.into())
        );
        let sentence = json["sentence"].as_str().unwrap();
        assert!(
            sentence.starts_with("Label; ask for certificate “20"),
            "{sentence}"
        );
        let ran = bench.run(&["register", &label, &path, "--allow-uncompared"]);
        assert_eq!(ran.code, 0, "{} {}", ran.out, ran.err);
        assert!(ran.err.contains("skipped: it has no record"), "{}", ran.err);
        let again = bench.run(&["extract", &path, "--label"]);
        assert_eq!(again.code, 1, "{}", again.err);

        #[cfg(target_os = "linux")]
        {
            let pdf = crate::pdf_common::Pdf::load(&std::fs::read(bench.path(&label)).unwrap());
            assert_eq!(pdf.pages().len(), pages);
            for page in pdf.pages() {
                let size = format!("{:?}", pdf.dict(page).get(b"MediaBox"));
                // 100 and 62 mm in points.
                for side in [b"283.4", b"175.7"] {
                    let digits = format!("{side:?}");
                    assert!(size.contains(digits.trim_end_matches(']')), "{size}");
                }
            }
        }
        let _ = pages;
    }
    let ran = bench.run(&[
        "extract",
        "landlord-six.pdf",
        "--label",
        "--circuit",
        "bay-9",
        "-o",
        "one.pdf",
    ]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("it has no circuit `bay-9`; it has "),
        "{}",
        ran.err
    );
}

#[test]
fn a_label_is_made_of_whole_certificates_only() {
    let bench = Bench::new();
    let whole = bench.certified("townhouse-first");
    let path = whole.to_string_lossy();
    assert_eq!(
        bench
            .run(&["extract", &path, "--first-page", "-o", "page.pdf"])
            .code,
        0
    );
    let ran = bench.run(&["extract", "page.pdf", "--label"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("this is page 1 alone, without a record"),
        "{}",
        ran.err
    );
    assert_eq!(
        bench
            .run(&["extract", &path, "--label", "-o", "label.pdf"])
            .code,
        0
    );
    let ran = bench.run(&["extract", "label.pdf", "--label", "-o", "again.pdf"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("is not signed"), "{}", ran.err);
    // Nor of one that somebody changed.
    let mut bytes = std::fs::read(&whole).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(bench.path("changed.pdf"), bytes).unwrap();
    let ran = bench.run(&["extract", "changed.pdf", "--label"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(!bench.path("changed-label.pdf").exists());
}

#[test]
fn an_index_lists_the_digest_of_each_file_and_says_what_it_is() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("filed")).unwrap();
    for example in ["townhouse-first", "townhouse-return", "landlord-six"] {
        let target = bench.path("filed").join(format!("{example}.pdf"));
        let ran = bench.run(&["certify", &visit(example), "-o", &target.to_string_lossy()]);
        assert_eq!(ran.code, 0, "{}", ran.err);
    }
    std::fs::write(bench.path("filed/junk.pdf"), "junk").unwrap();
    let ran = bench.run(&["register", "filed", "--index", "filed"]);
    // The junk is not valid.
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.err
            .contains("index of 3 certificates written, sealed by Maren Ody"),
        "{}",
        ran.err
    );

    let table = std::fs::read(bench.path("filed/index.csv")).unwrap();
    let mut reader = csv::Reader::from_reader(table.strip_prefix("\u{feff}".as_bytes()).unwrap());
    let heads = reader.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let cell = |row: &csv::StringRecord, name: &str| {
        let at = heads.iter().position(|head| head == name).unwrap();
        row[at].to_owned()
    };
    assert_eq!(rows.len(), 3);
    for row in &rows {
        let file = bench.path("filed").join(cell(row, "file"));
        assert_eq!(cell(row, "sha256"), digest(&file), "{}", file.display());
    }
    let told: Vec<[String; 4]> = rows
        .iter()
        .map(|row| ["number", "outcome", "next_due", "superseded_by"].map(|name| cell(row, name)))
        .collect();
    let told: Vec<[&str; 4]> = told
        .iter()
        .map(|row| row.each_ref().map(String::as_str))
        .collect();
    assert_eq!(
        told,
        [
            ["2025-0083", "unsatisfactory", "", ""],
            ["2024-0117", "satisfactory", "2025-05-13", "2025-0046"],
            ["2025-0046", "unsatisfactory", "", ""],
        ]
    );

    let json = verified(&bench, "filed/index.pdf");
    assert_eq!(
        json["index_of"],
        serde_json::json!({
            "certificates": 3, "from": "2024-11-13", "to": "2025-07-22", "left_out": 1,
        })
    );
    assert_eq!(json["unchanged"], true);
    let sentence = json["sentence"].as_str().unwrap();
    assert!(
        sentence
            .starts_with("Index of 3 certificates; ask for the certificates themselves. Unchanged"),
        "{sentence}"
    );
    let ran = bench.run(&["verify", "filed/index.pdf"]);
    assert!(
        ran.out.contains("\nindex of      3 certificates"),
        "{}",
        ran.out
    );
    // The table is inside, byte for byte, and the pages have the digests.
    let ran = bench.run(&["extract", "filed/index.pdf", "--only", "index.csv"]);
    assert_eq!(ran.raw, table);
    let ran = bench.run(&["extract", "filed/index.pdf", "--label"]);
    assert!(
        ran.err
            .contains("an index of certificates, without a record"),
        "{}",
        ran.err
    );

    // The next run passes it over, and does not overwrite it.
    let ran = bench.run(&["register", "filed", "--format", "jsonl"]);
    assert!(
        ran.err.contains("index.pdf: skipped: it has no record"),
        "{}",
        ran.err
    );
    assert!(!ran.out.contains("index.pdf"), "{}", ran.out);
    let ran = bench.run(&["register", "filed", "--index", "filed"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("index.csv"), "{}", ran.err);

    // One changed byte is found.
    let mut bytes = std::fs::read(bench.path("filed/index.pdf")).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(bench.path("changed.pdf"), bytes).unwrap();
    assert_eq!(verified(&bench, "changed.pdf")["unchanged"], false);
}

#[test]
fn an_index_has_the_selected_certificates_in_the_wanted_language() {
    let bench = Bench::new();
    for example in ["townhouse-first", "carport-three-phase"] {
        bench.certified(example);
    }
    let both = ["register", "townhouse-first.pdf", "carport-three-phase.pdf"];
    // Two identities are stored, so somebody has to be named.
    let ran = bench.run(&[&both[..], &["--index", "i"]].concat());
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.err.contains("say whose seals with --sealed-by NAME"),
        "{}",
        ran.err
    );
    let ran = bench.run(
        &[
            &both[..],
            &[
                "--index",
                "i.pdf",
                "--sealed-by",
                "Ilse Tarnow",
                "--index-language",
                "de",
            ],
            &["--site", "Lindenhang", "--allow-uncompared"],
        ]
        .concat(),
    );
    assert_eq!(ran.code, 0, "{}", ran.err);
    let table = std::fs::read_to_string(bench.path("i.csv")).unwrap();
    assert_eq!(table.lines().count(), 2, "{table}");
    assert!(table.contains("Lindenhang 4"), "{table}");
    #[cfg(target_os = "linux")]
    {
        let pdf = crate::pdf_common::Pdf::load(&std::fs::read(bench.path("i.pdf")).unwrap());
        let language = format!("{:?}", pdf.catalog().get(b"Lang"));
        assert!(
            language.contains("de") || language.contains("100, 101"),
            "{language}"
        );
    }
    for (args, said) in [
        (
            &["--index", "j", "--index-language", "xx"][..],
            "one of de, en, es, fr",
        ),
        (
            &[
                "--index",
                "j",
                "--site",
                "Nowhere",
                "--sealed-by",
                "Ilse Tarnow",
            ],
            "nothing for an index",
        ),
        (
            &["--index", "j", "--sealed-by", "Nobody"],
            "no identity of Nobody",
        ),
        (&["--index", "j", "--believe-lines"], "cannot be used with"),
    ] {
        let ran = bench.run(&[&both[..], args].concat());
        assert!(
            ran.code != 0 && ran.err.contains(said),
            "{said}: {}",
            ran.err
        );
        assert!(!bench.path("j.csv").exists() && !bench.path("j.pdf").exists());
    }
}
