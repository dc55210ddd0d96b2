//! An assessment made up by hand, so that snapshots of the document change only when the
//! composing does.

use super::*;
use chrono::Datelike;
use warmlug::assess::physics::trend::{DAYS_A_YEAR, Slope};
use warmlug::assess::{
    Charging, Check, CheckResult, CircuitAssessment, ConnectionAssessment, EarlierRise, Estimate,
    Limitation, NextDue, Outcome, RoundValue, Settled, SettledHow, Value,
};
use warmlug::quantity::{Current, Temperature, TemperatureDifference, Torque};
use warmlug::rules::{Checked, Edge};
use warmlug::visit::{Grade, Reason};
use warmlug::vocabulary::{CheckId, Condition, LimitationId, RatingOf, ValueName, Variant};

const SOURCE: &str = r#"
visit: { number: 2026-0147, date: 2026-10-06, reason: periodic, rules: us }
print: { units: us, paper: letter, language: en }
units: { temperature: °F, torque: in·lb, length: ft }
inspector: { name: Dana Voss, licence: E-1009, firm: Voss Electric, address: 1 Mill Lane, phone: 555-0100 }
client: { name: Lee Park, role: landlord, address: 9 Hill Road }
site: { name: Sample House, address: 12 Sample Street }
instruments:
  gun: { kind: infrared-thermometer, model: Spot 12, serial: A1, calibrated: 2026-02-10, calibration_due: 2026-09-10,
         accuracy: { of_reading: 2 %, at_least: 2 °C }, emissivity: 0.95, distance_to_spot: "12:1" }
  driver: { kind: torque-screwdriver, serial: B2, accuracy: { of_reading: 6 % } }
  tester: { kind: voltage-tester, serial: C3 }
circuits:
  - id: bay-1
    name: Bay 1
    charger: { make: Nimbrel, model: NB-40, serial: "77", rated_current: 40 A, connection: hardwired }
    supply: { phases: 1, legs: [L1, L2], voltage: 240 V }
    breaker: { rating: 50 A, poles: 2, terminal_rating: 75 °C, ground_fault: gfpe }
    conductors: { material: copper, size: 6 AWG, insulation: 90 °C, wiring: nm-cable, length: 55 ft, current_carrying: 2 }
    hottest_air: 104 °F
    places:
      - id: breaker
        name: Breaker terminals
        connections:
          - { id: breaker-L1, leg: L1, kind: screw-terminal, torque: 45, surface: insulation }
          - { id: breaker-L2, leg: L2, kind: screw-terminal, torque: 45, surface: insulation }
    isolation: { tester: tester, proved_before: 241 V, dead: { L1-L2: 0 V, L1-G: 0 V, L2-G: 0 V }, proved_after: 241 V, locked: true }
    torque:
      - { connection: breaker-L1, found: 30, left: 45, with: driver }
      - { connection: breaker-L2, found: held, with: driver }
    looked_at:
      - { place: breaker, seen: [dust, discoloured], note: Brown edge on the L1 sleeve }
    heat:
      with: gun
      charging_from: "09:50"
      rounds:
        - { at: "09:40", air: 61, current: 0 A, readings: { breaker-L1: 61, breaker-L2: 61 } }
        - { at: "10:05", air: 61, current: 40 A, voltage: 243 V, readings: { breaker-L1: 88, breaker-L2: 80 } }
        - { at: "10:55", air: 62, current: 40 A, voltage: 243 V, readings: { breaker-L1: 97, breaker-L2: 82 } }
  - id: bay-2
    name: Bay 2
    charger: { rated_current: 16 A, connection: receptacle }
    supply: { phases: 1, legs: [L1, L2], voltage: 240 V }
    breaker: { rating: 20 A }
    conductors: { material: aluminium, size: 10 AWG, insulation: 75 °C }
    receptacle: { configuration: 6-20, grade: residential }
    places:
      - id: outlet
        name: Outlet
        connections:
          - { id: outlet-L1, leg: L1, kind: blade }
photos:
  - { id: p1, file: photos/panel.jpg, caption: Panel with the cover off, circuit: bay-1, marks: { breaker-L1: [0.42, 0.31] } }
remarks: Door of the panel sticks.
"#;

fn k(d: f64) -> TemperatureDifference {
    TemperatureDifference::from_kelvin(d)
}

fn estimate(value: f64, expanded: f64) -> Estimate {
    Estimate {
        value: k(value),
        expanded: k(expanded),
    }
}

