//! Files that a visit file or an option names: rules and earlier visits.

use crate::run::{Bench, alone, visit};

/// A firm's rules that change one threshold.
const FIRM: &str = "\
id: careful-firm
extends: us
edition: '2026'
thermal:
  least_load_fraction: { value: 50 %, source: The firm’s own practice }
";

#[test]
fn an_options_rules_file_is_looked_for_where_the_command_runs() {
    let bench = Bench::new();
    bench.write("site/visit.yaml", &alone("townhouse-first"));
    bench.write("firm.yaml", FIRM);
    let ran = bench.run(&[
        "check",
        "site/visit.yaml",
        "--rules",
        "firm.yaml",
        "--format",
        "json",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("careful-firm"), "{}", ran.out);
}

#[test]
fn a_visits_rules_file_lies_in_its_folder() {
    let bench = Bench::new();
    let visit = |rules: &str| {
        let text = alone("townhouse-first");
        assert!(text.contains("rules: us"));
        text.replace("rules: us", &format!("rules: {rules}"))
    };
    bench.write("site/visit.yaml", &visit("firm.yaml"));
    bench.write("site/firm.yaml", FIRM);
    let ran = bench.run(&["check", "site/visit.yaml", "--format", "json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("careful-firm"), "{}", ran.out);

    bench.write("secret.yaml", "password: swordfish\n");
    for named in [
        "../secret.yaml",
        &bench.path("secret.yaml").to_string_lossy(),
    ] {
        bench.write("site/visit.yaml", &visit(named));
        let ran = bench.run(&["check", "site/visit.yaml"]);
        assert_eq!(ran.code, 1);
        assert!(
            ran.err.contains("outside the visit’s folder"),
            "{}",
            ran.err
        );
        assert!(!ran.err.contains("swordfish"), "{}", ran.err);
    }
}

#[test]
fn a_certificate_verifies_under_the_rules_that_an_option_put_in_force() {
    let bench = Bench::new();
    let text = alone("townhouse-first").replace("rules: us", "rules: firm.yaml");
    bench.write("visit.yaml", &text);
    bench.write("firm.yaml", FIRM);
    for rules in ["us", "firm.yaml"] {
        let ran = bench.run(&["certify", "visit.yaml", "--rules", rules, "--force"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let ran = bench.run(&["verify", "certificate.pdf"]);
        assert_eq!(ran.code, 5, "{rules}: {}{}", ran.out, ran.err);
    }
}

#[test]
fn what_an_earlier_file_says_is_not_repeated() {
    let bench = Bench::new();
    bench.write("secret.yaml", "password: swordfish\n");
    bench.write("secret.txt", "password: swordfish\n");
    for (named, said) in [
        ("secret.yaml", "6 problems, the first in line 1"),
        ("secret.txt", "must end in .pdf or .yaml or .yml"),
    ] {
        let visit = format!("{}\nearlier: [ {named} ]\n", alone("townhouse-first"));
        bench.write("visit.yaml", &visit);
        let ran = bench.run(&["check", "visit.yaml"]);
        assert_eq!(ran.code, 1);
        assert!(ran.err.contains(named), "{}", ran.err);
        assert!(ran.err.contains(said), "{}", ran.err);
        assert!(!ran.err.contains("swordfish"), "{}", ran.err);
    }
}

#[test]
fn a_file_that_can_not_be_used_is_told_at_the_place_that_names_it() {
    let bench = Bench::new();
    let text = alone("townhouse-first");
    let rules = text.lines().position(|l| l.contains("rules: us")).unwrap() + 1;
    let line = text.lines().nth(rules - 1).unwrap();
    let column = line.find("rules: us").unwrap() + 8;
    for named in ["nec", "none.yaml"] {
        let visit = text.replace("rules: us", &format!("rules: {named}"));
        bench.write("visit.yaml", &visit);
        for command in ["check", "certify", "worksheet"] {
            let ran = bench.run(&[command, "visit.yaml"]);
            assert_eq!(ran.code, 1, "{}", ran.err);
            let place = format!("visit.yaml:{rules}:{column}: rules `{named}`: not a built-in");
            assert!(ran.err.starts_with(&place), "{}", ran.err);
            let marks = format!("| {}{}\n", " ".repeat(column - 1), "^".repeat(named.len()));
            assert!(ran.err.contains(&marks), "{}", ran.err);
            assert!(ran.err.contains("= write iec or us"), "{}", ran.err);
        }
    }
    bench.write("later.yaml", &text);
    let earlier = text.lines().count() + 2;
    for (named, said) in [
        ("gone.pdf", "there is no such file"),
        ("later.yaml", "it is not earlier than this visit"),
    ] {
        let visit = format!("{text}earlier:\n  - {named}\n");
        bench.write("visit.yaml", &visit);
        let ran = bench.run(&["check", "visit.yaml"]);
        assert_eq!(ran.code, 1, "{}", ran.err);
        let place = format!("visit.yaml:{earlier}:5: ");
        assert!(ran.err.starts_with(&place), "{}", ran.err);
        assert!(ran.err.contains(said), "{}", ran.err);
        let marks = format!("|     {}\n  = ", "^".repeat(named.len()));
        assert!(ran.err.contains(&marks), "{}", ran.err);
    }
}

#[test]
fn an_earlier_visit_is_another_one_and_no_later() {
    let bench = Bench::new();
    let text = alone("townhouse-first");
    assert!(text.contains("date: 2024-11-13"));
    let dated = |day: &str| text.replace("date: 2024-11-13", &format!("date: {day}"));
    let names = |file: &str| format!("{text}\nearlier: [ {file} ]\n");
    bench.write("before.yaml", &dated("2024-11-12"));
    bench.write("same.yaml", &text);
    bench.write("later.yaml", &dated("2024-11-14"));
    let number = |line: &&str| line.trim_start().starts_with("number:");
    let line = text.lines().find(number).unwrap();
    bench.write("morning.yaml", &text.replace(line, "  number: M-1"));
    for named in ["before.yaml", "morning.yaml"] {
        bench.write("visit.yaml", &names(named));
        let ran = bench.run(&["check", "visit.yaml"]);
        assert_eq!(ran.code, 0, "{named}: {}", ran.err);
    }
    for named in ["visit.yaml", "same.yaml", "later.yaml"] {
        bench.write("visit.yaml", &names(named));
        for command in ["check", "certify", "worksheet"] {
            let ran = bench.run(&[command, "visit.yaml"]);
            assert_eq!(ran.code, 1, "{command} {named}: {}", ran.err);
            let said = format!("{named}: it is not earlier than this visit (2024-11-13)");
            assert!(ran.err.contains(&said), "{}", ran.err);
        }
    }
}

#[test]
fn the_next_visit_of_the_same_day_is_taken_by_check() {
    let bench = Bench::new();
    let from = visit("townhouse-first");
    for day in ["2024-11-13", "2024-11-14"] {
        let file = format!("{day}.yaml");
        let args = ["new", "--from", &from, "--date", day, "-o", &file];
        let ran = bench.run(&args);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let next = std::fs::read_to_string(bench.path(&file)).unwrap();
        let listed = next.split("\nearlier:").nth(1).unwrap();
        assert!(listed.contains("townhouse-first/visit.yaml"), "{next}");
        let ran = bench.run(&["check", &file]);
        assert_eq!(ran.code, 0, "{}", ran.err);
    }
}
