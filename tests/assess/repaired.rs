//! Found and mended on one visit: the outcome follows the state as left, the fault is told with the
//! readings before and after, and a repair that was not read again proves nothing.
//!
//! The numbers are made up. A joint 30 K hotter than its sister is a repair by the built-in rules for
//! the United States; 10 K over the air in both legs is sound.

use crate::assess_common::{celsius, day, heat, judged, moment, plain};
use warmlug::assess::{Assessment, Charging, Earlier, Outcome, assess};
use warmlug::quantity::{TimeOfDay, Torque};
use warmlug::rules::built_in;
use warmlug::visit::{
    Condition, Grade, LookedAt, Reason, Repair, RepairDone, TorqueFound, Visit, When,
};
use warmlug::vocabulary::{CheckId, LimitationId};

fn repair(done: RepairDone) -> Repair {
    Repair {
        connection: "breaker-L1".to_owned(),
        done,
        part: (done == RepairDone::PartReplaced).then(|| "Sample Works B250".to_owned()),
        at: TimeOfDay::from_hms(12, 10, 0).unwrap(),
        cooled_to: Some(celsius(21.0)),
        with: None,
    }
}

/// A visit that finds the joint of L1 at the breaker hot, with its screw at 3 of 5 N·m, and repairs
/// it.
fn hot_and_repaired(done: RepairDone) -> Visit {
    let mut visit = plain([40.0, 10.0]);
    let circuit = &mut visit.circuits[0];
    for check in &mut circuit.torque {
        if check.connection == "breaker-L1" {
            check.found = TorqueFound::Value(Torque::from_newton_metre(3.0));
            check.left = Some(Torque::from_newton_metre(5.0));
            check.when = Some(When::After);
            check.cooled_to = Some(celsius(21.0));
        }
    }
    circuit.repairs.push(repair(done));
    // Proved dead again before the screw was touched.
    let again = circuit.isolation[0].clone();
    circuit.isolation.push(again);
    visit
}

/// Reads the breaker again after the repair, three hours later, with these rises.
fn read_again(visit: &mut Visit, rises: [f64; 2]) {
    let mut after = plain(rises).circuits[0].heat.clone().unwrap();
    let later = |m: warmlug::visit::Moment| moment(m.seconds() as f64 / 60.0 + 180.0);
    after.charging_from = after.charging_from.map(later);
    for round in &mut after.rounds {
        round.at = later(round.at);
        round.readings.retain(|(id, _)| id.starts_with("breaker"));
    }
    visit.circuits[0].heat_after = Some(after);
}

fn mended(a: &Assessment) -> Vec<(Vec<String>, Grade, bool)> {
    let state = a.as_found.as_ref().unwrap();
    state
        .mended()
        .map(|(f, proved)| (f.connections.clone(), f.grade, proved))
        .collect()
}

fn limited(a: &Assessment, id: LimitationId) -> Vec<String> {
    let of = a.limitations.iter().filter(|l| l.id == id);
    of.flat_map(|l| l.connections.clone()).collect()
}

fn rise(a: &Assessment, id: &str) -> f64 {
    let all = a.circuits[0].connections.iter();
    let found = all.clone().find(|c| c.id == id).unwrap();
    found.rise_at_rated.unwrap().value.kelvin()
}

#[test]
fn a_joint_that_is_cool_after_the_repair_leaves_a_sound_circuit_and_the_fault_is_told() {
    for done in [
        RepairDone::ReTorqued,
        RepairDone::Remade,
        RepairDone::PartReplaced,
    ] {
        let mut visit = hot_and_repaired(done);
        read_again(&mut visit, [10.0, 10.0]);
        let a = judged(&visit);
        let found = a.as_found.as_ref().unwrap();
        assert_eq!(found.assessment.outcome, Outcome::Unsatisfactory);
        assert_eq!(a.outcome, Outcome::Satisfactory, "{:?}", a.findings);
        assert!(a.complete, "{:?}", a.limitations);
        let [(connections, grade, proved)] = &mended(&a)[..] else {
            panic!("one cause, one finding: {:?}", found.assessment.findings);
        };
        assert_eq!(connections.first().unwrap(), "breaker-L1");
        assert!(*grade >= Grade::Repair && *proved);
        // Before and after, each from its own series; the charger was read in the first one only.
        assert!((rise(&found.assessment, "breaker-L1") - 40.0).abs() < 1.0);
        assert!((rise(&a, "breaker-L1") - 10.0).abs() < 1.0);
        assert!((rise(&a, "charger-L1") - 2.0).abs() < 0.5);
    }
}

