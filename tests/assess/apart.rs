//! What is said of each connection apart, and of a circuit whose charger was set to another current.

use crate::assess_common::*;
use warmlug::assess::{Assessment, CheckResult, Earlier, Outcome, Value, assess};
use warmlug::quantity::{Current, Length, Ratio, Voltage};
use warmlug::rules::built_in;
use warmlug::visit::*;
use warmlug::vocabulary::{CheckId, Word};

/// Findings of an id: connections, grade of the rule set, grade that counts.
fn told<'a>(a: &'a Assessment, id: &str) -> Vec<(&'a [String], Grade, Grade)> {
    a.checks
        .iter()
        .filter(|f| f.id == id)
        .map(|f| (&f.connections[..], f.grade, f.effective_grade()))
        .collect()
}

fn on(finding: &str, connection: &str, grade: Grade) -> Judgement {
    Judgement {
        finding: warmlug::vocabulary::Cause::of(finding).unwrap(),
        circuit: None,
        place: None,
        connection: Some(connection.to_owned()),
        seen: None,
        grade,
        because: "measured again with another thermometer".to_owned(),
    }
}

fn first<'a>(a: &'a Assessment, id: &str) -> Option<&'a CheckResult> {
    let id = CheckId::of(id).unwrap();
    a.checks.iter().find(|f| f.id == id)
}

#[test]
fn each_leg_in_a_worse_band_has_a_finding_of_its_own() {
    let mut visit = breaker_alone([45.0, 25.0]);
    visit.circuits[0].hottest_air = Some(celsius(0.0));
    let a = judged(&visit);
    let (hot, warm) = (["breaker-L1".to_owned()], ["breaker-L2".to_owned()]);
    assert_eq!(
        told(&a, "rise"),
        [
            (&hot[..], Grade::Repair, Grade::Repair),
            (&warm[..], Grade::Watch, Grade::Watch)
        ]
    );
    // 75 °C in air of 40 °C: both have less than nothing left.
    let a = judged(&breaker_alone([45.0, 44.0]));
    assert_eq!(
        told(&a, "projected-heat"),
        [
            (&hot[..], Grade::Repair, Grade::Repair),
            (&warm[..], Grade::Repair, Grade::Repair)
        ]
    );
    // Both over their rating.
    let a = judged(&breaker_alone([62.0, 60.0]));
    assert_eq!(
        told(&a, "over-rating")
            .iter()
            .map(|f| f.0)
            .collect::<Vec<_>>(),
        [&hot[..], &warm[..]]
    );
    // In order, one finding covers both.
    let a = judged(&breaker_alone([8.0, 7.0]));
    assert_eq!(told(&a, "rise").len(), 1);
    assert_eq!(told(&a, "rise")[0].0.len(), 2);
    // One in order beside one that is not has no finding.
    let a = judged(&breaker_alone([25.0, 7.0]));
    assert_eq!(told(&a, "rise").len(), 1);
    assert_eq!(told(&a, "rise")[0].0, hot);
}

#[test]
fn a_judgement_on_one_connection_is_for_no_other() {
    for (rises, id) in [([45.0, 44.0], "projected-heat"), ([25.0, 24.0], "rise")] {
        let mut visit = breaker_alone(rises);
        let before = judged(&visit);
        let grade = told(&before, id)[0].1;
        visit.judgement = vec![on(id, "breaker-L2", Grade::Note)];
        let a = judged(&visit);
        let told = told(&a, id);
        assert_eq!(told.len(), 2, "{id}");
        for (connections, of_rules, counts) in told {
            assert_eq!(of_rules, grade, "{id}");
            let wanted = if connections == ["breaker-L2"] {
                Grade::Note
            } else {
                grade
            };
            assert_eq!(counts, wanted, "{id} {connections:?}");
        }
        assert_eq!(a.outcome, before.outcome, "{id}");
        assert!(!a.limitations.iter().any(|l| l.id == "judgement-unmatched"));
    }
    // Circuit and place, where they are named, say which connection is meant.
    let parted = |circuit: Option<&str>, place: Option<&str>| {
        let mut visit = breaker_alone([25.0, 24.0]);
        visit.judgement = vec![Judgement {
            circuit: circuit.map(str::to_owned),
            place: place.map(str::to_owned),
            ..on("rise", "breaker-L2", Grade::Note)
        }];
        told(&judged(&visit), "rise")
            .iter()
            .any(|f| f.2 == Grade::Note)
    };
    assert!(parted(Some("bay-1"), Some("breaker")));
    assert!(parted(Some("bay-1"), None) && parted(None, Some("breaker")));
    assert!(!parted(Some("bay-2"), None) && !parted(None, Some("charger")));
    // One in order, judged worse, is listed separately with its own value.
    let mut visit = breaker_alone([8.0, 7.0]);
    visit.judgement = vec![on("rise", "breaker-L2", Grade::Watch)];
    let a = judged(&visit);
    let f = first(&a, "rise").unwrap();
    assert_eq!(f.connections, ["breaker-L2"]);
    assert!((f.value.unwrap() - 7.0).abs() < 1e-6);
    assert_eq!(f.effective_grade(), Grade::Watch);
    // Warm without load, and still climbing.
    let mut visit = breaker_alone([8.0, 8.0]);
    set(&mut visit, 0, 0, 40.0);
    set(&mut visit, 0, 1, 38.0);
    assert_eq!(told(&judged(&visit), "hot-without-load").len(), 1);
    visit.judgement = vec![on("hot-without-load", "breaker-L1", Grade::Note)];
    let a = judged(&visit);
    let grade = built_in("us").unwrap().thermal.hot_without_load.value;
    let left = told(&a, "hot-without-load");
    assert_eq!(left.len(), 2);
    assert!(left.contains(&(&["breaker-L2".to_owned()][..], grade, grade)));
}

