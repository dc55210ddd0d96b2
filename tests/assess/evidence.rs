//! What findings tell beside their grade, on a plain visit with one thing changed: limits,
//! uncertainties, what they were taken from, and what counts for them and what not.

use crate::assess_common::{
    beside, celsius, connection, current, finding, gun, heat, instrument, judged, moment, plain,
    reading, scattering, set, third_leg, within,
};
use warmlug::assess::explain::{explain, explain_circuit};
use warmlug::assess::{Assessment, CheckResult, Earlier, Limitation, RatedBy, Value, assess};
use warmlug::quantity::{Current, Length, Percentage, Voltage};
use warmlug::rules::built_in;
use warmlug::visit::*;
use warmlug::vocabulary::{
    CheckId, Condition, Grade, LimitationId, RatingOf, Topic, Variant, Word,
};

fn find<'a>(a: &'a Assessment, id: &str) -> Option<&'a CheckResult> {
    let id = CheckId::of(id).unwrap();
    a.checks.iter().find(|f| f.id == id)
}

fn limitation<'a>(a: &'a Assessment, id: &str) -> Option<&'a Limitation> {
    let id = LimitationId::of(id).unwrap();
    a.limitations.iter().find(|l| l.id == id)
}

fn limited(a: &Assessment, id: &str) -> bool {
    limitation(a, id).is_some()
}

#[test]
fn the_nearer_edge_is_the_one_in_doubt() {
    // Edges at 21 and 40 K. ± 10 K twice, and the share of the current: U is over 16 K.
    let told = |rise: f64| {
        let mut visit = plain([rise, rise]);
        visit.circuits[0].hottest_air = Some(celsius(0.0));
        visit.instruments[0].accuracy = within(10.0);
        let a = judged(&visit);
        let f = finding(&a, "rise");
        assert!(f.uncertainty.unwrap() > 16.0 && f.borderline, "{f:?}");
        (f.limit, f.next_limit)
    };
    assert_eq!(told(30.4), (Some(21.0), None));
    assert_eq!(told(30.6), (Some(21.0), Some(40.0)));
}

#[test]
fn a_margin_is_told_as_what_is_left() {
    // 75 °C terminals in air of 40 °C: 33 K of rise leave 2 K of margin, the edges are 10 and 0.
    let a = judged(&plain([33.0, 33.0]));
    let f = finding(&a, "projected-heat");
    assert!((f.value.unwrap() - 2.0).abs() < 1e-6);
    assert_eq!((f.limit, f.next_limit), (Some(10.0), Some(0.0)));
    assert!(f.next_limit.unwrap().is_sign_positive(), "no −0 in a file");
    let f = judged(&plain([36.0, 36.0]));
    let f = finding(&f, "projected-heat");
    assert!((f.value.unwrap() + 1.0).abs() < 1e-6);
    assert!(f.limit.unwrap() == 0.0 && f.limit.unwrap().is_sign_positive());
}

#[test]
fn rounds_are_told_apart_by_their_load() {
    // Only unloaded rounds: charging never began, so nobody need tell when.
    let mut visit = plain([8.0, 8.0]);
    heat(&mut visit).rounds.truncate(1);
    heat(&mut visit).charging_from = None;
    let a = judged(&visit);
    assert!(!limited(&a, "charging-start-not-told"));
    assert!(find(&a, "load-too-low").is_none());
    // Only loaded rounds.
    let mut visit = plain([8.0, 8.0]);
    heat(&mut visit).rounds.remove(0);
    heat(&mut visit).charging_from = None;
    assert!(limited(&judged(&visit), "charging-start-not-told"));
    current(&mut visit, 6.0);
    assert!(find(&judged(&visit), "load-too-low").is_some());
}

#[test]
fn bright_metal_is_not_believed_to_be_warm_before_charging() {
    let warm = |surface| {
        let mut visit = plain([8.0, 8.0]);
        visit.circuits[0].places[0].connections[0].surface = Some(surface);
        set(&mut visit, 0, 0, 32.0);
        find(&judged(&visit), "hot-without-load").map(|f| f.connections.clone())
    };
    assert_eq!(warm(Surface::Tape), Some(vec!["breaker-L1".to_owned()]));
    assert_eq!(warm(Surface::BareMetal), None);
}

#[test]
fn a_climb_is_the_climb_under_load() {
    let mut visit = plain([20.0, 20.0]);
    for c in 0..2 {
        set(&mut visit, 1, c, 24.0);
    }
    let before = judged(&visit);
    let climb = finding(&before, "still-climbing").clone();
    // 4 K after a quarter of an hour, nearly 20 K fifty minutes later: 19.2 K an hour.
    assert!((climb.value.unwrap() - 19.16).abs() < 0.02, "{climb:?}");
    let mut after = heat(&mut visit).rounds[2].clone();
    after.at = moment(690.0);
    after.current = Current::from_ampere(0.0);
    for (_, r) in &mut after.readings {
        *r = reading(22.0);
    }
    heat(&mut visit).rounds.push(after);
    assert_eq!(
        finding(&judged(&visit), "still-climbing").value,
        climb.value
    );
}

#[test]
fn a_rise_tells_how_it_was_found() {
    let by = |visit: &Visit| match &finding(&judged(visit), "rise").values["by"] {
        Value::Text(t) => t.clone(),
        other => panic!("{other:?}"),
    };
    let mut visit = plain([8.0, 8.0]);
    assert_eq!(by(&visit), "settled");
    heat(&mut visit).charging_from = None;
    assert_eq!(by(&visit), "measured");
    assert_eq!(RatedBy::LeastSettled.word(), "least-settled");
}

#[test]
fn a_sound_thing_judged_stays_what_the_judgement_says() {
    let mut f = finding(&judged(&plain([8.0, 8.0])), "rise").clone();
    assert_eq!(f.grade, Grade::Pass);
    let judge = |f: &mut CheckResult, grade| {
        f.judgement = Some((grade, "seen".to_owned()));
        f.effective_grade()
    };
    assert_eq!(judge(&mut f, Grade::Pass), Grade::Pass);
    assert_eq!(judge(&mut f, Grade::Repair), Grade::Repair);
    f.grade = Grade::Watch;
    assert_eq!(judge(&mut f, Grade::Pass), Grade::Note);
    f.grade = Grade::Stop;
    assert_eq!(judge(&mut f, Grade::Pass), Grade::Stop);
}

