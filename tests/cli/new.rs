//! `warmlug new`: from facts, and the next visit from a certificate or a visit file.

use crate::run::{Bench, visit};
use serde_json::Value;

/// Takes the comment marks off a circuit's form and fills its blanks.
pub fn filled(text: &str, reading: impl Fn(usize, &str) -> f64) -> String {
    let mut out = String::new();
    let (mut form, mut round, mut reading_of) = (false, 0, false);
    for line in text.lines() {
        let Some(inner) = line.strip_prefix("    # ").filter(|_| {
            form |= line.starts_with("    # isolation:");
            form
        }) else {
            out.push_str(line);
            out.push('\n');
            continue;
        };
        let bare = inner.split(" #").next().unwrap().trim_end();
        let key = bare.trim().trim_start_matches("- ").trim_end_matches(':');
        let deep = bare.len() - bare.trim_start().len() == 8;
        if key == "at" {
            round += 1;
            reading_of = false;
        }
        let value = match key {
            _ if !bare.ends_with(':') => String::new(),
            "proved_before" | "proved_after" | "voltage" => " 240 V".into(),
            "locked" => " yes".into(),
            "seen" => " clean".into(),
            "found" => " held".into(),
            "left" => " 45 in·lb".into(),
            "charging_from" => " \"09:50\"".into(),
            "at" => format!(" \"{}\"", ["09:40", "10:05", "10:55"][round - 1]),
            "air" => " 66".into(),
            "current" => " 40 A".into(),
            k if k.contains('-') && !reading_of => " 0 V".into(),
            k if deep && reading_of => format!(" {}", reading(round, k)),
            _ => String::new(),
        };
        reading_of |= key == "readings";
        out.push_str(&format!("    {bare}{value}\n"));
    }
    out
}

pub fn calm(round: usize, _connection: &str) -> f64 {
    [66.0, 72.0, 76.0][round - 1]
}

