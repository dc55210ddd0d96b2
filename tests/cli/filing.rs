//! Filing: labels, and indexes of certificates.

use super::run::{Bench, alone, visit};
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

/// A visit to a site under a number.
fn visit_of(bench: &Bench, file: &str, site: &str, number: &str) {
    let text = alone("townhouse-first")
        .replace("Garage of 7 Larkmoor Row", site)
        .replace("2024-0117", number);
    bench.write(file, &text);
}

/// All files below a folder, by name.
fn below(folder: &Path) -> Vec<String> {
    let mut found = Vec::new();
    let mut waiting = vec![folder.to_owned()];
    while let Some(next) = waiting.pop() {
        for entry in std::fs::read_dir(next).unwrap() {
            let path = entry.unwrap().path();
            match path.is_dir() {
                true => waiting.push(path),
                false => {
                    let name = path.strip_prefix(folder).unwrap();
                    found.push(name.to_string_lossy().replace('\\', "/"));
                }
            }
        }
    }
    found.sort();
    found
}

const USUAL: &str = "{site}/{date} {number}.pdf";

#[test]
fn a_pattern_files_a_folder_for_each_property() {
    let bench = Bench::new();
    visit_of(
        &bench,
        "visits/a/visit.yaml",
        "12/14 Mill Lane",
        "2024-0117",
    );
    visit_of(&bench, "visits/b/visit.yaml", "../../Elm Row", "2024-0118");
    visit_of(&bench, "visits/c/visit.yaml", "CON", "../2024-0119");
    std::fs::create_dir(bench.path("filed")).unwrap();
    let args = ["certify", "visits", "--name", USUAL, "-o", "filed"];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let filed = [
        "12-14 Mill Lane/2024-11-13 2024-0117.pdf",
        "CON_/2024-11-13 ..-2024-0119.pdf",
        "_..-..-Elm Row/2024-11-13 2024-0118.pdf",
    ];
    assert_eq!(below(&bench.path("filed")), filed);
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err.contains("0 written, 3 unchanged, 0 failed"),
        "{}",
        ran.err
    );
    let ran = bench.run(&["register", "filed", "--allow-uncompared"]);
    assert_eq!(ran.code, 0, "{}", ran.out);

    for (pattern, said) in [
        (
            "../{number}.pdf",
            "`..` is no name of a folder or file here",
        ),
        (
            "/tmp/{number}.pdf",
            "is not below the folder of certificates",
        ),
        ("{numbr}.pdf", "did you mean {number}?"),
        ("certificate.pdf", "every certificate would have this name"),
    ] {
        let ran = bench.run(&["certify", "visits", "--name", pattern, "-o", "filed"]);
        assert_eq!(ran.code, 2, "{}", ran.err);
        assert!(ran.err.contains(said), "{said}: {}", ran.err);
    }
    let ran = bench.run(&["certify", "visits", "--name", USUAL, "-o", "nowhere"]);
    assert_eq!(ran.code, 4, "{}", ran.err);
    assert!(
        ran.err.contains("nowhere: there is no such folder"),
        "{}",
        ran.err
    );
    assert_eq!(below(&bench.path("filed")).len(), 3);
}

#[test]
fn one_name_is_never_given_to_two_visits() {
    let bench = Bench::new();
    visit_of(&bench, "visits/a/visit.yaml", "Mill Lane", "2024-0117");
    visit_of(&bench, "visits/b/visit.yaml", "MILL LANE", "2024-0118");
    std::fs::create_dir(bench.path("filed")).unwrap();
    let args = ["certify", "visits", "--name", "{site}.pdf", "-o", "filed"];
    // The same name on a disk without upper and lower case.
    for force in [&[][..], &["--force"]] {
        let ran = bench.run(&[&args[..], force].concat());
        assert_eq!(ran.code, 1, "{}", ran.err);
        assert!(
            ran.err.contains("put {number} into the pattern"),
            "{}",
            ran.err
        );
        assert_eq!(below(&bench.path("filed")).len(), 1, "{}", ran.err);
        for file in below(&bench.path("filed")) {
            std::fs::remove_file(bench.path("filed").join(file)).unwrap();
        }
    }
    // Nor in two runs, even with --force; its own certificate is replaced then.
    let one = |visit: &str, force: &[&str]| {
        let args = ["certify", visit, "--name", "{year}.pdf", "-o", "filed"];
        bench.run(&[&args[..], force].concat())
    };
    assert_eq!(one("visits/a/visit.yaml", &[]).code, 0);
    let before = std::fs::read(bench.path("filed/2024.pdf")).unwrap();
    for force in [&[][..], &["--force"]] {
        let ran = one("visits/b/visit.yaml", force);
        assert_eq!(ran.code, 1, "{}", ran.err);
        assert!(
            ran.err
                .contains("that is certificate 2024-0117 of Brindlewick Electric"),
            "{}",
            ran.err
        );
    }
    assert_eq!(std::fs::read(bench.path("filed/2024.pdf")).unwrap(), before);
    assert_eq!(one("visits/a/visit.yaml", &[]).code, 1);
    assert_eq!(one("visits/a/visit.yaml", &["--force"]).code, 0);
}

