//! Both sides of every limit of the engine, on a plain visit with one thing changed.

use crate::assess_common::{
    breaker_alone, celsius, connection, current, day, finding, gun, heat, instrument, judged,
    moment, plain, reading, scattering, set, third_leg,
};
use warmlug::assess::{Assessment, Earlier, Outcome, RatedBy, SettledHow, Value, assess};
use warmlug::quantity::{
    Current, Length, Percentage, Ratio, Temperature, TemperatureDifference, Torque, Voltage,
};
use warmlug::rules::{Rules, built_in};
use warmlug::visit::*;
use warmlug::vocabulary::{CheckId, Condition, Grade, RatingOf, Topic, Variant};

fn us() -> &'static Rules {
    built_in("us").unwrap()
}

fn grade(a: &Assessment, id: &str) -> Option<Grade> {
    a.checks
        .iter()
        .filter(|f| f.id == id)
        .map(|f| f.grade)
        .max()
}

/// Limitations, those that make the visit incomplete with a `!`.
fn limits(a: &Assessment) -> Vec<String> {
    a.limitations
        .iter()
        .filter(|l| l.id != "cannot-tell")
        .map(|l| format!("{}{}", l.id, if l.incomplete { "!" } else { "" }))
        .collect()
}

#[test]
fn a_plain_visit_is_clean_and_complete() {
    let a = judged(&plain([8.0, 8.0]));
    assert_eq!(a.outcome, Outcome::Satisfactory);
    assert_eq!(limits(&a), Vec::<String>::new());
    assert!(a.complete);
    assert_eq!(a.next_due.date, Some(day(2026, 11, 4)));
    let c = &a.circuits[0].connections[0];
    assert_eq!(c.rated_by, Some(RatedBy::Settled));
    assert!((c.rise_at_rated.unwrap().value.kelvin() - 8.0).abs() < 1e-6);
    // ± 2 K twice, and 3 % of the current: u² = 2·(2/√3)²-like parts, so U is at least 3.27 K.
    assert!(c.rise_at_rated.unwrap().expanded.kelvin() > 3.26);
}

#[test]
fn rise_over_air_from_both_sides_of_each_edge() {
    // Borderline is stated against the nearer of the edges around the value.
    for (rise, expected, borderline) in [
        (20.99, Grade::Pass, true),
        (21.01, Grade::Watch, true),
        (39.99, Grade::Watch, true),
        (40.01, Grade::Repair, true),
    ] {
        let mut visit = breaker_alone([rise, rise]);
        visit.circuits[0].hottest_air = Some(celsius(0.0));
        let a = judged(&visit);
        assert_eq!(grade(&a, "rise"), Some(expected), "{rise}");
        let f = finding(&a, "rise");
        assert_eq!(f.borderline, borderline, "{rise} ± {:?}", f.uncertainty);
        let p = f.probability_over;
        assert_eq!(p.is_some(), borderline, "{p:?}");
        assert!(p.is_none_or(|p| (0.45..0.55).contains(&p)), "{p:?}");
        // From `watch` on each has a finding of its own.
        let named: Vec<&Vec<String>> = a
            .checks
            .iter()
            .filter(|f| f.id == "rise")
            .map(|f| &f.connections)
            .collect();
        if expected >= Grade::Watch {
            assert_eq!(named, [&["breaker-L1"], &["breaker-L2"]]);
        } else {
            assert_eq!(named, [&["breaker-L1", "breaker-L2"]]);
        }
        let edge = f.next_limit.or(f.limit);
        assert!((edge.unwrap() - rise).abs() < 0.02, "{f:?}");
        assert!(f.next_limit.is_none_or(|l| l > rise), "{f:?}");
    }
    // In the middle of a band neither edge is in doubt; the limit is the one that was reached. After
    // four hours no slow part of a device is still to come.
    let mut visit = breaker_alone([30.5, 30.5]);
    heat(&mut visit).rounds[2].at = moment(840.0);
    let f = judged(&visit);
    let f = finding(&f, "rise");
    assert_eq!(
        (f.limit, f.next_limit, f.borderline),
        (Some(21.0), None, false)
    );
}

#[test]
fn projected_margin_from_both_sides_of_each_edge() {
    // Terminals of 75 °C in air of 40 °C: 25 K leave 10 K, 35 K leave none.
    for (rise, expected) in [
        (24.99, Grade::Pass),
        (25.01, Grade::Watch),
        (34.99, Grade::Watch),
        (35.01, Grade::Repair),
    ] {
        let a = judged(&plain([rise, rise]));
        assert_eq!(grade(&a, "projected-heat"), Some(expected), "{rise}");
    }
}

#[test]
fn the_lowest_rating_counts() {
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].breaker.terminal_rating = None;
    let limit = |v: &Visit| judged(v).circuits[0].connections[0].limit.unwrap();
    assert_eq!(limit(&visit), (celsius(60.0), RatingOf::UnmarkedTerminal));
    visit.circuits[0].breaker.terminal_rating = Some(celsius(90.0));
    assert_eq!(limit(&visit), (celsius(90.0), RatingOf::Terminal));
    visit.circuits[0].conductors.insulation = celsius(75.0);
    assert_eq!(limit(&visit), (celsius(75.0), RatingOf::Insulation));
    visit.circuits[0].receptacle = Some(Receptacle {
        configuration: "14-50".to_owned(),
        grade: None,
        rating: Some(celsius(70.0)),
        wet_location: None,
    });
    assert_eq!(
        limit(&visit).1,
        "insulation",
        "no blade is in the receptacle"
    );
    visit.circuits[0].places[0].connections[0].kind = ConnectionKind::Blade;
    assert_eq!(limit(&visit), (celsius(70.0), RatingOf::Receptacle));
    visit.circuits[0].places[0].connections[0].rating = Some(celsius(65.0));
    assert_eq!(limit(&visit), (celsius(65.0), RatingOf::Terminal));
}

#[test]
fn a_surface_beside_its_rating_from_both_sides_of_each_limit() {
    // ± 2 K, and a little for the emissivity: u = 1.2 K, U = 2.3 to 2.4 K, and 95 % are reached at
    // 1.645·u = 1.9 to 2.1 K over the rating of 75 °C.
    for (celsius, expected) in [
        (72.6, None),
        (72.8, Some(Grade::Watch)),
        (75.0, Some(Grade::Watch)),
        (75.05, Some(Grade::Repair)),
        (76.8, Some(Grade::Repair)),
        (77.2, Some(Grade::Stop)),
    ] {
        let mut visit = plain([8.0, 8.0]);
        set(&mut visit, 2, 0, celsius);
        let a = judged(&visit);
        assert_eq!(grade(&a, "over-rating"), expected, "{celsius}");
        let missing = a.limitations.iter().any(|l| l.id == "rating-not-told");
        assert!(!missing, "the rating is told");
        let reported = a.checks.iter().find(|f| f.id == "over-rating");
        if let Some(p) = reported.and_then(|f| f.probability_over) {
            let certain = p >= 0.95;
            assert_eq!(certain, expected == Some(Grade::Stop), "{celsius}: {p}");
        }
        if expected == Some(Grade::Stop) {
            assert_eq!(a.outcome, Outcome::Unsatisfactory);
            assert_eq!(a.next_due.date, None);
        }
    }
}

#[test]
fn a_terminal_whose_rating_is_not_stated_never_stops() {
    // The rule set assumes 60 °C; insulation is for 90 °C.
    let told = |celsius: f64| {
        let mut visit = plain([8.0, 8.0]);
        visit.circuits[0].breaker.terminal_rating = None;
        set(&mut visit, 2, 0, celsius);
        judged(&visit)
    };
    let unknown = |a: &Assessment| {
        let of = a.limitations.iter().find(|l| l.id == "rating-not-told")?;
        assert!(of.incomplete);
        assert_eq!(of.values["rating"], Value::Temperature(self::celsius(60.0)));
        Some(of.connections.clone())
    };
    assert_eq!(unknown(&told(57.6)), None);
    for celsius in [57.8, 60.1, 70.0, 86.0] {
        let a = told(celsius);
        assert_eq!(
            unknown(&a),
            Some(vec!["breaker-L1".to_owned()]),
            "{celsius}"
        );
        assert_eq!(grade(&a, "over-rating"), None, "{celsius}");
        assert!(!a.complete);
        assert!(a.worst() < Grade::Stop, "{celsius}");
    }
    // The rating of the insulation is known.
    assert_eq!(grade(&told(95.0), "over-rating"), Some(Grade::Stop));
}

#[test]
fn a_closed_cover_is_compared_with_what_may_be_touched() {
    // 30 K over air of 40 °C, whatever the terminals under it are rated for.
    for (rise, expected) in [
        (19.9, Grade::Pass),
        (20.1, Grade::Watch),
        (29.9, Grade::Watch),
        (30.1, Grade::Repair),
        (70.0, Grade::Repair),
    ] {
        let mut visit = breaker_alone([rise, rise]);
        let place = &mut visit.circuits[0].places[0];
        place.closed = true;
        for connection in &mut place.connections {
            connection.kind = ConnectionKind::Cover;
            connection.leg = "none".to_owned();
        }
        let a = judged(&visit);
        let limit = a.circuits[0].connections[0].limit;
        assert_eq!(limit, Some((celsius(70.0), RatingOf::Cover)));
        assert_eq!(grade(&a, "projected-heat"), Some(expected), "{rise}");
        assert_eq!(finding(&a, "projected-heat").variant, Some(Variant::Cover));
        assert_eq!(grade(&a, "over-rating"), None, "{rise}");
    }
}