#[test]
fn the_next_visit_is_valid_incomplete_and_knows_the_last_one() {
    let bench = Bench::new();
    let certificate = bench.certified("townhouse-return");
    for from in [
        visit("townhouse-return"),
        certificate.to_string_lossy().into(),
    ] {
        let ran = bench.run(&["new", "--from", &from, "-o", "next/visit.yaml", "--force"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let text = std::fs::read_to_string(bench.path("next/visit.yaml")).unwrap();
        assert!(text.starts_with("# yaml-language-server: $schema=visit.schema.json\n"));
        assert!(bench.path("next/visit.schema.json").exists());
        for told in [
            "reason: after-repair",
            "The calibration of driver ran out on 2026-02-18",
            "Look here first (certificate 2025-0046):",
            "- repair: Breaker terminals, panel A: the connection on the L1 side",
            "#   breaker-L1  92 °F       26 °F",
        ] {
            assert!(text.contains(told), "{told}\n{text}");
        }
        let check = bench.run(&["check", "next/visit.yaml"]);
        assert_eq!(check.code, 0, "{}", check.err);
        assert!(
            check.out.contains("Inspection not complete"),
            "{}",
            check.out
        );
        assert!(!check.out.contains("cannot be compared"), "{}", check.out);
    }
}

#[test]
fn a_next_visit_filled_in_is_compared_with_both_before_it() {
    let bench = Bench::new();
    let certificate = bench.certified("townhouse-return");
    let from = certificate.to_string_lossy();
    let args = [
        "new",
        "--from",
        &from,
        "-o",
        "next/visit.yaml",
        "--date",
        "2025-11-12",
    ];
    assert_eq!(bench.run(&args).code, 0);
    assert!(
        bench.path("next/earlier-1.yaml").exists(),
        "the visit before the last one is taken out of the certificate"
    );
    let text = std::fs::read_to_string(bench.path("next/visit.yaml")).unwrap();
    bench.write("next/visit.yaml", &filled(&text, calm));
    let check = bench.run(&["check", "next/visit.yaml", "--format", "json"]);
    assert_eq!(check.code, 0, "{}", check.err);
    let json: Value = serde_json::from_str(&check.out).unwrap();
    assert_eq!(json["complete"], true, "{}", check.out);
    let compared = json["checks"].as_array().unwrap();
    let worse = compared.iter().filter(|f| f["id"] == "worse-than-before");
    assert_eq!(worse.count(), 6, "{}", check.out);
}

#[test]
fn the_first_visit_from_facts_is_whole_once_filled() {
    let bench = Bench::new();
    let ran = bench.run(&[
        "new",
        "--legs",
        "3",
        "--rated",
        "32 A",
        "--breaker",
        "40",
        "--site",
        "Mill",
        "--set",
        "supply.system=wye",
        "--set",
        "conductors.wiring=nm-cable",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let text = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    assert!(
        text.contains("legs: [L1, L2, L3], voltage: 208 V"),
        "{text}"
    );
    assert!(text.contains("charger-L3"), "{text}");
    let empty = bench.run(&["check", "visit.yaml"]);
    assert_eq!(empty.code, 0, "{}", empty.err);
    assert!(
        empty.out.contains("Inspection not complete"),
        "{}",
        empty.out
    );
    // What is left out is named by its key.
    assert!(
        empty.out.contains("No temperatures were measured. [heat:]"),
        "{}",
        empty.out
    );
    bench.write("visit.yaml", &filled(&text, calm));
    let json = bench.run(&["check", "visit.yaml", "--format", "json"]);
    assert_eq!(json.code, 0, "{}", json.err);
    let json: Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(json["complete"], true, "{json:#}");
}

#[test]
fn a_fact_that_cannot_be_used_is_wrong_usage() {
    let bench = Bench::new();
    for (set, told) in [
        (
            "conductors.wiring=nm",
            "--set conductors.wiring: `nm` is not possible here; write one of: nm-cable, ",
        ),
        (
            "rcd.rating=30 mA",
            "--set rcd.rating: the circuit has nothing that `rcd.rating` could describe",
        ),
        (
            "wiring=nm-cable",
            "`wiring` is not a key that the checks of a circuit need",
        ),
    ] {
        let ran = bench.run(&["new", "--set", set]);
        assert_eq!(ran.code, 2, "{}", ran.err);
        assert!(ran.err.contains(told), "{}", ran.err);
    }
    let ran = bench.run(&["new", "--legs", "5"]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains("--legs: no supply with `5` is usual"),
        "{}",
        ran.err
    );
    assert!(!bench.path("visit.yaml").exists());
    let both = bench.run(&["new", "--legs", "2", "--from", "x.pdf"]);
    assert_eq!(both.code, 2, "{}", both.err);
}

#[test]
fn a_changed_certificate_begins_no_next_visit() {
    let bench = Bench::new();
    let certificate = bench.certified("townhouse-first");
    let mut bytes = std::fs::read(&certificate).unwrap();
    let at = bytes.len() / 2;
    bytes[at] ^= 1;
    std::fs::write(&certificate, bytes).unwrap();
    let ran = bench.run(&["new", "--from", &certificate.to_string_lossy()]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("with a valid signature"), "{}", ran.err);
    assert!(!bench.path("visit.yaml").exists());
}

#[test]
fn a_first_visit_under_the_other_rule_set_is_of_its_world() {
    let bench = Bench::new();
    let ran = bench.run(&["new", "--rules", "iec", "-o", "visit.yaml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let text = std::fs::read_to_string(bench.path("visit.yaml")).unwrap();
    for told in [
        "rules: iec",
        "units: si, paper: a4",
        "voltage: 400 V",
        "L1-PE:",
    ] {
        assert!(text.contains(told), "{told}\n{text}");
    }
    let check = bench.run(&["check", "visit.yaml"]);
    assert_eq!(check.code, 0, "{}", check.err);
    let ran = bench.run(&["new", "--rules", "eu", "-o", "other.yaml"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("use one of: iec, us"), "{}", ran.err);
}

#[test]
fn days_are_whole_and_not_to_come() {
    let bench = Bench::new();
    bench.write("list.jsonl", "");
    for args in [
        &["new", "--date", "25-1-1"][..],
        &["register", "list.jsonl", "--due-before", "26-01-01"],
        &["register", "list.jsonl", "--today", "25-11-28"],
    ] {
        let ran = bench.run(args);
        assert_eq!(ran.code, 2, "{args:?}: {}", ran.err);
        assert!(ran.err.contains("YYYY-MM-DD"), "{}", ran.err);
    }
    let at = "26-10-06T12:30:00-04:00";
    let ran = bench.run(&["worksheet", "x.yaml", "--made-at", at]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    let tomorrow = chrono::Local::now().date_naive() + chrono::Days::new(2);
    let ran = bench.run(&["new", "--date", &tomorrow.to_string()]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(ran.err.contains("today is"), "{}", ran.err);
    assert!(!bench.path("visit.yaml").exists());
    assert_eq!(bench.run(&["new", "--date", "2025-01-02"]).code, 0);
    assert_eq!(bench.run(&["check", "visit.yaml"]).code, 0);
}

#[test]
fn what_an_incomplete_visit_left_out_comes_first() {
    let bench = Bench::new();
    let next = |from: &str| {
        let ran = bench.run(&["new", "--from", from, "--date", "2025-11-12", "-o", "-"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran.out
    };
    let example = |name: &str| {
        let path = format!("{}/examples/{name}/visit.yaml", env!("CARGO_MANIFEST_DIR"));
        next(&path)
    };
    let told = example("limited-visit");
    let first = told.find("# The last visit was not complete. Do first what was left out then:");
    let heat = told.find("There was no round at the charger");
    let look = told.find("Look here first");
    assert!(first.is_some() && first < heat, "{told}");
    assert!(look.is_none_or(|look| heat < Some(look)), "{told}");
    assert!(!example("townhouse-first").contains("was not complete"));
    // It was never satisfactory, whatever was found in the part that was done.
    assert!(
        told.contains("# Next visit after certificate") && told.contains(": not complete.\n"),
        "{told}"
    );
}