fn f(t: f64) -> Temperature {
    Temperature::from_fahrenheit(t)
}

fn round(i: usize, minutes: f64, ampere: f64, air: f64, t: f64) -> RoundValue {
    RoundValue {
        round: i,
        minutes: Some(minutes),
        current: Current::from_ampere(ampere),
        air: Some(f(air)),
        shown: f(t),
        temperature: f(t),
        standard_uncertainty: k(1.155),
        scatter: k(0.5),
        rise_scatter: k(0.7),
        rise: Some(Estimate {
            value: f(t) - f(air),
            expanded: k(3.27),
        }),
        trusted: true,
        budget: Default::default(),
    }
}

/// A finding with nothing but its id and grade.
pub fn finding(id: CheckId, grade: Grade) -> CheckResult {
    CheckResult {
        id,
        grade,
        circuit: Some("bay-1".to_owned()),
        place: Some("breaker".to_owned()),
        connections: Vec::new(),
        value: None,
        limit: None,
        unit: "1",
        uncertainty: None,
        next_limit: None,
        borderline: false,
        probability_over: None,
        would_show: None,
        source: "Made-up standard, Table 1".to_owned(),
        judgement: None,
        variant: None,
        values: Default::default(),
    }
}

fn limitation(id: LimitationId, circuit: &str, incomplete: bool) -> Limitation {
    Limitation {
        id,
        circuit: Some(circuit.to_owned()),
        place: None,
        connections: Vec::new(),
        incomplete,
        values: Default::default(),
    }
}

fn connections(ids: &[&str]) -> Vec<String> {
    ids.iter().map(|s| (*s).to_owned()).collect()
}

fn rules() -> Rules {
    let mut rules = rules::built_in("us").unwrap().clone();
    rules.edition = "made-up".to_owned();
    for bands in [
        &mut rules.thermal.rise,
        &mut rules.thermal.leg_difference,
        &mut rules.thermal.projected_margin,
        &mut rules.thermal.worse_than_before,
    ] {
        bands.source = "Made-up standard, Table 1".to_owned();
        bands.below = Grade::Pass;
        bands.edges = vec![
            Edge {
                at: 4.0,
                inclusive: true,
                grade: Grade::Watch,
            },
            Edge {
                at: 15.0,
                inclusive: false,
                grade: Grade::Repair,
            },
        ];
    }
    for edge in &mut rules.thermal.projected_margin.edges {
        edge.at -= 15.0;
    }
    rules.thermal.exponent.value = 2.0;
    rules.thermal.least_load_fraction.value = 0.4;
    rules.thermal.coverage_factor.value = 2.0;
    rules
}

fn checks() -> Vec<Check> {
    let check = |rule, value, limit, unit, holds, checked| Check {
        rule,
        value,
        limit,
        unit,
        holds,
        missing: Vec::new(),
        source: "Made-up code, 1.2".to_owned(),
        checked,
        grade: Grade::Repair,
        values: Default::default(),
    };
    vec![
        check(
            CheckId::ChargingPower,
            Some(9600.0),
            None,
            "W",
            Some(true),
            Checked::Confirmed,
        ),
        check(
            CheckId::ContinuousLoad,
            Some(50.0),
            Some(50.0),
            "A",
            Some(true),
            Checked::Confirmed,
        ),
        check(
            CheckId::VoltageDrop,
            Some(3.04),
            Some(3.0),
            "%",
            Some(false),
            Checked::FromMemory,
        ),
        check(
            CheckId::ConductorAmpacity,
            None,
            None,
            "A",
            None,
            Checked::Confirmed,
        ),
    ]
}

fn found(
    id: &str,
    leg: &str,
    ts: [f64; 3],
    settled: Settled,
    rated: f64,
    projected: f64,
) -> ConnectionAssessment {
    ConnectionAssessment {
        id: id.to_owned(),
        place: "breaker".to_owned(),
        leg: leg.to_owned(),
        rounds: vec![
            round(0, -10.0, 0.0, 61.0, ts[0]),
            round(1, 15.0, 40.0, 61.0, ts[1]),
            round(2, 65.0, 40.0, 62.0, ts[2]),
        ],
        settled: Some(settled),
        rise_seen: true,
        rated_by: None,
        measured_at_rated: None,
        without_load: None,
        rise_at_rated: Some(estimate(rated, 3.3)),
        growth: None,
        slow: k(0.0),
        hidden: None,
        projected_rise: Some(estimate(rated, 3.3)),
        projected: Some(Temperature::from_celsius(projected)),
        limit: Some((Temperature::from_celsius(75.0), RatingOf::Terminal)),
        margin: Some(k(75.0 - projected)),
        ends: None,
        earlier: Vec::new(),
        slope: None,
    }
}

