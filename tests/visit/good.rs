//! Sound files and what they say.

use crate::world::{SMALL, read, sound};
use warmlug::quantity::{ConductorSize, Current, Duration, Length, Temperature, Torque, Voltage};
use warmlug::visit::{
    Condition, Earthing, Grade, GroundFault, HalfWidth, OvercurrentDevice, Paper, ProductStandard,
    Rcd, Reason, TorqueFound, Units,
};

pub const DESIGN: &str = include_str!("design.yaml");
pub const FULL: &str = include_str!("full.yaml");

#[test]
fn the_file_of_the_manual() {
    let visit = sound(DESIGN);
    assert_eq!(visit.number, "2026-0147");
    assert_eq!(visit.reason, Reason::Periodic);
    assert_eq!(
        (visit.print.units, visit.print.paper),
        (Units::Us, Paper::Letter)
    );
    assert_eq!(visit.instruments.len(), 3);
    let gun = visit.instrument("gun").unwrap();
    assert_eq!(gun.distance_to_spot.unwrap().value(), 12.0);
    assert_eq!(gun.accuracy.unwrap().of_reading.unwrap().fraction(), 0.02);
    let circuit = &visit.circuits[0];
    assert_eq!(
        circuit.charger.serial.as_deref(),
        Some("0001"),
        "not the number one"
    );
    assert_eq!(circuit.conductors.size, ConductorSize::Awg(6));
    assert_eq!(circuit.conductors.length, Some(Length::from_foot(55.0)));
    assert_eq!(circuit.breaker.ground_fault, GroundFault::None);
    assert_eq!(
        circuit.places[0].connections[0].torque,
        Some(Torque::from_pound_force_inch(45.0))
    );
    let isolation = circuit.isolation.first().unwrap();
    assert_eq!(
        isolation.dead[1],
        ("L1-G".to_owned(), Voltage::from_volt(0.0))
    );
    let heat = circuit.heat.as_ref().unwrap();
    assert_eq!(heat.rounds.len(), 3);
    let minutes =
        |i: usize| (heat.rounds[i].at.seconds() - heat.charging_from.unwrap().seconds()) / 60;
    assert_eq!((minutes(0), minutes(1), minutes(2)), (-10, 15, 65));
    let (id, reading) = &heat.rounds[2].readings[0];
    assert_eq!(
        (id.as_str(), reading.temperatures[0]),
        ("breaker-L1", Temperature::from_fahrenheit(97.0))
    );
    assert_eq!(reading.distance, Some(Length::from_inch(6.0)));
    assert_eq!(visit.photos[0].circuit.as_deref(), Some("bay-1"));
    assert_eq!(visit.judgement[0].grade, Grade::Watch);
    assert_eq!(visit.remarks.as_deref(), Some("Cover screws replaced."));
}

#[test]
fn a_visit_past_midnight_goes_on_on_the_next_day() {
    let visit = sound(FULL);
    let heat = visit.circuits[0].heat.as_ref().unwrap();
    assert_eq!(
        heat.rounds.iter().map(|r| r.at.day).collect::<Vec<_>>(),
        [0, 0, 1]
    );
    let start = heat.charging_from.unwrap().seconds();
    assert_eq!((heat.rounds[2].at.seconds() - start) / 60, 60);
}

#[test]
fn charging_may_begin_on_either_side_of_midnight() {
    for (start, first, second, days) in [
        ("23:55", "00:10", "00:55", [0, 1, 1]),
        ("00:05", "23:50", "00:20", [1, 0, 1]),
        ("23:50", "23:40", "00:50", [0, 0, 1]),
    ] {
        let text = SMALL
            .replace("09:50", start)
            .replace("09:40", first)
            .replace("10:05", second);
        let text = if first == "00:10" {
            text.replace("current: 0 A", "current: 40 A")
        } else {
            text
        };
        let visit = sound(&text);
        let heat = visit.circuits[0].heat.as_ref().unwrap();
        let found = [
            heat.charging_from.unwrap().day,
            heat.rounds[0].at.day,
            heat.rounds[1].at.day,
        ];
        assert_eq!(found, days, "{start} {first} {second}");
    }
}