/// The same visit on an earlier day, with a charger of a rated current.
fn then(rises: [f64; 2], rated: f64, months: u32) -> Visit {
    let mut visit = rated_at(rises, rated);
    visit.number = format!("before-{months}");
    visit.date = visit
        .date
        .checked_sub_months(chrono::Months::new(months))
        .unwrap();
    visit
}

fn rated_at(rises: [f64; 2], rated: f64) -> Visit {
    let mut visit = plain(rises);
    visit.circuits[0].charger.rated_current = Current::from_ampere(rated);
    current(&mut visit, rated);
    visit.instruments[0].accuracy = within(0.05);
    visit
}

fn against(visit: &Visit, before: &[Visit]) -> Assessment {
    let earlier: Vec<Earlier> = before.iter().map(|b| Earlier::new(b, &judged(b))).collect();
    assess(visit, built_in("us").unwrap(), &earlier)
}

/// ΔT ∝ Iⁿ with n from 1.6 to 2 equally likely: at half the current the mean share of the heat is
/// (0.25 − 0.329877)/(0.4·ln 0.5) = 0.288095, at twice the current (4 − 3.0314)/(0.4·ln 2) = 3.49337.
#[test]
fn an_earlier_rise_is_brought_to_the_current_rated_now() {
    // 12 K at 40 A would be 3.4571 K at 20 A: 12 K there is a much worse joint.
    let a = against(
        &rated_at([12.0, 12.0], 20.0),
        &[then([12.0, 12.0], 40.0, 12)],
    );
    let f = first(&a, "worse-than-before").unwrap();
    assert!((f.value.unwrap() - 8.54286).abs() < 1e-4, "{f:?}");
    assert!(f.grade >= Grade::Watch);
    assert!(
        matches!(f.values["then"], Value::Difference(d) if (d.kelvin() - 3.45714).abs() < 1e-4)
    );
    // 2.8626 K at 20 A and 10 K at 40 A are the same joint.
    let a = against(
        &rated_at([10.0, 10.0], 40.0),
        &[then([10.0 / 3.493_366_539_400_644; 2], 20.0, 12)],
    );
    let f = first(&a, "worse-than-before").unwrap();
    assert!(f.value.unwrap().abs() < 1e-6, "{f:?}");
    assert_eq!(f.grade, Grade::Pass);
}

#[test]
fn in_order_the_change_since_the_latest_visit_is_told() {
    let before = [then([7.7, 7.7], 40.0, 24), then([8.0, 8.0], 40.0, 12)];
    let a = against(&rated_at([8.0, 8.0], 40.0), &before);
    let f = first(&a, "worse-than-before").unwrap();
    assert_eq!(f.grade, Grade::Pass);
    assert_eq!(f.values["earlier"], Value::Text("before-12".to_owned()));
}

#[test]
fn the_largest_change_of_a_grade_is_told() {
    let before = [
        then([8.0, 8.0], 40.0, 36),
        then([10.0, 10.0], 40.0, 24),
        then([12.0, 12.0], 40.0, 12),
    ];
    let a = against(&rated_at([14.5, 14.5], 40.0), &before);
    let f = first(&a, "worse-than-before").unwrap();
    assert_eq!(f.values["earlier"], Value::Text("before-36".to_owned()));
    assert!((f.value.unwrap() - 6.5).abs() < 1e-6);
}

