//! Certificates of earlier versions, kept in `tests/fixtures/certificates`, stay good for good.

use crate::run::Bench;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The certificates of each folder: file, number, circuits, outcome as it was sealed.
const KEPT: [(&str, &str, usize, &str); 9] = [
    ("amended", "2025-0046-A", 1, "satisfactory-with-notes"),
    (
        "carport-three-phase",
        "WR-2025-031",
        1,
        "satisfactory-with-notes",
    ),
    ("countersigned", "2024-0117", 1, "satisfactory"),
    ("landlord-six", "2025-0083", 6, "unsatisfactory"),
    ("limited-visit", "2025-0071", 1, "satisfactory-with-notes"),
    ("receptacle-aluminium", "2025-0058", 1, "unsatisfactory"),
    ("townhouse-first", "2024-0117", 1, "satisfactory"),
    (
        "townhouse-return",
        "2025-0046",
        1,
        "satisfactory-with-notes",
    ),
    ("two-languages", "2024-0117", 1, "satisfactory"),
];

/// Each folder with the keys that sealed and countersigned its certificates.
const KEYS: [(&str, [&str; 3]); 1] = [(
    "format-0",
    [
        "C21EAB5CDBBED3A56F347A550ABB96B9145D749FA9DB5554F77E6B5CEE2FBC41",
        "7FA6E5382C2C9C0FE529B435B83394934CD609F42D0777DBA2157C6DB26EAB74",
        "28E2F803FDF8581B36CB76BF37E7729BBA891934D266DF538FF1364E896E7653",
    ],
)];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/certificates")
}

/// Every kept certificate with what is known of it, and the options that name its keys.
fn each(mut test: impl FnMut(&str, &(&str, &str, usize, &str), &[&str])) {
    for (format, keys) in &KEYS {
        let pins: Vec<&str> = keys.iter().flat_map(|key| ["--pin", *key]).collect();
        for kept in &KEPT {
            let path = folder().join(format).join(format!("{}.pdf", kept.0));
            test(&path.to_string_lossy(), kept, &pins);
        }
    }
}

/// No folder and no file is left out of the tests below.
#[test]
fn every_kept_certificate_is_listed() {
    let names = |path: &Path| -> BTreeSet<String> {
        let entries = std::fs::read_dir(path).unwrap();
        let names = entries.map(|e| e.unwrap().file_name().into_string().unwrap());
        names.collect()
    };
    let mut listed: BTreeSet<String> = KEYS.iter().map(|(f, _)| (*f).to_owned()).collect();
    listed.extend(["README.md".to_owned(), "make".to_owned()]);
    assert_eq!(names(&folder()), listed);
    for (format, _) in KEYS {
        let files: BTreeSet<String> = KEPT.iter().map(|(f, ..)| format!("{f}.pdf")).collect();
        assert_eq!(names(&folder().join(format)), files, "{format}");
    }
}

#[test]
fn kept_certificates_verify() {
    let bench = Bench::new();
    each(|path, (_, number, _, _), pins| {
        let args = [&["verify", path, "--format", "json"], pins].concat();
        let ran = bench.run(&args);
        let answers: Value = serde_json::from_str(&ran.out).unwrap();
        assert_eq!(ran.code, 0, "{path}: {answers:#}");
        assert_eq!(answers["acceptable"], true, "{path}");
        assert_eq!(answers["genuine"], true, "{path}");
        assert_eq!(answers["objections"], serde_json::json!([]), "{path}");
        assert_eq!(answers["certificate"]["number"], *number, "{path}");
        assert_eq!(answers["pages"]["answer"], "yes", "{path}");

        let text = bench.run(&[&["verify", path], pins].concat());
        assert_eq!(text.code, 0, "{path}: {}", text.out);
        assert!(text.out.starts_with("Genuine: "), "{}", text.out);
    });
}

