//! Random circuits whose checks were computed by `peers.py`, from the published tables and apart from the
//! engine: values, limits and results agree to 0.01. The tables are those of NFPA 70 (2023) and IEC
//! 60364-5-52:2009.

use super::Around;
use serde_json::Value;
use warmlug::assess::circuit::checks;
use warmlug::rules;
use warmlug::visit;

#[test]
fn random_circuits_agree_with_an_independent_computation() {
    let mut compared = 0;
    let mut both = std::collections::BTreeMap::<(String, bool), usize>::new();
    for line in include_str!("kept.jsonl").lines() {
        let case: Value = serde_json::from_str(line).unwrap();
        let rules = case["rules"].as_str().unwrap();
        let mut circuit = case["circuit"].clone();
        let connection =
            |leg: &str| serde_json::json!({ "id": leg, "leg": leg, "kind": "screw-terminal" });
        circuit["id"] = "bay".into();
        circuit["places"] = serde_json::json!([
            { "id": "panel", "name": "Panel", "connections": [connection("L1")] }
        ]);
        // JSON is YAML.
        let source = format!(
            "visit: {{ number: T-1, date: 2026-10-06, reason: periodic, rules: {rules} }}\n\
             inspector: {{ name: Test Person }}\nclient: {{ name: Test Client, role: owner }}\n\
             site: {{ name: Test Site }}\ncircuits: [ {circuit} ]\n"
        );
        let visit = visit::read(&source, "kept.yaml", &Around)
            .unwrap_or_else(|problems| panic!("{problems}\n{source}"));
        let found = checks(&visit.circuits[0], rules::built_in(rules).unwrap());
        for (rule, wanted) in case["checks"].as_object().unwrap() {
            let Some(check) = found.iter().find(|c| c.rule == rule.as_str()) else {
                panic!("{rule} was not made: {case}");
            };
            for (name, own) in [("value", check.value), ("limit", check.limit)] {
                if let Some(wanted) = wanted[name].as_f64() {
                    let own = own.unwrap_or(f64::NAN);
                    assert!(
                        (own - wanted).abs() < 0.01,
                        "{name} of {rule}: {own}, computed apart {wanted}: {case}"
                    );
                    compared += 1;
                }
            }
            if let Some(holds) = wanted["holds"].as_bool() {
                assert_eq!(check.holds, Some(holds), "{rule}: {case}");
                *both.entry((rule.clone(), holds)).or_default() += 1;
            }
        }
    }
    assert!(compared > 3000, "{compared}");
    // Each result comes up on both sides, but for the standard ratings, which all are, and settings.
    for rule in both
        .keys()
        .map(|(rule, _)| rule.clone())
        .collect::<std::collections::BTreeSet<_>>()
    {
        if rule != "standard-rating" && rule != "current-setting" {
            for holds in [true, false] {
                let count = both.get(&(rule.clone(), holds)).copied().unwrap_or(0);
                assert!(count >= 3, "{rule} {holds}: {count}");
            }
        }
    }
}
