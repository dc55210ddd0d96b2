//! The JSON of the findings, read back into types that refuse any other key, so that the public
//! interface cannot change unnoticed.

#![allow(dead_code)] // Fields are there to be read into.

use crate::compose_common::{Case, EXAMPLES, made_up};
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Report {
    format: u16,
    tool: Tool,
    rules: RuleSet,
    visit: Visit,
    outcome: Outcome,
    complete: bool,
    limitations: Vec<Limitation>,
    next_due: Option<chrono::NaiveDate>,
    next_due_basis: Basis,
    next_due_source: String,
    circuits: Vec<Circuit>,
    charging: Charging,
    charging_limit_a: Option<f64>,
    checks: Vec<CheckResult>,
    findings: Vec<Finding>,
    mended: Vec<Mended>,
    baseline: Vec<Baseline>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Mended {
    cause: String,
    subject: String,
    grade: Grade,
    circuit: Option<String>,
    place: Option<String>,
    connections: Vec<String>,
    text: String,
    repairs: Vec<Repair>,
    proved: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Repair {
    connection: String,
    done: String,
    part: Option<String>,
    at: String,
    cooled_to_c: Option<f64>,
    rise_before_k: Option<f64>,
    rise_after_k: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Baseline {
    circuit: String,
    place: String,
    connection: String,
    closed: bool,
    rise_at_rated_k: f64,
    rise_at_rated_uncertainty_k: f64,
    temperature_c: Option<f64>,
    surface: Option<String>,
    distance_m: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Tool {
    name: String,
    version: String,
    build: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RuleSet {
    id: String,
    edition: String,
    code: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Visit {
    number: String,
    date: chrono::NaiveDate,
    reason: Reason,
    #[serde(default)]
    zone: Option<String>,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Reason {
    First,
    Periodic,
    AfterRepair,
    ChangeOfOwner,
}

#[derive(Deserialize, PartialEq, Debug)]
#[serde(rename_all = "kebab-case")]
enum Outcome {
    Incomplete,
    Satisfactory,
    SatisfactoryWithNotes,
    Unsatisfactory,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Basis {
    First,
    Clean,
    Watch,
    Repair,
    Incomplete,
    Stop,
    Trend,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Limitation {
    id: String,
    circuit: Option<String>,
    place: Option<String>,
    connections: Vec<String>,
    incomplete: bool,
    keys: Vec<String>,
    text: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Circuit {
    id: String,
    charging: Charging,
    charging_limit_a: Option<f64>,
    next_due: Option<chrono::NaiveDate>,
    next_due_basis: Basis,
    left_as: Option<LeftAs>,
    load_fraction: Option<f64>,
    decided_at: Option<String>,
    connections: Vec<Connection>,
    checks: Vec<Check>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LeftAs {
    state: String,
    limit_a: Option<f64>,
    key: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Connection {
    id: String,
    place: String,
    leg: String,
    rounds: Vec<Round>,
    settled_rise_k: Option<f64>,
    settled_rise_uncertainty_k: Option<f64>,
    settled_by: Option<SettledBy>,
    time_constant_min: Option<f64>,
    without_load_k: Option<f64>,
    rise_at_rated_k: Option<f64>,
    rise_at_rated_uncertainty_k: Option<f64>,
    ends_from_k: Option<f64>,
    ends_to_k: Option<f64>,
    can_change: Option<Change>,
    projected_c: Option<f64>,
    limit_c: Option<f64>,
    limit_of: Option<String>,
    margin_k: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Change {
    check: String,
    grade: String,
    read_again_min: Option<f64>,
    decided_below_k: Option<f64>,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum SettledBy {
    TwoRounds,
    LeastSquares,
    Measured,
    StillClimbing,
    TooUncertain,
    Contradictory,
    OneRound,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Round {
    at: String,
    minutes: Option<f64>,
    current_a: f64,
    air_c: Option<f64>,
    shown_c: f64,
    temperature_c: f64,
    trusted: bool,
    rise_k: Option<f64>,
    rise_uncertainty_k: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Check {
    rule: String,
    value: Option<f64>,
    limit: Option<f64>,
    unit: String,
    holds: Option<bool>,
    missing: Vec<String>,
    source: String,
    checked: Checked,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Checked {
    Confirmed,
    FromMemory,
    CommonPractice,
    Firm,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CheckResult {
    id: String,
    result: CheckOutcome,
    grade: Grade,
    circuit: Option<String>,
    place: Option<String>,
    connections: Vec<String>,
    value: Option<f64>,
    limit: Option<f64>,
    unit: String,
    uncertainty: Option<f64>,
    borderline: bool,
    probability_over: Option<f64>,
    would_show: Option<f64>,
    source: String,
    text: String,
    action: String,
    variant: Option<String>,
    judgement: Option<Judgement>,
    effective_grade: Grade,
    next_limit: Option<f64>,
}

#[derive(Deserialize, PartialEq, Debug)]
#[serde(rename_all = "kebab-case")]
enum CheckOutcome {
    Pass,
    Fail,
    CannotTell,
}

#[derive(Deserialize, PartialEq, Debug)]
#[serde(rename_all = "kebab-case")]
enum Charging {
    NotFullyChecked,
    AsUsual,
    Limited,
    NotAtAll,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Finding {
    cause: String,
    subject: String,
    grade: Grade,
    rule_grade: Grade,
    circuit: Option<String>,
    place: Option<String>,
    connections: Vec<String>,
    charging: Charging,
    charging_limit_a: Option<f64>,
    deadline: Option<String>,
    evidence: Vec<String>,
    text: String,
    action: String,
    judgement: Option<Judgement>,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Grade {
    Pass,
    Note,
    Watch,
    Repair,
    Stop,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Judgement {
    grade: Grade,
    because: String,
}

fn cases() -> impl Iterator<Item = (&'static str, Case)> {
    EXAMPLES
        .into_iter()
        .map(|name| (name, Case::example(name)))
        .chain([("made up", made_up::case())])
}

#[test]
fn it_reads_back_into_strict_types() {
    for (name, case) in cases() {
        let text = case.json().to_string();
        let report: Report =
            serde_json::from_str(&text).unwrap_or_else(|e| panic!("{name}: {e}\n{text}"));
        assert_eq!(report.checks.len(), case.assessment.checks.len());
        assert_eq!(report.findings.len(), case.assessment.findings.len());
        assert_eq!(report.visit.number, case.visit.number);
        assert_eq!(report.complete, case.assessment.complete);
        for check in &report.checks {
            assert!(
                !check.text.is_empty() && !check.text.contains('{'),
                "{name}"
            );
            assert_eq!(
                check.result != CheckOutcome::Fail,
                matches!(check.grade, Grade::Pass)
            );
        }
        for finding in &report.findings {
            assert!(!finding.text.is_empty() && !finding.evidence.is_empty());
            assert_eq!(
                finding.charging == Charging::Limited,
                finding.charging_limit_a.is_some()
            );
            let own = report
                .circuits
                .iter()
                .find(|c| Some(&c.id) == finding.circuit.as_ref());
            let stopped = own.is_some_and(|c| c.charging == Charging::NotAtAll);
            assert_eq!(stopped, finding.deadline.is_none());
            assert!(!finding.text.contains('{'), "{name}: {}", finding.text);
            assert!(!finding.action.contains('{'), "{name}: {}", finding.action);
        }
    }
}

/// Keys of an object in their order.
fn keys(value: &serde_json::Value) -> Vec<&str> {
    value
        .as_object()
        .map(|o| o.keys().map(String::as_str).collect())
        .unwrap_or_default()
}

#[test]
fn the_keys_keep_their_order() {
    let json = made_up::case().json();
    assert_eq!(
        keys(&json),
        [
            "format",
            "tool",
            "rules",
            "visit",
            "outcome",
            "complete",
            "limitations",
            "next_due",
            "next_due_basis",
            "next_due_source",
            "charging",
            "charging_limit_a",
            "circuits",
            "checks",
            "findings",
            "mended",
            "baseline"
        ]
    );
    assert_eq!(
        keys(&json["findings"][0]),
        [
            "cause",
            "subject",
            "grade",
            "rule_grade",
            "circuit",
            "place",
            "connections",
            "charging",
            "charging_limit_a",
            "deadline",
            "evidence",
            "text",
            "action",
            "judgement"
        ]
    );
    assert_eq!(
        keys(&json["checks"][0]),
        [
            "id",
            "result",
            "grade",
            "circuit",
            "place",
            "connections",
            "value",
            "limit",
            "unit",
            "uncertainty",
            "borderline",
            "probability_over",
            "would_show",
            "source",
            "text",
            "action",
            "variant",
            "judgement",
            "effective_grade",
            "next_limit"
        ]
    );
    assert_eq!(
        keys(&json["circuits"][0]["connections"][0]["rounds"][0])[..5],
        ["at", "minutes", "current_a", "air_c", "shown_c"]
    );
}

#[test]
fn a_made_up_visit_as_json() {
    let mut json = made_up::case().json();
    // Another one after every change of the program.
    json["tool"]["build"] = "…".into();
    assert_eq!(json["outcome"], "unsatisfactory");
    // A part that was too hot forbids charging until it is repaired.
    assert_eq!(json["charging"], "not-at-all");
    assert!(json["next_due"].is_null());
    let connection = &json["circuits"][0]["connections"][0];
    assert_eq!(connection["rounds"][2]["at"], "10:55");
    // 97 °F = (97 − 32)·5/9 °C; 35 °F of rise = 35·5/9 K.
    assert_eq!(connection["rounds"][2]["temperature_c"], 36.11);
    assert_eq!(connection["rounds"][2]["rise_k"], 19.44);
    assert_eq!(connection["margin_k"], 15.5);
    let legs = |c: &&serde_json::Value| c["id"] == "leg-difference";
    let finding = json["checks"]
        .as_array()
        .unwrap()
        .iter()
        .find(legs)
        .unwrap();
    assert_eq!(finding["value"], 8.33);
    assert_eq!(finding["limit"], 4.0);
    assert_eq!(finding["judgement"]["grade"], "repair");
    insta::assert_snapshot!(format!("{json:#}"));
}

/// Every number of the report has at most the decimals of its kind.
#[test]
fn no_noise_of_binary_arithmetic_shows() {
    fn walk(value: &serde_json::Value, path: &str) {
        match value {
            serde_json::Value::Number(n) => {
                let text = n.to_string();
                let decimals = text.split_once('.').map_or(0, |(_, d)| d.len());
                assert!(decimals <= 4, "{path}: {text}");
                assert!(
                    !text.starts_with("-0.0") || text.len() > 4,
                    "{path}: {text}"
                );
            }
            serde_json::Value::Array(items) => {
                for (i, item) in items.iter().enumerate() {
                    walk(item, &format!("{path}[{i}]"));
                }
            }
            serde_json::Value::Object(map) => {
                for (key, item) in map {
                    walk(item, &format!("{path}.{key}"));
                }
            }
            _ => {}
        }
    }
    for (name, case) in cases() {
        walk(&case.json(), name);
    }
}
