//! What a command reads is never written over, whatever name leads to it and with --force.

use crate::pdf_common::Pdf;
use crate::run::{Bench, alone, copy, visit};
use std::path::Path;
use warmlug::pdf::Object;

/// Folders of two visits with images, and a certificate of the first.
fn ready() -> Bench {
    let bench = Bench::new();
    for example in ["townhouse-first", "townhouse-return"] {
        let from = visit(example);
        copy(Path::new(&from).parent().unwrap(), &bench.path(example));
    }
    let ran = bench.run(&["certify", "townhouse-first/visit.yaml", "-o", "c.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    bench
}

/// Runs with --force and sees the file stay, the command refused as wrong usage.
fn stays(bench: &Bench, file: &str, args: &[&str]) {
    let before = std::fs::read(bench.path(file)).unwrap();
    for force in [&[][..], &["--force"]] {
        let ran = bench.run(&[args, force].concat());
        assert_ne!(ran.code, 0, "{args:?}: {}{}", ran.out, ran.err);
        if !force.is_empty() {
            assert_eq!(ran.code, 2, "{args:?}: {}{}", ran.out, ran.err);
            let said = "would overwrite";
            assert!(ran.err.contains(said), "{args:?}: {}", ran.err);
        }
        let after = std::fs::read(bench.path(file)).unwrap();
        assert!(after == before, "{args:?} wrote over {file}");
    }
}

#[test]
fn what_a_command_names_stays() {
    let bench = ready();
    bench.write("v.yaml", &alone("townhouse-first"));
    stays(&bench, "v.yaml", &["worksheet", "v.yaml", "-o", "v.yaml"]);
    stays(&bench, "v.yaml", &["worksheet", "v.yaml", "-o", "./v.yaml"]);
    stays(&bench, "c.pdf", &["register", "c.pdf", "-o", "c.pdf"]);
    for output in ["--calendar", "--page"] {
        stays(&bench, "c.pdf", &["register", "c.pdf", output, "c.pdf"]);
        stays(&bench, "c.pdf", &["register", ".", output, "c.pdf"]);
    }
    stays(&bench, "c.pdf", &["new", "--from", "c.pdf", "-o", "c.pdf"]);
    let ran = bench.run(&["worksheet", "v.yaml", "-o", "s.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    bench.write("v.yaml", &alone("townhouse-first"));
    let hand = ["--as", "client", "--name", "Amal"];
    let args = [&["countersign", "c.pdf", "-o", "c.pdf"][..], &hand].concat();
    stays(&bench, "c.pdf", &args);
    let key = ["identity", "new", "--name", "Noor Haddad", "-o", "n.p12"];
    assert_eq!(bench.run(&key).code, 0);
    let args = ["certify", "v.yaml", "--identity", "n.p12", "-o", "n.p12"];
    stays(&bench, "n.p12", &args);
    bench.write("firm.yaml", "id: firm\nextends: us\nedition: '1'\n");
    let args = ["certify", "v.yaml", "--rules", "firm.yaml", "-o"];
    stays(&bench, "firm.yaml", &[&args[..], &["firm.yaml"]].concat());
}

#[test]
fn a_filled_sheet_stays() {
    let bench = Bench::new();
    let from = visit("townhouse-return");
    let ran = bench.run(&["new", "--from", &from, "-o", "w.yaml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(bench.run(&["worksheet", "w.yaml"]).code, 0);
    let sheet = std::fs::read(bench.path("worksheet.pdf")).unwrap();
    let mut pdf = Pdf::load(&sheet);
    for dict in pdf.dicts_mut() {
        let name = dict.get(b"T").and_then(Object::as_string);
        if name.is_some_and(|n| n.bytes == b"garage/torque/breaker-L1/found") {
            dict.set("V", Object::literal("held"));
        }
    }
    std::fs::write(bench.path("s.pdf"), pdf.save()).unwrap();
    let args = ["fill", "w.yaml", "--with", "s.pdf", "-o"];
    stays(&bench, "s.pdf", &[&args[..], &["s.pdf"]].concat());
    stays(&bench, "w.yaml", &[&args[..], &["w.yaml"]].concat());
    let ran = bench.run(&["fill", "w.yaml", "--with", "s.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
}

#[test]
fn what_a_visit_names_stays() {
    let bench = ready();
    let visit = "townhouse-return/visit.yaml";
    let text = std::fs::read_to_string(bench.path(visit)).unwrap();
    let named: Vec<String> = text
        .split([' ', ',', '\n', '[', ']', '}'])
        .filter(|w| [".jpg", ".png", ".yaml"].iter().any(|e| w.ends_with(e)))
        .filter(|w| !w.contains("schema"))
        .map(str::to_owned)
        .collect();
    assert!(named.len() >= 4, "{named:?}");
    for name in &named {
        let file = format!("townhouse-return/{name}");
        for args in [
            &["certify", visit, "-o"][..],
            &["certify", visit, "--draft", "-o"],
            &["worksheet", visit, "-o"],
            &["new", "--from", visit, "-o"],
        ] {
            stays(&bench, &file, &[args, &[&file]].concat());
        }
    }
}

#[cfg(unix)]
#[test]
fn another_name_of_an_input_is_the_input() {
    let bench = ready();
    bench.write("v.yaml", &alone("townhouse-first"));
    std::os::unix::fs::symlink("v.yaml", bench.path("link")).unwrap();
    std::fs::hard_link(bench.path("v.yaml"), bench.path("twin")).unwrap();
    for target in ["link", "twin"] {
        stays(&bench, "v.yaml", &["certify", "v.yaml", "-o", target]);
        stays(&bench, "v.yaml", &["worksheet", "v.yaml", "-o", target]);
    }
}

#[test]
fn all_outputs_are_looked_at_before_one_is_written() {
    let bench = ready();
    bench.write("there.html", "kept");
    let ran = bench.run(&[
        "register",
        "c.pdf",
        "-o",
        "table.txt",
        "--calendar",
        "due.ics",
        "--page",
        "there.html",
    ]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(!bench.path("table.txt").exists() && !bench.path("due.ics").exists());
    let args = ["register", "c.pdf", "--page", "x", "--calendar", "./x"];
    for force in [&[][..], &["--force"]] {
        let ran = bench.run(&[&args[..], force].concat());
        assert_eq!(ran.code, 2, "{}", ran.err);
    }
    bench.write("record/visit.yaml", "kept");
    let ran = bench.run(&["extract", "c.pdf"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert_eq!(ran.out, "");
    let left = std::fs::read_dir(bench.path("record")).unwrap().count();
    assert_eq!(left, 1);
}

#[test]
fn standard_output_and_folders_are_told_apart_from_files() {
    let bench = ready();
    let ran = bench.run(&["register", "c.pdf", "--calendar", "-"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(ran.err.contains("can go to standard output"), "{}", ran.err);
    let args = ["register", "c.pdf", "-o", "t.txt", "--calendar", "-"];
    let ran = bench.run(&args);
    assert_eq!(ran.code, 5, "{}", ran.err);
    assert!(ran.out.starts_with("BEGIN:VCALENDAR"), "{}", ran.out);
    let ran = bench.run(&["extract", "c.pdf", "-o", "-"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(ran.err.contains("--only NAME"), "{}", ran.err);
    assert!(!bench.path("-").exists());
    let visit = "townhouse-first/visit.yaml";
    for args in [
        &["certify", visit, "-o", "townhouse-return", "--force"][..],
        &["worksheet", visit, "-o", "townhouse-return", "--force"],
        &["register", "c.pdf", "-o", "townhouse-return", "--force"],
        &["new", "-o", "townhouse-return", "--force"],
        &["identity", "new", "--name", "Ada", "-o", "townhouse-return"],
    ] {
        let ran = bench.run(args);
        assert_eq!(ran.code, 1, "{args:?}: {}", ran.err);
        assert!(ran.err.contains("that is a folder"), "{}", ran.err);
    }
}
