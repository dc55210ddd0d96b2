//! What holds for every valid visit.

use crate::assess_common::{celsius, visit};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use warmlug::assess::explain::{explain, explain_circuit};
use warmlug::assess::{Assessment, Charging, CheckResult, Earlier, Limitation, assess, outcome};
use warmlug::quantity::Current;
use warmlug::rules::{Bands, Rules, built_in};
use warmlug::visit::{Circuit, Grade, Visit};
use warmlug::vocabulary::{CheckId, LimitationId};

fn us() -> &'static Rules {
    built_in("us").unwrap()
}

fn bytes() -> impl Strategy<Value = Vec<u8>> {
    prop::collection::vec(any::<u8>(), 0..1500)
}

/// An earlier visit to the same site, on a day before.
fn before(bytes: &[u8], years: i32) -> Earlier {
    let mut visit = visit(bytes);
    visit.number = format!("earlier-{years}");
    visit.date = visit
        .date
        .checked_sub_months(chrono::Months::new(12 * years as u32))
        .unwrap();
    Earlier::new(&visit, &assess(&visit, us(), &[]))
}

/// Grade of a finding at a place; the mildest where there is none.
fn grade(a: &Assessment, circuit: &str, place: Option<&str>, id: &str) -> Grade {
    a.checks
        .iter()
        .filter(|f| {
            f.id == id
                && f.circuit.as_deref() == Some(circuit)
                && (place.is_none() || f.place.as_deref() == place)
        })
        .map(|f| f.grade)
        .max()
        .unwrap_or(Grade::Pass)
}

/// Worst grade of the findings of one kind on one connection; the mildest where there is none.
fn own_grade(a: &Assessment, circuit: &str, connection: &str, id: &str) -> Grade {
    let of = a.checks.iter().filter(|f| f.id == id);
    let own = of.filter(|f| f.circuit.as_deref() == Some(circuit));
    own.filter(|f| f.connections.iter().any(|c| c == connection))
        .map(|f| f.grade)
        .max()
        .unwrap_or(Grade::Pass)
}

fn judged(circuit: &Circuit, round: usize) -> bool {
    let r = &circuit.heat.as_ref().unwrap().rounds[round];
    r.current.ampere() > 0.0
        && r.current.ampere()
            >= us().thermal.least_load_fraction.value * circuit.charger.rated_current.ampere()
}

/// A connection in a few lines.
fn short(c: &warmlug::assess::ConnectionAssessment) -> String {
    let rounds: Vec<String> = c
        .rounds
        .iter()
        .filter(|r| r.trusted)
        .map(|r| {
            format!(
                "{:?} min {:.1} A air {:?} rise {:?} U {:?}",
                r.minutes,
                r.current.ampere(),
                r.air.map(|t| t.celsius()),
                r.rise.map(|e| e.value.kelvin()),
                r.rise.map(|e| e.expanded.kelvin())
            )
        })
        .collect();
    format!(
        "{rounds:#?} {:?} {:?} {:?}",
        c.settled, c.rise_at_rated, c.rated_by
    )
}

fn bands(id: &str) -> Option<&'static Bands> {
    let t = &us().thermal;
    Some(match id {
        "rise" => &t.rise,
        "projected-heat" => &t.projected_margin,
        "leg-difference" => &t.leg_difference,
        "worse-than-before" => &t.worse_than_before,
        "contact-resistance" => &t.contact_resistance,
        _ => return None,
    })
}

fn numbers_make_sense(f: &CheckResult) {
    for x in [f.value, f.limit, f.uncertainty].into_iter().flatten() {
        assert!(x.is_finite(), "{f:?}");
    }
    assert!(f.uncertainty.is_none_or(|u| u >= 0.0), "{f:?}");
    assert!(
        f.probability_over.is_none_or(|p| (0.0..=1.0).contains(&p)),
        "{f:?}"
    );
    let Some(bands) = bands(f.id.word()) else {
        return;
    };
    let Some(value) = f.value else { return };
    let value = if f.id == "projected-heat" {
        -value
    } else {
        value
    };
    let by_value = bands.grade(value).0;
    match f.id {
        CheckId::Rise | CheckId::ProjectedHeat => assert_eq!(f.grade, by_value, "{f:?}"),
        // These may be milder where the difference does not exceed its uncertainty.
        _ => assert!(f.grade <= by_value, "{f:?}"),
    }
}