#[test]
fn the_neutral_carries_only_where_it_is_the_one_return() {
    let compared = |legs: [&str; 2]| {
        let mut visit = plain([8.0, 8.0]);
        let circuit = &mut visit.circuits[0];
        circuit.supply.legs = legs.map(str::to_owned).to_vec();
        for (c, leg) in circuit.places[0].connections.iter_mut().zip(legs) {
            c.leg = leg.to_owned();
        }
        // Settled long ago: 12 K between the legs.
        set(&mut visit, 1, 0, 40.0);
        set(&mut visit, 2, 0, 40.0);
        find(&judged(&visit), "leg-difference").map(|f| f.grade)
    };
    assert_eq!(compared(["L1", "L2"]), Some(Grade::Watch));
    assert_eq!(compared(["L1", "N"]), Some(Grade::Watch));
    // With two lines it is neither compared nor missed.
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].supply.legs.push("N".to_owned());
    beside(&mut visit, "N", 20.0);
    let a = judged(&visit);
    assert_eq!(
        finding(&a, "leg-difference").connections,
        ["breaker-L1", "breaker-L2"]
    );
}

#[test]
fn the_uncertainty_of_a_difference_grows_with_it_to_rated_load() {
    // ± 2 K twice: U = 2·√2·2/√3 = 3.266 K as measured. At 32 A of 40 A, q = 1.25, qⁿ has the mean
    // f = (q² − q^1.6)/(0.4·ln q) = 1.494797 and a standard deviation of 0.038513, and n·qⁿ the mean
    // 2.695081 (by numpy); the current is known to 3 %/√3 of 32 A.
    let mut visit = plain([15.7, 8.0]);
    scattering(&mut visit, 2.0);
    let alone = 2.0 * 2.0_f64.sqrt() * 2.0 / 3.0_f64.sqrt();
    let u = |visit: &Visit| {
        finding(&judged(visit), "leg-difference")
            .uncertainty
            .unwrap()
    };
    // The tape's emissivity adds a little.
    let measured = u(&visit);
    assert!((measured - alone).abs() < 0.02, "{measured}");
    current(&mut visit, 32.0);
    let difference = 7.7 * (1.0 - (-6.5_f64).exp());
    let parts = [
        1.494797 * measured / 2.0,
        0.038513 * difference,
        2.695081 * difference * 0.03 / 3f64.sqrt(),
    ];
    let expected = 2.0 * parts.iter().map(|p| p * p).sum::<f64>().sqrt();
    assert!((u(&visit) - expected).abs() < 0.005, "{}", u(&visit));
}

#[test]
fn an_instrument_that_was_not_used_need_not_be_calibrated() {
    let overdue = |instruments: &dyn Fn(&mut Visit)| {
        let mut visit = plain([8.0, 8.0]);
        instruments(&mut visit);
        let mut told: Vec<String> = judged(&visit)
            .checks
            .iter()
            .filter(|f| f.id == "calibration-overdue")
            .map(|f| match &f.values["instrument"] {
                Value::Text(t) => t.clone(),
                other => panic!("{other:?}"),
            })
            .collect();
        told.sort();
        told
    };
    let late = |id: &str, kind| Instrument {
        calibration_due: Some("2020-01-01".parse().unwrap()),
        ..instrument(id, kind)
    };
    assert_eq!(overdue(&|_| ()), Vec::<String>::new());
    let used = overdue(&|v| {
        v.instruments = vec![
            Instrument {
                calibration_due: Some("2020-01-01".parse().unwrap()),
                ..gun()
            },
            late("tester", InstrumentKind::VoltageTester),
            late("other-gun", InstrumentKind::InfraredThermometer),
            late("other-tester", InstrumentKind::VoltageTester),
            late("driver", InstrumentKind::TorqueScrewdriver),
            late("clamp", InstrumentKind::ClampMeter),
        ];
        v.circuits[0].torque[0].with = Some("driver".to_owned());
    });
    assert_eq!(used, ["clamp", "driver", "gun", "tester"]);
    // Without a round nothing was clamped.
    let unused = overdue(&|v| {
        v.instruments
            .push(late("clamp", InstrumentKind::ClampMeter));
        v.circuits[0].heat = None;
    });
    assert_eq!(unused, Vec::<String>::new());
    let empty = overdue(&|v| {
        v.instruments
            .push(late("clamp", InstrumentKind::ClampMeter));
        heat(v).rounds.clear();
    });
    assert_eq!(empty, Vec::<String>::new());
}

#[test]
fn resistances_tell_both_parts_and_how_sure_their_ratio_is() {
    let mut visit = plain([8.0, 8.0]);
    visit.instruments.push(Instrument {
        accuracy: Some(Accuracy {
            of_reading: Some(Percentage::from_fraction(0.01)),
            at_least: Some(HalfWidth::Voltage(Voltage::from_volt(0.000_5))),
        }),
        ..instrument("meter", InstrumentKind::Multimeter)
    });
    for (i, drop) in [0.030, 0.010].into_iter().enumerate() {
        heat(&mut visit).rounds[2].readings[i].1.drop = Some(Voltage::from_volt(drop));
    }
    let a = judged(&visit);
    let f = finding(&a, "contact-resistance");
    // 30 mV and 10 mV at 40 A: 0.75 and 0.25 mΩ, 1.2 W; each drop ± 0.5 mV, so that the ratio of 3
    // has u = 3·√((0.5/√3/30)² + (0.5/√3/10)²) = 0.0913 and U twice that.
    assert!((f.value.unwrap() - 3.0).abs() < 1e-9);
    let number = |key: &str| match f.values[key] {
        Value::Number(n) => n,
        Value::Power(p) => p.watt(),
        ref other => panic!("{other:?}"),
    };
    assert!((number("milliohm") - 0.75).abs() < 1e-9);
    assert!((number("sister_milliohm") - 0.25).abs() < 1e-9);
    assert!((number("power") - 1.2).abs() < 1e-9);
    let u = 3.0 * (0.5 / 3.0_f64.sqrt()) * ((1.0 / 30.0_f64).powi(2) + 0.01).sqrt();
    assert!((f.uncertainty.unwrap() - 2.0 * u).abs() < 1e-9, "{f:?}");
    // Within its uncertainty of 1 nothing is said, whatever the band.
    for (i, drop) in [0.001_9, 0.001_2].into_iter().enumerate() {
        heat(&mut visit).rounds[2].readings[i].1.drop = Some(Voltage::from_volt(drop));
    }
    let a = judged(&visit);
    let f = finding(&a, "contact-resistance");
    assert!(f.value.unwrap() > 1.5 && f.grade == Grade::Pass, "{f:?}");
    // A meter stated without a least step is as good as its share alone, down to its last digit.
    visit.instruments.last_mut().unwrap().accuracy = Some(Accuracy {
        of_reading: Some(Percentage::from_fraction(0.01)),
        at_least: None,
    });
    let a = judged(&visit);
    assert_eq!(finding(&a, "contact-resistance").grade, Grade::Watch);
}