/// Days and minutes after charging began of the rounds of [`SMALL`], in a zone.
fn through_the_night(
    zone: &str,
    date: &str,
    start: &str,
    first: (&str, &str),
    second: &str,
) -> (u8, Vec<(u8, i64)>) {
    let text = SMALL
        .replace("rules: us }", &format!("rules: us, zone: {zone} }}"))
        .replace("2026-10-06", date)
        .replace("2026-02-10", "2025-02-10")
        .replace("09:50", start)
        .replace("09:40", first.0)
        .replace("current: 0 A", first.1)
        .replace("10:05", second);
    let visit = sound(&text);
    let heat = visit.circuits[0].heat.as_ref().unwrap();
    let start = heat.charging_from.unwrap();
    let rounds = heat.rounds.iter().map(|r| {
        let minutes = (r.at.seconds() - start.seconds()) / 60;
        (r.at.day, minutes)
    });
    (start.day, rounds.collect())
}

/// Clocks in Germany go from 02:00 to 03:00 on 30 March and back from 03:00 to 02:00 on 26 October
/// 2025; in Chicago from 02:00 to 03:00 on 9 March and back on 2 November.
#[test]
fn minutes_go_on_while_the_clock_is_changed() {
    let none = "current: 0 A";
    let full = "current: 40 A";
    // Forward: from 01:50 to 03:10 are twenty minutes.
    for (zone, date) in [
        ("Europe/Berlin", "2025-03-30"),
        ("America/Chicago", "2025-03-09"),
    ] {
        let night = through_the_night(zone, date, "01:50", ("01:40", none), "03:10");
        assert_eq!(night, (0, vec![(0, -10), (0, 20)]), "{zone}");
        // All of it after the change.
        let after = through_the_night(zone, date, "03:05", ("01:55", none), "03:20");
        assert_eq!(after, (0, vec![(0, -10), (0, 15)]), "{zone}");
        // Without a zone the wall is taken at its word.
        let wall = through_the_night("\"+01:00\"", date, "01:50", ("01:40", none), "03:10");
        assert_eq!(wall, (0, vec![(0, -10), (0, 80)]));
    }
    for (zone, date, h) in [
        ("Europe/Berlin", "2025-10-26", 2),
        ("America/Chicago", "2025-11-02", 1),
    ] {
        let at = |hour: u32, minute: u32| format!("{:02}:{minute:02}", hour);
        // Back: from the first 02:50 to the second 02:10 are twenty minutes,
        let (start, first, second) = (at(h, 45), at(h, 50), at(h, 10));
        let night = through_the_night(zone, date, &start, (&first, full), &second);
        assert_eq!(night, (0, vec![(0, 5), (0, 25)]), "{zone}");
        // from 01:50 to 03:10 two hours and twenty,
        let (start, first, second) = (at(h - 1, 50), at(h - 1, 40), at(h + 1, 10));
        let night = through_the_night(zone, date, &start, (&first, none), &second);
        assert_eq!(night, (0, vec![(0, -10), (0, 140)]), "{zone}");
        // and a charge that began in the hour that came twice began in it the second time, when
        // the round before it without load was read late in the first.
        let (start, first, second) = (at(h, 5), at(h, 58), at(h, 20));
        let night = through_the_night(zone, date, &start, (&first, none), &second);
        assert_eq!(night, (0, vec![(0, -7), (0, 15)]), "{zone}");
    }
}