/// The connection with two earlier visits and the slope through all three.
fn climbing(connection: ConnectionAssessment) -> ConnectionAssessment {
    let earlier = |date, rise| EarlierRise {
        date,
        rise: estimate(rise, 3.4),
    };
    ConnectionAssessment {
        earlier: vec![
            earlier(day(2025, 10, 1), 5.0),
            earlier(day(2026, 4, 2), 11.5),
        ],
        slope: Some(Slope {
            k_per_year: 12.4,
            low: 7.9,
            high: 16.9,
            at_day_zero_k: 11.5
                - 12.4 * f64::from(day(2026, 4, 2).num_days_from_ce()) / DAYS_A_YEAR,
            significant: true,
        }),
        ..connection
    }
}

fn findings() -> Vec<CheckResult> {
    vec![
        CheckResult {
            connections: connections(&["breaker-L1", "breaker-L2"]),
            value: Some(8.333_333),
            limit: Some(4.0),
            unit: "K",
            uncertainty: Some(3.27),
            judgement: Some((Grade::Repair, "The sleeve is brown.".to_owned())),
            values: [
                (ValueName::HotLeg, Value::Text("L1".to_owned())),
                (ValueName::CoolLeg, Value::Text("L2".to_owned())),
            ]
            .into(),
            ..finding(CheckId::LegDifference, Grade::Watch)
        },
        CheckResult {
            connections: connections(&["breaker-L1"]),
            value: Some(16.5),
            limit: Some(15.0),
            unit: "K",
            uncertainty: Some(3.5),
            borderline: true,
            probability_over: Some(0.804),
            values: [
                (ValueName::Then, Value::Difference(k(3.0))),
                (ValueName::Now, Value::Difference(k(19.5))),
                (ValueName::Earlier, Value::Text("2026-0011".to_owned())),
                (ValueName::EarlierDate, Value::Date(day(2026, 4, 2))),
                (ValueName::Slope, Value::Number(12.4)),
                (ValueName::Reaches, Value::Date(day(2027, 1, 9))),
                (ValueName::ReachesGrade, Value::Text("repair".to_owned())),
                (ValueName::ReachesEarliest, Value::Date(day(2026, 11, 30))),
            ]
            .into(),
            ..finding(CheckId::WorseThanBefore, Grade::Repair)
        },
        CheckResult {
            variant: Some(Variant::Seen(Condition::Discoloured)),
            values: [(
                ValueName::Note,
                Value::Text("Brown edge on the L1 sleeve".to_owned()),
            )]
            .into(),
            ..finding(CheckId::Condition, Grade::Repair)
        },
        CheckResult {
            place: None,
            value: Some(3.04),
            limit: Some(3.0),
            unit: "%",
            values: [
                (
                    ValueName::Drop,
                    Value::Voltage(warmlug::quantity::Voltage::from_volt(7.3)),
                ),
                (ValueName::Load, Value::Current(Current::from_ampere(40.0))),
            ]
            .into(),
            ..finding(CheckId::VoltageDrop, Grade::Repair)
        },
        CheckResult {
            circuit: None,
            place: None,
            values: [
                (ValueName::Instrument, Value::Text("gun".to_owned())),
                (ValueName::Due, Value::Date(day(2026, 9, 10))),
            ]
            .into(),
            ..finding(CheckId::CalibrationOverdue, Grade::Note)
        },
        CheckResult {
            connections: connections(&["breaker-L1"]),
            value: Some(3.389_544_870_828_501),
            limit: Some(5.084_317_306_242_752),
            unit: "N·m",
            uncertainty: Some(0.352),
            variant: Some(Variant::Corrected),
            values: [
                (
                    ValueName::Wanted,
                    Value::Torque(Torque::from_newton_metre(5.084_317_306_242_752)),
                ),
                (
                    ValueName::Fallback,
                    Value::Text("Made-up torque table".to_owned()),
                ),
                (
                    ValueName::Left,
                    Value::Torque(Torque::from_newton_metre(5.084_317_306_242_752)),
                ),
            ]
            .into(),
            ..finding(CheckId::TorqueMoved, Grade::Note)
        },
        CheckResult {
            place: None,
            value: Some(0.0),
            limit: Some(3.0),
            unit: "V",
            ..finding(CheckId::IsolationProved, Grade::Pass)
        },
        CheckResult {
            connections: connections(&["breaker-L2", "breaker-L1"]),
            value: Some(-0.1),
            limit: Some(11.0),
            unit: "K",
            uncertainty: Some(3.27),
            ..finding(CheckId::Rise, Grade::Pass)
        },
    ]
}