/// A circuit with a drop, millivolt, at each leg in the last round.
fn dropping(millivolts: [f64; 2]) -> Visit {
    let mut visit = plain([8.0, 8.0]);
    let last = heat(&mut visit).rounds.last_mut().unwrap();
    for ((_, reading), mv) in last.readings.iter_mut().zip(millivolts) {
        reading.drop = Some(Voltage::from_volt(mv / 1e3));
    }
    visit
}

/// 22.5 mV at most for a clamp (IEC 60999-1, from memory); ten times as much is our choice.
#[test]
fn every_drop_too_large_for_a_clamp_is_told() {
    let grades = |mv| {
        told(&judged(&dropping(mv)), "contact-drop")
            .iter()
            .map(|f| (f.0[0].clone(), f.1))
            .collect::<Vec<_>>()
    };
    assert_eq!(grades([15.0, 15.0]), []);
    let (l1, l2) = ("breaker-L1".to_owned(), "breaker-L2".to_owned());
    assert_eq!(
        grades([30.0, 31.0]),
        [(l2.clone(), Grade::Watch), (l1.clone(), Grade::Watch)]
    );
    assert_eq!(grades([9000.0, 5.0]), [(l1.clone(), Grade::Repair)]);
    let a = judged(&dropping([9000.0, 5.0]));
    assert_eq!(a.outcome, Outcome::Unsatisfactory);
    assert_eq!(first(&a, "contact-drop").unwrap().limit, Some(22.5));
    // A judgement lifts the one it names.
    let mut visit = dropping([60.0, 59.0]);
    visit.judgement = vec![on("contact-drop", "breaker-L1", Grade::Note)];
    let a = judged(&visit);
    assert!(told(&a, "contact-drop").contains(&(&[l2][..], Grade::Watch, Grade::Watch)));
}

#[test]
fn the_accuracy_of_a_meter_is_taken_as_told() {
    let of = |accuracy: Option<Accuracy>| {
        let mut visit = dropping([30.0, 30.0]);
        let mut meter = instrument("meter", InstrumentKind::Multimeter);
        meter.accuracy = accuracy;
        visit.instruments.push(meter);
        let a = judged(&visit);
        first(&a, "contact-drop").unwrap().uncertainty.unwrap()
    };
    let fine = of(Some(Accuracy {
        of_reading: None,
        at_least: Some(HalfWidth::Voltage(Voltage::from_volt(0.000_01))),
    }));
    let coarse = of(Some(Accuracy {
        of_reading: None,
        at_least: Some(HalfWidth::Voltage(Voltage::from_volt(0.000_05))),
    }));
    assert!(fine < coarse, "{fine} {coarse}");
}

/// NFPA 70 (2023), 110.14 (from memory): a terminal is for the metals it is marked for.
#[test]
fn copper_under_a_terminal_for_aluminium_alone() {
    let of = |marked| {
        let mut visit = plain([8.0, 8.0]);
        visit.circuits[0].places[0].connections[0].marked = marked;
        judged(&visit)
    };
    for marked in [None, Some(MarkedFor::Copper), Some(MarkedFor::Both)] {
        let a = of(marked);
        assert!(first(&a, "copper-termination").is_none(), "{marked:?}");
        assert_eq!(a.outcome, Outcome::Satisfactory);
    }
    let a = of(Some(MarkedFor::Aluminium));
    assert_eq!(
        first(&a, "copper-termination").unwrap().grade,
        Grade::Repair
    );
}

#[test]
fn a_spot_of_which_half_is_told_is_named() {
    let of = |width: bool, distance: bool, optics: bool| {
        let mut visit = plain([8.0, 8.0]);
        visit.instruments[0].distance_to_spot = optics.then(|| Ratio::from_value(12.0));
        for c in visit.circuits[0]
            .places
            .iter_mut()
            .flat_map(|p| &mut p.connections)
        {
            c.width = width.then(|| Length::from_metre(0.02));
        }
        for r in &mut heat(&mut visit).rounds {
            for (_, reading) in &mut r.readings {
                reading.distance = distance.then(|| Length::from_metre(0.1));
            }
        }
        let a = judged(&visit);
        assert!(a.complete);
        a.limitations
            .iter()
            .filter(|l| l.id == "spot-not-told")
            .flat_map(|l| l.connections.clone())
            .filter(|id| id.starts_with("breaker"))
            .collect::<Vec<_>>()
    };
    for (width, distance, optics) in [
        (true, true, true),
        (false, false, true),
        (true, false, false),
    ] {
        assert!(of(width, distance, optics).is_empty());
    }
    for (width, distance) in [(true, false), (false, true)] {
        assert_eq!(
            of(width, distance, true),
            ["breaker-L1", "breaker-L2"],
            "{width} {distance}"
        );
    }
}