#[test]
fn a_leg_difference_is_that_of_the_settled_rises() {
    // Bodies of one time constant τ, read at 15 and 65 minutes: of a difference of 6 K between the
    // settled rises 6·(1 − e^(−65/τ)) is read. With 40 minutes that is 4.82 K.
    for (tau, hot, cool) in [
        (10.0_f64, 20.0, 14.0),
        (25.0, 20.0, 14.0),
        (40.0, 16.0, 10.0),
    ] {
        let mut visit = plain([hot, cool]);
        exact(&mut visit);
        for (round, minutes) in [(1, 15.0), (2, 65.0)] {
            let share = 1.0 - (-minutes / tau).exp();
            set(&mut visit, round, 0, 20.0 + hot * share);
            set(&mut visit, round, 1, 20.0 + cool * share);
        }
        let a = judged(&visit);
        let f = finding(&a, "leg-difference");
        assert!((f.value.unwrap() - 6.0).abs() < 1e-6, "{tau}: {f:?}");
        // One reading alone shows no growth: the difference as it was read.
        heat(&mut visit).rounds.remove(1);
        let read = 6.0 * (1.0 - (-65.0 / tau).exp());
        let a = judged(&visit);
        let f = finding(&a, "leg-difference");
        assert!((f.value.unwrap() - read).abs() < 1e-6, "{tau}: {f:?}");
    }
}

#[test]
fn leg_difference_from_both_sides_of_each_edge() {
    // A contact thermometer of ± 0.1 K, so that the bands decide.
    let with = |difference: f64, half_width: f64, repeatability: Option<f64>| {
        let mut visit = plain([8.0, 8.0]);
        visit.instruments[0] = Instrument {
            kind: InstrumentKind::ContactThermometer,
            repeatability: repeatability.map(TemperatureDifference::from_kelvin),
            accuracy: Some(Accuracy {
                of_reading: None,
                at_least: Some(HalfWidth::Temperature(TemperatureDifference::from_kelvin(
                    half_width,
                ))),
            }),
            ..gun()
        };
        // Settled after a quarter of an hour, so that nothing grows any more.
        for round in [1, 2] {
            set(&mut visit, round, 0, 28.0 + difference);
            set(&mut visit, round, 1, 28.0);
        }
        grade(&judged(&visit), "leg-difference").unwrap()
    };
    for (difference, expected) in [
        (0.99, Grade::Pass),
        (1.01, Grade::Note),
        (3.99, Grade::Note),
        (4.01, Grade::Watch),
        (14.99, Grade::Watch),
        (15.01, Grade::Repair),
    ] {
        assert_eq!(with(difference, 0.1, None), expected, "{difference}");
    }
    // The bias of ± 2 K cancels. U = 2·√2·0.5 = 1.414 K of the rule set's repeatability: within it
    // a note is none. With a repeatability of 0.4 K U = 2·√2·0.4 = 1.131 K.
    assert_eq!(with(1.41, 2.0, None), Grade::Pass);
    assert_eq!(with(1.42, 2.0, None), Grade::Note);
    assert_eq!(with(1.13, 2.0, Some(0.4)), Grade::Pass);
    assert_eq!(with(1.14, 2.0, Some(0.4)), Grade::Note);
    // U = 2·√2·1.6 = 4.5 K: a watch is not talked away by a poor thermometer.
    assert_eq!(with(3.9, 3.0, Some(1.6)), Grade::Pass);
    assert_eq!(with(4.1, 3.0, Some(1.6)), Grade::Watch);
}

#[test]
fn the_scatter_of_repeated_readings_is_a_thermometers_repeatability() {
    let visit = |repeats: usize| {
        let mut visit = plain([8.0, 8.0]);
        visit.instruments[0].kind = InstrumentKind::ContactThermometer;
        // Two readings 0.6 K apart have a standard deviation of 0.6/√2 = 0.4243 K.
        for (round, connection) in [(1, 0), (1, 1), (1, 2), (1, 3), (2, 2)]
            .into_iter()
            .take(repeats)
        {
            let reading = &mut heat(&mut visit).rounds[round].readings[connection].1;
            let t = reading.temperatures[0].celsius();
            reading.temperatures = vec![celsius(t - 0.3), celsius(t + 0.3)];
        }
        finding(&judged(&visit), "leg-difference")
            .uncertainty
            .unwrap()
    };
    // Four degrees of freedom are too few: U = 2·√2·0.5 K. Five give 0.4243 K, widened by Student's
    // factor: t(95.45 %, 5) = 2.649 (JCGM 100:2008, Table G.2) and U = 2·√2·0.4243·2.649/2 K.
    assert!((visit(4) - 1.414).abs() < 0.001, "{}", visit(4));
    assert!((visit(5) - 1.590).abs() < 0.002, "{}", visit(5));
}

#[test]
fn the_bias_of_a_thermometer_stays_in_a_temperature_and_in_a_rise() {
    // ± 2 K on the surface and on the air: U = 2·√2·2/√3 = 3.266 K, whatever the repeatability.
    for repeatability in [0.1, 0.4, 1.0] {
        let mut visit = plain([8.0, 8.0]);
        let gun = &mut visit.instruments[0];
        gun.kind = InstrumentKind::ContactThermometer;
        gun.repeatability = Some(TemperatureDifference::from_kelvin(repeatability));
        let a = judged(&visit);
        let r = &a.circuits[0].connections[0].rounds[2];
        let u = 2.0 / 3f64.sqrt();
        assert!((r.standard_uncertainty.kelvin() - u).abs() < 1e-9);
        let rise = r.rise.unwrap().expanded.kelvin();
        assert!((rise - 2.0 * 2f64.sqrt() * u).abs() < 1e-9, "{rise}");
    }
    // One that scatters more than its maker allows is no better than its scatter.
    let mut visit = plain([8.0, 8.0]);
    visit.instruments[0].kind = InstrumentKind::ContactThermometer;
    visit.instruments[0].repeatability = Some(TemperatureDifference::from_kelvin(1.5));
    let r = judged(&visit).circuits[0].connections[0].rounds[2].clone();
    assert!((r.standard_uncertainty.kelvin() - 1.5).abs() < 1e-9);
}

#[test]
fn a_leg_difference_below_full_load_is_graded_at_rated_load() {
    let mut visit = plain([8.0, 4.0]);
    set(&mut visit, 2, 0, 25.0);
    set(&mut visit, 2, 1, 21.0);
    current(&mut visit, 38.0);
    let f = judged(&visit);
    let f = finding(&f, "leg-difference");
    // q = 40/38: (q² − q^1.6)/(0.4·ln q) = 1.0967436, and the same a little below 95 % of the load.
    assert!((f.value.unwrap() - 4.0 * 1.096_743_6).abs() < 1e-6);
    current(&mut visit, 40.0);
    let f = judged(&visit);
    let f = finding(&f, "leg-difference");
    assert!((f.value.unwrap() - 4.0).abs() < 1e-9);
    assert_eq!(f.values.get("factor"), None);
    current(&mut visit, 20.0);
    let a = judged(&visit);
    let f = finding(&a, "leg-difference");
    // 4 K at half the current is 4 × (4 − 2^1.6)/(0.4·ln 2) = 13.9735 K at all of it.
    assert!((f.value.unwrap() - 13.9735).abs() < 1e-4);
    assert_eq!(f.grade, Grade::Watch);
    assert!(matches!(f.values["factor"], Value::Number(n) if (n - 3.493_366_5).abs() < 1e-6));
    assert_eq!(
        f.values
            .get("measured")
            .map(|v| matches!(v, Value::Difference(d) if (d.kelvin() - 4.0).abs() < 1e-9)),
        Some(true)
    );
}

#[test]
fn heat_still_to_come_leaves_a_visit_incomplete_only_where_it_can_change_a_grade() {
    // One loaded round after 65 min. A time constant of at most 60 min leaves at most
    // 1/(1 − e^(−65/60)) = 1.5116 times the rise to come: 13.88 K come to 20.98 K, 13.90 K to 21.01 K,
    // where a watch begins.
    let once = |rises: [f64; 2]| {
        let mut visit = plain([8.0, 8.0]);
        heat(&mut visit).rounds.remove(1);
        visit.circuits[0].hottest_air = Some(celsius(20.0));
        visit.instruments[0].kind = InstrumentKind::ContactThermometer;
        for (i, rise) in rises.into_iter().enumerate() {
            set(&mut visit, 1, i, 20.0 + rise);
        }
        limits(&judged(&visit))
    };
    assert_eq!(once([13.88, 13.88]), ["read-once-under-load"]);
    assert_eq!(
        once([13.90, 13.90]),
        ["read-once-under-load", "not-settled!"]
    );
    // Between legs 2.64 K come to 3.99 K, 2.66 K to 4.02 K.
    assert_eq!(once([8.0, 5.36]), ["read-once-under-load"]);
    assert_eq!(once([8.0, 5.34]), ["read-once-under-load", "not-settled!"]);
    // A grade that is there already does not change.
    assert_eq!(once([22.0, 22.0]), ["read-once-under-load"]);
}

#[test]
fn the_bias_of_one_thermometer_is_half_the_same_at_the_next_visit() {
    let with = |serial: &str, rise| {
        let mut visit = plain([rise, rise]);
        visit.instruments[0].kind = InstrumentKind::ContactThermometer;
        visit.instruments[0].serial = Some(serial.to_owned());
        visit
    };
    let mut then = with("A", 5.0);
    then.date = day(2025, 5, 4);
    let earlier = [Earlier::new(&then, &judged(&then))];
    let expanded = |serial| {
        let a = assess(&with(serial, 9.0), us(), &earlier);
        finding(&a, "worse-than-before").uncertainty.unwrap()
    };
    // ± 2 K with an assumed repeatability of 0.5 K: b² = 2²/3 − 0.5² = 1.0833 K². Half of it is the
    // same error in both, so that u² is smaller by 2·0.5·1.0833 K² (JCGM 100:2008, 5.2.2).
    let (same, other) = (expanded("A"), expanded("B"));
    let less = (other.powi(2) - same.powi(2)) / 4.0;
    assert!((less - 1.0833).abs() < 1e-3, "{less}");
}

