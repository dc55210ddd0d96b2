//! Torque found and left against the value wanted, within the accuracy of the tool: NFPA 70 (2023),
//! 110.14(D) and Informative Annex I; ISO 6789 for the tool. What a torque that was lost is graded is common
//! practice, no source.

use super::{us, visit};
use warmlug::assess::torque::{Left, findings, judge, wanted};
use warmlug::assess::{CheckResult, Earlier, Value, assess};
use warmlug::quantity::{Percentage, Torque, Unit};
use warmlug::visit::{
    Accuracy, Grade, HalfWidth, Instrument, InstrumentKind, TorqueCheck, TorqueFound, Visit,
};
use warmlug::vocabulary::{CheckId, Variant};

fn inch_pounds(value: f64) -> Torque {
    Torque::from_newton_metre(value * Unit::POUND_FORCE_INCH_NM)
}

fn driver(accuracy: Option<Accuracy>) -> Instrument {
    Instrument {
        id: "driver".to_owned(),
        kind: InstrumentKind::TorqueScrewdriver,
        model: None,
        serial: None,
        calibrated: None,
        calibration_due: None,
        certificate: None,
        accuracy,
        repeatability: None,
        emissivity: None,
        confirmed: false,
        reflected: None,
        distance_to_spot: None,
        band_um: None,
    }
}

fn six_percent() -> Option<Accuracy> {
    Some(Accuracy {
        of_reading: Some(Percentage::from_fraction(0.06)),
        at_least: None,
    })
}

/// A visit whose first connection wants 45 lbf·in, with one check.
fn with(found: TorqueFound, left: Option<f64>) -> Visit {
    let mut v = visit();
    v.instruments.push(driver(six_percent()));
    v.circuits[0].torque.push(TorqueCheck {
        confirmed: false,
        cooled_to: None,
        when: None,
        connection: "panel-L1".to_owned(),
        found,
        left: left.map(inch_pounds),
        with: Some("driver".to_owned()),
    });
    v
}

fn finding(v: &Visit) -> CheckResult {
    let mut all = findings(&v.circuits[0], v, us(), &[]);
    assert_eq!(all.len(), 1);
    all.remove(0)
}

fn left(value: f64) -> Left {
    let v = with(TorqueFound::Moved, Some(value));
    let c = &v.circuits[0];
    let connection = &c.places[0].connections[0];
    judge(c, connection, &c.torque[0], us(), v.instrument("driver")).left
}

/// 45 lbf·in = 5.08 N·m; ±6 %: 42.3 to 47.7 lbf·in.
#[test]
fn left_within_the_tools_accuracy() {
    assert_eq!(left(42.29), Left::Low);
    assert_eq!(left(42.3), Left::Right);
    assert_eq!(left(45.0), Left::Right);
    assert_eq!(left(47.7), Left::Right);
    assert_eq!(left(47.71), Left::High);
}

/// The greater of the share and the fixed part: 4 lbf·in beside 2 % of 45 lbf·in = 0.9 lbf·in.
/// Without a stated accuracy, 6 % (ISO 6789).
#[test]
fn the_tools_accuracy() {
    let v = with(TorqueFound::Moved, Some(45.0));
    let c = &v.circuits[0];
    let half = |accuracy, tool: bool| {
        let driver = driver(accuracy);
        let tool = tool.then_some(&driver);
        let judged = judge(c, &c.places[0].connections[0], &c.torque[0], us(), tool);
        judged.half_width / Unit::POUND_FORCE_INCH_NM
    };
    let fixed = Accuracy {
        of_reading: Some(Percentage::from_fraction(0.02)),
        at_least: Some(HalfWidth::Torque(inch_pounds(4.0))),
    };
    assert!((half(Some(fixed), true) - 4.0).abs() < 1e-9);
    assert!((half(six_percent(), true) - 2.7).abs() < 1e-9);
    assert!((half(None, true) - 2.7).abs() < 1e-9);
    assert!((half(None, false) - 2.7).abs() < 1e-9);
}

#[test]
fn held_is_in_order() {
    let f = finding(&with(TorqueFound::Held, None));
    assert_eq!(
        (f.id, f.grade, f.variant),
        (CheckId::TorqueHeld, Grade::Pass, None)
    );
    assert_eq!(f.unit, "N·m");
    assert!((f.limit.unwrap() - 5.084_317).abs() < 1e-6);
    assert_eq!(f.connections, ["panel-L1"]);
    assert_eq!(f.place.as_deref(), Some("panel"));
    // U = 2 × 0.06 × 5.0843/√3 = 0.35225 N·m
    assert!((f.uncertainty.unwrap() - 0.352_252).abs() < 1e-6);
    // Found at 42.3 lbf·in: within the tool's accuracy it did not move before the mark.
    let edge = finding(&with(TorqueFound::Value(inch_pounds(42.3)), None));
    assert_eq!(edge.id, "torque-held");
}

#[test]
fn moved_and_put_right_is_a_note() {
    let f = finding(&with(TorqueFound::Moved, Some(45.0)));
    assert_eq!(
        (f.id, f.grade, f.variant),
        (CheckId::TorqueMoved, Grade::Note, Some(Variant::Corrected))
    );
    let below = finding(&with(TorqueFound::Value(inch_pounds(42.2)), Some(45.0)));
    assert_eq!((below.id, below.grade), (CheckId::TorqueMoved, Grade::Note));
}

/// Half of the torque lost is a watch: 22.5 of 45 lbf·in.
#[test]
fn loosened_by_half_is_a_watch() {
    let at = |found: f64| finding(&with(TorqueFound::Value(inch_pounds(found)), Some(45.0)));
    assert_eq!(at(22.6).grade, Grade::Note);
    let half = at(22.5);
    assert_eq!((half.id, half.grade), (CheckId::TorqueMoved, Grade::Watch));
    let Value::Percentage(lost) = half.values["lost"] else {
        panic!("{:?}", half.values);
    };
    assert!((lost - 0.5).abs() < 1e-12);
    assert!(
        (half.value.unwrap() - 2.542_159).abs() < 1e-6,
        "the value found"
    );
}

