//! `warmlug upgrade`.

use crate::run::{Bench, EXAMPLES, alone, visit};
use std::path::Path;

/// A visit file as an American hand spells it, of before files named their format.
fn old() -> String {
    alone("receptacle-aluminium")
        .replace("licence: EL-00417", "license: EL-00417")
        .replace("material: aluminium", "material: aluminum")
}

#[test]
fn an_old_file_gets_the_present_keys_and_keeps_the_rest() {
    let bench = Bench::new();
    let old = old();
    assert!(
        old.contains("license:") && old.contains("aluminum"),
        "{old}"
    );
    bench.write("visit.yaml", &old);
    let refused = bench.run(&["check", "visit.yaml"]);
    assert_eq!(refused.code, 1);
    let hint = "write `licence`; `warmlug upgrade` does this for you";
    assert!(refused.err.contains(hint), "{}", refused.err);

    let ran = bench.run(&["upgrade", "visit.yaml"]);
    assert_eq!((ran.code, &*ran.out), (0, ""), "{}", ran.err);
    for told in [
        ": `format: 2` was added\n",
        ": `license:` is now `licence:`\n",
        ": `aluminum` is now `aluminium`\n",
        "visit.yaml: 4 changes\n",
    ] {
        assert!(ran.err.contains(told), "{told}{}", ran.err);
    }
    let new = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    let expected = alone("receptacle-aluminium").replacen("visit:\n", "format: 2\nvisit:\n", 1);
    assert_eq!(new, expected);
    assert_eq!(bench.run(&["check", "visit.yaml"]).code, 0);

    let again = bench.run(&["upgrade", "visit.yaml"]);
    assert_eq!(again.code, 0);
    assert_eq!(
        again.err,
        "visit.yaml: already has the current keys (format 2)\n"
    );
    assert_eq!(
        std::fs::read_to_string(bench.path("visit.yaml")).unwrap(),
        new
    );
}

/// The format alone changes no finding.
#[test]
fn findings_stay_the_same() {
    let bench = Bench::new();
    for example in EXAMPLES {
        let source = alone(example);
        bench.write("a.yaml", &source);
        let ran = bench.run(&["upgrade", "a.yaml", "-o", "b.yaml"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert_eq!(
            std::fs::read_to_string(bench.path("a.yaml")).unwrap(),
            source
        );
        let check = |file: &str| bench.run(&["check", file, "--format", "json"]).out;
        assert!(!check("a.yaml").is_empty(), "{example}");
        assert_eq!(check("a.yaml"), check("b.yaml"), "{example}");
        std::fs::remove_file(bench.path("b.yaml")).unwrap();
    }
}

/// What the program writes itself has the present format.
#[test]
fn new_files_need_no_upgrade() {
    let bench = Bench::new();
    let from = visit("townhouse-first");
    for args in [
        &["new", "-o", "a.yaml", "--no-schema"][..],
        &["new", "-o", "b.yaml", "--no-schema", "--rules", "iec"],
        &["new", "-o", "c.yaml", "--no-schema", "--from", &from],
    ] {
        let ran = bench.run(args);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let ran = bench.run(&["upgrade", args[2]]);
        assert!(
            ran.err.contains("already has the current keys"),
            "{}",
            ran.err
        );
    }
}

/// The record inside a kept certificate is an old visit file like any other.
#[test]
fn a_visit_file_out_of_a_kept_certificate_is_upgraded() {
    let bench = Bench::new();
    let kept = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fixtures/certificates/format-0/landlord-six.pdf");
    let ran = bench.run(&["extract", &kept.to_string_lossy(), "-o", "."]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = bench.run(&["upgrade", "visit.yaml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.ends_with("visit.yaml: one change\n"), "{}", ran.err);
    assert_eq!(bench.run(&["check", "visit.yaml"]).code, 0);
}

#[test]
fn standard_input_and_output() {
    let bench = Bench::new();
    let ran = bench.run_with(&["upgrade", "-"], b"visit: 1\n");
    assert_eq!(
        (ran.code, &*ran.out),
        (0, "format: 2\nvisit: 1\n"),
        "{}",
        ran.err
    );
    assert!(ran.err.starts_with("standard input:1: "), "{}", ran.err);
}

#[test]
fn what_is_there_is_kept() {
    let bench = Bench::new();
    bench.write("visit.yaml", "visit: 1\n");
    bench.write("other.yaml", "mine\n");
    let ran = bench.run(&["upgrade", "visit.yaml", "-o", "other.yaml"]);
    assert_ne!(ran.code, 0);
    assert_eq!(
        std::fs::read_to_string(bench.path("other.yaml")).unwrap(),
        "mine\n"
    );
    let ran = bench.run(&["upgrade", "visit.yaml", "-o", "other.yaml", "--force"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
}

#[test]
fn a_file_of_a_later_version_is_refused_and_says_what_to_do() {
    let bench = Bench::new();
    let newer = "format: 3\nvisit: { weather: fair }\n";
    bench.write("visit.yaml", newer);
    for command in ["upgrade", "check", "certify"] {
        let ran = bench.run(&[command, "visit.yaml"]);
        assert_eq!(ran.code, 1, "{command}");
        assert!(
            ran.err.starts_with(
                "visit.yaml:1:9: this file has format 3, and this version of warmlug reads \
                 formats up to 2\n"
            ),
            "{command}: {}",
            ran.err
        );
        assert!(
            ran.err.contains("= get a newer warmlug"),
            "{command}: {}",
            ran.err
        );
        // What a later format calls its keys is not known, so nothing is said of them.
        assert!(!ran.err.contains("weather: fair"), "{command}: {}", ran.err);
    }
    assert_eq!(
        std::fs::read_to_string(bench.path("visit.yaml")).unwrap(),
        newer
    );
}

#[test]
fn a_certificate_is_not_upgraded() {
    let bench = Bench::new();
    bench.write("a.pdf", "%PDF-1.7\n");
    let ran = bench.run(&["upgrade", "a.pdf"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("`warmlug extract a.pdf`"), "{}", ran.err);
}