/// Each check that is not in order belongs to one finding, and to no second one; a finding is as bad
/// as its worst check, and a `stop` or a poor joint to be repaired forbids charging.
fn every_check_has_one_finding(a: &Assessment) {
    for (i, check) in a.checks.iter().enumerate() {
        let of = a
            .findings
            .iter()
            .filter(|f| f.evidence.contains(&i))
            .count();
        let open = check.grade.max(check.effective_grade()) > Grade::Pass;
        assert_eq!(of, usize::from(open), "{check:?}");
    }
    for finding in &a.findings {
        let worst = finding
            .checks(&a.checks)
            .map(CheckResult::effective_grade)
            .max();
        let judged = finding.judgement.is_some();
        assert!(judged || Some(finding.grade) >= worst, "{finding:?}");
        let more = judged || finding.combined.is_some();
        assert!(more || Some(finding.grade) == worst, "{finding:?}");
        let stopped = worst == Some(Grade::Stop);
        assert!(!stopped || finding.grade == Grade::Stop, "{finding:?}");
        let forbidden = finding.charging == Charging::NotAtAll;
        assert!(forbidden || finding.grade < Grade::Stop, "{finding:?}");
        let poor = finding.cause == "poor-joint" && finding.grade >= Grade::Repair;
        assert!(forbidden || !poor, "{finding:?}");
        // Whatever is to be done to a circuit that must not be used is done before it is used again.
        let own = a
            .circuits
            .iter()
            .find(|c| Some(&c.id) == finding.circuit.as_ref());
        let stopped = own.is_some_and(|c| c.charging == Charging::NotAtAll);
        assert!(
            (forbidden || stopped) == finding.deadline.is_none(),
            "{finding:?}"
        );
        assert!(a.charging.stricter(finding.charging) == a.charging);
        if let Charging::AtMost(current) = finding.charging {
            assert!(current.ampere() >= 6.0, "{finding:?}");
        }
    }
    assert!(a.findings.is_sorted_by_key(|f| std::cmp::Reverse(f.grade)));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, rng_seed: RngSeed::Fixed(2026), max_global_rejects: 100_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_valid_visit_is_judged_without_a_panic(now in bytes(), then in bytes(), long_ago in bytes()) {
        let visit = visit(&now);
        let earlier = [before(&then, 1), before(&long_ago, 2), before(&now, 3)];
        let a = assess(&visit, us(), &earlier);
        prop_assert_eq!(&a, &assess(&visit, us(), &earlier), "the same again");
        let worst = a.checks.iter().map(CheckResult::effective_grade).max().unwrap_or(Grade::Pass);
        prop_assert!(worst != Grade::Stop || a.worst() == Grade::Stop);
        prop_assert_eq!(a.outcome, outcome(a.worst()));
        prop_assert_eq!(a.complete, !a.limitations.iter().any(|l| l.incomplete));
        prop_assert!(a.checks.is_sorted_by_key(|f| std::cmp::Reverse(f.effective_grade())));
        prop_assert_eq!(a.next_due.date.is_none(), a.charging == Charging::NotAtAll);
        every_check_has_one_finding(&a);
        prop_assert!(a.next_due.date.is_none_or(|d| d > visit.date));
        a.checks.iter().for_each(numbers_make_sense);
        for (circuit, assessed) in visit.circuits.iter().zip(&a.circuits) {
            prop_assert_eq!(assessed.connections.len(), circuit.connections().count());
            for c in &assessed.connections {
                prop_assert!(c.rise_at_rated.is_none_or(|r| r.value.kelvin().is_finite() && r.expanded.kelvin() > 0.0), "{c:?}");
                prop_assert!(c.measured_at_rated.is_none_or(|m| c.rise_at_rated.unwrap().value >= m.value));
            }
        }
    }

    /// Every number that is explained is the one that the assessment has.
    #[test]
    fn explanations_end_in_the_assessments_numbers(now in bytes(), then in bytes()) {
        let visit = visit(&now);
        let earlier = [before(&then, 1)];
        let a = assess(&visit, us(), &earlier);
        for (circuit, assessed) in visit.circuits.iter().zip(&a.circuits) {
            let checks = explain_circuit(&visit, us(), &circuit.id).unwrap();
            prop_assert_eq!(checks.steps.len(), assessed.checks.len());
            for (step, check) in checks.steps.iter().zip(&assessed.checks) {
                prop_assert_eq!(check.rule, step.id);
                prop_assert!(!step.formula.is_empty() && step.inputs.iter().all(|i| !i.name.is_empty()), "{:?}", step);
                let found: Vec<f64> = step.results.iter().map(|r| r.value).collect();
                let wanted: Vec<f64> = check.value.into_iter().chain(check.limit).collect();
                prop_assert_eq!(found, wanted);
            }
            for c in &assessed.connections {
                let e = explain(&visit, us(), &earlier, &circuit.id, &c.id).unwrap();
                let result = |id: &str| e.steps.iter().find(|s| s.id == id).map(|s| s.results[0].value);
                let expanded = |id: &str| e.steps.iter().find(|s| s.id == id).and_then(|s| Some(s.uncertainty.as_ref()?.expanded));
                prop_assert_eq!(result("rise-at-rated"), c.rise_at_rated.map(|r| r.value.kelvin()));
                prop_assert_eq!(expanded("rise-at-rated"), c.rise_at_rated.map(|r| r.expanded.kelvin()));
                prop_assert_eq!(result("projected"), c.projected.map(|t| t.celsius()));
                prop_assert_eq!(result("settled"), c.settled.map(|s| s.rise.value.kelvin()));
                prop_assert_eq!(result("measured-at-rated"), c.measured_at_rated.map(|r| r.value.kelvin()));
                let rises: Vec<f64> = e.steps.iter().filter(|s| s.id == "rise").map(|s| s.results[0].value).collect();
                let found: Vec<f64> = c.rounds.iter().filter(|r| r.trusted).filter_map(|r| Some(r.rise?.value.kelvin())).collect();
                prop_assert_eq!(rises, found);
                for step in &e.steps {
                    for i in step.inputs.iter().chain(&step.results) {
                        prop_assert!(i.value.is_finite(), "{:?}", step);
                    }
                    if let Some(u) = &step.uncertainty {
                        let sum: f64 = u.shares.iter().map(|s| s.share).sum();
                        prop_assert!(u.shares.is_empty() || u.standard == 0.0 || (sum - 1.0).abs() < 1e-9, "{:?}", step);
                        prop_assert!((u.expanded - u.coverage * u.standard).abs() <= 1e-9 * u.expanded.abs().max(1.0), "{:?}", step);
                    }
                }
            }
        }
    }

    /// The order in which readings and instruments are written down says nothing.
    #[test]
    fn order_in_the_file_says_nothing(now in bytes(), then in bytes(), turn in 0usize..7) {
        let visit = visit(&now);
        let earlier = [before(&then, 1), before(&then, 2), before(&now, 3)];
        let a = assess(&visit, us(), &earlier);

        let mut turned = visit.clone();
        for c in &mut turned.circuits {
            for r in c.heat.iter_mut().flat_map(|h| &mut h.rounds) {
                let n = r.readings.len().max(1);
                r.readings.rotate_left(turn % n);
            }
        }
        let mut earlier_turned = earlier.to_vec();
        earlier_turned.rotate_left(turn % 3);
        prop_assert_eq!(&a, &assess(&turned, us(), &earlier_turned));

        turned.instruments.reverse();
        let mut b = assess(&turned, us(), &earlier);
        let mut a = a;
        let by = |a: &mut Assessment| {
            a.checks.sort_by_cached_key(|f| format!("{f:?}"));
            a.limitations.sort_by_cached_key(|l| format!("{l:?}"));
        };
        by(&mut a);
        by(&mut b);
        prop_assert_eq!(a, b);
    }

    /// What is printed, and in which units, changes nothing of what is found.
    #[test]
    fn units_of_the_print_say_nothing(now in bytes()) {
        let visit = visit(&now);
        let mut other = visit.clone();
        other.print.units = warmlug::visit::Units::Si;
        prop_assert_eq!(assess(&visit, us(), &[]), assess(&other, us(), &[]));
    }

    /// A hotter last reading under load never improves a grade: of the rise, the projected
    /// temperature, a surface over its rating; nor of the leg difference, where the reading was
    /// the hottest of its place.
    ///
    /// The last judged round of the connection, read once, is raised. Earlier readings are not
    /// covered, and rightly: hotter after a quarter of an hour and no hotter after an hour is a
    /// connection that is nearer to settled. Neither is a reading that is not the hottest, whose
    /// rise closes the gap between legs.
    /// Nor is a round that is asked about as a whole: it counts as the hotter of its two meanings until it
    /// is confirmed, and one plausible reading in it makes the other meaning unlikely.
    #[test]
    fn no_grade_improves_when_the_last_reading_rises(now in bytes(), which in 0usize..40, by in 0.01f64..40.0) {
        let cold = visit(&now);
        let a = assess(&cold, us(), &[]);
        let whole = |l: &Limitation| l.id == LimitationId::ReadingsInDoubt;
        prop_assume!(!a.limitations.iter().any(whole));
        let targets: Vec<(usize, usize, usize)> = cold
            .circuits
            .iter()
            .enumerate()
            .flat_map(|(i, circuit)| {
                let a = &a;
                a.circuits[i].connections.iter().enumerate().filter_map(move |(j, c)| {
                    let last = c.rounds.iter().rev().find(|r| r.trusted && r.rise.is_some() && judged(circuit, r.round))?;
                    Some((i, j, last.round))
                })
            })
            .collect();
        prop_assume!(!targets.is_empty());
        let (i, j, round) = targets[which % targets.len()];
        let circuit = &cold.circuits[i];
        let (place, connection) = circuit.connections().nth(j).unwrap();

        let mut hot = cold.clone();
        let readings = &mut hot.circuits[i].heat.as_mut().unwrap().rounds[round].readings;
        let reading = &mut readings.iter_mut().find(|(id, _)| *id == connection.id).unwrap().1;
        prop_assume!(reading.temperatures.len() == 1);
        reading.temperatures[0] = celsius(reading.temperatures[0].celsius() + by);
        let b = assess(&hot, us(), &[]);

        let p = Some(place.id.as_str());
        for id in ["rise", "projected-heat", "over-rating"] {
            let (was, is) = (grade(&a, &circuit.id, p, id), grade(&b, &circuit.id, p, id));
            prop_assert!(is >= was, "{} went from {:?} to {:?}: {} {}", id, was, is,
                short(&a.circuits[i].connections[j]), short(&b.circuits[i].connections[j]));
        }
        let rise = |a: &Assessment| a.circuits[i].connections[j].rise_at_rated.unwrap().value.kelvin();
        prop_assert!(rise(&b) >= rise(&a) - 1e-6 * rise(&a).abs().max(10.0), "{} {} {} {}", rise(&a), rise(&b),
            short(&a.circuits[i].connections[j]), short(&b.circuits[i].connections[j]));

        let temperature = |c: &warmlug::assess::ConnectionAssessment| {
            c.rounds.iter().find(|r| r.round == round && r.trusted).map(|r| r.temperature)
        };
        let hottest = place
            .connections
            .iter()
            .zip(a.circuits[i].connections.iter().skip_while(|c| c.place != place.id))
            .filter_map(|(_, c)| temperature(c))
            .all(|t| t <= temperature(&a.circuits[i].connections[j]).unwrap());
        if hottest {
            let id = "leg-difference";
            prop_assert!(grade(&b, &circuit.id, p, id) >= grade(&a, &circuit.id, p, id),
                "{:#?} {:#?}", &a.checks, &b.checks);
        }
    }

    /// The same readings at a higher current show less of a fault: whatever the factor by which the
    /// current was higher throughout, no connection gets a worse grade.
    #[test]
    fn no_grade_worsens_when_the_current_was_higher(now in bytes(), then in bytes(), factor in 1.001f64..6.0) {
        let low = visit(&now);
        let mut high = low.clone();
        for circuit in &mut high.circuits {
            for round in circuit.heat.iter_mut().flat_map(|h| &mut h.rounds) {
                let scaled = |a: Current| Current::from_ampere(factor * a.ampere());
                round.current = scaled(round.current);
                round.legs.iter_mut().for_each(|(_, a)| *a = scaled(*a));
            }
        }
        let earlier = [before(&then, 1)];
        let (a, b) = (assess(&low, us(), &earlier), assess(&high, us(), &earlier));
        for (circuit, assessed) in low.circuits.iter().zip(&a.circuits) {
            for c in &assessed.connections {
                for id in ["rise", "projected-heat", "over-rating", "leg-difference", "breaker-rise", "worse-than-before"] {
                    let of = |a: &Assessment| own_grade(a, &circuit.id, &c.id, id);
                    let other = b.circuits.iter().find(|x| x.id == circuit.id).unwrap();
                    let other = other.connections.iter().find(|x| x.id == c.id).unwrap();
                    prop_assert!(of(&b) <= of(&a), "{} of {} went from {:?} to {:?} by {}: {} {}", id, c.id,
                        of(&a), of(&b), factor, short(c), short(other));
                }
            }
        }
    }

    /// Against an earlier visit the measured rise alone is enough: where its change is beyond its
    /// uncertainty, the finding is no milder than the band of that change.
    #[test]
    fn a_measured_change_counts_whatever_the_curve_says(now in bytes(), then in bytes()) {
        let visit = visit(&now);
        let earlier = before(&then, 1);
        let a = assess(&visit, us(), std::slice::from_ref(&earlier));
        for f in a.checks.iter().filter(|f| f.id == "worse-than-before") {
            let id = &f.connections[0];
            let circuit = f.circuit.as_ref().unwrap();
            let c = a.circuits.iter().find(|c| c.id == *circuit).unwrap()
                .connections.iter().find(|c| c.id == *id).unwrap();
            let was = earlier.circuits.iter().find(|(c, _)| c == circuit).unwrap()
                .1.iter().find(|c| c.found.id == *id).unwrap();
            // By the heat that the same joint makes at the current rated now.
            let rated = visit.circuits.iter().find(|c| c.id == *circuit).unwrap().charger.rated_current;
            let factor = mean_factor(rated.ampere() / was.rated.ampere());
            let was = was.found.rise_at_rated.unwrap();
            let measured = c.measured_at_rated.unwrap();
            let change = measured.value.kelvin() - factor * was.value.kelvin();
            let u = measured.expanded.kelvin().hypot(factor * was.expanded.kelvin());
            if change > u {
                prop_assert!(f.grade >= us().thermal.worse_than_before.grade(change).0, "{f:?}");
            }
        }
    }
}