#[cfg(unix)]
#[test]
fn no_link_leads_out_of_the_folder() {
    let bench = Bench::new();
    visit_of(&bench, "visit.yaml", "Mill Lane", "2024-0117");
    std::fs::create_dir_all(bench.path("filed")).unwrap();
    std::fs::create_dir_all(bench.path("elsewhere")).unwrap();
    std::os::unix::fs::symlink("../elsewhere", bench.path("filed/Mill Lane")).unwrap();
    let args = [
        "certify",
        "visit.yaml",
        "--name",
        "{site}/{number}.pdf",
        "-o",
        "filed",
    ];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.err.contains("a link out of the folder filed"),
        "{}",
        ran.err
    );
    std::fs::remove_file(bench.path("filed/Mill Lane")).unwrap();
    std::fs::create_dir(bench.path("filed/Mill Lane")).unwrap();
    std::fs::write(bench.path("elsewhere/other.pdf"), "other").unwrap();
    std::os::unix::fs::symlink(
        "../../elsewhere/other.pdf",
        bench.path("filed/Mill Lane/2024-0117.pdf"),
    )
    .unwrap();
    let ran = bench.run(&[&args[..], &["--force"]].concat());
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert_eq!(
        std::fs::read_to_string(bench.path("elsewhere/other.pdf")).unwrap(),
        "other"
    );
    // Within the folder, a link is a folder like any other.
    std::fs::remove_dir_all(bench.path("filed/Mill Lane")).unwrap();
    std::fs::create_dir(bench.path("filed/old name")).unwrap();
    std::os::unix::fs::symlink("old name", bench.path("filed/Mill Lane")).unwrap();
    let ran = bench.run(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(bench.path("filed/old name/2024-0117.pdf").exists());
}

#[test]
fn the_firm_s_file_says_where_certificates_are_filed() {
    let bench = Bench::new();
    let firm = "firm: { name: Brindlewick Electric }\ncertificates: filed\n\
                certificate_names: \"{site}/{date} {number}.pdf\"\n";
    bench.write("firm/firm.yaml", firm);
    bench.write("firm/.firm-top", "");
    visit_of(&bench, "firm/visits/a/visit.yaml", "Mill Lane", "2024-0117");
    let visit = "firm/visits/a/visit.yaml";
    let ran = bench.run(&["certify", visit]);
    assert_eq!(ran.code, 4, "{}", ran.err);
    assert!(ran.err.contains("create it first"), "{}", ran.err);
    std::fs::create_dir(bench.path("firm/filed")).unwrap();
    let ran = bench.run(&["certify", visit]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("firm.yaml: firm file used"), "{}", ran.err);
    assert_eq!(
        below(&bench.path("firm/filed")),
        ["Mill Lane/2024-11-13 2024-0117.pdf"]
    );
    // What is asked for on the command line comes first; drafts are not filed.
    assert_eq!(bench.run(&["certify", visit, "-o", "own.pdf"]).code, 0);
    assert!(bench.path("own.pdf").exists());
    assert_eq!(bench.run(&["certify", visit, "--draft"]).code, 0);
    assert!(bench.path("firm/visits/a/certificate-draft.pdf").exists());
    let ran = bench.run(&["certify", visit, "--name", "{year}/{number}.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(
        below(&bench.path("firm/filed")),
        ["2024/2024-0117.pdf", "Mill Lane/2024-11-13 2024-0117.pdf"]
    );

    // A file that came with a visit names no folder elsewhere.
    for folder in ["../elsewhere", "/tmp"] {
        bench.write("firm/firm.yaml", &firm.replace("filed", folder));
        let ran = bench.run(&["certify", visit, "--force"]);
        assert_eq!(ran.code, 1, "{}", ran.err);
        assert!(
            ran.err.contains("leads out of the folder of this file"),
            "{}",
            ran.err
        );
    }
    bench.write("firm/firm.yaml", &firm.replace("{date}", "{dat}"));
    let ran = bench.run(&["certify", visit, "--force"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("did you mean {date}?"), "{}", ran.err);
}

/// A name that begins like a formula is text to a spreadsheet, and still the path of the file.
#[test]
fn an_index_names_files_that_begin_like_a_formula_so_that_they_are_found() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("filed")).unwrap();
    let ran = bench.run(&["certify", &visit("townhouse-first"), "-o", "filed/=1+1.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = bench.run(&[
        "register",
        "filed",
        "--index",
        "filed",
        "--allow-uncompared",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let table = std::fs::read_to_string(bench.path("filed/index.csv")).unwrap();
    let file = table.trim_end().rsplit(',').next().unwrap();
    assert_eq!(file, "./=1+1.pdf");
    assert!(
        table.contains(&digest(&bench.path("filed").join(file))),
        "{table}"
    );
}

#[test]
fn a_missing_folder_is_said_once() {
    let bench = Bench::new();
    for name in ["a", "b"] {
        let text = alone("townhouse-first").replace("2024-0117", name);
        bench.write(&format!("visits/{name}.yaml"), &text);
    }
    let ran = bench.run(&["certify", "visits", "--name", "{number}.pdf", "-o", "none"]);
    assert_eq!(ran.code, 4);
    assert_eq!(
        ran.err.matches("there is no such folder").count(),
        1,
        "{}",
        ran.err
    );
}