/// A kept certificate that was changed is found out all the same.
#[test]
fn kept_certificates_that_were_changed_do_not_verify() {
    let bench = Bench::new();
    each(|path, _, pins| {
        let mut bytes = std::fs::read(path).unwrap();
        let middle = bytes.len() / 2;
        bytes[middle] ^= 1;
        std::fs::write(bench.path("changed.pdf"), bytes).unwrap();
        let ran = bench.run(&[&["verify", "changed.pdf"], pins].concat());
        assert_eq!(ran.code, 1, "{path}: {}", ran.out);
    });
}

#[test]
fn a_kept_certificate_replaces_another() {
    let bench = Bench::new();
    for (format, keys) in KEYS {
        let path = |name: &str| {
            folder()
                .join(format)
                .join(name)
                .to_string_lossy()
                .into_owned()
        };
        let (old, new) = (path("townhouse-return.pdf"), path("amended.pdf"));
        let ran = bench.run(&["verify", &old, &new, "--pin", keys[0]]);
        assert_eq!(ran.code, 0, "{}", ran.out);
        let told = "2025-0046-A replaces 2025-0046, which no longer counts";
        assert!(ran.out.starts_with(told), "{}", ran.out);
    }
}

#[test]
fn records_of_kept_certificates_can_be_taken_out() {
    let bench = Bench::new();
    each(|path, (name, number, _, _), _| {
        let ran = bench.run(&["extract", path, "-o", name]);
        assert_eq!(ran.code, 0, "{path}: {}", ran.err);
        let read =
            |file: &str| std::fs::read_to_string(bench.path(&format!("{name}/{file}"))).unwrap();
        assert!(read("visit.yaml").contains(number), "{path}");
        let findings: Value = serde_json::from_str(&read("assessment.json")).unwrap();
        assert_eq!(findings["visit"]["number"], *number, "{path}");
    });
}

/// What the register says of a kept certificate is what was sealed.
#[test]
fn kept_certificates_are_registered() {
    let bench = Bench::new();
    each(|path, (_, number, circuits, outcome), pins| {
        let ran = bench.run(&[&["register", path, "--format", "jsonl"], pins].concat());
        assert_eq!(ran.code, 0, "{path}: {}{}", ran.out, ran.err);
        let rows: Vec<Value> = ran
            .out
            .lines()
            .map(|l| serde_json::from_str(l).unwrap())
            .collect();
        assert_eq!(rows.len(), *circuits, "{path}");
        for row in rows {
            assert_eq!(row["valid"], true, "{path}: {row}");
            assert_eq!(row["number"], *number, "{path}");
            // What a register never calls satisfactory.
            let outcome = if path.ends_with("limited-visit.pdf") {
                "incomplete"
            } else {
                outcome
            };
            assert_eq!(row["outcome"], *outcome, "{path}");
        }
    });
}

/// The next visit after a kept certificate names it under `earlier:` and is compared with it.
#[test]
fn kept_certificates_are_the_earlier_visit_of_the_next_one() {
    let bench = Bench::new();
    each(|path, (name, ..), _| {
        let file = format!("next-{name}/visit.yaml");
        let ran = bench.run(&["new", "--from", path, "-o", &file]);
        assert_eq!(ran.code, 0, "{path}: {}", ran.err);
        let text = std::fs::read_to_string(bench.path(&file)).unwrap();
        assert!(text.contains(&format!("/{name}.pdf")), "{text}");
        let ran = bench.run(&["check", &file]);
        assert_eq!(ran.code, 0, "{path}: {}", ran.err);
        let ran = bench.run(&["certify", &file]);
        assert_eq!(ran.code, 0, "{path}: {}", ran.err);
        let certificate = format!("next-{name}/certificate.pdf");
        let ran = bench.run(&["verify", &certificate, "--no-known", "--format", "json"]);
        let answers: Value = serde_json::from_str(&ran.out).unwrap();
        assert_eq!(
            answers["findings_follow"]["answer"], "yes",
            "{path}: {answers:#}"
        );
    });
}