#[test]
fn the_side_that_was_aimed_at_shows_in_the_pattern() {
    // On L1 the joint, the insulation beside it and the breaker's case.
    let pattern = |joint: f64, wire: f64, case: f64| {
        let mut visit = plain([8.0, 8.0]);
        let connections = &mut visit.circuits[0].places[0].connections;
        connections.push(Connection {
            surface: Some(Surface::Insulation),
            ..connection("wire-L1", "L1")
        });
        connections.push(Connection {
            surface: Some(Surface::Plastic),
            ..connection("case-L1", "L1")
        });
        for (i, r) in heat(&mut visit).rounds.iter_mut().enumerate() {
            let t = |rise: f64| reading(20.0 + if i == 0 { 0.0 } else { rise });
            r.readings[0].1 = t(joint);
            r.readings.push(("wire-L1".to_owned(), t(wire)));
            r.readings.push(("case-L1".to_owned(), t(case)));
        }
        judged(&visit)
            .checks
            .iter()
            .map(|f| f.id)
            .filter(|id| id.about() == Topic::Hint)
            .collect::<Vec<_>>()
    };
    assert!(pattern(40.0, 20.0, 22.0).contains(&CheckId::PatternJointHottest));
    assert!(pattern(20.0, 20.0, 45.0).contains(&CheckId::PatternDeviceHotter));
    assert!(pattern(20.0, 45.0, 20.0).contains(&CheckId::PatternConductorHotter));
}

#[test]
fn a_leg_named_beside_the_supplys_own_is_named_in_the_pattern() {
    // What carries no current is hot: the air in the enclosure.
    let mut visit = plain([30.0, 30.0]);
    visit.circuits[0].places[0]
        .connections
        .push(connection("breaker-G", "G"));
    for (i, r) in heat(&mut visit).rounds.iter_mut().enumerate() {
        let t = if i == 0 { 20.0 } else { 45.0 };
        r.readings.push(("breaker-G".to_owned(), reading(t)));
    }
    let a = judged(&visit);
    let f = finding(&a, "pattern-air-hot");
    assert!(f.connections.contains(&"breaker-G".to_owned()), "{f:?}");
    // Warm before charging as well.
    let mut visit = plain([30.0, 30.0]);
    for c in 0..2 {
        set(&mut visit, 0, c, 45.0);
    }
    let a = judged(&visit);
    let f = finding(&a, "pattern-air-hot");
    assert!((f.value.unwrap() - 25.0).abs() < 0.1, "{f:?}");
    // ± 2 K on the surface and on the air: U = 3.27 K.
    assert!((f.uncertainty.unwrap() - 3.266).abs() < 0.02, "{f:?}");
}

#[test]
fn a_meter_that_measures_no_current_tells_nothing_of_its_accuracy() {
    let u = |instruments: &[Instrument]| {
        let mut visit = plain([20.0, 20.0]);
        visit.instruments.extend(instruments.iter().cloned());
        let a = judged(&visit);
        let c = &a.circuits[0].connections[0];
        c.rise_at_rated.unwrap().expanded.kelvin()
    };
    let share = |kind, share: f64| Instrument {
        accuracy: Some(Accuracy {
            of_reading: Some(Percentage::from_fraction(share)),
            at_least: None,
        }),
        ..instrument("meter", kind)
    };
    let assumed = u(&[]);
    // A share alone says what a clamp does to a current; a multimeter's may be its voltage's.
    assert_eq!(u(&[share(InstrumentKind::Multimeter, 0.10)]), assumed);
    assert!(u(&[share(InstrumentKind::ClampMeter, 0.10)]) > assumed * 1.05);
}

#[test]
fn the_spot_is_told_at_the_distance_it_was_taken_from() {
    let mut visit = plain([8.0, 8.0]);
    visit.instruments[0].distance_to_spot = Some("12:1".parse().unwrap());
    visit.circuits[0].places[0].connections[0].width = Some(Length::from_metre(0.010));
    heat(&mut visit).rounds[2].readings[0].1.distance = Some(Length::from_metre(0.6));
    let a = judged(&visit);
    let f = finding(&a, "spot-too-wide");
    assert_eq!(f.connections, ["breaker-L1"]);
}

#[test]
fn a_hot_leg_is_named_with_the_strongest_evidence_first() {
    let told = |round: usize, hot: usize, t: f64| {
        let mut visit = plain([8.0, 8.0]);
        set(&mut visit, round, hot, t);
        // As hot a quarter of an hour after charging began, so that nothing grows any more.
        if round == 2 {
            set(&mut visit, 1, hot, t);
        }
        find(&judged(&visit), "pattern-one-leg-hot").cloned()
    };
    for (hot, leg) in ["L1", "L2"].into_iter().enumerate() {
        let f = told(2, hot, 45.0).unwrap();
        assert_eq!(f.values["hot_leg"], Value::Text(leg.to_owned()));
        assert_eq!(f.connections[0], format!("breaker-{leg}"));
        let other = ["L2", "L1"][hot];
        assert_eq!(f.values["against"], Value::Text(format!("breaker-{other}")));
        assert_eq!(f.values["evidence"], Value::Count(1));
        assert!(
            matches!(f.values["difference"], Value::Difference(d) if (d.kelvin() - 17.0).abs() < 0.1)
        );
        assert_eq!(f.unit, "K");
    }
    // The last round counts, and a difference that would not be watched is no hint.
    assert_eq!(told(1, 0, 45.0).map(|f| f.id), None);
    let mut exact = plain([8.0, 8.0]);
    exact.instruments[0].accuracy = within(0.1);
    let mut settled = |t: f64| (1..=2).for_each(|round| set(&mut exact, round, 0, t));
    settled(31.0);
    assert!(find(&judged(&exact), "pattern-one-leg-hot").is_none());
    let mut settled = |t: f64| (1..=2).for_each(|round| set(&mut exact, round, 0, t));
    settled(33.0);
    assert!(find(&judged(&exact), "pattern-one-leg-hot").is_some());
}

#[test]
fn the_next_limit_lies_within_the_uncertainty_at_rated_load() {
    // 32 A of 40 A: U = 1.4948·3.27 K = 4.88 K, and with the current (3.1 % of the value) and the
    // exponent (2.6 %) 5.0 K; edges at 4 and 15 K, so that near 10 K the next comes in doubt.
    let next = |at_rated: f64| {
        let mut visit = plain([8.0, 8.0]);
        scattering(&mut visit, 2.0);
        current(&mut visit, 32.0);
        set(&mut visit, 2, 0, 28.0 + at_rated / 1.494_796_868_891_287);
        set(&mut visit, 2, 1, 28.0);
        let a = judged(&visit);
        let f = finding(&a, "leg-difference");
        assert!((f.value.unwrap() - at_rated).abs() < 1e-9);
        f.next_limit
    };
    assert_eq!(next(9.6), None);
    assert_eq!(next(9.9), None);
    assert_eq!(next(10.1), Some(15.0));
}