/// Mean of qⁿ over exponents from 1.6 to 2: (q² − q^1.6)/(0.4·ln q).
fn mean_factor(q: f64) -> f64 {
    if q == 1.0 {
        return 1.0;
    }
    (q.powi(2) - q.powf(1.6)) / (0.4 * q.ln())
}

/// The generator reaches what it is for: without this, a property could hold of nothing.
#[test]
fn the_generator_reaches_every_finding_and_limitation() {
    let mut ids = std::collections::BTreeSet::new();
    let mut hows = std::collections::BTreeSet::new();
    let mut state = 1u64;
    let mut next = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as u8
    };
    for _ in 0..2500 {
        let bytes: Vec<u8> = (0..1500).map(|_| next()).collect();
        let v: Visit = visit(&bytes);
        let stranger: Vec<u8> = bytes.iter().rev().copied().collect();
        let earlier = if bytes[0].is_multiple_of(2) {
            &bytes
        } else {
            &stranger
        };
        let a = assess(&v, us(), &[before(earlier, 1)]);
        ids.extend(a.checks.iter().map(|f| f.id.word()));
        ids.extend(a.limitations.iter().map(|l| l.id.word()));
        hows.extend(
            a.circuits
                .iter()
                .flat_map(|c| &c.connections)
                .filter_map(|c| Some(format!("{:?} {:?}", c.rated_by?, c.settled.map(|s| s.how)))),
        );
    }
    for id in [
        "rise",
        "projected-heat",
        "over-rating",
        "leg-difference",
        "worse-than-before",
        "still-climbing",
        "load-too-low",
        "spot-too-wide",
        "shiny-target",
        "hot-without-load",
        "contact-resistance",
        "calibration-overdue",
        "torque-held",
        "torque-moved",
        "torque-left-wrong",
        "torque-no-value",
        "isolation-proved",
        "isolation-not-dead",
        "condition",
        "pattern-one-leg-hot",
        "pattern-legs-hot-alike",
        "no-heat",
        "no-readings",
        "no-full-load-round",
        "no-long-round",
        "no-load-round-missing",
        "air-not-measured",
        "readings-missing",
        "isolation-not-proved",
        "torque-not-checked",
        "not-looked-at",
        "accuracy-assumed",
        "surface-not-told",
        "judgement-unmatched",
        "charging-start-not-told",
        "leg-not-inspected",
        "leg-not-compared",
        "nothing-to-compare",
        "reflection-too-strong",
        "colder-than-air",
    ] {
        assert!(ids.contains(id), "never made: {id}; made: {ids:?}");
    }
    for how in [
        "Settled Some(TwoRounds)",
        "Settled Some(LeastSquares)",
        "Measured Some(Measured)",
        "Measured Some(StillClimbing)",
        "LeastSettled Some(StillClimbing)",
        "Measured Some(TooUncertain)",
        "Measured Some(Contradictory)",
        "Measured Some(OneRound)",
        "Measured None",
    ] {
        assert!(hows.contains(how), "never made: {how}; made: {hows:?}");
    }
}