#[test]
fn what_is_colder_than_the_air_is_scaled_by_no_current() {
    let rise = |ampere: f64| {
        let mut visit = plain([-0.3, -0.3]);
        current(&mut visit, ampere);
        let a = judged(&visit);
        a.circuits[0].connections[0]
            .rise_at_rated
            .unwrap()
            .value
            .kelvin()
    };
    // As read at the rated current of 40 A.
    assert!(rise(40.0) < 0.0);
    for ampere in [20.0, 32.0, 60.0] {
        assert!((rise(ampere) - rise(40.0)).abs() < 1e-9, "{ampere} A");
    }
}

/// A plain visit read with a contact thermometer of ± 2 K and a repeatability of 0.4 K.
fn ordinary(ampere: f64) -> Visit {
    let mut visit = plain([8.0, 8.0]);
    visit.instruments[0].kind = InstrumentKind::ContactThermometer;
    visit.instruments[0].repeatability = Some(TemperatureDifference::from_kelvin(0.4));
    current(&mut visit, ampere);
    settled_at_once(&mut visit);
    visit
}

/// Makes the first loaded round read what the last one does, so that nothing grows any more.
fn settled_at_once(visit: &mut Visit) {
    let rounds = &mut heat(visit).rounds;
    rounds[1].readings = rounds[2].readings.clone();
}

#[test]
fn a_check_says_which_fault_it_would_have_shown() {
    // Of a fault D at 40 A a difference of D/f is read at I, where f is the mean of (40/I)ⁿ, known
    // to u_f. It is found from x = max(4 K/f, 2·√2·0.4 K) on, so with 95 % probability where
    // D = f·x + 1.645·f·√(2·0.4² + (x·u_f/f)²). In Python, with 200,000 draws of the noise, the
    // current and the exponent: these D are found in 94.9 %, 94.7 % and 94.5 %.
    for (ampere, expected) in [(40.0, 4.953), (24.0, 6.379), (16.0, 10.906), (13.0, 15.970)] {
        let a = judged(&ordinary(ampere));
        let f = finding(&a, "leg-difference");
        let shown = f.would_show.unwrap();
        assert!(
            (shown.smallest - expected).abs() < 1e-3,
            "{ampere} A: {shown:?}"
        );
        // Faults over 15 K are to be repaired.
        assert_eq!(shown.shows_repair, expected <= 15.0);
        assert_eq!(f.cannot_tell(), expected > 15.0);
        assert_eq!(
            limits(&a).contains(&"would-not-show!".to_owned()),
            ampere < 20.0,
            "{ampere} A"
        );
    }
    // At 13 A the rise over air is the least certain: with ± 2 K twice, 40 K less than the rating
    // are told from 18 A on, or with ± 1.2 K.
    let a = judged(&ordinary(13.0));
    let l = a
        .limitations
        .iter()
        .find(|l| l.id == "would-not-show")
        .unwrap();
    assert!(l.connections.contains(&"breaker-L1".to_owned()), "{l:?}");
    let Some(Value::Current(needed)) = l.values.get("needed") else {
        panic!("{l:?}")
    };
    let Some(Value::Difference(within)) = l.values.get("within") else {
        panic!("{l:?}")
    };
    let mut better = ordinary(needed.ampere());
    assert!(
        !limits(&judged(&better)).contains(&"would-not-show!".to_owned()),
        "{needed:?}"
    );
    better = ordinary(needed.ampere() - 1.0);
    assert!(
        limits(&judged(&better)).contains(&"would-not-show!".to_owned()),
        "{needed:?}"
    );
    assert!(within.kelvin() > 0.1 && within.kelvin() < 2.0, "{within:?}");
    // What was found, was shown.
    let mut visit = ordinary(13.0);
    set(&mut visit, 2, 0, 60.0);
    assert!(!finding(&judged(&visit), "leg-difference").cannot_tell());
}

/// The worst grade of the heat of a visit.
fn heat_grade(visit: &Visit) -> Grade {
    let a = judged(visit);
    ["rise", "projected-heat", "leg-difference", "over-rating"]
        .into_iter()
        .filter_map(|id| grade(&a, id))
        .max()
        .unwrap_or(Grade::Pass)
}

#[test]
fn more_current_at_one_reading_and_a_lower_reading_at_one_current_are_never_worse() {
    let visit = |ampere: f64, rises: [f64; 2]| {
        let mut visit = breaker_alone(rises);
        current(&mut visit, ampere);
        visit
    };
    let currents: Vec<f64> = (0..45).map(|i| 1.0 + f64::from(i)).collect();
    let around = [15.9, 16.0, 16.1, 37.9, 38.0, 38.1, 39.9, 40.0, 40.1];
    let mut currents = [&currents[..], &around].concat();
    currents.sort_by(f64::total_cmp);
    let rises = [1.0, 3.2, 3.3, 5.0, 9.0, 14.0, 22.0, 45.0];
    let mut seen = std::collections::BTreeSet::new();
    for cool in [0.0, 4.0, 8.0] {
        for pair in rises.windows(2) {
            let mut before = Grade::Stop;
            for &ampere in &currents {
                let at = |rise: f64| heat_grade(&visit(ampere, [cool + rise, cool]));
                let (low, high) = (at(pair[0]), at(pair[1]));
                assert!(low <= high, "{ampere} A: {pair:?} K over {cool} K");
                assert!(high <= before, "{ampere} A: {} K over {cool} K", pair[1]);
                before = high;
                seen.extend([low, high]);
            }
        }
    }
    assert_eq!(seen.len(), 4, "{seen:?}");
}

#[test]
fn the_next_limit_of_a_difference_below_full_load_is_sought_at_rated_load() {
    // At 32 A of 40 A a difference counts 1.4948 times (the mean of 1.25ⁿ), and so does its
    // uncertainty: 2 K twice give U = 2·√2·2/√3 = 3.266 K, 4.9 K at rated load. 7.7 K are 11.51 K.
    let mut visit = plain([15.7, 8.0]);
    scattering(&mut visit, 2.0);
    current(&mut visit, 32.0);
    let a = judged(&visit);
    let f = finding(&a, "leg-difference");
    assert!((f.value.unwrap() - 7.7 * 1.4948).abs() < 0.2, "{f:?}");
    assert_eq!((f.limit, f.next_limit), (Some(4.0), Some(15.0)));
    assert!(f.borderline && f.probability_over.unwrap() < 0.2);
}

#[test]
fn a_connection_that_was_warm_before_charging_starts_from_there() {
    // 6 K over air at no load, beyond the uncertainty of 3.3 K: the curve begins there, so that
    // the same two readings under load are nearer to settled than from cold.
    let settled = |cold: f64| {
        let mut visit = plain([40.0, 40.0]);
        set(&mut visit, 0, 0, 20.0 + cold);
        let found = &judged(&visit).circuits[0].connections[0];
        found.settled.unwrap()
    };
    let (warm, cold) = (settled(6.0), settled(0.0));
    assert_eq!(
        (warm.how, cold.how),
        (SettledHow::TwoRounds, SettledHow::TwoRounds)
    );
    let tau = |s: warmlug::assess::Settled| s.time_constant_min.unwrap();
    assert!((tau(cold) - 10.0).abs() < 0.1, "{cold:?}");
    assert!(tau(warm) > tau(cold) + 1.0, "{warm:?}");
    // Within its uncertainty a rise before charging is no warm start.
    assert_eq!(settled(3.0).time_constant_min, cold.time_constant_min);
}

#[test]
fn legs_are_compared_in_the_latest_round_near_the_largest_current_and_later() {
    let mut visit = plain([8.0, 8.0]);
    set(&mut visit, 1, 0, 40.0);
    let mut last = heat(&mut visit).rounds[2].clone();
    last.at = moment(680.0);
    last.current = Current::from_ampere(20.0);
    last.readings[0].1 = reading(35.0);
    heat(&mut visit).rounds.push(last);
    let a = judged(&visit);
    // Not the first round's 12 K, which is no later; the taper's 7 K are still there after 40 A.
    assert!((finding(&a, "leg-difference").value.unwrap() - 7.0).abs() < 0.1);
    heat(&mut visit).rounds.pop();
    let a = judged(&visit);
    assert!(finding(&a, "leg-difference").value.unwrap().abs() < 0.1);
}

#[test]
fn only_like_parts_on_legs_that_carry_the_current_are_compared() {
    let mut visit = breaker_alone([20.0, 8.0]);
    assert_eq!(grade(&judged(&visit), "leg-difference"), Some(Grade::Watch));
    // A blade alone is compared with what the other leg has; beside a blade there, with that.
    visit.circuits[0].places[0].connections[0].kind = ConnectionKind::Blade;
    assert_eq!(grade(&judged(&visit), "leg-difference"), Some(Grade::Watch));
    let mut sister = visit.circuits[0].places[0].connections[0].clone();
    sister.id = "sister".to_owned();
    sister.leg = "L2".to_owned();
    visit.circuits[0].places[0].connections.push(sister);
    for r in &mut heat(&mut visit).rounds {
        let like = r.readings[0].1.clone();
        r.readings.push(("sister".to_owned(), like));
    }
    assert_eq!(grade(&judged(&visit), "leg-difference"), Some(Grade::Pass));
    // A neutral beside two lines carries nothing of a 240 V charger; the return of one line does.
    let mut visit = breaker_alone([20.0, 8.0]);
    visit.circuits[0].places[0].connections[1].leg = "N".to_owned();
    visit.circuits[0].supply.legs = ["L1", "L2", "N"].map(str::to_owned).to_vec();
    assert_eq!(grade(&judged(&visit), "leg-difference"), None);
    visit.circuits[0].supply.legs = ["L1", "N"].map(str::to_owned).to_vec();
    assert_eq!(grade(&judged(&visit), "leg-difference"), Some(Grade::Watch));
}