#[test]
fn a_few_repeated_readings_widen_by_students_factor() {
    // JCGM 100:2008, table G.2, 95.45 %: 4.53 for 2 degrees of freedom, 2.37 for 8.
    let expanded = |spread: f64, accuracy: f64| {
        let mut visit = plain([30.0, 30.0]);
        visit.instruments[0].kind = InstrumentKind::ContactThermometer;
        visit.instruments[0].accuracy = within(accuracy);
        visit.instruments.push(Instrument {
            accuracy: within(0.001),
            ..instrument("air", InstrumentKind::AirThermometer)
        });
        heat(&mut visit).rounds[2].readings[0].1.temperatures =
            [50.0 - spread, 50.0, 50.0 + spread].map(celsius).to_vec();
        let a = judged(&visit);
        let rounds = &a.circuits[0].connections[0].rounds;
        rounds[2].rise.unwrap().expanded.kelvin()
    };
    // The mean of three readings 3 K apart is uncertain by √3 K; alone it has 2 degrees.
    let alone = expanded(3.0, 0.001);
    assert!((alone / 3.0_f64.sqrt() - 4.53).abs() < 0.02, "{alone}");
    // With as much from the instrument the sum has 2·√2⁴ = 8 degrees.
    let both = expanded(3.0, 3.0);
    assert!((both / 6.0_f64.sqrt() - 2.37).abs() < 0.01, "{both}");
    // Readings that agree add nothing.
    let none = expanded(0.0, 3.0);
    assert!((none / 3.0_f64.sqrt() - 2.0).abs() < 0.01, "{none}");
}

#[test]
fn the_instruments_band_decides_the_correction() {
    let corrected = |band: Option<[f64; 2]>| {
        let mut visit = plain([60.0, 60.0]);
        visit.instruments[0].band_um = band;
        visit.circuits[0].places[0].connections[0].surface = None;
        visit.circuits[0].places[0].connections[0].emissivity = Some("0.6".parse().unwrap());
        let a = judged(&visit);
        a.circuits[0].connections[0].rounds[2].temperature.celsius()
    };
    let usual = corrected(None);
    assert!(usual > 81.0, "{usual}");
    assert!((corrected(Some([8.0, 14.0])) - usual).abs() < 1e-9);
    // The shorter the waves, the steeper the radiance, the smaller the correction.
    let short = corrected(Some([3.0, 5.0]));
    assert!(short > 81.0 && short < usual - 2.0, "{short} {usual}");
}

#[test]
fn a_tool_of_no_accuracy_at_all_is_taken_for_an_assumed_one() {
    let u = |share: f64| {
        let mut visit = plain([8.0, 8.0]);
        visit.instruments.retain(|i| i.id != "driver");
        visit.instruments.push(Instrument {
            accuracy: Some(Accuracy {
                of_reading: Some(Percentage::from_fraction(share)),
                at_least: None,
            }),
            ..instrument("driver", InstrumentKind::TorqueScrewdriver)
        });
        for check in &mut visit.circuits[0].torque {
            check.with = Some("driver".to_owned());
            check.left = Some("5 N·m".parse().unwrap());
        }
        let a = judged(&visit);
        finding(&a, "torque-held").uncertainty.unwrap()
    };
    assert!((u(0.03) - 0.15).abs() < 0.15 && u(0.03) > 0.0);
    assert!(u(0.0) > u(0.03));
}

#[test]
fn every_finding_says_where_and_in_what_unit() {
    let mut visit = plain([45.0, 8.0]);
    let reported = |visit: &Visit, id: &str| finding(&judged(visit), id).clone();
    set(&mut visit, 0, 0, 40.0);
    for (id, unit) in [
        ("rise", "K"),
        ("projected-heat", "K"),
        ("leg-difference", "K"),
        ("hot-without-load", "K"),
    ] {
        let f = reported(&visit, id);
        assert_eq!(f.unit, unit, "{id}");
        assert_eq!(f.circuit.as_deref(), Some("bay-1"), "{id}");
        assert_eq!(f.place.as_deref(), Some("breaker"), "{id}");
        assert!(f.value.is_some() && f.limit.is_some(), "{id}");
        assert!(f.uncertainty.unwrap() > 0.0, "{id}");
    }
    // Warmer than the air by 20 K, where 3.27 K would have been noise.
    let f = reported(&visit, "hot-without-load");
    assert!((f.value.unwrap() - 20.0).abs() < 1e-9);
    assert!((f.limit.unwrap() - 3.27).abs() < 0.02);
    // Over its rating of 75 °C: 60 K over air of 20 °C.
    let f = reported(&plain([60.0, 60.0]), "over-rating");
    assert!((f.value.unwrap() - 5.0).abs() < 0.1, "{f:?}");
    assert_eq!(
        f.variant,
        Some(Variant::Rating(RatingOf::Terminal)),
        "{f:?}"
    );
    let degrees = |key: &str| match f.values[key] {
        Value::Temperature(t) => t.celsius(),
        ref other => panic!("{other:?}"),
    };
    assert!((degrees("rating") - 75.0).abs() < 1e-9);
    assert!((degrees("temperature") - 80.0).abs() < 0.1);
    assert_eq!(
        f.values["current"],
        Value::Current(Current::from_ampere(40.0))
    );
    // 4 K an hour more than allowed for, reported with what is allowed.
    let mut climbing = plain([20.0, 20.0]);
    for c in 0..2 {
        set(&mut climbing, 1, c, 24.0);
    }
    let f = reported(&climbing, "still-climbing");
    assert_eq!((f.unit, f.limit.is_some()), ("K/h", true));
    // More current than the charger's rating.
    let mut over = plain([8.0, 8.0]);
    current(&mut over, 46.0);
    let f = reported(&over, "charging-current");
    assert_eq!(f.unit, "A");
    assert!(
        f.uncertainty.unwrap() > 0.0 && f.value == Some(46.0),
        "{f:?}"
    );
    // Not dead.
    let mut live = plain([8.0, 8.0]);
    live.circuits[0].isolation[0].dead[0].1 = Voltage::from_volt(118.0);
    let f = reported(&live, "isolation-not-dead");
    assert_eq!((f.unit, f.value), ("V", Some(118.0)));
}

/// Rounds at so many minutes of charging, each with its current and the rise of both legs over air
/// of 20 °C.
fn rounds(visit: &mut Visit, told: &[(f64, f64, f64)]) {
    let first = heat(visit).rounds[0].clone();
    let later = told.iter().map(|&(minutes, ampere, rise)| Round {
        at: moment(600.0 + minutes),
        confirmed: false,
        current: Current::from_ampere(ampere),
        legs: Vec::new(),
        readings: first
            .readings
            .iter()
            .map(|(id, _)| (id.clone(), reading(20.0 + rise)))
            .collect(),
        ..first.clone()
    });
    heat(visit).rounds = std::iter::once(first.clone()).chain(later).collect();
}

