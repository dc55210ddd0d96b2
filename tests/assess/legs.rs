//! Currents told for each leg: legs with unlike currents are not compared, and one without the full
//! current has no full-load check.

use crate::assess_common::{heat, judged, plain, third_leg};
use warmlug::assess::{Assessment, Value};
use warmlug::quantity::Current;
use warmlug::visit::{Grade, Visit};
use warmlug::vocabulary::CheckId;

/// Three legs at the breaker, of which L1 settles to a rise of 20 K and the others stay near the
/// air, with these currents in every loaded round.
fn with_currents(currents: [f64; 3]) -> Visit {
    let mut visit = plain([20.0, 1.0]);
    third_leg(&mut visit, 21.0);
    for round in &mut heat(&mut visit).rounds {
        if round.current.ampere() > 0.0 {
            let legs = ["L1", "L2", "L3"].into_iter().zip(currents);
            round.legs = legs
                .map(|(leg, a)| (leg.to_owned(), Current::from_ampere(a)))
                .collect();
        }
    }
    visit
}

fn compared(a: &Assessment) -> Vec<(&[String], Grade)> {
    let of = a.checks.iter().filter(|c| c.id == CheckId::LegDifference);
    of.filter(|c| c.place.as_deref() == Some("breaker"))
        .map(|c| (&c.connections[..], c.grade))
        .collect()
}

fn idle(a: &Assessment) -> Option<&Value> {
    let l = a.limitations.iter().find(|l| l.id == "legs-not-loaded")?;
    assert!(l.incomplete);
    l.values.get("legs")
}

#[test]
fn a_single_phase_car_compares_no_legs_and_proves_one() {
    let a = judged(&with_currents([40.0, 0.0, 0.0]));
    // L2 and L3 carry the same, nothing: no comparison worse than a pass.
    assert!(compared(&a).iter().all(|(_, g)| *g == Grade::Pass));
    assert_eq!(idle(&a), Some(&Value::Text("L2, L3".to_owned())));
    assert!(!a.findings.iter().any(|f| f.cause == "poor-joint"));
    let of = |id: &str| {
        let mut all = a.circuits[0].connections.iter();
        all.find(|c| c.id == id).unwrap()
    };
    assert!(of("breaker-L1").rise_at_rated.is_some());
    assert_eq!(of("breaker-L2").rise_at_rated, None);
    // With the same current in all, 19 K between them is a repair.
    let a = judged(&with_currents([40.0, 40.0, 40.0]));
    assert_eq!(idle(&a), None);
    assert_eq!(compared(&a)[0].1, Grade::Repair);
}

#[test]
fn legs_are_compared_while_their_currents_are_alike() {
    // 5 % apart at most; 95 % of the rated current is full load.
    for (second, alike) in [(38.1, true), (37.9, false)] {
        let a = judged(&with_currents([40.0, second, second]));
        let worst = compared(&a).iter().map(|(_, g)| *g).max();
        assert_eq!(worst == Some(Grade::Repair), alike, "{second}");
        assert_eq!(idle(&a).is_none(), alike, "{second}");
    }
}

#[test]
fn each_leg_is_scaled_from_its_own_current() {
    let rise = |a: &Assessment| {
        let mut all = a.circuits[0].connections.iter();
        let found = all.find(|c| c.id == "breaker-L2").unwrap();
        found.rise_at_rated.unwrap().value.kelvin()
    };
    // As if the whole circuit had carried it.
    let mut whole = with_currents([40.0, 40.0, 40.0]);
    for round in &mut heat(&mut whole).rounds {
        if round.current.ampere() > 0.0 {
            round.current = Current::from_ampere(20.0);
            round.legs = Vec::new();
        }
    }
    let own = rise(&judged(&with_currents([40.0, 20.0, 20.0])));
    assert!((own - rise(&judged(&whole))).abs() < 1e-9);
    assert!(own > 2.0 * rise(&judged(&with_currents([40.0, 40.0, 40.0]))));
}