#[test]
fn of_several_parts_on_a_leg_the_hottest_and_the_coolest_count() {
    // Two screws a leg, in either order: 24 K on one leg against 6 K on the other.
    for (first, second) in [([24.0, 8.0], [9.0, 6.0]), ([9.0, 6.0], [24.0, 8.0])] {
        let mut visit = plain(first);
        for (i, leg) in ["L1", "L2"].into_iter().enumerate() {
            let mut more = visit.circuits[0].places[0].connections[i].clone();
            more.id = format!("second-{leg}");
            visit.circuits[0].places[0].connections.push(more);
        }
        for r in &mut heat(&mut visit).rounds {
            let share = if r.current.ampere() > 0.0 { 1.0 } else { 0.0 };
            let air = r.air.unwrap().celsius();
            for (leg, rise) in ["L1", "L2"].into_iter().zip(second) {
                let id = format!("second-{leg}");
                r.readings.push((id, reading(air + share * rise)));
            }
        }
        settled_at_once(&mut visit);
        let a = judged(&visit);
        let last = |id: &str| {
            let c = a.circuits[0].connections.iter().find(|c| c.id == id);
            c.unwrap().rounds.last().unwrap().temperature
        };
        let ids = ["breaker-L1", "breaker-L2", "second-L1", "second-L2"];
        let mut widest = f64::MIN;
        for hot in ids {
            for cool in ids.iter().filter(|c| !c.ends_with(&hot[hot.len() - 2..])) {
                widest = widest.max((last(hot) - last(cool)).kelvin());
            }
        }
        let found = finding(&a, "leg-difference").value.unwrap();
        assert!((found - widest).abs() < 1e-9, "{found} {widest}");
        assert!(widest > 15.0);
    }
}

#[test]
fn three_legs_give_the_widest_pair() {
    let mut visit = plain([20.0, 8.0]);
    third_leg(&mut visit, 22.0);
    let a = judged(&visit);
    assert_eq!(
        finding(&a, "leg-difference").connections,
        ["breaker-L1", "breaker-L3"]
    );
}

#[test]
fn load_from_both_sides_of_what_can_be_judged_and_of_full_load() {
    let mut visit = plain([3.0, 3.0]);
    current(&mut visit, 15.9);
    let a = judged(&visit);
    assert_eq!(grade(&a, "load-too-low"), Some(Grade::Note));
    assert_eq!(grade(&a, "rise"), None);
    assert_eq!(limits(&a), ["no-full-load-round!"]);
    current(&mut visit, 16.0);
    let a = judged(&visit);
    assert_eq!(grade(&a, "load-too-low"), None);
    // 3 K × (2.5² − 2.5^1.6)/(0.4·ln 2.5) = 15.70 K
    let rise = a.circuits[0].connections[0].rise_at_rated.unwrap();
    assert!((rise.value.kelvin() - 15.70).abs() < 0.05, "{rise:?}");
    current(&mut visit, 37.9);
    assert_eq!(limits(&judged(&visit)), ["no-full-load-round!"]);
    current(&mut visit, 38.0);
    assert!(judged(&visit).complete);
}

#[test]
fn the_measured_rise_counts_at_more_than_rated_load() {
    let mut visit = plain([10.8, 10.8]);
    assert_eq!(grade(&judged(&visit), "rise"), Some(Grade::Pass));
    for (r, t) in [(1, 31.0), (2, 31.5)] {
        set(&mut visit, r, 0, t);
    }
    current(&mut visit, 44.0);
    let a = judged(&visit);
    // 11.5 K at 44 A is 11.5 × 0.8424 = 9.69 K at 40 A, but 11.5 K is what was there.
    assert!((finding(&a, "rise").value.unwrap() - 11.5).abs() < 1e-6);
    let rated = a.circuits[0].connections[0].rise_at_rated.unwrap();
    assert!((rated.value.kelvin() - 9.69).abs() < 0.02, "{rated:?}");
}

#[test]
fn a_taper_after_full_load_does_not_hide_the_heat() {
    let mut visit = plain([22.0, 22.0]);
    let before = judged(&visit);
    let mut last = heat(&mut visit).rounds[2].clone();
    last.at = moment(700.0);
    last.current = Current::from_ampere(8.0);
    heat(&mut visit).rounds.push(last);
    let after = judged(&visit);
    let rise = |a: &Assessment| a.circuits[0].connections[0].rise_at_rated.unwrap();
    let (before, after) = (rise(&before).value.kelvin(), rise(&after).value.kelvin());
    assert!((after - before).abs() < 0.1, "{before} {after}");
}

#[test]
fn a_hot_start_of_a_taper_is_not_scaled_by_the_taper() {
    // Still warm from 40 A, read at 16 A: scaled by (40/16)² it would be 125 K.
    let mut visit = plain([20.0, 20.0]);
    let rounds = &mut heat(&mut visit).rounds;
    rounds[2].at = moment(616.0);
    rounds[2].current = Current::from_ampere(16.0);
    let a = judged(&visit);
    let c = &a.circuits[0].connections[0];
    assert!(c.measured_at_rated.unwrap().value.kelvin() < 20.5, "{c:?}");
}

#[test]
fn without_a_start_of_charging_the_measured_rise_is_judged() {
    let mut visit = plain([30.0, 30.0]);
    heat(&mut visit).charging_from = None;
    let a = judged(&visit);
    let c = &a.circuits[0].connections[0];
    assert_eq!((c.settled, c.rated_by), (None, Some(RatedBy::Measured)));
    assert_eq!(grade(&a, "rise"), Some(Grade::Watch));
    // From 10:15 to 11:05 it was seen at full load: an hour's round all the same.
    assert_eq!(limits(&a), ["charging-start-not-told"]);
}

#[test]
fn a_climb_without_a_bend_is_told_and_bounded() {
    let mut visit = plain([20.0, 20.0]);
    set(&mut visit, 1, 0, 25.0);
    set(&mut visit, 2, 0, 41.6);
    let a = judged(&visit);
    let c = &a.circuits[0].connections[0];
    assert_eq!(c.settled.unwrap().how, SettledHow::StillClimbing);
    assert_eq!(grade(&a, "still-climbing"), Some(Grade::Note));
    assert!(c.rise_at_rated.unwrap().value.kelvin() >= 21.6 - 1e-9);
}

#[test]
fn warm_without_load_beyond_its_uncertainty_is_noted() {
    let mut visit = plain([8.0, 8.0]);
    // U of the rise is 3.266 K.
    set(&mut visit, 0, 0, 23.26);
    assert_eq!(grade(&judged(&visit), "hot-without-load"), None);
    set(&mut visit, 0, 0, 23.28);
    assert_eq!(
        grade(&judged(&visit), "hot-without-load"),
        Some(Grade::Note)
    );
    // After charging it is only cooling, whether or not the start was stated.
    let mut visit = plain([8.0, 8.0]);
    let mut after = heat(&mut visit).rounds[2].clone();
    after.at = moment(670.0);
    after.current = Current::from_ampere(0.0);
    heat(&mut visit).rounds.push(after);
    assert_eq!(grade(&judged(&visit), "hot-without-load"), None);
    heat(&mut visit).charging_from = None;
    assert_eq!(grade(&judged(&visit), "hot-without-load"), None);
}

#[test]
fn every_gap_makes_the_visit_incomplete() {
    let told = |change: &dyn Fn(&mut Visit)| {
        let mut visit = plain([8.0, 8.0]);
        change(&mut visit);
        let a = judged(&visit);
        assert_eq!(a.complete, !limits(&a).iter().any(|l| l.ends_with('!')));
        limits(&a)
    };
    assert_eq!(told(&|v| v.circuits[0].heat = None), ["no-heat!"]);
    assert_eq!(told(&|v| heat(v).rounds.clear()), ["no-heat!"]);
    assert_eq!(
        told(&|v| heat(v).rounds.iter_mut().for_each(|r| r.readings.clear())),
        ["no-readings!"]
    );
    assert_eq!(
        told(&|v| heat(v).rounds[2].air = None),
        ["air-not-measured!", "readings-missing!"]
    );
    // Air is needed where there was load.
    assert_eq!(
        told(&|v| heat(v).rounds[0].air = None),
        ["air-not-measured"]
    );
    assert_eq!(
        told(&|v| drop(heat(v).rounds.remove(0))),
        ["no-load-round-missing"]
    );
    assert_eq!(
        told(&|v| drop(heat(v).rounds[2].readings.pop())),
        ["readings-missing!"],
        "read after a quarter of an hour only"
    );
    assert_eq!(
        told(&|v| v.circuits[0].places[0].connections[1].surface = Some(Surface::BareMetal)),
        ["readings-missing!"],
        "bright metal tells nothing"
    );
    assert_eq!(
        told(&|v| v.circuits[0].isolation.clear()),
        ["isolation-not-proved!"]
    );
    assert_eq!(
        told(&|v| drop(v.circuits[0].torque.pop())),
        ["torque-not-checked!"],
        "one screw of several"
    );
    assert_eq!(
        told(&|v| v.circuits[0].torque.clear()),
        ["torque-not-checked!"]
    );
    assert_eq!(
        told(&|v| drop(v.circuits[0].looked_at.remove(0))),
        ["not-looked-at!"]
    );
    assert_eq!(told(&|v| v.reason = Reason::Periodic), ["no-earlier"]);
    assert_eq!(
        told(&|v| v.circuits[0].places[0].connections[0].surface = None),
        ["surface-not-told"]
    );
    assert_eq!(
        told(&|v| v.circuits[0].supply.legs.push("L3".to_owned())),
        ["isolation-not-proved!", "leg-not-inspected!"]
    );
    // What carries no current needs no reading under load.
    assert_eq!(
        told(&|v| {
            v.circuits[0].places[0].connections.push(Connection {
                kind: ConnectionKind::Splice,
                ..connection("ground", "G")
            });
        }),
        Vec::<String>::new()
    );
}

