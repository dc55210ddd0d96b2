//! `warmlug check --explain`: how each number came about.

use crate::run::{Bench, EXAMPLES, visit};

#[test]
fn a_connections_numbers_are_shown_with_formula_uncertainty_and_source() {
    let bench = Bench::new();
    let file = visit("townhouse-return");
    let ran = bench.run(&["check", &file, "--explain", "breaker-L1"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    insta::assert_snapshot!(ran.out);

    let ran = bench.run(&[
        "check",
        &file,
        "--explain",
        "breaker-L1",
        "--format",
        "json",
    ]);
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let steps = json["steps"].as_array().unwrap();
    assert_eq!(json["connection"], "breaker-L1");
    // Rise is temperature less air, as the numbers printed have it.
    let rise = steps.iter().rfind(|s| s["id"] == "rise").unwrap();
    let input = |symbol: &str| {
        let all = rise["inputs"].as_array().unwrap();
        all.iter().find(|i| i["symbol"] == symbol).unwrap()["value"]
            .as_f64()
            .unwrap()
    };
    let found = rise["results"][0]["value"].as_f64().unwrap();
    assert!((input("T") - input("A") - found).abs() < 1e-9);
}

#[test]
fn a_circuits_checks_are_shown_with_what_they_compute() {
    let bench = Bench::new();
    let ran = bench.run(&[
        "check",
        &visit("receptacle-aluminium"),
        "--explain",
        "carport",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    insta::assert_snapshot!(ran.out);
}

#[test]
fn every_connection_of_every_example_is_explained() {
    let bench = Bench::new();
    for example in EXAMPLES {
        let file = visit(example);
        let ran = bench.run(&["check", &file, "--format", "json"]);
        let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
        for circuit in json["circuits"].as_array().unwrap() {
            for connection in circuit["connections"].as_array().unwrap() {
                let id = connection["id"].as_str().unwrap();
                let named = format!("{}/{id}", circuit["id"].as_str().unwrap());
                let ran = bench.run(&["check", &file, "--explain", &named]);
                assert_eq!(ran.code, 0, "{example} {named}: {}", ran.err);
            }
        }
    }
}

#[test]
fn what_the_visit_does_not_have_is_named_with_what_it_has() {
    let ran = Bench::new().run(&["check", &visit("limited-visit"), "--explain", "nowhere"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("no connection or circuit `nowhere`"),
        "{}",
        ran.err
    );
    assert!(ran.err.contains("panel-L1"), "{}", ran.err);
}