pub fn day(y: i32, m: u32, d: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(y, m, d).unwrap()
}

/// Two circuits: one with findings of many kinds, one hardly inspected.
pub fn case() -> Case {
    let settled = |rise, tau, how| Settled {
        rise: estimate(rise, 3.3),
        time_constant_min: tau,
        current: Current::from_ampere(40.0),
        how,
        rate_k_per_h: None,
        wait_min: None,
        to_go: estimate(0.5, 0.4),
        slow: k(0.0),
    };
    let bay_1 = CircuitAssessment {
        id: "bay-1".to_owned(),
        connections: vec![
            climbing(found(
                "breaker-L1",
                "L1",
                [61.0, 88.0, 97.0],
                settled(19.5, Some(12.3), SettledHow::TwoRounds),
                19.5,
                59.5,
            )),
            found(
                "breaker-L2",
                "L2",
                [61.0, 80.0, 82.0],
                settled(11.1, None, SettledHow::StillClimbing),
                11.1,
                51.1,
            ),
        ],
        checks: checks(),
        charging: Charging::AsUsual,
        next_due: NextDue {
            date: Some(day(2026, 12, 6)),
            basis: "repair",
            source: "Made-up practice".to_owned(),
        },
        decided_in: None,
        load_fraction: Some(1.0),
    };
    let bay_2 = CircuitAssessment {
        id: "bay-2".to_owned(),
        connections: vec![ConnectionAssessment {
            id: "outlet-L1".to_owned(),
            place: "outlet".to_owned(),
            leg: "L1".to_owned(),
            rounds: Vec::new(),
            settled: None,
            rise_seen: false,
            rated_by: None,
            measured_at_rated: None,
            without_load: None,
            rise_at_rated: None,
            growth: None,
            slow: k(0.0),
            hidden: None,
            projected_rise: None,
            projected: None,
            limit: None,
            margin: None,
            ends: None,
            earlier: Vec::new(),
            slope: None,
        }],
        checks: Vec::new(),
        charging: Charging::AsUsual,
        next_due: NextDue {
            date: Some(day(2026, 12, 6)),
            basis: "repair",
            source: "Made-up practice".to_owned(),
        },
        decided_in: None,
        load_fraction: None,
    };
    let assessment = Assessment {
        rules_id: "us".to_owned(),
        rules_edition: "made-up".to_owned(),
        number: "2026-0147".to_owned(),
        date: day(2026, 10, 6),
        reason: Reason::Periodic,
        outcome: Outcome::Unsatisfactory,
        complete: false,
        limitations: vec![
            limitation(LimitationId::NoHeat, "bay-2", true),
            Limitation {
                values: [(
                    ValueName::Missing,
                    Value::Text("proved_after, locked, L1-G".to_owned()),
                )]
                .into(),
                ..limitation(LimitationId::IsolationNotProved, "bay-2", true)
            },
            Limitation {
                values: [
                    (
                        ValueName::Rule,
                        Value::Text("conductor-ampacity".to_owned()),
                    ),
                    (
                        ValueName::Missing,
                        Value::Text("conductors.wiring".to_owned()),
                    ),
                ]
                .into(),
                ..limitation(LimitationId::CannotTell, "bay-1", false)
            },
        ],
        next_due: NextDue {
            date: Some(day(2026, 12, 6)),
            basis: "repair",
            source: "Made-up practice".to_owned(),
        },
        circuits: vec![bay_1, bay_2],
        checks: findings(),
        findings: Vec::new(),
        charging: Charging::AsUsual,
        as_found: None,
        before_repair: None,
        baseline: Vec::new(),
    };
    let mut case = Case {
        built_in: Vec::new(),
        source: SOURCE.to_owned(),
        visit: read(SOURCE),
        assessment,
        rules: Box::leak(Box::new(rules())),
        wording: Wording::built_in("en").unwrap(),
    };
    case.conclude();
    case
}