#[test]
fn an_hour_of_full_load_from_both_sides() {
    let last = |minutes: f64, first_current: f64| {
        let mut visit = plain([8.0, 8.0]);
        heat(&mut visit).rounds[1].current = Current::from_ampere(first_current);
        heat(&mut visit).rounds[2].at = moment(600.0 + minutes);
        limits(&judged(&visit))
    };
    assert_eq!(last(45.0, 40.0), Vec::<String>::new());
    assert_eq!(last(44.0, 40.0), ["no-long-round!"]);
    // At a quarter past the car drew half: full load began after it.
    assert_eq!(last(60.0, 20.0), Vec::<String>::new());
    assert_eq!(last(59.0, 20.0), ["no-long-round!"]);
}

#[test]
fn isolation_is_proved_by_every_pair_and_both_proofs() {
    let told = |change: &dyn Fn(&mut Isolation)| {
        let mut visit = plain([8.0, 8.0]);
        change(visit.circuits[0].isolation.first_mut().unwrap());
        let a = judged(&visit);
        (
            grade(&a, "isolation-proved"),
            grade(&a, "isolation-not-dead"),
            a.complete,
        )
    };
    let proved = (Some(Grade::Pass), None, true);
    let gap = (None, None, false);
    assert_eq!(told(&|_| ()), proved);
    assert_eq!(told(&|i| i.dead[0].1 = Voltage::from_volt(3.0)), proved);
    assert_eq!(
        told(&|i| i.dead[0].1 = Voltage::from_volt(3.1)),
        (None, Some(Grade::Stop), true)
    );
    assert_eq!(told(&|i| i.dead[0].0 = "L2-L1".to_owned()), proved);
    assert_eq!(told(&|i| i.dead[1].0 = "PE-L1".to_owned()), proved);
    for n in 0..3 {
        assert_eq!(told(&|i| drop(i.dead.remove(n))), gap, "{n}");
    }
    assert_eq!(told(&|i| i.tester = None), gap);
    assert_eq!(told(&|i| i.proved_before = None), gap);
    assert_eq!(
        told(&|i| i.proved_after = Some(Voltage::from_volt(0.0))),
        gap
    );
    assert_eq!(told(&|i| i.locked = Some(false)), gap);
    assert_eq!(told(&|i| i.locked = None), gap);
}

#[test]
fn accuracies_that_are_not_told_are_assumed_and_said_so() {
    let rise = |accuracy: Option<Accuracy>| {
        let mut visit = plain([8.0, 8.0]);
        visit.instruments[0].accuracy = accuracy;
        let a = judged(&visit);
        let u = a.circuits[0].connections[0].rounds[2]
            .rise
            .unwrap()
            .expanded
            .kelvin();
        (format!("{u:.2}"), limits(&a))
    };
    let none = Vec::<String>::new();
    let assumed = vec!["accuracy-assumed".to_owned()];
    let fixed = Some(HalfWidth::Temperature(TemperatureDifference::from_kelvin(
        1.0,
    )));
    assert_eq!(rise(gun().accuracy), ("3.27".to_owned(), none.clone()));
    assert_eq!(rise(None), ("3.27".to_owned(), assumed.clone()));
    // A share alone is nothing near 0 °C: the least half-width is assumed.
    assert_eq!(
        rise(Some(Accuracy {
            of_reading: Some(Percentage::from_fraction(0.01)),
            at_least: None
        })),
        ("3.27".to_owned(), assumed)
    );
    assert_eq!(
        rise(Some(Accuracy {
            of_reading: None,
            at_least: fixed
        })),
        ("1.64".to_owned(), none)
    );
}

#[test]
fn an_air_thermometer_of_its_own_has_its_own_accuracy() {
    let mut visit = plain([8.0, 8.0]);
    visit.instruments.push(Instrument {
        accuracy: Some(Accuracy {
            of_reading: None,
            at_least: Some(HalfWidth::Temperature(TemperatureDifference::from_kelvin(
                0.5,
            ))),
        }),
        ..instrument("air", InstrumentKind::AirThermometer)
    });
    let a = judged(&visit);
    let u = a.circuits[0].connections[0].rounds[2]
        .rise
        .unwrap()
        .expanded
        .kelvin();
    // 2·√((2² + 0.5²)/3) = 2.3805, and a little from the range of the surface's emissivity.
    assert!((2.3804..2.3850).contains(&u), "{u}");
    visit.instruments.last_mut().unwrap().calibration_due = Some(day(2026, 5, 3));
    assert_eq!(
        grade(&judged(&visit), "calibration-overdue"),
        Some(Grade::Note)
    );
    visit.instruments.last_mut().unwrap().calibration_due = Some(day(2026, 5, 4));
    assert_eq!(grade(&judged(&visit), "calibration-overdue"), None);
}

#[test]
fn a_spot_that_is_too_wide_says_what_optics_fit() {
    // 12:1 on 10 mm, half of it covered: up to 60 mm.
    let at = |mm: f64| {
        let mut visit = plain([8.0, 8.0]);
        visit.instruments[0].distance_to_spot = Some(Ratio::from_value(12.0));
        visit.circuits[0].places[0].connections[0].width = Some(Length::from_metre(0.01));
        heat(&mut visit).rounds[1].readings[0].1.distance = Some(Length::from_metre(mm / 1e3));
        judged(&visit)
    };
    assert_eq!(grade(&at(60.0), "spot-too-wide"), None);
    let a = at(61.0);
    assert!(a.complete);
    let f = finding(&a, "spot-too-wide");
    // 61 mm / 5 mm = 12.2, rounded up.
    assert!(matches!(f.values["distance_to_spot"], Value::Number(n) if n == 13.0));
}

#[test]
fn a_spot_wider_than_the_target_leaves_the_visit_incomplete() {
    let at = |rounds: &[usize], mm: f64| {
        let mut visit = plain([8.0, 8.0]);
        visit.instruments[0].distance_to_spot = Some(Ratio::from_value(12.0));
        visit.circuits[0].places[0].connections[0].width = Some(Length::from_metre(0.01));
        for &i in rounds {
            heat(&mut visit).rounds[i].readings[0].1.distance = Some(Length::from_metre(mm / 1e3));
        }
        let a = judged(&visit);
        assert_eq!(grade(&a, "spot-too-wide"), Some(Grade::Note));
        limits(&a)
    };
    assert_eq!(at(&[2], 120.0), Vec::<String>::new());
    assert_eq!(at(&[2], 121.0), ["spot-over-target!"]);
    // What was read after a quarter of an hour is not what the grade rests on.
    assert_eq!(at(&[1], 121.0), Vec::<String>::new());
}

#[test]
fn the_current_that_was_drawn_against_charger_and_breaker() {
    // 40 A charger on a 50 A breaker; 3 % of the current, twice its standard uncertainty:
    // U = 2·0.03·I/√3, so that the value is sure from I·(1 − 0.03464) on.
    let drew = |ampere: f64, breaker: f64| {
        let mut visit = plain([8.0, 8.0]);
        visit.circuits[0].breaker.rating = Current::from_ampere(breaker);
        current(&mut visit, ampere);
        judged(&visit)
    };
    let sure = 1.0 - 0.06 / 3f64.sqrt();
    // 60 A breaker: up to 48 A of continuous load (NFPA 70, 210.20(A)), so the charger's own
    // 40 A come first.
    assert_eq!(grade(&drew(39.99 / sure, 60.0), "charging-current"), None);
    let a = drew(40.01 / sure, 60.0);
    let f = finding(&a, "charging-current");
    assert_eq!((f.grade, f.variant), (Grade::Watch, Some(Variant::Charger)));
    assert_eq!(f.limit, Some(40.0));
    let a = drew(47.99 / sure, 60.0);
    assert_eq!(
        finding(&a, "charging-current").variant,
        Some(Variant::Charger)
    );
    let a = drew(48.01 / sure, 60.0);
    let f = finding(&a, "charging-current");
    assert_eq!(
        (f.grade, f.variant),
        (Grade::Repair, Some(Variant::Breaker))
    );
    assert_eq!(f.limit, Some(48.0));
    // A device listed for all of its rating carries all of it.
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].breaker.full_rated = true;
    current(&mut visit, 49.0);
    let a = judged(&visit);
    assert_eq!(
        finding(&a, "charging-current").variant,
        Some(Variant::Charger)
    );
}

#[test]
fn a_drop_too_large_for_a_clamp_in_both_legs_alike() {
    // IEC 60999-1: 22.5 mV; at 32 A of 40 A a drop counts 40/32.
    let drop = |mv: f64, amps: f64| {
        let mut visit = plain([8.0, 8.0]);
        current(&mut visit, amps);
        for i in 0..2 {
            heat(&mut visit).rounds[2].readings[i].1.drop = Some(Voltage::from_volt(mv / 1e3));
        }
        judged(&visit)
    };
    assert_eq!(grade(&drop(22.6, 40.0), "contact-drop"), None, "within U");
    let a = drop(24.0, 40.0);
    let f = finding(&a, "contact-drop");
    assert_eq!((f.grade, f.unit), (Grade::Watch, "mV"));
    assert!((f.value.unwrap() - 24.0).abs() < 1e-9 && f.limit == Some(22.5));
    assert_eq!(grade(&a, "contact-resistance"), Some(Grade::Pass));
    let a = drop(24.0 * 0.8, 32.0);
    assert!((finding(&a, "contact-drop").value.unwrap() - 24.0).abs() < 1e-9);
    assert_eq!(grade(&drop(24.0 * 0.7, 32.0), "contact-drop"), None);
}