#[test]
fn a_joint_that_is_still_hot_is_no_mended_one_and_is_due_soon() {
    let mut visit = hot_and_repaired(RepairDone::ReTorqued);
    read_again(&mut visit, [40.0, 10.0]);
    let a = judged(&visit);
    assert_eq!(a.outcome, Outcome::Unsatisfactory);
    assert!(mended(&a).is_empty());
    // Warm enough for a watch: within the weeks for a joint that is hot at its torque.
    read_again(&mut visit, [19.0, 10.0]);
    let a = judged(&visit);
    let watch = a.findings.iter().find(|f| f.grade == Grade::Watch).unwrap();
    assert_eq!(watch.connections[0], "breaker-L1");
    let us = built_in("us").unwrap();
    let weeks = us.next_due.hot_after_torque.value;
    assert_eq!(
        watch.deadline,
        visit.date.checked_add_months(chrono::Months::new(weeks))
    );
}

#[test]
fn a_repair_that_was_not_read_again_proves_nothing() {
    for done in [RepairDone::ReTorqued, RepairDone::Remade] {
        let a = judged(&hot_and_repaired(done));
        assert!(!a.complete);
        assert_eq!(
            limited(&a, LimitationId::RepairNotProved),
            ["breaker-L1"],
            "{done}"
        );
        assert!(limited(&a, LimitationId::ReadingsMissing).is_empty());
        assert!(mended(&a).iter().all(|(_, _, proved)| !proved));
        assert_eq!(mended(&a).len(), 1);
    }
    // The joint was a repair that forbids charging. Until it has been read again it still does, so
    // that nothing of it reads "as usual", and the reading comes before the circuit is used.
    let a = judged(&hot_and_repaired(RepairDone::Remade));
    let found = &a.as_found.as_ref().unwrap().assessment;
    assert_eq!(found.charging, Charging::NotAtAll);
    assert_eq!(a.charging, Charging::NotAtAll);
    assert_eq!(a.circuits[0].charging, Charging::NotAtAll);
    assert_eq!((a.next_due.date, a.next_due.basis), (None, "incomplete"));
    assert_eq!(a.circuits[0].next_due, a.next_due);
    // A warm joint does not forbid it: the visit is not complete, and the reading is due no later
    // than the fault was.
    let mut warm = hot_and_repaired(RepairDone::Remade);
    warm.circuits[0].heat = plain([19.0, 10.0]).circuits[0].heat.clone();
    for check in &mut warm.circuits[0].torque {
        check.found = TorqueFound::Held;
    }
    let a = judged(&warm);
    assert_eq!(a.charging, Charging::AsUsual);
    assert!(!a.complete);
    let found = &a.as_found.as_ref().unwrap().assessment;
    assert!(a.next_due.date <= found.findings[0].deadline);
    // Read again, both are free.
    let mut again = hot_and_repaired(RepairDone::Remade);
    read_again(&mut again, [10.0, 10.0]);
    assert_eq!(judged(&again).charging, Charging::AsUsual);

    // Nor does one that was read at a low current, or too early.
    let mut visit = hot_and_repaired(RepairDone::Remade);
    read_again(&mut visit, [10.0, 10.0]);
    let mut early = visit.clone();
    early.circuits[0]
        .heat_after
        .as_mut()
        .unwrap()
        .rounds
        .truncate(2);
    let a = judged(&early);
    assert_eq!(limited(&a, LimitationId::RepairNotProved), ["breaker-L1"]);
    assert!(judged(&visit).complete);
}