/// NFPA 70 (2023), 625.54 and 110.14: without them a clean bill would be a guess.
#[test]
fn protection_that_cannot_be_told_is_no_clean_bill() {
    let open = |change: fn(&mut Circuit)| {
        let mut visit = plain([8.0, 8.0]);
        change(&mut visit.circuits[0]);
        let a = judged(&visit);
        let rules: Vec<String> = a
            .limitations
            .iter()
            .filter(|l| l.id == "cannot-tell" && l.incomplete)
            .map(|l| match &l.values["rule"] {
                Value::Text(rule) => rule.clone(),
                other => panic!("{other:?}"),
            })
            .collect();
        assert_eq!(a.complete, rules.is_empty());
        rules
    };
    assert!(open(|_| ()).is_empty());
    let plugged = open(|c| {
        c.charger.connection = ChargerConnection::Receptacle;
        c.breaker.ground_fault = GroundFault::Unknown;
    });
    assert_eq!(
        plugged,
        [
            "receptacle-configuration",
            "receptacle-rating",
            "receptacle-grade",
            "ground-fault"
        ]
    );
    let aluminium = open(|c| {
        c.conductors.material = Material::Aluminium;
        c.conductors.size = warmlug::quantity::ConductorSize::Awg(2);
    });
    assert_eq!(aluminium, ["aluminium-termination"]);
    // 110.14(C)(1): at 80 A the terminals decide whether 4 AWG (70 A at 60 °C, 85 A at 75 °C) is
    // large enough, at 40 A it is for either.
    fn terminals(c: &mut Circuit, rated: f64, breaker: f64) {
        c.charger.rated_current = Current::from_ampere(rated);
        c.breaker.rating = Current::from_ampere(breaker);
        c.breaker.terminal_rating = None;
        c.conductors.size = warmlug::quantity::ConductorSize::Awg(4);
        c.disconnect = Some(Disconnect {
            kind: Some(Disconnector::Breaker),
            in_sight: Some(true),
            lockable: Some(true),
            plaque: None,
        });
    }
    let large = open(|c| terminals(c, 64.0, 80.0));
    assert_eq!(large, ["conductor-continuous", "conductor-protection"]);
    assert!(open(|c| terminals(c, 32.0, 40.0)).is_empty());
    // 625.43: above 60 A a disconnect that can be locked, in sight.
    let switch = open(|c| {
        terminals(c, 64.0, 80.0);
        c.breaker.terminal_rating = Some(warmlug::quantity::Temperature::from_celsius(75.0));
        c.disconnect = None;
    });
    assert_eq!(switch, ["disconnect"]);
    // 310.15(C)(1): a conduit may hold other circuits, a cable holds its own conductors alone.
    let conduit = open(|c| c.conductors.current_carrying = None);
    assert_eq!(conduit, ["conductor-ampacity", "conductor-protection"]);
    let cable = open(|c| {
        c.conductors.current_carrying = None;
        c.conductors.wiring = Some(Wiring::Cable);
    });
    assert!(cable.is_empty());
}

/// Reference: the band integral solved by scipy 1.17.1 (quad, brentq), 8–14 µm: shown 38 °C at
/// ε_s 0.95, surface 0.90 and 0.80, sky −30 °C, air 25 °C: 42.708 °C and 49.058 °C.
#[test]
fn a_thermometer_whose_setting_is_not_told_reckons_with_the_air() {
    for (emissivity, expected) in [(0.90, 42.707_507_86), (0.80, 49.057_884_86)] {
        let mut visit = plain([8.0, 8.0]);
        visit.instruments[0].emissivity = Some(Ratio::from_value(0.95));
        for c in &mut visit.circuits[0].places[0].connections {
            c.emissivity = Some(Ratio::from_value(emissivity));
        }
        for r in &mut heat(&mut visit).rounds {
            r.air = Some(celsius(25.0));
        }
        set(&mut visit, 2, 0, 38.0);
        heat(&mut visit).rounds[2].readings[0].1.reflected = Some(celsius(-30.0));
        let a = judged(&visit);
        let found = a.circuits[0].connections[0].rounds[2].temperature.celsius();
        assert!((found - expected).abs() < 2e-6, "{found} {expected}");
    }
}

