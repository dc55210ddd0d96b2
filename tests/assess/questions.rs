//! Typing and unit errors are asked for and set aside; high heat never is.

use crate::assess_common::{celsius, heat, judged, plain};
use warmlug::assess::{Assessment, questions};
use warmlug::quantity::{Ratio, Temperature, Torque};
use warmlug::rules::built_in;
use warmlug::visit::{Grade, Surface, TorqueFound, Visit};
use warmlug::vocabulary::{CheckId, LimitationId};

/// The ids of what is asked, with the connections.
fn asked(a: &Assessment) -> Vec<(&str, Vec<&str>)> {
    let ids = [
        LimitationId::ReadingInDoubt,
        LimitationId::TorqueInDoubt,
        LimitationId::TorqueWantedInDoubt,
        LimitationId::EmissivityInDoubt,
    ];
    let of = a.limitations.iter().filter(|l| ids.contains(&l.id));
    of.map(|l| {
        assert!(l.incomplete);
        (
            l.id.word(),
            l.connections.iter().map(String::as_str).collect(),
        )
    })
    .collect()
}

/// Sets the last reading of a connection.
fn last(visit: &mut Visit, connection: &str, t: Temperature) {
    let round = heat(visit).rounds.last_mut().unwrap();
    let (_, reading) = round
        .readings
        .iter_mut()
        .find(|(id, _)| id == connection)
        .unwrap();
    reading.temperatures = vec![t];
}

fn confirm_last(visit: &mut Visit, connection: &str) {
    let round = heat(visit).rounds.last_mut().unwrap();
    let (_, reading) = round
        .readings
        .iter_mut()
        .find(|(id, _)| id == connection)
        .unwrap();
    reading.confirmed = true;
}

fn grade_of(a: &Assessment, id: CheckId, connection: &str) -> Option<Grade> {
    let of = a.checks.iter().filter(|c| c.id == id);
    of.filter(|c| c.connections.first().map(String::as_str) == Some(connection))
        .map(|c| c.grade)
        .max()
}

#[test]
fn a_temperature_typed_in_the_other_unit_is_asked_for() {
    // 41 typed under air of 20 °C (68 °F): as °F it is 5 °C, as °C 21 K above the air.
    let mut visit = plain([21.0, 21.0]);
    last(&mut visit, "breaker-L1", Temperature::from_fahrenheit(41.0));
    let a = judged(&visit);
    assert_eq!(asked(&a), [("reading-in-doubt", vec!["breaker-L1"])]);
    assert!(!a.complete);
    // It condemns no other leg.
    assert_eq!(grade_of(&a, CheckId::LegDifference, "breaker-L2"), None);
    let question = &questions::of(&visit, built_in("us").unwrap())[0];
    assert_eq!(
        question.asked.values["meant"],
        warmlug::assess::Value::Number(41.0)
    );
    // Confirmed, it counts: the difference to the other leg is a repair.
    confirm_last(&mut visit, "breaker-L1");
    let a = judged(&visit);
    assert_eq!(asked(&a), []);
    assert_eq!(
        grade_of(&a, CheckId::LegDifference, "breaker-L2"),
        Some(Grade::Repair)
    );
}

#[test]
fn only_what_another_unit_explains_is_asked_for() {
    // 5 K below the air is the edge of the rule set.
    for (below, doubt) in [(4.9, false), (5.1, true)] {
        let mut visit = plain([8.0, 8.0]);
        last(&mut visit, "charger-L1", celsius(20.0 - below));
        assert_eq!(!asked(&judged(&visit)).is_empty(), doubt, "{below}");
    }
    // A number that fits neither unit: after 15 minutes the connection was at 20 + 2·(1 − e^−1.5) =
    // 21.55 °C, and 15 K from it is no reading of the same current.
    for (typed, doubt) in [(6.5, false), (6.6, true)] {
        let mut visit = plain([8.0, 8.0]);
        last(
            &mut visit,
            "charger-L1",
            Temperature::from_fahrenheit(typed),
        );
        assert_eq!(!asked(&judged(&visit)).is_empty(), doubt, "{typed}");
    }
    // High heat is never set aside, whatever may have been meant: 97 typed as °C where °F was meant.
    let mut visit = plain([8.0, 8.0]);
    last(&mut visit, "breaker-L1", celsius(97.0));
    let a = judged(&visit);
    assert_eq!(asked(&a), []);
    assert_eq!(a.findings[0].grade, Grade::Stop);
}

#[test]
fn in_the_cold_the_other_rounds_show_the_unit() {
    // Air of −1 °C: 41 °F is 6 K above it and no impossible reading, but after 15 minutes the connection
    // was at 31.6 °C.
    let mut visit = plain([42.0, 42.0]);
    for round in &mut heat(&mut visit).rounds {
        round.air = Some(celsius(-1.0));
        for (_, reading) in &mut round.readings {
            let warm = reading.temperatures[0];
            reading.temperatures = vec![celsius(warm.celsius() - 21.0)];
        }
    }
    last(&mut visit, "breaker-L1", Temperature::from_fahrenheit(41.0));
    let a = judged(&visit);
    assert_eq!(asked(&a), [("reading-in-doubt", vec!["breaker-L1"])]);
    // The other one keeps its finding: a rise of 42 K is a repair by itself.
    assert_eq!(
        grade_of(&a, CheckId::Rise, "breaker-L2"),
        Some(Grade::Repair)
    );
    // 51 °C is 19 K from that: it is what it is, cool beside a hot one.
    last(&mut visit, "breaker-L1", Temperature::from_fahrenheit(51.0));
    let a = judged(&visit);
    assert_eq!(asked(&a), []);
    assert_eq!(
        grade_of(&a, CheckId::LegDifference, "breaker-L2"),
        Some(Grade::Repair)
    );
}