#[test]
fn contact_resistance_against_the_sister() {
    let with = |drops: [Option<f64>; 2], amps: f64| {
        let mut visit = plain([8.0, 8.0]);
        current(&mut visit, amps);
        for (i, d) in drops.into_iter().enumerate() {
            heat(&mut visit).rounds[2].readings[i].1.drop = d.map(Voltage::from_volt);
        }
        judged(&visit)
    };
    assert_eq!(grade(&with([None, None], 40.0), "contact-resistance"), None);
    let a = with([Some(0.0149), Some(0.010)], 40.0);
    assert_eq!(finding(&a, "contact-resistance").grade, Grade::Pass);
    let a = with([Some(0.0151), Some(0.010)], 40.0);
    let f = finding(&a, "contact-resistance");
    assert_eq!((f.grade, f.borderline), (Grade::Watch, true));
    assert!((f.value.unwrap() - 1.51).abs() < 1e-9);
    assert_eq!(f.connections, ["breaker-L1", "breaker-L2"]);
    // 15.1 mV at 40 A: 0.3775 mΩ and 0.604 W.
    assert!(matches!(f.values["milliohm"], Value::Number(r) if (r - 0.3775).abs() < 1e-9));
    assert!(matches!(f.values["power"], Value::Power(p) if (p.watt() - 0.604).abs() < 1e-9));
    // Alone it is reported and compared with nothing.
    let a = with([Some(0.0151), None], 40.0);
    let f = finding(&a, "contact-resistance");
    assert_eq!((f.grade, f.value), (Grade::Pass, None));
    // A ratio is the same at any load.
    assert_eq!(
        grade(&with([Some(0.02), Some(0.01)], 15.0), "contact-resistance"),
        Some(Grade::Watch)
    );
}

fn earlier(rises: [f64; 2], months: u32) -> Earlier {
    let mut visit = plain(rises);
    visit.number = format!("before-{months}");
    visit.date = visit
        .date
        .checked_sub_months(chrono::Months::new(months))
        .unwrap();
    exact(&mut visit);
    Earlier::new(&visit, &judged(&visit))
}

/// Instruments so good that only values decide.
fn exact(visit: &mut Visit) {
    let tight = |k| Accuracy {
        of_reading: None,
        at_least: Some(k),
    };
    visit.instruments[0] = Instrument {
        kind: InstrumentKind::ContactThermometer,
        accuracy: Some(tight(HalfWidth::Temperature(
            TemperatureDifference::from_kelvin(0.05),
        ))),
        ..gun()
    };
    visit.instruments.push(Instrument {
        accuracy: Some(tight(HalfWidth::Current(Current::from_ampere(0.01)))),
        ..instrument("clamp", InstrumentKind::ClampMeter)
    });
}

#[test]
fn worse_than_before_from_both_sides_of_each_edge() {
    for (rise, expected) in [
        (8.99, Grade::Pass),
        (9.01, Grade::Note),
        (11.99, Grade::Note),
        (12.01, Grade::Watch),
        (22.99, Grade::Watch),
        (23.01, Grade::Repair),
    ] {
        let mut visit = plain([rise, 8.0]);
        exact(&mut visit);
        let a = assess(&visit, us(), &[earlier([8.0, 8.0], 6)]);
        assert_eq!(grade(&a, "worse-than-before"), Some(expected), "{rise}");
    }
    // A thermometer of ± 2 K does not see 4 K: then and now ± 3.3 K and more.
    let visit = plain([12.1, 8.0]);
    let mut then = plain([8.0, 8.0]);
    then.date = day(2025, 11, 4);
    then.number = "before".to_owned();
    let a = assess(&visit, us(), &[Earlier::new(&then, &judged(&then))]);
    assert_eq!(grade(&a, "worse-than-before"), Some(Grade::Pass));
}

#[test]
fn a_connection_made_anew_starts_its_series_again() {
    let mut visit = plain([20.0, 8.0]);
    exact(&mut visit);
    let before = [earlier([8.0, 8.0], 6)];
    assert_eq!(
        grade(&assess(&visit, us(), &before), "worse-than-before"),
        Some(Grade::Watch)
    );
    visit.circuits[0].places[0].connections[0].remade = true;
    assert_eq!(
        grade(&assess(&visit, us(), &before), "worse-than-before"),
        Some(Grade::Pass)
    );
}

#[test]
fn a_record_given_twice_counts_once() {
    let mut visit = plain([20.0, 18.0]);
    exact(&mut visit);
    let (a, b) = (earlier([16.0, 18.0], 12), earlier([18.0, 18.0], 6));
    let once = assess(&visit, us(), &[a.clone(), b.clone()]);
    let twice = assess(&visit, us(), &[b.clone(), a.clone(), b, a]);
    assert_eq!(once, twice);
    // 16, 18, 20 K half a year apart: 1 K to the next band, reached in a quarter.
    assert_eq!(once.next_due.basis, "trend");
    let f = finding(&once, "worse-than-before");
    let Value::Number(slope) = f.values["slope"] else {
        panic!("{f:?}")
    };
    assert!((3.9..4.2).contains(&slope), "{slope}");
}

#[test]
fn the_trend_looks_at_the_margin_too() {
    // 23, 24, 24.5 K: the margin falls below 10 K at 25 K, long before the rise reaches 40 K.
    let mut visit = plain([24.5, 24.5]);
    exact(&mut visit);
    let a = assess(
        &visit,
        us(),
        &[earlier([22.5, 22.5], 12), earlier([23.5, 23.5], 6)],
    );
    let f = finding(&a, "worse-than-before");
    assert_eq!(f.values["reaches_grade"], Value::Text("watch".to_owned()));
    assert_eq!(a.next_due.basis, "trend");
}

#[test]
fn nothing_to_compare_is_said() {
    let visit = plain([8.0, 8.0]);
    let mut other = plain([8.0, 8.0]);
    other.circuits[0].id = "bay-2".to_owned();
    other.date = day(2025, 5, 4);
    let a = assess(&visit, us(), &[Earlier::new(&other, &judged(&other))]);
    assert_eq!(
        limits(&a),
        ["earlier-circuit-not-listed!", "nothing-to-compare"]
    );
}

#[test]
fn clean_beside_something_else_says_nothing() {
    let mut visit = breaker_alone([8.0, 8.0]);
    visit.circuits[0].looked_at[0].seen = vec![Condition::Clean, Condition::Dust];
    let a = judged(&visit);
    let seen: Vec<_> = a
        .checks
        .iter()
        .filter(|f| f.id == "condition")
        .map(|f| f.variant)
        .collect();
    assert_eq!(seen, [Some(Variant::Seen(Condition::Dust))]);
}

#[test]
fn a_judgement_counts_and_an_unmatched_one_is_told() {
    let mut visit = plain([20.0, 8.0]);
    assert_eq!(judged(&visit).outcome, Outcome::SatisfactoryWithNotes);
    let word = |finding: &str, grade| Judgement {
        finding: warmlug::vocabulary::Cause::of(finding).unwrap(),
        circuit: None,
        place: Some("breaker".to_owned()),
        connection: None,
        seen: None,
        grade,
        because: "smelled burnt".to_owned(),
    };
    visit.judgement = vec![
        word("leg-difference", Grade::Stop),
        word("residual-current", Grade::Pass),
    ];
    let a = judged(&visit);
    assert_eq!(
        finding(&a, "leg-difference").grade,
        Grade::Watch,
        "the rule set's own stays"
    );
    assert_eq!(a.outcome, Outcome::Unsatisfactory);
    assert_eq!(a.next_due.date, None);
    assert_eq!(limits(&a), ["judgement-unmatched"]);
}

#[test]
fn the_next_date_follows_the_worst_grade() {
    let due = |visit: &Visit| judged(visit).next_due.date;
    let mut visit = plain([8.0, 8.0]);
    visit.reason = Reason::AfterRepair;
    assert_eq!(due(&visit), Some(day(2027, 5, 4)), "clean");
    let mut warm = plain([22.0, 22.0]);
    warm.reason = Reason::AfterRepair;
    assert_eq!(due(&warm), Some(day(2026, 11, 4)), "watch");
    // 36 K in air of 40 °C is over 75 °C: until the repair, with less current.
    let mut hot = plain([36.0, 36.0]);
    hot.circuits[0].hottest_air = Some(celsius(40.0));
    assert_eq!(due(&hot), Some(day(2026, 6, 4)), "repair");
    // One place far hotter than the others is no question of the current.
    let mut hot = plain([41.0, 41.0]);
    hot.circuits[0].hottest_air = Some(celsius(0.0));
    assert_eq!(due(&hot), None, "repair before use");
    visit.circuits[0].isolation.clear();
    assert_eq!(due(&visit), Some(day(2026, 8, 4)), "incomplete");
}

#[test]
fn circuits_are_judged_apart() {
    let mut visit = plain([8.0, 8.0]);
    let mut hot = plain([41.0, 8.0]).circuits.remove(0);
    hot.id = "bay-2".to_owned();
    visit.circuits.push(hot);
    let a = judged(&visit);
    for f in a.checks.iter().filter(|f| f.grade > Grade::Pass) {
        assert_eq!(f.circuit.as_deref(), Some("bay-2"), "{f:?}");
    }
    assert_eq!(
        a.circuits[0].connections,
        judged(&plain([8.0, 8.0])).circuits[0].connections
    );
}

#[test]
fn emissivity_outside_of_the_surfaces_range_is_corrected() {
    let mut visit = plain([8.0, 8.0]);
    let shown = |v: &Visit| {
        judged(v).circuits[0].connections[0].rounds[2]
            .temperature
            .celsius()
    };
    let as_set = shown(&visit);
    assert!((as_set - 27.988).abs() < 0.01, "{as_set}");
    visit.instruments[0].emissivity = Some(Ratio::from_value(1.0));
    let corrected = shown(&visit);
    assert!(corrected > as_set + 0.2, "{corrected}");
    // A contact thermometer knows no emissivity.
    visit.instruments[0].kind = InstrumentKind::ContactThermometer;
    assert!((shown(&visit) - as_set).abs() < 1e-9);
}