#[test]
fn a_repair_after_the_readings_that_should_prove_it_is_not_proved() {
    // The second series begins at 13:00.
    for (hour, proved) in [(12, true), (14, false), (16, false)] {
        let mut visit = hot_and_repaired(RepairDone::Remade);
        read_again(&mut visit, [10.0, 10.0]);
        visit.circuits[0].repairs[0].at = TimeOfDay::from_hms(hour, 10, 0).unwrap();
        let a = judged(&visit);
        let open = limited(&a, LimitationId::RepairNotProved);
        assert_eq!(open.is_empty(), proved, "{hour}: {open:?}");
        assert_eq!(a.complete, proved, "{hour}: {:?}", a.limitations);
        assert_eq!(a.charging == Charging::AsUsual, proved, "{hour}");
    }
}

#[test]
fn a_cool_screw_set_to_its_torque_needs_no_second_series_and_stays_a_point() {
    let mut visit = hot_and_repaired(RepairDone::ReTorqued);
    visit.circuits[0].heat = plain([10.0, 10.0]).circuits[0].heat.clone();
    let a = judged(&visit);
    assert!(a.complete, "{:?}", a.limitations);
    assert!(mended(&a).is_empty());
    assert!(a.checks.iter().any(|c| c.id == CheckId::TorqueMoved));
    assert_ne!(a.outcome, Outcome::Satisfactory);
}

#[test]
fn a_new_part_takes_its_damage_away_and_a_turn_of_the_screw_does_not() {
    for (done, outcome) in [
        (RepairDone::PartReplaced, Outcome::Satisfactory),
        (RepairDone::ReTorqued, Outcome::Unsatisfactory),
    ] {
        let mut visit = hot_and_repaired(done);
        visit.circuits[0].looked_at.push(LookedAt {
            place: "breaker".to_owned(),
            connection: Some("breaker-L1".to_owned()),
            seen: vec![Condition::Melted],
            note: None,
            cleaned: false,
        });
        read_again(&mut visit, [10.0, 10.0]);
        let a = judged(&visit);
        assert_eq!(a.outcome, outcome, "{done}: {:?}", a.findings);
    }
}

#[test]
fn a_screw_that_was_tightened_hot_stays_a_finding_after_the_repair() {
    let hot = |cooled: Option<f64>| {
        let mut visit = hot_and_repaired(RepairDone::ReTorqued);
        let circuit = &mut visit.circuits[0];
        circuit.repairs[0].cooled_to = cooled.map(celsius);
        for check in &mut circuit.torque {
            check.cooled_to = None;
        }
        read_again(&mut visit, [10.0, 10.0]);
        let a = judged(&visit);
        a.checks.iter().any(|c| c.id == CheckId::TorqueHot)
    };
    assert!(hot(None) && hot(Some(50.0)) && !hot(Some(21.0)));
}

#[test]
fn the_next_visit_compares_with_the_state_as_left_and_knows_that_the_screw_had_moved() {
    let mut visit = hot_and_repaired(RepairDone::ReTorqued);
    read_again(&mut visit, [10.0, 10.0]);
    let earlier = Earlier::new(&visit, &judged(&visit));
    let circuit = visit.circuits[0].id.clone();
    assert_eq!(earlier.moved, [(circuit, "breaker-L1".to_owned())]);
    let us = built_in("us").unwrap();
    let mut next = plain([25.0, 10.0]);
    next.reason = Reason::Periodic;
    next.date = day(2026, 11, 4);
    let worse = |visit: &Visit| {
        let a = assess(visit, us, std::slice::from_ref(&earlier));
        let worse = |c: &&warmlug::assess::CheckResult| {
            c.id == CheckId::WorseThanBefore && c.connections == ["breaker-L1"]
        };
        a.checks.iter().find(worse).unwrap().value.unwrap()
    };
    assert!((worse(&next) - 15.0).abs() < 1.0, "25 K less 10 K as left");
    // On the same day as well.
    next.date = visit.date;
    next.number = "evening".to_owned();
    assert!((worse(&next) - 15.0).abs() < 1.0);
}

#[test]
fn a_visit_without_repairs_has_no_other_state() {
    let mut visit = plain([10.0, 10.0]);
    let _ = heat(&mut visit);
    assert!(judged(&visit).as_found.is_none());
}