#[test]
fn a_torque_in_the_other_unit_is_asked_for() {
    // 45 in·lb (5.08 N·m) wanted. 12 in·lb are a ft·lb, 8.85 in·lb a N·m; a quarter to either side.
    let inch = 0.112_984_829_027_616_7;
    let wanted = 45.0 * inch;
    let case = |left: Option<f64>, found: TorqueFound| {
        let mut visit = plain([8.0, 8.0]);
        visit.circuits[0].places[0].connections[0].torque = Some(Torque::from_newton_metre(wanted));
        let check = &mut visit.circuits[0].torque[0];
        check.found = found;
        check.left = left.map(Torque::from_newton_metre);
        visit
    };
    let doubt = |left: f64| !asked(&judged(&case(Some(left), TorqueFound::Held))).is_empty();
    for (ratio, expected) in [
        (1.0, false),
        (2.0, false),
        (6.6, false),
        (6.7, true),
        (8.85, true),
        (12.0, true),
        (14.9, true),
        (15.1, false),
        (1.0 / 8.85, true),
        (1.0 / 12.0, true),
        (0.5, false),
        (0.15, false),
    ] {
        assert_eq!(doubt(ratio * wanted), expected, "{ratio}");
    }
    let visit = case(Some(12.0 * wanted), TorqueFound::Held);
    let a = judged(&visit);
    assert_eq!(asked(&a), [("torque-in-doubt", vec!["breaker-L1"])]);
    assert!(a.findings.is_empty());
    let mut visit = visit;
    visit.circuits[0].torque[0].confirmed = true;
    let a = judged(&visit);
    assert_eq!(asked(&a), []);
    assert_eq!(a.findings[0].cause, "overtightened-screw");
    // A screw found loose is never explained away.
    let loose = TorqueFound::Value(Torque::from_newton_metre(wanted / 12.0));
    let a = judged(&case(Some(wanted), loose));
    assert_eq!(asked(&a), []);
    assert!(a.checks.iter().any(|c| c.id == CheckId::TorqueMoved));
}

#[test]
fn a_specified_torque_that_no_such_screw_takes_is_asked_for() {
    // NFPA 70 (2023), Table I.1, 6–4 AWG: 35 to 165 in·lb. 45 ft·lb are 540 in·lb.
    let foot = 1.355_817_948_331_400_4;
    let case = |wanted: f64| {
        let mut visit = plain([8.0, 8.0]);
        let torque = Some(Torque::from_newton_metre(wanted));
        visit.circuits[0].places[0].connections[0].torque = torque;
        visit.circuits[0].torque[0].left = torque;
        visit
    };
    let visit = case(45.0 * foot);
    let a = judged(&visit);
    assert_eq!(asked(&a), [("torque-wanted-in-doubt", vec!["breaker-L1"])]);
    // Twice the largest of the table is still taken as it is.
    assert_eq!(asked(&judged(&case(329.0 / 12.0 * foot))), []);
    assert_ne!(asked(&judged(&case(331.0 / 12.0 * foot))), []);
}

#[test]
fn a_setting_far_from_the_surface_is_asked_for() {
    // Tape has 0.95 to 0.97 (general infrared emissivity tables); 0.3 below is 0.65.
    let case = |set: f64, rises: [f64; 2]| {
        let mut visit = plain(rises);
        let gun = visit.instruments.iter_mut().find(|i| i.id == "gun");
        gun.unwrap().emissivity = Some(Ratio::from_value(set));
        visit
    };
    assert_eq!(asked(&judged(&case(0.66, [8.0, 8.0]))), []);
    let a = judged(&case(0.64, [8.0, 8.0]));
    let [(id, connections)] = &asked(&a)[..] else {
        panic!("{:?}", asked(&a));
    };
    assert_eq!(*id, "emissivity-in-doubt");
    assert!(connections.contains(&"breaker-L1"));
    assert!(
        a.circuits[0]
            .connections
            .iter()
            .all(|c| c.rounds.is_empty())
    );
    let mut visit = case(0.64, [8.0, 8.0]);
    for instrument in &mut visit.instruments {
        instrument.confirmed = true;
    }
    assert_eq!(asked(&judged(&visit)), []);
    // A confirmed setting shrinks no error of the instrument below its own, ±2 °C: 2·2/√3 K.
    for c in &judged(&visit).circuits[0].connections {
        for round in &c.rounds {
            let expanded = 2.0 * round.standard_uncertainty.kelvin();
            assert!(expanded >= 2.0 * 2.0 / 3.0_f64.sqrt() - 1e-9, "{expanded}");
        }
    }
    // What is hot as shown keeps its finding, without the correction that would hide it.
    let mut visit = case(0.1, [62.0, 8.0]);
    for place in &mut visit.circuits[0].places {
        for connection in &mut place.connections {
            connection.surface = Some(Surface::Insulation);
        }
    }
    let a = judged(&visit);
    assert_eq!(asked(&a).len(), 1);
    assert!(
        a.findings.iter().any(|f| f.grade == Grade::Stop),
        "{:?}",
        a.findings
    );
}