#[test]
fn a_hotter_last_reading_never_settles_lower_than_a_cooler_one_would_have() {
    // What a cooler last reading shows counts as the least that a hotter one can mean, and what
    // stands is no more than the highest that any cooler one shows (a hundredth for the eased
    // demands and the grid).
    // Accuracy, currents, rises.
    for (kelvin, amps, rises) in [
        (1.0, [40.0, 40.0, 40.0], [8.0, 15.0, 30.0]),
        (0.5, [40.0, 40.0, 40.0], [6.0, 13.0, 30.0]),
        (0.5, [40.0, 32.0, 40.0], [8.0, 15.0, 26.0]),
        (2.0, [20.0, 30.0, 40.0], [6.0, 13.0, 34.0]),
        (2.0, [20.0, 30.0, 40.0], [9.0, 21.0, 55.0]),
    ] {
        let judge = |last: f64| {
            let mut visit = plain([8.0, 8.0]);
            visit.instruments[0].accuracy = within(kelvin);
            scattering(&mut visit, kelvin);
            let readings = [(9.0, 0), (30.0, 1), (66.0, 2)].map(|(minutes, i)| {
                let rise = if i == 2 { last } else { rises[i] };
                (minutes, amps[i], rise)
            });
            rounds(&mut visit, &readings);
            let a = judged(&visit);
            let c = &a.circuits[0].connections[0];
            (c.rise_at_rated.unwrap().value.kelvin(), c.rated_by.unwrap())
        };
        let (rise, by) = judge(rises[2]);
        let cooler = (0..100)
            .map(|i| rises[2] - 0.25 * f64::from(i))
            .take_while(|t| *t > 0.0)
            .map(judge)
            .filter(|(_, by)| *by == RatedBy::Settled)
            .map(|(rise, _)| rise)
            .fold(0.0, f64::max);
        assert_eq!(by, RatedBy::LeastSettled, "{amps:?} {rises:?}");
        assert!(
            rise >= cooler - 1e-6 && rise < 1.1 * cooler,
            "{amps:?} {rises:?}: {rise}, cooler ones {cooler}"
        );
    }
}

#[test]
fn the_measured_rise_is_the_largest_at_rated_load_whenever_it_was_read() {
    let told = |at: &[(f64, f64, f64)]| {
        let mut visit = plain([8.0, 8.0]);
        heat(&mut visit).charging_from = None;
        rounds(&mut visit, at);
        let a = judged(&visit);
        let c = &a.circuits[0].connections[0];
        assert_eq!(c.rated_by, Some(RatedBy::Measured));
        c.rise_at_rated.unwrap().value.kelvin()
    };
    // What 9 K at 20 A of 40 A come to, the round at 40 A shows; 22 K at 20 A are 22 K all the same.
    assert!((told(&[(15.0, 20.0, 9.0), (66.0, 40.0, 20.0)]) - 20.0).abs() < 1e-6);
    assert!((told(&[(15.0, 20.0, 22.0), (66.0, 40.0, 20.0)]) - 22.0).abs() < 1e-6);
    // 9 K and 10 K at 20 A: 10 K times (4 − 3.0314)/(0.4·ln 2) = 3.493367.
    assert!((told(&[(15.0, 20.0, 9.0), (66.0, 20.0, 10.0)]) - 34.93367).abs() < 1e-4);
    // After more current than now the heat may be that one's.
    assert!((told(&[(15.0, 40.0, 9.0), (66.0, 20.0, 11.0)]) - 11.0).abs() < 1e-6);
}

#[test]
fn a_bound_is_told_at_the_current_of_the_last_round() {
    // A climb without a bend shows no settled rise; 20 K after 40 A are 13.45 K at 32 A:
    // the mean of 0.8ⁿ is (0.64 − 0.69975)/(0.4·ln 0.8) = 0.669392.
    let mut visit = plain([8.0, 8.0]);
    visit.instruments[0].accuracy = within(0.5);
    rounds(&mut visit, &[(15.0, 40.0, 4.0), (66.0, 32.0, 20.0)]);
    let a = judged(&visit);
    let settled = a.circuits[0].connections[0].settled.unwrap();
    assert!(!settled.how.is_settled(), "{settled:?}");
    assert_eq!(settled.current, Current::from_ampere(32.0));
    assert!(
        (settled.rise.value.kelvin() - 20.0 * 0.669392).abs() < 1e-3,
        "{settled:?}"
    );
    // 0.64 of the reading's own 0.82 K, and 3 % of each current.
    let expanded = settled.rise.expanded.kelvin();
    assert!(expanded > 0.6 && expanded < 1.4, "{expanded}");
}

#[test]
fn one_legs_joint_is_not_held_against_anothers_conductor() {
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].places[0].connections.push(Connection {
        surface: Some(Surface::Insulation),
        ..connection("wire-L2", "L2")
    });
    for (i, r) in heat(&mut visit).rounds.iter_mut().enumerate() {
        let t = |rise: f64| reading(20.0 + if i == 0 { 0.0 } else { rise });
        r.readings[0].1 = t(40.0);
        r.readings[1].1 = t(20.0);
        r.readings.push(("wire-L2".to_owned(), t(20.0)));
    }
    let a = judged(&visit);
    assert!(find(&a, "pattern-one-leg-hot").is_some());
    assert!(find(&a, "pattern-joint-hottest").is_none());
}

#[test]
fn load_too_low_says_what_was_drawn_and_what_is_asked_for() {
    let mut visit = plain([8.0, 8.0]);
    current(&mut visit, 12.0);
    let a = judged(&visit);
    let f = finding(&a, "load-too-low");
    assert_eq!((f.value, f.limit, f.unit), (Some(0.3), Some(0.4), "1"));
    assert_eq!(
        f.values["current"],
        Value::Current(Current::from_ampere(12.0))
    );
    assert_eq!(
        f.values["rated"],
        Value::Current(Current::from_ampere(40.0))
    );
}

/// The plain visit some months before, with its own rises.
fn earlier(rises: [f64; 2], number: &str, months: u32) -> Earlier {
    let mut visit = plain(rises);
    visit.number = number.to_owned();
    let months = chrono::Months::new(months);
    visit.date = visit.date.checked_sub_months(months).unwrap();
    Earlier::new(&visit, &judged(&visit))
}

/// Edges of a band, and what a finding of a value with an uncertainty must name: the edge that it
/// reached, and the next where that is nearer and in doubt.
#[track_caller]
fn names_its_edges(f: &CheckResult, edges: &[f64]) {
    let (value, u) = (f.value.unwrap(), f.uncertainty.unwrap());
    let reached = edges.iter().copied().rfind(|e| *e <= value);
    let next = edges.iter().copied().find(|e| *e > value);
    let Some(reached) = reached else {
        assert_eq!((f.limit, f.next_limit), (Some(edges[0]), None), "{f:?}");
        return;
    };
    assert_eq!(f.limit, Some(reached), "{f:?}");
    let next = next.filter(|n| n - value < u && n - value < value - reached);
    assert_eq!(f.next_limit, next, "{f:?}");
}

