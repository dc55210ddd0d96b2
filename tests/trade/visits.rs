//! Whole visits worked by hand (each `.worked` cites its definitions, the rest is arithmetic alone), compared with what the program makes of them.
//!
//! Beside each `visits/NAME.yaml` lies `visits/NAME.worked`: the arithmetic, step by step, from
//! the published definitions, written without looking at the program. Its lines that begin with
//! `>` are compared with the JSON of the findings:
//!
//! ```text
//! > circuits/bay/checks/continuous-load/limit = 60
//! > findings/leg-difference@joint/value = 11.11
//! > findings/torque-moved@panel#t5/grade = note
//! ```
//!
//! Entries of a list are named by their `id`, `rule` or `at`; a finding by its id, and where it
//! occurs more often by its place (`@`) and a connection (`#`). `none` says that it is not there.
//! A number must agree to half a unit of its last digit, and half a unit of the last digit that
//! the JSON prints; where rounding on the way makes more, `±` says how much. Of `limitations` the
//! ids are compared.

use chrono::NaiveDate;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use warmlug::assess::{Earlier, assess};
use warmlug::compose::{self, Wording};
use warmlug::visit::{ImageError, ImageFacts, Surroundings, Visit};
use warmlug::{rules, visit};

#[path = "visits_told.rs"]
mod told;

struct Around;

impl Surroundings for Around {
    fn today(&self) -> NaiveDate {
        NaiveDate::from_ymd_opt(2025, 8, 1).unwrap()
    }
    fn image(&self, _: &str) -> Result<ImageFacts, ImageError> {
        Err(ImageError::Missing)
    }
    fn prints(&self, _: char) -> bool {
        true
    }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/trade/visits")
}

fn read(file: &str) -> Visit {
    let text = fs::read_to_string(folder().join(file)).unwrap();
    visit::read(&text, file, &Around).unwrap_or_else(|problems| panic!("{problems}"))
}

fn findings(file: &str) -> Value {
    let visit = read(file);
    let rules = rules::built_in(&visit.rules).unwrap();
    let earlier: Vec<Earlier> = visit
        .earlier
        .iter()
        .map(|path| {
            let before = read(path);
            Earlier::new(&before, &assess(&before, rules, &[]))
        })
        .collect();
    let assessment = assess(&visit, rules, &earlier);
    compose::json(&assessment, &visit, rules, Wording::built_in("en").unwrap())
}

/// The entry of a list or map that a step names.
fn step<'a>(value: &'a Value, name: &str) -> Option<&'a Value> {
    let Value::Array(entries) = value else {
        return value.get(name);
    };
    let (head, connection) = name
        .split_once('#')
        .map_or((name, None), |(h, c)| (h, Some(c)));
    let (id, place) = head
        .split_once('@')
        .map_or((head, None), |(i, p)| (i, Some(p)));
    let mut fitting = entries.iter().filter(|entry| {
        let is = |key: &str, wanted: &str| entry.get(key).and_then(Value::as_str) == Some(wanted);
        let names = |wanted: &str| {
            entry["connections"]
                .as_array()
                .is_some_and(|c| c.iter().any(|c| c == wanted))
        };
        ["id", "rule", "at"].iter().any(|key| is(key, id))
            && place.is_none_or(|place| is("place", place))
            && connection.is_none_or(names)
    });
    let found = fitting.next();
    assert!(fitting.next().is_none(), "{name} is ambiguous");
    found
}

/// Digits behind the decimal point.
fn decimals(number: &str) -> i32 {
    number.split_once('.').map_or(0, |(_, d)| d.len() as i32)
}

fn agrees(found: Option<&Value>, wanted: &str) -> bool {
    let Some(found) = found else {
        return wanted == "none";
    };
    match found {
        Value::Array(list) => {
            let words: Vec<&str> = list
                .iter()
                .filter_map(|e| e.as_str().or_else(|| e["id"].as_str()))
                .collect();
            words.join(", ") == if wanted == "none" { "" } else { wanted }
        }
        Value::String(word) => word == wanted,
        Value::Bool(truth) => truth.to_string() == wanted,
        Value::Null => wanted == "null",
        Value::Number(number) => {
            let (wanted, slack) = wanted
                .split_once('±')
                .map_or((wanted, None), |(w, s)| (w.trim(), Some(s.trim())));
            let number = number.as_f64().unwrap();
            let half = |digits: i32| 0.5 * 10f64.powi(-digits);
            let slack = slack.map_or_else(
                || half(decimals(wanted)) + half(decimals(&number.to_string()).max(2)),
                |s| s.parse().unwrap(),
            );
            wanted
                .parse::<f64>()
                .is_ok_and(|w| (w - number).abs() <= slack * (1.0 + 1e-9))
        }
        Value::Object(_) => false,
    }
}

/// The hand-worked visits: name of the visit file, and its arithmetic.
fn worked() -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "worked"))
        .map(|path| {
            let visit = path.with_extension("yaml");
            let name = visit.file_name().unwrap().to_str().unwrap().to_owned();
            (name, fs::read_to_string(path).unwrap())
        })
        .collect();
    found.sort();
    found
}

#[test]
fn the_program_agrees_with_the_arithmetic() {
    let mut wrong = Vec::new();
    let mut compared = 0;
    for (name, arithmetic) in worked() {
        let json = findings(&name);
        for (n, line) in arithmetic.lines().enumerate() {
            let Some(claim) = line.strip_prefix("> ") else {
                continue;
            };
            let (path, wanted) = claim.split_once(" = ").unwrap();
            let found = path.split('/').try_fold(&json, step);
            compared += 1;
            if !agrees(found, wanted) {
                let found = found.map_or("nothing".to_owned(), Value::to_string);
                wrong.push(format!(
                    "{name} line {}: {path} = {found}, by hand {wanted}",
                    n + 1
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(compared >= 250, "only {compared} numbers compared");
}

#[test]
fn there_are_enough_of_them_and_each_compares_something() {
    let worked = worked();
    assert!(worked.len() >= 20);
    for (name, arithmetic) in worked {
        assert!(
            arithmetic.lines().filter(|l| l.starts_with("> ")).count() >= 3,
            "{name}"
        );
    }
}

#[test]
fn a_wrong_number_would_be_noticed() {
    let json = findings("01-forty-ampere.yaml");
    let at = |path: &str| path.split('/').try_fold(&json, step);
    let rise = at("circuits/bay/connections/j-L1/rounds/11:00/rise_k");
    assert!(agrees(rise, "7.50") && !agrees(rise, "7.52") && !agrees(rise, "none"));
    assert!(!agrees(at("checks/rise@joint/grade"), "note"));
    assert!(agrees(at("checks/rise@elsewhere"), "none"));
    assert!(!agrees(at("checks/rise@joint"), "none"));
    assert!(!agrees(at("limitations"), "no-heat"));
}