/// The change of the clock lies on the day after the visit's date.
#[test]
fn midnight_and_the_change_of_the_clock_in_one_night() {
    let none = "current: 0 A";
    let berlin = "Europe/Berlin";
    let forward = through_the_night(berlin, "2025-03-29", "23:50", ("23:40", none), "03:10");
    assert_eq!(forward, (0, vec![(0, -10), (1, 140)]));
    let back = through_the_night(berlin, "2025-10-25", "23:50", ("23:40", none), "03:10");
    assert_eq!(back, (0, vec![(0, -10), (1, 260)]));
    // A visit on the day of the change, all of it before midnight, is not touched.
    let evening = through_the_night(berlin, "2025-10-26", "21:50", ("21:40", none), "22:05");
    assert_eq!(evening, (0, vec![(0, -10), (0, 15)]));
    // Charging began on the evening before the first round; the visit's day is that evening's.
    let late = through_the_night(
        berlin,
        "2025-03-29",
        "23:55",
        ("00:10", "current: 40 A"),
        "03:05",
    );
    assert_eq!(late, (0, vec![(1, 15), (1, 130)]));
}

#[test]
fn print_follows_the_rules_unless_told() {
    let us = sound(SMALL);
    assert_eq!((us.print.units, us.print.paper), (Units::Us, Paper::Letter));
    assert_eq!(us.print.language, ["en"]);
    let iec = sound(&SMALL.replace("rules: us", "rules: iec"));
    assert_eq!((iec.print.units, iec.print.paper), (Units::Si, Paper::A4));
}

#[test]
fn words_values_and_maps_mean_what_they_say() {
    let visit = sound(FULL);
    let circuit = &visit.circuits[0];
    let rcd = circuit.rcd.unwrap();
    assert_eq!((rcd.kind, rcd.dc_detection), (Rcd::F, Some(true)));
    assert_eq!(rcd.rating, Some(Current::from_ampere(0.03)));
    assert_eq!(rcd.trip_time, Some(Duration::from_second(0.028)));
    let conductors = &circuit.conductors;
    assert_eq!(conductors.method.as_deref(), Some("B2"));
    assert_eq!(conductors.circuits_together, Some(2));
    assert_eq!(circuit.breaker.kind, Some(OvercurrentDevice::Mccb));
    assert_eq!(circuit.supply.earthing, Some(Earthing::Tt));
    let lug = &circuit.places[0].connections[0];
    assert_eq!(lug.standard, Some(ProductStandard::Iec60947Breaker));
    assert_eq!(
        circuit.torque[0].found,
        TorqueFound::Value(Torque::from_newton_metre(2.1))
    );
    assert_eq!(circuit.torque[1].found, TorqueFound::Held);
    assert_eq!(
        circuit.looked_at[0].seen,
        [Condition::Dust, Condition::Discoloured]
    );
    assert_eq!(
        visit
            .instrument("clamp")
            .unwrap()
            .accuracy
            .unwrap()
            .at_least,
        Some(HalfWidth::Current(Current::from_ampere(0.5)))
    );
    assert_eq!(visit.inspector.accent, Some([0x1f, 0x4e, 0x79]));
    assert_eq!(
        visit.inspector.address.as_deref(),
        Some("4 Example Road\nSampleton")
    );
    assert_eq!(
        visit.photos[1].circuit.as_deref(),
        Some("bay-1"),
        "found by its first mark"
    );
}

#[test]
fn line_ends_and_a_byte_order_mark_make_no_difference() {
    let visit = sound(FULL);
    assert_eq!(sound(&FULL.replace('\n', "\r\n")), visit);
    assert_eq!(sound(&format!("\u{feff}{FULL}")), visit);
    assert_eq!(sound(&SMALL.replace('\n', "\r")), sound(SMALL));
}

#[test]
fn an_alias_is_its_value() {
    let text = SMALL
        .replace(
            "torque: 45 }\n          - { id: breaker-L2",
            "torque: &t 45 }\n          - { id: breaker-L2",
        )
        .replace(
            "leg: L2, kind: screw-terminal, torque: 45",
            "leg: L2, kind: screw-terminal, torque: *t",
        );
    assert!(text.contains("*t"));
    assert_eq!(sound(&text), sound(SMALL));
}

#[test]
fn a_calibration_overdue_is_no_error_here() {
    let text = SMALL.replace("calibration_due: 2027-02-10", "calibration_due: 2026-03-01");
    assert!(read(&text).is_ok());
}