/// No grade turns on the last places of a number: from 4 K is a watch, over 15 K a repair.
#[test]
fn a_value_on_an_edge_is_on_it_whatever_its_last_places() {
    let bands = &built_in("us").unwrap().thermal.leg_difference;
    let grade = |value: f64| bands.grade(value).0;
    assert_eq!(
        [4.0 - 1e-9, 4.0, 15.0, 15.0 + 1e-9].map(grade),
        [Grade::Watch; 4]
    );
    assert_eq!(grade(3.999), Grade::Note);
    assert_eq!(grade(15.001), Grade::Repair);
}

/// NFPA 70 (2023), 240.15(B), and IEC 60364-4-43, 431.1 (from memory): every line is opened.
#[test]
fn a_breaker_that_leaves_a_line_live() {
    for rules in ["us", "iec"] {
        let of = |legs: &[&str], poles| {
            let mut visit = plain([8.0, 8.0]);
            visit.circuits[0].supply.legs = legs.iter().map(|l| (*l).to_owned()).collect();
            visit.circuits[0].breaker.poles = poles;
            let a = assess(&visit, built_in(rules).unwrap(), &[]);
            let found = first(&a, "breaker-poles");
            found.map(|f| (f.grade, f.value, f.limit))
        };
        for (legs, poles) in [
            (&["L1", "L2"][..], Some(2)),
            (&["L1", "L2"], Some(3)),
            (&["L1", "L2"], None),
            (&["L1", "N"], Some(1)),
            (&["L1", "L2", "L3", "N"], Some(3)),
            (&["L1", "L2", "L3", "N"], Some(4)),
        ] {
            assert_eq!(of(legs, poles), None, "{rules} {legs:?} {poles:?}");
        }
        for (legs, poles, lines) in [
            (&["L1", "L2"][..], 1, 2.0),
            (&["L1", "L2", "L3"], 2, 3.0),
            (&["L1", "L2", "L3", "N"], 1, 3.0),
        ] {
            assert_eq!(
                of(legs, Some(poles)),
                Some((Grade::Repair, Some(f64::from(poles)), Some(lines))),
                "{rules} {legs:?}"
            );
        }
    }
}

/// A first loaded round at 5 A of 40 A.
fn with_a_round_of_little_load(little: [f64; 2], full: [f64; 2]) -> Visit {
    let mut visit = plain(full);
    visit.instruments[0].accuracy = within(0.05);
    heat(&mut visit).rounds[1].current = Current::from_ampere(5.0);
    for (i, rise) in little.into_iter().enumerate() {
        set(&mut visit, 1, i, 20.0 + rise);
    }
    visit
}

#[test]
fn a_connection_read_under_little_load_alone_is_graded_by_itself() {
    // L1 was read at 5 A only, where 30 K of 40 A would be more than a thousand.
    let of = |other: f64| {
        let mut visit = with_a_round_of_little_load([30.0, 2.0], [8.0, other]);
        heat(&mut visit).rounds[2].readings.remove(0);
        let a = judged(&visit);
        a.checks
            .iter()
            .filter(|f| f.id == "rise" && f.place.as_deref() == Some("breaker"))
            .map(|f| (f.connections[0].clone(), f.grade, f.variant))
            .collect::<Vec<_>>()
    };
    let hot = ("breaker-L1".to_owned(), Grade::Repair, None);
    assert_eq!(of(8.0), std::slice::from_ref(&hot));
    assert_eq!(
        of(25.0),
        [hot, ("breaker-L2".to_owned(), Grade::Watch, None)]
    );
}

#[test]
fn a_difference_seen_before_full_load_does_not_count() {
    let of = |little: [f64; 2], full: [f64; 2]| {
        let a = judged(&with_a_round_of_little_load(little, full));
        let f = first(&a, "leg-difference").unwrap();
        (f.grade, f.value.unwrap().round())
    };
    // 20 K at full load, 6 K seen with little load; 5 K and 6 K, both watched.
    let full = |rises: [f64; 2]| {
        let f = judged(&with_a_round_of_little_load([2.0, 2.0], rises));
        first(&f, "leg-difference").unwrap().value.unwrap().round()
    };
    assert_eq!(
        of([8.0, 2.0], [28.0, 8.0]),
        (Grade::Repair, full([28.0, 8.0]))
    );
    assert_eq!(
        of([8.0, 2.0], [13.0, 8.0]),
        (Grade::Watch, full([13.0, 8.0]))
    );
    assert_ne!(full([13.0, 8.0]), 6.0);
}