#[test]
fn findings_name_the_edges_around_them_wherever_they_are() {
    for tenths in (5..620).step_by(2) {
        let rise = f64::from(tenths) / 10.0;
        let mut visit = plain([rise, 8.0]);
        visit.circuits[0].hottest_air = Some(celsius(20.0));
        let before = [earlier([8.0, 8.0], "before", 12)];
        let a = assess(&visit, built_in("us").unwrap(), &before);
        names_its_edges(finding(&a, "rise"), &[21.0, 40.0]);
        let pair = finding(&a, "leg-difference");
        if pair.grade > Grade::Pass {
            names_its_edges(pair, &[1.0, 4.0, 15.0]);
        }
        let change = finding(&a, "worse-than-before");
        if change.grade > Grade::Pass {
            names_its_edges(change, &[1.0, 4.0, 15.0]);
        }
    }
}

#[test]
fn full_load_is_told_before_a_milder_bound() {
    let with = |full: f64, little: f64| {
        let mut visit = plain([full, 8.0]);
        visit.circuits[0].hottest_air = Some(celsius(0.0));
        let mut last = heat(&mut visit).rounds[2].clone();
        last.at = moment(680.0);
        last.current = Current::from_ampere(5.0);
        for (i, rise) in [little, 8.0].into_iter().enumerate() {
            last.readings[i].1 = reading(20.0 + rise);
        }
        heat(&mut visit).rounds.push(last);
        finding(&judged(&visit), "rise").clone()
    };
    // Both for repair: what was seen at full load counts.
    assert_eq!(with(50.0, 45.0).variant, None);
    assert_eq!(with(50.0, 25.0).variant, None);
    let bound = with(9.0, 45.0);
    assert!((bound.value.unwrap() - 45.0).abs() < 1e-6);
    assert_eq!(bound.connections, ["breaker-L1"]);
}

#[test]
fn no_one_word_lifts_two_conditions() {
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].looked_at[0].seen = vec![Condition::Dust, Condition::Corroded];
    visit.judgement.push(Judgement {
        finding: warmlug::vocabulary::Cause::Check(CheckId::Condition),
        circuit: None,
        place: None,
        connection: None,
        seen: None,
        grade: Grade::Pass,
        because: "Cleaned.".to_owned(),
    });
    let a = judged(&visit);
    assert!(limited(&a, "judgement-ambiguous"));
    let told = a.checks.iter().filter(|f| f.id == "condition");
    assert!(told.clone().count() >= 2);
    assert!(told.clone().all(|f| f.judgement.is_none()));
}

#[test]
fn two_certificates_of_one_day_are_two_earlier_visits() {
    let visit = plain([8.0, 8.0]);
    let count = |before: &[Earlier]| {
        let a = assess(&visit, built_in("us").unwrap(), before);
        a.circuits[0].connections[0].earlier.len()
    };
    let first = || earlier([8.0, 8.0], "a", 12);
    assert_eq!(count(&[first(), earlier([8.0, 8.0], "b", 12)]), 2);
    assert_eq!(count(&[first(), earlier([8.0, 8.0], "a", 24)]), 2);
    assert_eq!(count(&[first(), first()]), 1);
}

#[test]
fn findings_carry_what_their_sentences_need() {
    let a = assess(
        &plain([30.0, 8.0]),
        built_in("us").unwrap(),
        &[earlier([8.0, 8.0], "before", 12)],
    );
    let f = finding(&a, "worse-than-before");
    assert!(
        f.values.values().any(|v| matches!(v, Value::Date(_))),
        "{f:?}"
    );
    assert_eq!(f.unit, "K");
    // A drop alone, and one too large in both legs alike.
    let mut visit = plain([8.0, 8.0]);
    for (i, drop) in [0.024, 0.024].into_iter().enumerate() {
        heat(&mut visit).rounds[2].readings[i].1.drop = Some(Voltage::from_volt(drop));
    }
    let a = judged(&visit);
    let f = finding(&a, "contact-drop");
    assert_eq!(f.values["drop"], Value::Voltage(Voltage::from_volt(0.024)));
    assert_eq!(
        f.values["current"],
        Value::Current(Current::from_ampere(40.0))
    );
    assert_eq!(f.circuit.as_deref(), Some("bay-1"));
    heat(&mut visit).rounds[2].readings[1].1.drop = None;
    let a = judged(&visit);
    let f = finding(&a, "contact-resistance");
    assert_eq!(f.connections, ["breaker-L1"]);
    assert!(matches!(f.values["milliohm"], Value::Number(r) if (r - 0.6).abs() < 1e-9));
    assert_eq!(f.circuit.as_deref(), Some("bay-1"));
}

#[test]
fn a_round_without_load_after_the_start_is_part_of_the_curve_not_its_start() {
    use warmlug::assess::physics::settle::{Heating, How, LoadPoint, fit};
    let told = [(5.0, 0.0, 4.0), (20.0, 40.0, 24.5), (66.0, 40.0, 31.0)];
    let mut visit = plain([8.0, 8.0]);
    scattering(&mut visit, 2.0);
    rounds(&mut visit, &told);
    let a = judged(&visit);
    let c = &a.circuits[0].connections[0];
    let points: Vec<LoadPoint> = told
        .iter()
        .zip(&c.rounds[1..])
        .map(|(&(minutes, current_a, _), round)| LoadPoint {
            minutes,
            rise_k: round.rise.unwrap().value.kelvin(),
            u_rise_k: round.rise.unwrap().expanded.kelvin() / 2.0,
            current_a,
            air_c: 20.0,
        })
        .collect();
    let heating = Heating {
        start_air_c: Some(20.0),
        reference_a: Some(40.0),
        ..Heating::new(2.0)
    };
    let fitted = fit(&points, &heating);
    assert!(
        matches!(fitted.how, How::Solved | How::Fitted),
        "{fitted:?}"
    );
    let settled = c.settled.unwrap();
    let difference = settled.rise.value.kelvin() - fitted.rise_k.unwrap();
    assert!(difference.abs() < 1e-9, "{settled:?} {fitted:?}");
}