#[test]
fn torque_found_within_the_tools_accuracy_held() {
    let found = |newton_metre: f64| {
        let mut visit = plain([8.0, 8.0]);
        visit.circuits[0].torque[0].found =
            TorqueFound::Value(Torque::from_newton_metre(newton_metre));
        visit.circuits[0].torque[0].left = Some(Torque::from_newton_metre(5.0));
        let a = judged(&visit);
        let f = a
            .checks
            .iter()
            .find(|f| f.connections == ["breaker-L1"] && f.id.about() == Topic::Torque);
        f.unwrap().id
    };
    // 6 % of 5 N·m: 4.7 N·m.
    assert_eq!(found(4.7), "torque-held");
    assert_eq!(found(4.69), "torque-moved");
    assert_eq!(found(5.3), "torque-held");
    assert_eq!(found(5.31), "torque-tight");
}

#[test]
fn a_screw_found_tight_and_not_told_otherwise_was_left_so() {
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].torque[0].found = TorqueFound::Value(Torque::from_newton_metre(8.0));
    visit.circuits[0].torque[0].left = None;
    let a = judged(&visit);
    let f = finding(&a, "torque-left-wrong");
    assert_eq!((f.grade, f.variant), (Grade::Repair, Some(Variant::High)));
    assert!(matches!(f.values["left"], Value::Torque(t) if t.newton_metre() == 8.0));
}

#[test]
fn reflection_stronger_than_the_reading_is_told_and_not_judged() {
    let mut visit = plain([8.0, 8.0]);
    visit.instruments[0].emissivity = Some(Ratio::from_value(1.0));
    visit.circuits[0].places[0].connections[0].surface = None;
    visit.circuits[0].places[0].connections[0].emissivity = Some(Ratio::from_value(0.6));
    for r in &mut heat(&mut visit).rounds {
        r.readings[0].1.reflected = Some(Temperature::from_celsius(200.0));
    }
    let a = judged(&visit);
    assert_eq!(limits(&a), ["reflection-too-strong", "readings-missing!"]);
    assert_eq!(a.circuits[0].connections[0].rise_at_rated, None);
}

#[test]
fn a_tester_is_proved_on_a_source_that_would_hurt() {
    let proved = |volt: f64| {
        let mut visit = plain([8.0, 8.0]);
        let isolation = visit.circuits[0].isolation.first_mut().unwrap();
        isolation.proved_after = Some(Voltage::from_volt(volt));
        limits(&judged(&visit))
    };
    assert_eq!(proved(49.9), ["isolation-not-proved!"]);
    assert_eq!(proved(50.0), Vec::<String>::new());
}

#[test]
fn a_loaded_connection_colder_than_the_air_is_not_believed() {
    let read = |rise: f64| {
        let mut visit = plain([8.0, 8.0]);
        for round in 1..heat(&mut visit).rounds.len() {
            let air = heat(&mut visit).rounds[round].air.unwrap().celsius();
            set(&mut visit, round, 0, air + rise);
        }
        judged(&visit)
    };
    // U is 3.27 K and a little.
    assert!(read(-3.2).complete);
    let a = read(-3.4);
    assert_eq!(limits(&a), ["colder-than-air!", "readings-missing!"]);
    assert_eq!(a.circuits[0].connections[0].rise_at_rated, None);
}

#[test]
fn one_round_colder_than_the_air_is_no_clean_bill() {
    // 16 and 50 °C written into a file in °F: the last round alone would look sound.
    let mut visit = plain([8.0, 8.0]);
    let air = heat(&mut visit).rounds[1].air.unwrap().celsius();
    set(&mut visit, 1, 0, air - 6.0);
    let a = judged(&visit);
    assert_eq!(limits(&a), ["reading-in-doubt!", "read-once-under-load"]);
    assert!(!a.complete);
    // Confirmed, it is no error of typing, and still not believed.
    set(&mut visit, 1, 0, air - 6.0);
    let reading = &mut heat(&mut visit).rounds[1].readings[0].1;
    reading.confirmed = true;
    let a = judged(&visit);
    assert_eq!(limits(&a), ["colder-than-air!"]);
    assert!(!a.complete);
}

#[test]
fn a_wrong_air_temperature_hides_no_leg() {
    // The air thermometer in the sun: both legs read colder than it.
    let mut visit = plain([20.0, 8.0]);
    for r in &mut heat(&mut visit).rounds {
        r.air = Some(Temperature::from_celsius(44.0));
    }
    let a = judged(&visit);
    assert_eq!(grade(&a, "leg-difference"), Some(Grade::Watch));
    assert!(!a.complete);
}

#[test]
fn heat_at_little_load_counts_as_the_least_there_is() {
    let little = |ampere: f64, rises: [f64; 2]| {
        let mut visit = plain([8.0, 8.0]);
        let mut last = heat(&mut visit).rounds[2].clone();
        last.at = moment(680.0);
        last.current = Current::from_ampere(ampere);
        let air = last.air.unwrap().celsius();
        for (i, rise) in rises.into_iter().enumerate() {
            last.readings[i].1 = reading(air + rise);
        }
        heat(&mut visit).rounds.push(last);
        judged(&visit)
    };
    // 5 A of 40: 45 K is over the 40 K of a repair, and 37 K between the legs over 15.
    let a = little(5.0, [45.0, 8.0]);
    assert_eq!(grade(&a, "rise"), Some(Grade::Repair));
    assert_eq!(grade(&a, "leg-difference"), Some(Grade::Repair));
    // After full load the current of 5 A explains no more heat: 15 K are 15 K.
    let a = little(5.0, [15.0, 14.0]);
    assert_eq!(finding(&a, "rise").variant, None);
    assert_eq!(grade(&a, "rise"), Some(Grade::Pass));
    // Under 5 A alone: the danger is reported all the same.
    let mut visit = plain([45.0, 8.0]);
    current(&mut visit, 5.0);
    let a = judged(&visit);
    assert_eq!(grade(&a, "rise"), Some(Grade::Repair));
    assert_eq!(grade(&a, "load-too-low"), Some(Grade::Note));
}

#[test]
fn a_place_not_looked_at_is_no_clean_bill() {
    let mut visit = plain([8.0, 8.0]);
    let mut other = visit.circuits[0].places[0].clone();
    other.id = "other".to_owned();
    for c in &mut other.connections {
        c.id = format!("other-{}", c.id);
        c.kind = ConnectionKind::Blade;
    }
    visit.circuits[0].places.push(other);
    for r in &mut heat(&mut visit).rounds {
        let more: Vec<_> = r
            .readings
            .iter()
            .map(|(id, r)| (format!("other-{id}"), r.clone()))
            .collect();
        r.readings.extend(more);
    }
    assert_eq!(limits(&judged(&visit)), ["not-looked-at!"]);
}

#[test]
fn what_still_climbs_is_no_clean_bill() {
    let mut visit = plain([20.0, 20.0]);
    let air = heat(&mut visit).rounds[1].air.unwrap().celsius();
    for connection in 0..2 {
        set(&mut visit, 1, connection, air + 4.0);
    }
    let a = judged(&visit);
    assert!(grade(&a, "still-climbing").is_some());
    assert_eq!(limits(&a), ["not-settled!"]);
}

#[test]
fn what_can_still_change_says_to_what_and_when_to_read_again() {
    // 15 K after 65 min could end at 15·1.5116 = 22.7 K, where a watch has begun. With a time
    // constant of 20 min it ends at 15.6 K, and is below the edge, 21 K·(1 − e^(−t/60)), from 80 min
    // on: at 15.32 against 15.46 K, and after 75 min at 15.24 against 14.98 K.
    let mut visit = plain([8.0, 8.0]);
    heat(&mut visit).rounds.remove(1);
    visit.circuits[0].hottest_air = Some(celsius(20.0));
    visit.instruments[0].kind = InstrumentKind::ContactThermometer;
    for connection in 0..2 {
        set(&mut visit, 1, connection, 35.0);
    }
    let a = judged(&visit);
    let l = a
        .limitations
        .iter()
        .find(|l| l.id == "not-settled")
        .unwrap();
    assert_eq!(
        l.values.get("grade"),
        Some(&Value::Text("watch".to_owned()))
    );
    // Charging began at 10:00.
    assert_eq!(l.values.get("at"), Some(&Value::Text("11:20".to_owned())));
    let ends = a.circuits[0].connections[0].ends.unwrap();
    let change = ends.change.unwrap();
    let deciding = change.deciding.unwrap();
    assert_eq!((change.check, deciding.minutes), (CheckId::Rise, 80.0));
    assert!(
        (deciding.below.kelvin() - 15.464).abs() < 0.01,
        "{deciding:?}"
    );
    assert_eq!(a.circuits[0].decided_in, None);
    // Read then, and found as predicted, nothing changes any more.
    let mut again = visit.clone();
    let mut last = heat(&mut again).rounds[1].clone();
    last.at = crate::assess_common::moment(680.0);
    for (_, r) in &mut last.readings {
        *r = crate::assess_common::reading(35.32);
    }
    heat(&mut again).rounds[1] = last;
    let a = judged(&again);
    assert_eq!(a.circuits[0].decided_in, Some(1));
    assert!(!limits(&a).contains(&"not-settled!".to_owned()));
}

#[test]
fn the_first_round_after_which_nothing_changes_is_told() {
    // 2 K after a quarter of an hour can end at 2/(1 − e^(−15/60)) = 9 K, and legs alike differ by
    // nothing: the round after an hour changes no grade.
    let a = judged(&plain([2.0, 2.0]));
    assert_eq!(a.circuits[0].decided_in, Some(1));
    // 8 K can end at 28 K.
    let a = judged(&plain([8.0, 8.0]));
    assert_eq!(a.circuits[0].decided_in, Some(2));
}

