//! The order of work, and the instruments that it was done with. All limits here are common
//! practice, no published source.

use crate::assess_common::{celsius, day, judged, moment, plain};
use warmlug::assess::Assessment;
use warmlug::quantity::{TimeOfDay, Torque};
use warmlug::visit::{
    Condition, Grade, InstrumentKind, Isolation, Reason, Repair, RepairDone, TorqueFound, Visit,
    When,
};

fn ids(a: &Assessment) -> Vec<&str> {
    a.limitations
        .iter()
        .map(|l| l.id.word())
        .filter(|id| *id != "cannot-tell" && *id != "no-earlier")
        .collect()
}

fn grade(a: &Assessment, id: &str) -> Option<Grade> {
    a.checks.iter().find(|c| c.id == id).map(|c| c.grade)
}

fn at(hour: u32, minute: u32) -> Option<When> {
    Some(When::At(TimeOfDay::from_hms(hour, minute, 0).unwrap()))
}

/// A periodic visit in which the screw of L1 at the breaker had moved.
fn moved(rises: [f64; 2], when: Option<When>) -> Visit {
    let mut visit = plain(rises);
    visit.reason = Reason::Periodic;
    let check = &mut visit.circuits[0].torque[0];
    assert_eq!(check.connection, "breaker-L1");
    check.found = TorqueFound::Moved;
    check.left = Some(Torque::from_newton_metre(5.0));
    check.when = when;
    // One before the covers were opened, one before the screws were touched.
    let again = visit.circuits[0].isolation[0].clone();
    visit.circuits[0].isolation.push(again);
    visit
}

#[test]
fn what_was_corrected_first_is_not_the_state_as_found() {
    // Charging began at 10:00.
    for (when, told) in [
        (Some(When::Before), &["not-as-found"][..]),
        (at(9, 59), &["not-as-found"]),
        (at(10, 0), &[]),
        (Some(When::After), &[]),
        (None, &["torque-order-not-told"]),
    ] {
        let a = judged(&moved([8.0, 8.0], when));
        assert_eq!(ids(&a), told, "{when:?}");
        assert!(a.complete, "torque first stays valid: {when:?}");
    }
    // At a first visit, and of a screw that held, there is nothing to find.
    let mut first = moved([8.0, 8.0], Some(When::Before));
    first.reason = Reason::First;
    assert_eq!(ids(&judged(&first)), [""; 0]);
    let mut held = moved([8.0, 8.0], Some(When::Before));
    held.circuits[0].torque[0].found = TorqueFound::Held;
    assert_eq!(ids(&judged(&held)), [""; 0]);
}

#[test]
fn a_connection_is_tightened_cold() {
    // Air of 20 °C; the breaker's L1 settles to the rise given, less 0.15 % at 65 minutes.
    let of = |rise: f64, when, cooled_to: Option<f64>| {
        let mut visit = moved([rise, rise], when);
        visit.circuits[0].torque[0].cooled_to = cooled_to.map(celsius);
        grade(&judged(&visit), "torque-hot")
    };
    let after = Some(When::After);
    assert_eq!(of(9.9, after, None), None);
    assert_eq!(of(10.1, after, None), Some(Grade::Watch));
    assert_eq!(of(30.0, after, Some(30.1)), Some(Grade::Watch), "still hot");
    assert_eq!(of(30.0, after, Some(30.0)), None);
    assert_eq!(
        of(30.0, Some(When::Before), None),
        None,
        "before it was hot"
    );
    assert_eq!(of(30.0, None, None), None, "said of the order instead");
    assert_eq!(of(30.0, at(11, 30), None), Some(Grade::Watch));
}

#[test]
fn a_repair_is_judged_by_its_own_time() {
    // Air of 20 °C. The torque came first, and L1 at the breaker rose by 30 K; charging went on from
    // 10:00 to 11:05.
    let repaired = |rise: f64, hour, minute, cooled_to: Option<f64>| {
        let mut visit = moved([rise, rise], Some(When::Before));
        let circuit = &mut visit.circuits[0];
        circuit.torque[0].found = TorqueFound::Held;
        circuit.repairs.push(Repair {
            connection: "breaker-L1".to_owned(),
            done: RepairDone::ReTorqued,
            part: None,
            at: TimeOfDay::from_hms(hour, minute, 0).unwrap(),
            cooled_to: cooled_to.map(celsius),
            with: None,
        });
        visit
    };
    let of = |rise, hour, minute, cooled_to| judged(&repaired(rise, hour, minute, cooled_to));
    let of_evening = |hour, minute| {
        let mut visit = repaired(12.0, hour, minute, None);
        let heat = visit.circuits[0].heat.as_mut().unwrap();
        let later = |m: warmlug::visit::Moment| moment(m.seconds() as f64 / 60.0 + 720.0);
        heat.charging_from = heat.charging_from.map(later);
        for round in &mut heat.rounds {
            round.at = later(round.at);
        }
        visit
    };
    let hot =
        |rise, hour, minute, cooled_to| grade(&of(rise, hour, minute, cooled_to), "torque-hot");
    // 10 K over the air are too warm to tighten.
    assert_eq!(hot(8.0, 12, 10, Some(30.1)), Some(Grade::Watch));
    assert_eq!(hot(8.0, 12, 10, Some(30.0)), None);
    assert_eq!(hot(8.0, 12, 10, None), None, "it was never so warm");
    assert_eq!(hot(12.0, 12, 10, None), Some(Grade::Watch));
    assert_eq!(hot(12.0, 9, 30, None), None, "before it was warm");
    // An evening visit, charging from 22:00: half past midnight is after it.
    let mut evening = of_evening(0, 30);
    assert_eq!(grade(&judged(&evening), "torque-hot"), Some(Grade::Watch));
    evening = of_evening(20, 0);
    assert_eq!(grade(&judged(&evening), "torque-hot"), None);
    // Before the heat: not the state as found. While charging: never.
    let said = |hour, minute| ids(&of(8.0, hour, minute, Some(20.0))).join(" ");
    assert!(said(9, 30).contains("not-as-found"));
    assert!(said(10, 30).contains("torque-while-charging"));
    assert!(!said(12, 10).contains("torque"), "{}", said(12, 10));
}

