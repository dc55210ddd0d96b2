//! `warmlug certify` over folders and lists of visits.

use crate::run::{Bench, alone};

/// Three visits in folders, one of them bad, with files beside them that are no visits.
fn three() -> Bench {
    let bench = Bench::new();
    bench.write("round/a/visit.yaml", &alone("townhouse-first"));
    bench.write("round/b/bad.yaml", "visit: { number: 7 }\n");
    bench.write("round/c/deep/visit.yaml", &alone("townhouse-return"));
    bench.write("round/c/firm.yaml", "id: acme\nextends: us\n");
    bench.write("round/.old/visit.yaml", &alone("townhouse-first"));
    bench
}

#[test]
fn one_refused_visit_never_stops_the_others() {
    let bench = three();
    let ran = bench.run(&["certify", "round"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    for (line, said) in [
        ("round/a/visit.yaml: signed certificate written", true),
        ("round/c/deep/visit.yaml: signed certificate written", true),
        ("bad.yaml:1:", true),
        ("3 visits: 2 written, 0 unchanged, 1 failed", true),
        ("firm.yaml", false),
        (".old", false),
    ] {
        assert_eq!(ran.err.contains(line), said, "{line}: {}", ran.err);
    }
    for there in ["round/a/certificate.pdf", "round/c/deep/certificate.pdf"] {
        let path = bench.path(there);
        assert_eq!(bench.run(&["verify", &path.to_string_lossy()]).code, 5);
    }
    assert!(!bench.path("round/.old/certificate.pdf").exists());
    // One identity was made for the one inspector, and said so once.
    assert_eq!(ran.err.matches("Created a self-signed identity").count(), 1);
}

#[test]
fn what_is_unchanged_is_left_and_what_changed_is_not_replaced() {
    let bench = three();
    std::fs::remove_file(bench.path("round/b/bad.yaml")).unwrap();
    assert_eq!(bench.run(&["certify", "round"]).code, 0);
    let first = std::fs::read(bench.path("round/a/certificate.pdf")).unwrap();
    let ran = bench.run(&["certify", "round"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err
            .contains("2 visits: 0 written, 2 unchanged, 0 failed"),
        "{}",
        ran.err
    );

    let changed = format!("{}remarks: Seen again.\n", alone("townhouse-first"));
    bench.write("round/a/visit.yaml", &changed);
    let ran = bench.run(&["certify", "round"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.err.contains("0 written, 1 unchanged, 1 failed"),
        "{}",
        ran.err
    );
    assert!(ran.err.contains("--force"), "{}", ran.err);
    assert_eq!(
        std::fs::read(bench.path("round/a/certificate.pdf")).unwrap(),
        first
    );

    let ran = bench.run(&["certify", "round", "--force"]);
    assert!(
        ran.err.contains("2 written, 0 unchanged, 0 failed"),
        "{}",
        ran.err
    );
    assert_ne!(
        std::fs::read(bench.path("round/a/certificate.pdf")).unwrap(),
        first
    );
}

#[test]
fn a_half_written_certificate_is_made_again_only_by_force() {
    let bench = three();
    bench.write("round/a/certificate.pdf", "%PDF-1.7 cut off");
    let ran = bench.run(&["certify", "round/a", "round/c"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("1 written, 0 unchanged, 1 failed"),
        "{}",
        ran.err
    );
}

#[test]
fn paths_come_from_a_list() {
    let bench = three();
    let list = "round/a/visit.yaml\n\nround/c/deep/visit.yaml\n";
    let ran = bench.run_with(&["certify", "--list", "-"], list.as_bytes());
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("2 visits: 2 written"), "{}", ran.err);
    assert!(bench.path("round/a/certificate.pdf").exists());
}

#[test]
fn a_folder_without_visits_and_one_output_for_many_are_refused() {
    let bench = three();
    let ran = bench.run(&["certify", "round/.old", "round", "-o", "one.pdf"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    std::fs::create_dir(bench.path("empty")).unwrap();
    let ran = bench.run(&["certify", "empty"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("no visit file in this folder"),
        "{}",
        ran.err
    );
}

/// A number stands for one visit: in one run, and against the certificates of earlier ones.
#[test]
fn a_number_is_given_once() {
    let bench = Bench::new();
    bench.write("round/a/visit.yaml", &alone("townhouse-first"));
    bench.write("round/b/visit.yaml", &alone("townhouse-first"));
    // The same visit twice is a copy.
    assert_eq!(bench.run(&["certify", "round"]).code, 0);
    let other = format!("{}remarks: Another visit.\n", alone("townhouse-first"));
    bench.write("round/b/visit.yaml", &other);
    std::fs::remove_file(bench.path("round/b/certificate.pdf")).unwrap();
    let ran = bench.run(&["certify", "round", "--force"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("is already used by"), "{}", ran.err);
    assert!(
        ran.err.contains("1 written, 0 unchanged, 1 failed"),
        "{}",
        ran.err
    );

    // Which of the two came first is open; from here on it is the first.
    let _ = std::fs::remove_file(bench.path("round/b/certificate.pdf"));
    assert_eq!(bench.run(&["certify", "round/a", "--force"]).code, 0);
    let alone_in_its_run = ["certify", "round/b/visit.yaml", "-o", "b.pdf"];
    let ran = bench.run(&[&alone_in_its_run[..], &["--register", "round"]].concat());
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.err
            .contains("is already used by round/a/certificate.pdf"),
        "{}",
        ran.err
    );
    assert!(!bench.path("b.pdf").exists());
    // The register as JSON lines will do, and its own certificate may be written again.
    let lines = bench.run(&["register", "round", "--format", "jsonl"]).out;
    bench.write("register.jsonl", &lines);
    let ran = bench.run(&[&alone_in_its_run[..], &["--register", "register.jsonl"]].concat());
    assert_eq!(ran.code, 1, "{}", ran.err);
    let again = [
        "certify",
        "round/a/visit.yaml",
        "--force",
        "--register",
        "round",
    ];
    let ran = bench.run(&again);
    assert_eq!(ran.code, 0, "{}", ran.err);
}

/// Two runs over the same visits, neither of which has found a certificate when it begins.
#[test]
fn two_runs_at_once_share_the_work() {
    for _ in 0..3 {
        let bench = Bench::new();
        let visits = 1..=12;
        for n in visits.clone() {
            let number = format!("number: 2026-{n:04}");
            let text = alone("townhouse-return").replace("number: 2025-0046", &number);
            bench.write(&format!("round/{n:02}/visit.yaml"), &text);
        }
        let start = || {
            let mut command = bench.command(&["certify", "round"]);
            command.stderr(std::process::Stdio::piped()).spawn()
        };
        let runs = [start().unwrap(), start().unwrap()];
        let ended = runs.map(|run| run.wait_with_output().unwrap());
        let told = ended.each_ref().map(|ran| {
            let text = String::from_utf8_lossy(&ran.stderr).into_owned();
            assert_eq!(ran.status.code(), Some(0), "{text}");
            text
        });
        // Each certificate was written by one of the two, and with the one key that both have.
        let written = told.each_ref().map(|text| {
            let lines = text.lines();
            lines.filter(|l| l.ends_with("certificate written")).count()
        });
        assert_eq!(written[0] + written[1], visits.clone().count());
        let made = |text: &&String| text.contains("Created a self-signed identity");
        assert_eq!(told.iter().filter(made).count(), 1);
        let ran = bench.run(&["register", "round"]);
        assert_eq!(ran.code, 5, "{}{}", ran.out, ran.err);
        assert!(ran.out.contains("\n12 certificates"), "{}", ran.out);
    }
}