#[test]
fn a_connection_read_once_under_load_is_named() {
    let mut visit = plain([8.0, 8.0]);
    heat(&mut visit).rounds[1].readings.remove(1);
    let a = judged(&visit);
    assert_eq!(limits(&a), ["read-once-under-load"]);
    assert_eq!(a.limitations[0].connections, ["breaker-L2"]);
    assert!(a.complete);
    // Where no reading came late enough, that is said instead.
    heat(&mut visit).rounds.pop();
    let told = limits(&judged(&visit));
    assert!(told.contains(&"no-long-round!".to_owned()), "{told:?}");
    assert!(!told.contains(&"read-once-under-load".to_owned()));
    // Nothing that carries no current need settle.
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].places[0]
        .connections
        .push(connection("breaker-G", "G"));
    heat(&mut visit).rounds[2]
        .readings
        .push(("breaker-G".to_owned(), reading(20.0)));
    assert!(!limits(&judged(&visit)).contains(&"read-once-under-load".to_owned()));
}

#[test]
fn a_size_that_no_table_has_is_no_clean_bill() {
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].conductors.size = "1.5 mm²".parse().unwrap();
    let a = judged(&visit);
    let ampacity = |l: &&warmlug::assess::Limitation| {
        l.values.get("rule") == Some(&Value::Text("conductor-ampacity".to_owned()))
    };
    assert!(a.limitations.iter().find(ampacity).unwrap().incomplete);
}

#[test]
fn slow_worsening_shows_against_the_oldest_visit() {
    // 3 K a visit is a note against the last one and more against the first.
    let mut visit = plain([18.0, 8.0]);
    exact(&mut visit);
    let last = [earlier([15.0, 8.0], 12)];
    let all = [earlier([6.0, 8.0], 36), earlier([15.0, 8.0], 12)];
    let grade = |before: &[Earlier]| grade(&assess(&visit, us(), before), "worse-than-before");
    assert!(
        grade(&all) > grade(&last),
        "{:?}",
        (grade(&all), grade(&last))
    );
}

#[test]
fn a_connection_without_an_earlier_value_is_named() {
    let mut visit = plain([8.0, 8.0]);
    let before = [earlier([8.0, 8.0], 6)];
    visit.circuits[0].places[0].connections[0].id = "renamed".to_owned();
    for r in &mut heat(&mut visit).rounds {
        r.readings[0].0 = "renamed".to_owned();
    }
    for t in &mut visit.circuits[0].torque {
        if t.connection == "breaker-L1" {
            t.connection = "renamed".to_owned();
        }
    }
    let a = assess(&visit, us(), &before);
    let told = a
        .limitations
        .iter()
        .find(|l| l.id == "connections-not-compared");
    assert_eq!(told.unwrap().connections, ["renamed"]);
}

#[test]
fn the_hottest_day_is_no_colder_than_the_visit() {
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].hottest_air = Some(celsius(-5.0));
    let air = heat(&mut visit).rounds.last().unwrap().air.unwrap();
    let c = &judged(&visit).circuits[0].connections[0];
    let rise = c.rise_at_rated.unwrap().value;
    assert!((c.projected.unwrap() - (air + rise)).kelvin().abs() < 1e-9);
}

#[test]
fn a_judgement_cannot_lift_a_stop_and_leaves_a_note() {
    let judgement = |grade| Judgement {
        finding: warmlug::vocabulary::Cause::Check(CheckId::Condition),
        circuit: None,
        place: None,
        connection: None,
        seen: None,
        grade,
        because: "It looks old, not hot.".to_owned(),
    };
    let outcome = |seen, grade| {
        let mut visit = breaker_alone([8.0, 8.0]);
        visit.circuits[0].looked_at[0].seen = vec![seen];
        visit.judgement = vec![judgement(grade)];
        let a = judged(&visit);
        (a.outcome, finding(&a, "condition").effective_grade())
    };
    assert_eq!(
        outcome(Condition::Melted, Grade::Pass),
        (Outcome::Unsatisfactory, Grade::Stop)
    );
    assert_eq!(
        outcome(Condition::Corroded, Grade::Pass),
        (Outcome::SatisfactoryWithNotes, Grade::Note)
    );
    assert_eq!(
        outcome(Condition::Dust, Grade::Stop),
        (Outcome::Unsatisfactory, Grade::Stop)
    );
}

#[test]
fn a_judgement_on_one_condition_leaves_the_other() {
    let judged_with = |seen| {
        let mut visit = plain([8.0, 8.0]);
        visit.circuits[0].looked_at[0].seen = vec![Condition::Dust, Condition::Corroded];
        visit.judgement = vec![Judgement {
            finding: warmlug::vocabulary::Cause::Check(CheckId::Condition),
            circuit: None,
            place: None,
            connection: None,
            seen,
            grade: Grade::Note,
            because: "Blown out.".to_owned(),
        }];
        judged(&visit)
    };
    let grades = |a: &Assessment| {
        let conditions = a
            .checks
            .iter()
            .filter(|f| f.id == "condition" && f.place.as_deref() == Some("breaker"));
        conditions
            .map(|f| (f.variant.unwrap(), f.effective_grade()))
            .collect::<Vec<_>>()
    };
    let a = judged_with(Some(Condition::Dust));
    assert_eq!(
        grades(&a),
        [
            (Variant::Seen(Condition::Corroded), Grade::Repair),
            (Variant::Seen(Condition::Dust), Grade::Note)
        ]
    );
    assert_eq!(limits(&a), Vec::<String>::new());
    let a = judged_with(None);
    assert_eq!(
        grades(&a)[0],
        (Variant::Seen(Condition::Corroded), Grade::Repair)
    );
    assert_eq!(limits(&a), ["judgement-ambiguous"]);
    let a = judged_with(Some(Condition::Melted));
    assert_eq!(limits(&a), ["judgement-unmatched"]);
}

/// What `explain` prints of a settled rise is enough to get the readings back by hand.
#[test]
fn the_settled_rise_can_be_redone_from_what_is_explained() {
    let mut visit = plain([40.0, 40.0]);
    // Warm before charging, air that warms up, and a lower current in the last round.
    set(&mut visit, 0, 0, 26.0);
    heat(&mut visit).rounds[1].air = Some(celsius(21.0));
    heat(&mut visit).rounds[2].air = Some(celsius(24.0));
    heat(&mut visit).rounds[2].current = Current::from_ampere(36.0);
    set(&mut visit, 1, 0, 56.0);
    set(&mut visit, 2, 0, 60.0);
    let e = warmlug::assess::explain::explain(&visit, us(), &[], "bay-1", "breaker-L1").unwrap();
    let step = |id: &str| e.steps.iter().find(|s| s.id == id).unwrap();
    let settled = step("settled");
    let of = |list: &[warmlug::assess::explain::Input], symbol: &str| {
        let found = list.iter().find(|i| i.symbol == symbol);
        found.unwrap_or_else(|| panic!("no {symbol}")).value
    };
    let given = |symbol: &str| of(&settled.inputs, symbol);
    let told = |symbol: &str| of(&settled.results, symbol);
    let (mut r, mut t, mut air) = (given("r_0"), 0.0, given("A_0"));
    for i in 1..=2 {
        let (minutes, now) = (given(&format!("t{i}")), given(&format!("A{i}")));
        let d = minutes - t;
        let load = (given(&format!("I{i}")) / told("I")).powf(given("n"));
        let target = told("R") * load - told("τ") * (now - air) / d;
        r += (target - r) * (1.0 - (-d / told("τ")).exp());
        assert!((r - given(&format!("r{i}"))).abs() < 1e-3, "{i}: {r}");
        (t, air) = (minutes, now);
    }
    // Brought to rated load, and the largest of what is known.
    let rated: Vec<f64> = e
        .steps
        .iter()
        .filter(|s| s.id.ends_with("-at-rated") && s.id != "rise-at-rated")
        .map(|s| s.results[0].value)
        .collect();
    let largest = rated.iter().copied().fold(0.0, f64::max);
    assert!((step("rise-at-rated").results[0].value - largest).abs() < 1e-9);
}

/// The iec set: 21 K a note, over 40 K a watch, over 60 K a repair; and the product standard's 60 K
/// on the hottest day is a limit of its own.
#[test]
fn rise_under_the_iec_set_from_both_sides_of_each_edge() {
    let iec = built_in("iec").unwrap();
    for (rise, expected) in [
        (20.99, Grade::Pass),
        (21.01, Grade::Note),
        (39.99, Grade::Note),
        (40.01, Grade::Watch),
        (59.99, Grade::Watch),
        (60.01, Grade::Repair),
    ] {
        let mut visit = plain([rise, rise]);
        visit.circuits[0].hottest_air = Some(celsius(0.0));
        let a = assess(&visit, iec, &[]);
        assert_eq!(grade(&a, "rise"), Some(expected), "{rise}");
    }
    // In air of 25 °C the terminal may reach 85 °C: 50 K leave 10 K, 60 K leave none.
    for (rise, expected) in [
        (49.99, Grade::Pass),
        (50.01, Grade::Watch),
        (59.99, Grade::Watch),
        (60.01, Grade::Repair),
    ] {
        let mut visit = plain([rise, rise]);
        let circuit = &mut visit.circuits[0];
        circuit.hottest_air = Some(celsius(25.0));
        circuit.breaker.terminal_rating = None;
        circuit.conductors.insulation = celsius(105.0);
        for connection in &mut circuit.places[0].connections {
            connection.standard = Some(ProductStandard::Iec60898);
        }
        let a = assess(&visit, iec, &[]);
        let (limit, by) = a.circuits[0].connections[0].limit.unwrap();
        assert_eq!(
            (limit.celsius().round(), by),
            (85.0, RatingOf::ProductStandard)
        );
        assert_eq!(grade(&a, "projected-heat"), Some(expected), "{rise}");
    }
}