#[test]
fn screws_touched_after_the_heat_need_a_proof_of_their_own() {
    let of = |proofs: &[Option<When>], torque: Option<When>| {
        let mut visit = moved([8.0, 8.0], torque);
        let circuit = &mut visit.circuits[0];
        let proof = circuit.isolation[0].clone();
        circuit.isolation = proofs
            .iter()
            .map(|when| Isolation {
                when: *when,
                ..proof.clone()
            })
            .collect();
        judged(&visit).complete
    };
    let (before, after) = (Some(When::Before), Some(When::After));
    assert!(of(&[before], before));
    assert!(!of(&[before], after));
    assert!(!of(&[after], before));
    assert!(of(&[before, after], after));
    assert!(of(&[before, at(11, 30)], after));
    // The covers were opened for the readings, and the screws touched after them: two proofs.
    assert!(!of(&[None], after), "one proof, at a time not told");
    assert!(of(&[None, None], after));
    assert!(of(&[None, after], after));
    assert!(of(&[before, None], after));
    assert!(of(&[None], before));
    assert!(of(&[None], None));
    // Charging went on from 10:00 to 11:05: nothing was dead in between.
    assert!(!of(&[before, at(10, 30)], after));
    assert!(!of(&[before, at(10, 30)], at(11, 30)));
    assert!(of(&[before, at(11, 10)], at(11, 30)));
}

#[test]
fn every_proof_of_a_list_is_judged() {
    let mut visit = plain([8.0, 8.0]);
    let second = visit.circuits[0].isolation[0].clone();
    visit.circuits[0].isolation.push(second);
    assert!(judged(&visit).complete);
    visit.circuits[0].isolation[1].proved_after = None;
    assert!(!judged(&visit).complete);
}

#[test]
fn dust_that_was_cleaned_out_asks_for_nothing() {
    let of = |seen, cleaned| {
        let mut visit = plain([8.0, 8.0]);
        visit.circuits[0].looked_at[0].seen = vec![seen];
        visit.circuits[0].looked_at[0].cleaned = cleaned;
        let a = judged(&visit);
        let there = a
            .checks
            .iter()
            .find(|c| c.id == "condition" && c.place.as_deref() == Some("breaker"));
        there.map(|c| (c.grade, c.variant.unwrap().word())).unwrap()
    };
    assert_eq!(of(Condition::Dust, false), (Grade::Note, "dust"));
    assert_eq!(of(Condition::Dust, true), (Grade::Pass, "cleaned"));
    // Corrosion cannot be wiped away.
    assert_eq!(of(Condition::Corroded, true), (Grade::Repair, "corroded"));
}

#[test]
fn instruments_that_cannot_be_traced_are_named() {
    let of = |change: fn(&mut Visit)| {
        let mut visit = plain([8.0, 8.0]);
        change(&mut visit);
        let a = judged(&visit);
        assert!(a.complete);
        ids(&a).join(" ")
    };
    assert_eq!(of(|_| ()), "");
    assert_eq!(of(|v| v.instruments[0].serial = None), "serial-not-told");
    for kind in [
        InstrumentKind::InfraredThermometer,
        InstrumentKind::VoltageTester,
    ] {
        let mut visit = plain([8.0, 8.0]);
        let one = visit.instruments.iter_mut().find(|i| i.kind == kind);
        one.unwrap().calibration_due = None;
        assert_eq!(ids(&judged(&visit)), ["calibration-not-told"], "{kind}");
    }
}

#[test]
fn a_torque_tool_out_of_calibration_leaves_torque_unverified() {
    let of = |kind, due| {
        let mut visit = plain([8.0, 8.0]);
        let mut tool = visit.instruments[0].clone();
        tool.id = "tool".to_owned();
        tool.kind = kind;
        tool.calibration_due = Some(due);
        visit.instruments.push(tool);
        match kind {
            InstrumentKind::TorqueWrench => {
                visit.circuits[0].torque[0].with = Some("tool".to_owned());
            }
            _ => visit.circuits[0].heat.as_mut().unwrap().with = "tool".to_owned(),
        }
        grade(&judged(&visit), "calibration-overdue")
    };
    let (wrench, gun) = (
        InstrumentKind::TorqueWrench,
        InstrumentKind::InfraredThermometer,
    );
    // The visit is of 4 May 2026.
    assert_eq!(of(wrench, day(2026, 5, 3)), Some(Grade::Watch));
    assert_eq!(of(wrench, day(2026, 5, 4)), None);
    assert_eq!(of(gun, day(2026, 5, 3)), Some(Grade::Note));
}