#[test]
fn steps_name_the_source_that_decided() {
    let step = |change: &dyn Fn(&mut Visit), id: &str| {
        let mut visit = plain([8.0, 8.0]);
        change(&mut visit);
        let told = explain(&visit, built_in("us").unwrap(), &[], "bay-1", "breaker-L1").unwrap();
        told.steps.into_iter().find(|s| s.id == id).unwrap()
    };
    let usual = step(&|_| (), "rating").source;
    let unmarked = step(&|v| v.circuits[0].breaker.terminal_rating = None, "rating");
    assert_ne!(unmarked.source, usual);
    assert!(
        unmarked
            .inputs
            .iter()
            .any(|i| i.name.contains("without a stated rating"))
    );
    // On a cool day the terminals of IEC 60898-1 decide: air of 20 °C and their 60 K of rise.
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].hottest_air = Some(celsius(20.0));
    visit.circuits[0].breaker.terminal_rating = None;
    visit.circuits[0].places[0].connections[0].standard = Some(ProductStandard::Iec60898);
    let told = explain(&visit, built_in("iec").unwrap(), &[], "bay-1", "breaker-L1").unwrap();
    let product = told.steps.iter().find(|s| s.id == "rating").unwrap();
    assert!(product.source.contains("60898"), "{product:?}");
    assert!(
        (product.results[0].value - 80.0).abs() < 1e-9,
        "{product:?}"
    );
    let measured = told
        .steps
        .iter()
        .find(|s| s.id == "measured-at-rated")
        .unwrap();
    assert_eq!(measured.inputs[0].name, "rise measured at 11:05");
    // A note only where readings were repeated, or a slope holds 0.
    let alone = step(&|_| (), "rise");
    assert_eq!(alone.note, None);
    let repeated = step(
        &|v| {
            let r = &mut heat(v).rounds[0].readings[0].1;
            r.temperatures = [18.0, 20.0, 22.0].map(celsius).to_vec();
        },
        "rise",
    );
    assert!(repeated.note.unwrap().contains("Student"));
    let slope = |rises: [f64; 3]| {
        let before = [
            earlier([rises[0]; 2], "a", 36),
            earlier([rises[1]; 2], "b", 24),
            earlier([rises[2]; 2], "c", 12),
        ];
        let visit = plain([30.0, 30.0]);
        let told = explain(
            &visit,
            built_in("us").unwrap(),
            &before,
            "bay-1",
            "breaker-L1",
        );
        let steps = told.unwrap().steps;
        steps
            .into_iter()
            .find(|s| s.name.starts_with("Slope"))
            .unwrap()
            .note
    };
    assert_eq!(slope([6.0, 14.0, 22.0]), None);
    assert!(slope([29.0, 31.0, 30.0]).unwrap().contains("no date"));
}

#[test]
fn every_check_of_a_circuit_is_explained() {
    let mut visit = plain([8.0, 8.0]);
    let circuit = &mut visit.circuits[0];
    circuit.charger.rated_current = Current::from_ampere(24.0);
    circuit.breaker.rating = Current::from_ampere(30.0);
    circuit.conductors.size = "10 AWG".parse().unwrap();
    let names = |visit: &Visit| -> Vec<(String, String)> {
        let told = explain_circuit(visit, built_in("us").unwrap(), "bay-1").unwrap();
        let steps = told.steps.into_iter();
        steps
            .map(|s| (s.id.to_owned(), format!("{}: {}", s.name, s.formula)))
            .collect()
    };
    let small = names(&visit);
    let of = |all: &[(String, String)], id: &str| {
        let found = all.iter().find(|(i, _)| i == id);
        found
            .unwrap_or_else(|| panic!("no {id} among {all:?}"))
            .1
            .clone()
    };
    assert!(of(&small, "small-conductor").len() > 40);
    // Of a charger over 60 A the disconnecting means is asked for.
    let circuit = &mut visit.circuits[0];
    circuit.charger.rated_current = Current::from_ampere(64.0);
    circuit.disconnect = Some(Disconnect {
        kind: None,
        in_sight: Some(true),
        lockable: Some(true),
        plaque: None,
    });
    assert!(of(&names(&visit), "disconnect").len() > 40);
    // Every value that a check names has a meaning.
    let told = explain_circuit(&visit, built_in("us").unwrap(), "bay-1").unwrap();
    for step in &told.steps {
        assert!(step.inputs.iter().all(|i| !i.name.is_empty()), "{step:?}");
        let note = step.note.as_deref().unwrap();
        assert!(!format!(" {note}").contains(" : "), "{note}");
    }
    for (id, text) in small.iter().chain(&names(&visit)) {
        assert!(
            !text.starts_with(':') && !text.ends_with(": "),
            "{id}: {text}"
        );
    }
}

#[test]
fn another_visit_of_the_same_day_is_an_earlier_one_and_a_later_one_is_not() {
    let mut visit = plain([8.0, 8.0]);
    visit.reason = Reason::Periodic;
    let told = |before: &[Earlier]| {
        let a = assess(&visit, built_in("us").unwrap(), before);
        let count = a.circuits[0].connections[0].earlier.len();
        (limited(&a, "no-earlier"), count)
    };
    let mut tomorrow = earlier([8.0, 8.0], "tomorrow", 0);
    tomorrow.date = visit.date.succ_opt().unwrap();
    assert_eq!(told(&[tomorrow]), (true, 0));
    assert_eq!(told(&[earlier([8.0, 8.0], "morning", 0)]), (false, 1));
    assert_eq!(told(&[earlier([8.0, 8.0], "before", 1)]), (false, 1));
}

#[test]
fn no_time_at_full_load_is_told_where_none_was_seen() {
    let mut visit = plain([8.0, 8.0]);
    heat(&mut visit).rounds.remove(1);
    heat(&mut visit).charging_from = None;
    let a = judged(&visit);
    let l = limitation(&a, "no-long-round").unwrap();
    assert!(!l.values.contains_key("longest"), "{l:?}");
    heat(&mut visit).charging_from = Some(moment(640.0));
    let a = judged(&visit);
    let l = limitation(&a, "no-long-round").unwrap();
    assert!(matches!(l.values["longest"], Value::Duration(d) if (d.minute() - 25.0).abs() < 1e-9));
}

#[test]
fn heat_without_load_is_no_bound_on_the_rise() {
    let mut visit = plain([8.0, 8.0]);
    set(&mut visit, 0, 0, 65.0);
    let a = judged(&visit);
    assert_eq!(finding(&a, "rise").variant, None);
    assert!(find(&a, "hot-without-load").is_some());
}

#[test]
fn little_load_is_scaled_and_says_nothing_within_its_uncertainty() {
    // All at 5 A of 40 A, scaled by (8² − 8^1.6)/(0.4·ln 8) = 43.45.
    let with = |rises: [f64; 2]| {
        let mut visit = plain(rises);
        current(&mut visit, 5.0);
        judged(&visit)
    };
    let a = with([4.0, 4.0]);
    let f = finding(&a, "rise");
    assert_eq!((f.grade, f.variant), (Grade::Repair, None));
    assert!((f.value.unwrap() - 4.0 * 43.452).abs() < 1.0, "{f:?}");
    // 3.2 K of ± 3.27 K.
    let a = with([3.2, 3.2]);
    assert!(find(&a, "rise").is_none() && find(&a, "projected-heat").is_none());
    assert_eq!(a.circuits[0].connections[0].rise_at_rated, None);
    // 3 K between the legs, known to 0.16 K, are 130 K.
    let mut visit = plain([8.0, 5.0]);
    current(&mut visit, 5.0);
    visit.instruments[0].accuracy = within(0.1);
    assert_eq!(
        finding(&judged(&visit), "leg-difference").grade,
        Grade::Repair
    );
}