#[test]
fn moved_without_a_final_value_is_a_watch() {
    for found in [TorqueFound::Moved, TorqueFound::Value(inch_pounds(30.0))] {
        let f = finding(&with(found, None));
        assert_eq!(
            (f.id, f.grade, f.variant),
            (CheckId::TorqueMoved, Grade::Watch, Some(Variant::Untold))
        );
    }
}

#[test]
fn left_wrong_is_a_repair_even_where_it_held() {
    for found in [TorqueFound::Held, TorqueFound::Moved] {
        let low = finding(&with(found, Some(40.0)));
        assert_eq!(
            (low.id, low.grade, low.variant),
            (CheckId::TorqueLeftWrong, Grade::Repair, Some(Variant::Low))
        );
        let high = finding(&with(found, Some(50.0)));
        assert_eq!(
            (high.id, high.grade, high.variant),
            (CheckId::TorqueLeftWrong, Grade::Repair, Some(Variant::High))
        );
    }
}

/// Without the maker's value, one from Informative Annex I, marked as such; without a screw that
/// the tables know, none, and the check says so.
#[test]
fn fallback() {
    let mut v = with(TorqueFound::Moved, Some(35.0));
    let set = |v: &mut Visit, screw: Option<&str>| {
        let c = &mut v.circuits[0].places[0].connections[0];
        c.torque = None;
        c.screw = screw.map(str::to_owned);
    };
    set(&mut v, Some("slotted-10"));
    // 6 AWG under a small slot: 35 lbf·in.
    let c = &v.circuits[0];
    let found = wanted(c, &c.places[0].connections[0], us()).unwrap();
    assert!((found.torque.newton_metre() - inch_pounds(35.0).newton_metre()).abs() < 1e-12);
    assert!(found.fallback.unwrap().contains("Annex I, Table I.1"));
    let f = finding(&v);
    assert_eq!(
        (f.id, f.variant),
        (CheckId::TorqueMoved, Some(Variant::Corrected))
    );
    assert!(matches!(&f.values["fallback"], Value::Text(t) if t.contains("Table I.1")));
    // The maker's value comes first.
    v.circuits[0].places[0].connections[0].torque = Some(inch_pounds(45.0));
    let f = finding(&v);
    assert_eq!(
        (f.id, f.variant),
        (CheckId::TorqueLeftWrong, Some(Variant::Low))
    );
    assert!(!f.values.contains_key("fallback"));
    for screw in [None, Some("wing-nut")] {
        set(&mut v, screw);
        let f = finding(&v);
        assert_eq!((f.id, f.grade), (CheckId::TorqueNoValue, Grade::Note));
        assert_eq!((f.limit, f.uncertainty), (None, None));
    }
}

/// Findings come in the file's order, one for every check.
#[test]
fn one_finding_a_check() {
    let mut v = with(TorqueFound::Held, None);
    let mut second = v.circuits[0].torque[0].clone();
    second.connection = "panel-L2".to_owned();
    v.circuits[0].torque.push(second);
    let all = findings(&v.circuits[0], &v, us(), &[]);
    let ids: Vec<_> = all.iter().map(|f| f.connections[0].as_str()).collect();
    assert_eq!(ids, ["panel-L1", "panel-L2"]);
}

/// A screw that was put right half a year ago and moves again is a watch; one that held in between,
/// or was made anew, begins again.
#[test]
fn moved_again() {
    let on = |found, left, date: (i32, u32)| {
        let mut v = with(found, left);
        v.date = chrono::NaiveDate::from_ymd_opt(date.0, date.1, 6).unwrap();
        v
    };
    let earlier = |v: &Visit| Earlier::new(v, &assess(v, us(), &[]));
    let spring = earlier(&on(TorqueFound::Moved, Some(45.0), (2026, 4)));
    let held = earlier(&on(TorqueFound::Held, None, (2026, 7)));
    let untold = earlier(&on(TorqueFound::Moved, None, (2026, 4)));
    let now = on(TorqueFound::Moved, Some(45.0), (2026, 10));
    let judged = |v: &Visit, before: &[&Earlier]| {
        let before: Vec<Earlier> = before.iter().map(|e| (*e).clone()).collect();
        let f = findings(&v.circuits[0], v, us(), &before).remove(0);
        (f.variant, f.grade)
    };
    let corrected = (Some(Variant::Corrected), Grade::Note);
    assert_eq!(judged(&now, &[]), corrected);
    assert_eq!(
        judged(&now, &[&spring]),
        (Some(Variant::Again), Grade::Watch)
    );
    assert_eq!(
        judged(&now, &[&held, &spring]),
        corrected,
        "the last visit counts"
    );
    assert_eq!(
        judged(&now, &[&untold]),
        corrected,
        "it had not been put right"
    );
    // Another visit of the same day is an earlier one, and a later one is not.
    for (month, expected) in [(4, (Some(Variant::Again), Grade::Watch)), (3, corrected)] {
        let visit = on(TorqueFound::Moved, Some(45.0), (2026, month));
        assert_eq!(judged(&visit, &[&spring]), expected, "month {month}");
    }
    let mut anew = now.clone();
    anew.circuits[0].places[0].connections[0].remade = true;
    assert_eq!(judged(&anew, &[&spring]), corrected);
    let mut other = now.clone();
    other.circuits[0].torque[0].connection = "panel-L2".to_owned();
    assert_eq!(judged(&other, &[&spring]), corrected);
}
