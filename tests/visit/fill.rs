//! What somebody typed into a worksheet comes back as it was meant: the unit, the round, the connection,
//! and every note.

use crate::world::{SMALL, sound};
use std::collections::BTreeMap;
use warmlug::next::merge::{FillError, fill};
use warmlug::visit::Visit;

/// The small visit before anything was measured, in US units.
fn before() -> String {
    let work = SMALL.find("    torque:\n").unwrap();
    SMALL[..work].to_owned()
}

fn values(typed: &[(&str, &str)]) -> BTreeMap<String, String> {
    let all = typed.iter();
    all.map(|(name, value)| (format!("bay-1/{name}"), (*value).to_owned()))
        .collect()
}

#[track_caller]
fn filled(typed: &[(&str, &str)]) -> (String, Visit) {
    let text = before();
    let out = fill(&text, &sound(&text), &values(typed), false).unwrap();
    let visit = sound(&out);
    (out, visit)
}

#[test]
fn every_value_comes_back_at_its_place_with_its_unit() {
    let (_, visit) = filled(&[
        ("isolation/proved_before", "240"),
        ("isolation/dead/L1-L2", "0"),
        ("isolation/proved_after", "241"),
        ("isolation/locked", "no"),
        ("isolation_after/proved_before", "238"),
        ("isolation_after/proved_after", "239"),
        ("isolation_after/locked", "yes"),
        ("looked_at/breaker/seen", "dust"),
        ("looked_at/breaker/note", "Cobwebs below."),
        ("not_read/breaker/why", "closed-while-charging"),
        ("not_read/breaker/note", "An interlock."),
        ("torque/breaker-L1/found", "30"),
        ("torque/breaker-L1/left", "45"),
        ("torque/breaker-L1/when", "before"),
        ("heat/charging_from", "09:50"),
        ("heat/1/at", "09:40"),
        ("heat/1/air", "61"),
        ("heat/1/breaker-L1", "62"),
        ("heat/2/at", "10:05"),
        ("heat/2/air", "61"),
        ("heat/2/current", "40"),
        ("heat/2/voltage", "243"),
        ("heat/2/breaker-L1", "80"),
        ("heat/2/breaker-L2", "78"),
        ("left_as/state", "off-and-locked"),
        ("left_as/key", "Lee Park"),
    ]);
    let circuit = &visit.circuits[0];
    let [first, second] = &circuit.isolation[..] else {
        panic!("{:?}", circuit.isolation);
    };
    let volts = |v: Option<warmlug::quantity::Voltage>| v.map(|v| v.volt());
    assert_eq!(
        (volts(first.proved_before), volts(first.proved_after)),
        (Some(240.0), Some(241.0))
    );
    assert_eq!(
        (volts(second.proved_before), volts(second.proved_after)),
        (Some(238.0), Some(239.0))
    );
    assert_eq!((first.locked, second.locked), (Some(false), Some(true)));
    assert_eq!(first.tester.as_deref(), Some("tester"));
    assert_ne!(first.when, second.when);
    assert_eq!(first.dead.len(), 1);
    assert_eq!(circuit.looked_at[0].note.as_deref(), Some("Cobwebs below."));
    assert_eq!(circuit.looked_at[0].seen[0].word(), "dust");
    assert_eq!(circuit.not_read[0].note.as_deref(), Some("An interlock."));
    let torque = &circuit.torque[0];
    // Inch-pounds, as the visit is printed: 45 in·lb are 5.084 N·m.
    assert!((torque.left.unwrap().newton_metre() - 5.084).abs() < 0.001);
    let warmlug::visit::TorqueFound::Value(found) = torque.found else {
        panic!("{torque:?}");
    };
    assert!((found.newton_metre() - 3.390).abs() < 0.001);
    assert_eq!(torque.with.as_deref(), Some("driver"));
    assert!(torque.when.is_some());
    let heat = circuit.heat.as_ref().unwrap();
    assert_eq!(heat.with, "gun");
    let [cold, warm] = &heat.rounds[..] else {
        panic!("{heat:?}");
    };
    assert_eq!((cold.current.ampere(), warm.current.ampere()), (0.0, 40.0));
    assert_eq!(volts(warm.voltage), Some(243.0));
    assert!((warm.air.unwrap().fahrenheit() - 61.0).abs() < 1e-9);
    let read = |round: &warmlug::visit::Round| -> Vec<(String, f64)> {
        let all = round.readings.iter();
        all.map(|(id, r)| (id.clone(), r.temperatures[0].fahrenheit().round()))
            .collect()
    };
    assert_eq!(read(cold), [("breaker-L1".to_owned(), 62.0)]);
    assert_eq!(
        read(warm),
        [
            ("breaker-L1".to_owned(), 80.0),
            ("breaker-L2".to_owned(), 78.0)
        ]
    );
    let left = circuit.left_as.as_ref().unwrap();
    assert_eq!(
        (left.state.word(), left.key.as_deref()),
        ("off-and-locked", Some("Lee Park"))
    );
}

/// A loaded round without its current is asked for, and never becomes one without load.
#[test]
fn a_loaded_round_without_a_current_is_not_one_without_load() {
    let text = before();
    let typed = values(&[
        ("heat/charging_from", "09:50"),
        ("heat/1/at", "09:40"),
        ("heat/1/air", "61"),
        ("heat/1/breaker-L1", "62"),
        ("heat/2/at", "10:05"),
        ("heat/2/air", "61"),
        ("heat/2/breaker-L1", "80"),
    ]);
    let out = fill(&text, &sound(&text), &typed, false).unwrap();
    assert_eq!(out.matches("current: 0 A").count(), 1, "{out}");
    let problems = crate::world::read(&out).unwrap_err().to_string();
    assert!(problems.contains("current"), "{problems}");
}

#[test]
fn nothing_typed_is_lost_or_replaced_in_silence() {
    let text = before();
    let visit = sound(&text);
    let run = |text: &str, typed: &[(&str, &str)], replace| {
        fill(text, &sound(text), &values(typed), replace)
    };
    assert_eq!(
        fill(&text, &visit, &BTreeMap::new(), false),
        Err(FillError::Nothing)
    );
    assert_eq!(
        run(&text, &[("isolation/proved_before", "  ")], false),
        Err(FillError::Nothing)
    );
    assert!(matches!(
        run(&text, &[("heat/1/no-such-connection", "62"), ("heat/1/at", "09:40")], false),
        Err(FillError::Unknown(name)) if name.contains("no-such-connection")
    ));
    let once = run(&text, &[("looked_at/breaker/seen", "dust")], false).unwrap();
    // The same again changes nothing; something else is refused, or replaces on request.
    assert_eq!(
        run(&once, &[("looked_at/breaker/seen", "dust")], false).unwrap(),
        once
    );
    let other = [("looked_at/breaker/seen", "melted")];
    assert!(matches!(
        run(&once, &other, false),
        Err(FillError::Already { .. })
    ));
    let replaced = run(&once, &other, true).unwrap();
    assert!(
        replaced.contains("seen: melted") && !replaced.contains("seen: dust"),
        "{replaced}"
    );
}