#[test]
fn a_difference_within_its_uncertainty_names_the_first_edge_alone() {
    // 3.2 K of ± 3.27 K: nothing seen, though 4 K are near.
    let mut visit = plain([8.0, 8.0]);
    scattering(&mut visit, 2.0);
    set(&mut visit, 2, 0, 31.2);
    set(&mut visit, 2, 1, 28.0);
    let a = judged(&visit);
    let f = finding(&a, "leg-difference");
    assert_eq!(
        (f.grade, f.limit, f.next_limit),
        (Grade::Pass, Some(1.0), None)
    );
}

#[test]
fn a_word_that_is_milder_than_none_lifts_nothing() {
    let grades = |grade: Grade| {
        let mut visit = plain([8.0, 8.0]);
        visit.circuits[0].looked_at[0].seen = vec![Condition::Dust, Condition::Corroded];
        let a = judged(&visit);
        let worst = a.checks.iter().filter(|f| f.id == "condition");
        let worst = worst.map(|f| f.grade).max().unwrap();
        visit.judgement.push(Judgement {
            finding: warmlug::vocabulary::Cause::Check(CheckId::Condition),
            circuit: None,
            place: None,
            connection: None,
            seen: None,
            grade,
            because: "Seen again.".to_owned(),
        });
        (worst, limited(&judged(&visit), "judgement-ambiguous"))
    };
    let (worst, _) = grades(Grade::Pass);
    assert_eq!(grades(worst), (worst, false));
    assert_eq!(grades(Grade::Stop), (worst, false));
}

#[test]
fn of_three_legs_the_least_that_shows_any_resistance_is_the_sister() {
    let mut visit = plain([8.0, 8.0]);
    third_leg(&mut visit, 28.0);
    for (i, drop) in [0.030, 0.010, 0.0].into_iter().enumerate() {
        heat(&mut visit).rounds[2].readings[i].1.drop = Some(Voltage::from_volt(drop));
    }
    let a = judged(&visit);
    let f = finding(&a, "contact-resistance");
    assert!((f.value.unwrap() - 3.0).abs() < 1e-9, "{f:?}");
    assert_eq!(f.values["sister"], Value::Text("breaker-L2".to_owned()));
}

#[test]
fn a_last_reading_that_tells_nothing_leaves_the_ones_before() {
    let told = |colder: bool| {
        let mut visit = plain([8.0, 8.0]);
        visit.instruments[0].accuracy = within(1.0);
        rounds(
            &mut visit,
            &[(9.0, 40.0, 8.0), (30.0, 40.0, 15.0), (66.0, 40.0, 30.0)],
        );
        if colder {
            // Colder than the air under full load: not believed.
            let mut last = heat(&mut visit).rounds[3].clone();
            last.at = moment(680.0);
            last.confirmed = true;
            for (_, r) in &mut last.readings {
                *r = reading(5.0);
            }
            heat(&mut visit).rounds.push(last);
        }
        let a = judged(&visit);
        assert_eq!(limited(&a, "colder-than-air"), colder);
        let c = &a.circuits[0].connections[0];
        (c.rated_by, c.rise_at_rated)
    };
    assert_eq!(told(false).0, Some(RatedBy::LeastSettled));
    assert_eq!(told(true), told(false));
}

#[test]
fn what_was_seen_and_read_goes_into_the_sentence() {
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].looked_at[0].seen = vec![Condition::Dust];
    visit.circuits[0].looked_at[0].note = Some("Sawdust.".to_owned());
    let a = judged(&visit);
    let dusty =
        |f: &&CheckResult| f.id == "condition" && f.variant == Some(Variant::Seen(Condition::Dust));
    let f = a.checks.iter().find(dusty).unwrap();
    assert!(!f.values.is_empty(), "{f:?}");
    let f = finding(&a, "rise");
    assert_eq!(
        f.values["current"],
        Value::Current(Current::from_ampere(40.0))
    );
    assert!(matches!(f.values["measured"], Value::Difference(d) if (d.kelvin() - 8.0).abs() < 0.1));
    assert!(
        matches!(f.values["temperature"], Value::Temperature(t) if (t.celsius() - 28.0).abs() < 0.1)
    );
    // A meter of 5 % and no least step: 5 %/√3 of each of two drops.
    let mut visit = plain([8.0, 8.0]);
    visit.instruments.push(Instrument {
        accuracy: Some(Accuracy {
            of_reading: Some(Percentage::from_fraction(0.05)),
            at_least: None,
        }),
        ..instrument("meter", InstrumentKind::Multimeter)
    });
    for (i, drop) in [0.030, 0.010].into_iter().enumerate() {
        heat(&mut visit).rounds[2].readings[i].1.drop = Some(Voltage::from_volt(drop));
    }
    let u = finding(&judged(&visit), "contact-resistance")
        .uncertainty
        .unwrap();
    let by_hand = 2.0 * 3.0 * (0.05 / 3.0_f64.sqrt()) * 2.0_f64.sqrt();
    assert!((u - by_hand).abs() < 1e-9, "{u} {by_hand}");
}

#[test]
fn a_hotter_last_reading_lowers_no_rise_that_the_rounds_told() {
    // Under a current that rose, a hotter last reading makes the fitted time constant shorter, and
    // the fitted rise with it: at 0.5 K of accuracy 72 K for a last reading of 30 K, 67 K for 31.
    for (accuracy, second) in [(0.5, 8.0), (0.5, 10.0), (2.0, 12.0)] {
        let mut before = 0.0;
        let mut told = 0;
        for last in 20..46 {
            let mut visit = plain([8.0, 8.0]);
            visit.instruments[0].accuracy = within(accuracy);
            let last = f64::from(last);
            rounds(
                &mut visit,
                &[(9.0, 0.0, 0.0), (30.0, 16.4, second), (36.0, 38.0, last)],
            );
            let a = judged(&visit);
            let c = &a.circuits[0].connections[0];
            let rise = c.rise_at_rated.unwrap().value.kelvin();
            assert!(
                rise >= before - 1e-6,
                "{accuracy} {second}: {rise} at {last}"
            );
            before = rise;
            told += u32::from(c.settled.is_some_and(|s| s.how.is_settled()));
        }
        assert!(told > 1, "{told}");
    }
}
