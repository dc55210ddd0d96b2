//! `warmlug check`.

use crate::run::{Bench, EXAMPLES, alone, visit};
use serde_json::Value;

#[test]
fn text_of_every_example() {
    let bench = Bench::new();
    for example in EXAMPLES {
        let ran = bench.run(&["check", &visit(example)]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{example}");
        insta::assert_snapshot!(format!("check-{example}"), ran.out);
    }
}

#[test]
fn json_of_every_example() {
    let bench = Bench::new();
    for example in EXAMPLES {
        let ran = bench.run(&["check", &visit(example), "--format", "json"]);
        assert_eq!(ran.code, 0, "{example}");
        let mut json: Value = serde_json::from_str(&ran.out).unwrap();
        json["tool"]["version"] = "0".into();
        json["tool"]["build"] = "…".into();
        insta::assert_snapshot!(format!("check-json-{example}"), format!("{json:#}"));
    }
}

/// An example's visit with its findings in a language.
fn in_language(example: &str, language: &str) -> String {
    alone(example).replace("language: en", &format!("language: {language}"))
}

#[test]
fn findings_are_told_in_the_language_of_the_visit_and_mistakes_in_english() {
    let bench = Bench::new();
    for (language, head, limit) in [
        ("es", "Qué hacer", "límite"),
        ("fr", "Que faire", "limite"),
        ("de", "Was zu tun ist", "Grenzwert"),
    ] {
        let ran = bench.run_with(
            &["check", "-"],
            in_language("townhouse-return", language).as_bytes(),
        );
        assert_eq!((ran.code, ran.err.as_str()), (0, ""));
        assert!(ran.out.contains(&format!("\n{head}\n")), "{}", ran.out);
        assert!(ran.out.contains(&format!("  {limit} ")), "{}", ran.out);
        // Grades are the words that --fail-on takes.
        assert!(ran.out.contains("\nwatch "), "{}", ran.out);
        for english in ["limit ", "What to do", "not done", "inspector"] {
            assert!(!ran.out.contains(english), "{english}: {}", ran.out);
        }
    }
    let ran = bench.run_with(
        &["check", "-"],
        in_language("townhouse-first", "it").as_bytes(),
    );
    assert_eq!((ran.code, ran.out.as_str()), (1, ""));
    assert!(
        ran.err.contains("write one of en, es, fr, de"),
        "{}",
        ran.err
    );
}

#[test]
fn fail_on_exits_with_3_from_the_grade_on() {
    let bench = Bench::new();
    let code = |grade: &str| {
        bench
            .run(&["check", &visit("townhouse-return"), "--fail-on", grade])
            .code
    };
    assert_eq!(code("repair"), 3);
    assert_eq!(code("stop"), 0);
}

#[test]
fn what_is_not_complete_fails_under_any_grade() {
    let bench = Bench::new();
    assert_eq!(bench.run(&["new", "--no-questions"]).code, 0);
    for grade in ["pass", "stop"] {
        let ran = bench.run(&["check", "visit.yaml", "--fail-on", grade]);
        assert_eq!(ran.code, 3, "{grade}: {}", ran.err);
        assert!(ran.err.contains("not complete"), "{}", ran.err);
    }
    assert_eq!(bench.run(&["check", "visit.yaml"]).code, 0);
    let help = bench.run(&["check", "--help"]).out;
    let words: Vec<&str> = help.split_whitespace().collect();
    let said = "or if the inspection is not complete";
    assert!(words.join(" ").contains(said), "{help}");
}

#[test]
fn reads_standard_input() {
    let bench = Bench::new();
    let ran = bench.run_with(&["check", "-"], alone("townhouse-first").as_bytes());
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("Satisfactory"), "{}", ran.out);
}

#[test]
fn a_missing_file_is_refused_in_one_line() {
    let ran = Bench::new().run(&["check", "nowhere.yaml"]);
    assert_eq!(ran.code, 1);
    assert_eq!(ran.err, "warmlug: nowhere.yaml: there is no such file\n");
    assert_eq!(ran.out, "");
}

#[test]
fn a_folder_in_place_of_a_file_is_refused_input() {
    let bench = Bench::new();
    bench.write("site/visit.yaml", "");
    for args in [
        &["check", "site"][..],
        &["verify", "site"],
        &["worksheet", "site"],
        &["extract", "site"],
    ] {
        let ran = bench.run(args);
        assert_eq!(ran.code, 1, "{args:?}: {}", ran.err);
        assert!(ran.err.contains("that is a folder"), "{}", ran.err);
    }
}

#[test]
fn every_mistake_is_told_at_once_on_standard_error() {
    let bench = Bench::new();
    bench.write(
        "visit.yaml",
        "visit: { number: 1, date: tomorrow }\nnonsense: 1\n",
    );
    let ran = bench.run(&["check", "visit.yaml"]);
    assert_eq!((ran.code, ran.out.as_str()), (1, ""));
    assert!(ran.err.contains("visit.yaml:1:"), "{}", ran.err);
    assert!(ran.err.contains("visit.yaml:2:1"), "{}", ran.err);
}

#[test]
fn wrong_usage_exits_with_2() {
    let bench = Bench::new();
    assert_eq!(bench.run(&["check"]).code, 2);
    assert_eq!(bench.run(&["check", "a.yaml", "--fail-on", "bad"]).code, 2);
    assert_eq!(bench.run(&["chek"]).code, 2);
}

#[test]
fn with_several_circuits_every_line_names_its_own() {
    let ran = Bench::new().run(&["check", &visit("landlord-six")]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let line = |start: &str| ran.out.lines().find(|l| l.starts_with(start)).unwrap();
    let repair = line("repair  Leg difference");
    assert!(
        repair.contains("Bay 4, fourth from the stair: Breaker terminals"),
        "{repair}"
    );
    assert!(
        line("  - ").contains("  - Bay 4, fourth from the stair: "),
        "{}",
        ran.out
    );
}

#[test]
fn a_question_is_shown_at_its_line() {
    let bench = Bench::new();
    let source = alone("townhouse-first");
    let line = source.lines().position(|l| l.contains("left: 45"));
    let source = source.replacen("left: 45", "left: 540", 1);
    let ran = bench.run_with(&["check", "-"], source.as_bytes());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let column = source
        .lines()
        .nth(line.unwrap())
        .unwrap()
        .find("540")
        .unwrap();
    let head = format!(":{}:{}: ", line.unwrap() + 1, column + 1);
    assert!(ran.out.contains(&head), "{head}\n{}", ran.out);
    assert!(ran.out.contains("Was 45\u{a0}in·lb meant?"), "{}", ran.out);
    assert!(
        ran.out
            .contains("add `confirmed: yes` to this torque check")
    );
    let ran = bench.run_with(&["check", "-", "--fail-on", "stop"], source.as_bytes());
    assert_eq!(ran.code, 3);
}
