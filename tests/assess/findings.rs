//! One cause is one finding, with one action and one deadline; whether charging may go on.

use crate::assess_common::{celsius, current, heat, judged, plain, reading, set, third_leg};
use chrono::{Months, NaiveDate};
use warmlug::assess::{Assessment, Charging, Earlier, Finding, assess};
use warmlug::compose::{Speaker, Wording};
use warmlug::quantity::{Current, Length, Torque};
use warmlug::rules::built_in;
use warmlug::visit::{
    ChargerConnection, Condition, Grade, Judgement, LookedAt, MarkedFor, Material, Receptacle,
    ReceptacleGrade, TorqueFound, Visit, When,
};
use warmlug::vocabulary::{Cause, CauseId, CheckId};

fn causes(a: &Assessment) -> Vec<(&str, Grade)> {
    a.findings
        .iter()
        .map(|f| (f.cause.word(), f.grade))
        .collect()
}

fn only(a: &Assessment) -> &Finding {
    assert_eq!(a.findings.len(), 1, "{:?}", causes(a));
    &a.findings[0]
}

fn evidence(a: &Assessment, finding: &Finding) -> Vec<CheckId> {
    finding.checks(&a.checks).map(|c| c.id).collect()
}

fn ampere(a: f64) -> Current {
    Current::from_ampere(a)
}

/// The screw of `breaker-L1` had moved, and was set to its 5 N·m.
fn moved(visit: &mut Visit) {
    let check = &mut visit.circuits[0].torque[0];
    assert_eq!(check.connection, "breaker-L1");
    check.found = TorqueFound::Value(Torque::from_newton_metre(4.0));
    check.left = Some(Torque::from_newton_metre(5.0));
}

fn seen(visit: &mut Visit, condition: Condition, connection: Option<&str>) {
    visit.circuits[0].looked_at = vec![LookedAt {
        seen: vec![condition],
        connection: connection.map(str::to_owned),
        ..visit.circuits[0].looked_at[0].clone()
    }];
}

fn months(visit: &Visit, months: u32) -> Option<NaiveDate> {
    visit.date.checked_add_months(Months::new(months))
}

#[test]
fn a_healthy_circuit_has_no_finding() {
    // 11 to 20 K at full load is ordinary, in both legs alike.
    for rise in [3.0, 11.0, 15.0, 20.9] {
        let a = judged(&plain([rise, rise]));
        assert_eq!(causes(&a), [], "{rise}");
        assert_eq!(a.charging, Charging::AsUsual);
    }
}

#[test]
fn a_poor_joint_is_one_finding_whatever_shows_it() {
    let mut visit = plain([45.0, 8.0]);
    moved(&mut visit);
    seen(&mut visit, Condition::Discoloured, Some("breaker-L1"));
    let a = judged(&visit);
    let joint = only(&a);
    assert_eq!(
        (joint.cause, joint.grade),
        (Cause::Known(CauseId::PoorJoint), Grade::Repair)
    );
    assert_eq!(joint.connections, ["breaker-L1"]);
    assert_eq!(joint.place.as_deref(), Some("breaker"));
    let shown = evidence(&a, joint);
    for id in [
        CheckId::LegDifference,
        CheckId::Rise,
        CheckId::ProjectedHeat,
        CheckId::TorqueMoved,
        CheckId::Condition,
        CheckId::PatternOneLegHot,
    ] {
        assert!(shown.contains(&id), "{id}: {shown:?}");
    }
    // A hint is never the first that is said.
    assert_eq!(shown.last(), Some(&CheckId::PatternOneLegHot));
    // Seen without naming the connection, it is the same finding.
    seen(&mut visit, Condition::Discoloured, None);
    only(&judged(&visit));
    // Damage alone is a finding of its own, and so is each of two loose screws.
    let mut visit = plain([8.0, 8.0]);
    seen(&mut visit, Condition::Melted, None);
    assert_eq!(causes(&judged(&visit)), [("damaged-part", Grade::Stop)]);
    let mut visit = plain([8.0, 8.0]);
    for check in &mut visit.circuits[0].torque[..2] {
        check.found = TorqueFound::Value(Torque::from_newton_metre(4.0));
        check.left = Some(Torque::from_newton_metre(5.0));
    }
    let a = judged(&visit);
    assert_eq!(causes(&a), [("loose-screw", Grade::Note); 2]);
}

#[test]
fn heat_that_all_connections_of_a_place_share_is_the_place() {
    let a = judged(&plain([25.0, 25.0]));
    let place = only(&a);
    assert_eq!(place.cause, "hot-place");
    assert_eq!(place.connections.len(), 2);
    // Where both ends of conductors that are too thin are hot, it is the conductors.
    let mut visit = plain([25.0, 25.0]);
    visit.circuits[0].conductors.size = "10 AWG".parse().unwrap();
    for round in &mut heat(&mut visit).rounds {
        let like = round.readings[0].1.clone();
        let charger = round.readings.iter_mut();
        for (_, reading) in charger.filter(|(id, _)| id.starts_with("charger-")) {
            *reading = like.clone();
        }
    }
    let a = judged(&visit);
    let thin = only(&a);
    assert_eq!(thin.cause, "undersized-conductor", "{:?}", causes(&a));
    assert!(evidence(&a, thin).contains(&CheckId::Rise));
    assert!(evidence(&a, thin).contains(&CheckId::ConductorContinuous));
}

#[test]
fn a_poor_joint_to_be_repaired_forbids_charging_and_has_no_date() {
    // The edge between watch and repair lies at 15 K between legs.
    for (hot, charging) in [(22.9, Charging::AsUsual), (23.1, Charging::NotAtAll)] {
        let visit = plain([hot, 8.0]);
        let a = judged(&visit);
        let joint = only(&a);
        assert_eq!(joint.charging, charging, "{hot}");
        assert_eq!((a.charging, a.circuits[0].charging), (charging, charging));
        let forbidden = charging == Charging::NotAtAll;
        assert_eq!(joint.deadline.is_none(), forbidden, "{hot}");
        assert_eq!(a.next_due.date.is_none(), forbidden, "{hot}");
    }
}

#[test]
fn where_the_load_is_the_cause_a_lower_current_is_allowed() {
    // A breaker carries rating/1.25 for hours (NFPA 70 (2023), 210.20(A)); without settings of the
    // charger the current is rounded down to a multiple of 6 A, the least of IEC 61851-1.
    for (rating, settings, expected) in [
        (50.0, &[][..], None),
        (48.0, &[], Some(36.0)),
        (45.0, &[], Some(36.0)),
        (44.9, &[], Some(30.0)),
        (45.0, &[16.0, 24.0, 32.0, 40.0], Some(32.0)),
        (40.0, &[16.0, 24.0, 32.0, 40.0], Some(32.0)),
        (39.9, &[16.0, 24.0, 32.0, 40.0], Some(24.0)),
    ] {
        let mut visit = plain([8.0, 8.0]);
        visit.circuits[0].breaker.rating = ampere(rating);
        visit.circuits[0].charger.settings = settings.iter().copied().map(ampere).collect();
        let a = judged(&visit);
        let found = a.findings.iter().find(|f| f.cause == "undersized-breaker");
        let allowed = found.and_then(|f| f.charging.limit());
        assert_eq!(
            allowed.map(|c| (c.ampere() * 1e6).round() / 1e6),
            expected,
            "{rating} A: {:?}",
            causes(&a)
        );
        assert_eq!(found.is_some(), expected.is_some());
    }
    // Below 6 A no car charges.
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].breaker.rating = ampere(7.0);
    assert_eq!(judged(&visit).charging, Charging::NotAtAll);
}

#[test]
fn a_projected_temperature_limits_the_current_from_its_safe_side() {
    // 36 K at 40 A in air of 40 °C under 75 °C: 35 K are left. With U the rise may be 36 + U; the
    // lowest exponent, 1.6, gives the lower current: 40·(35/(36 + U))^(1/1.6).
    let mut visit = plain([36.0, 36.0]);
    visit.circuits[0].hottest_air = Some(celsius(40.0));
    let a = judged(&visit);
    let place = only(&a);
    assert_eq!(
        (place.cause.word(), place.grade),
        ("hot-place", Grade::Repair)
    );
    let u = a.circuits[0].connections[0]
        .rise_at_rated
        .unwrap()
        .expanded
        .kelvin();
    let allowed = 40.0 * (35.0 / (36.0 + u)).powf(1.0 / 1.6);
    let expected = (allowed / 6.0).floor() * 6.0;
    assert!((6.0..40.0).contains(&expected));
    let limit = place.charging.limit().unwrap().ampere();
    assert!(
        (limit - expected).abs() < 1e-6,
        "{limit} A, by hand {allowed}"
    );
}

#[test]
fn a_joint_hot_after_it_was_tightened_is_remade_within_a_month() {
    let visit = plain([15.0, 8.0]);
    let a = judged(&visit);
    assert_eq!(only(&a).deadline, months(&visit, 6));
    let mut visit = plain([15.0, 8.0]);
    moved(&mut visit);
    let a = judged(&visit);
    assert_eq!(only(&a).deadline, months(&visit, 1));
    assert_eq!(a.next_due.date, months(&visit, 1));
    // Tightened after the heat was measured, it was not hot in spite of that.
    visit.circuits[0].torque[0].when = Some(When::After);
    let a = judged(&visit);
    let joint = a.findings.iter().find(|f| f.cause == "poor-joint").unwrap();
    assert_eq!(joint.deadline, months(&visit, 6));
}

/// Connections of all places as hot as those of the first.
fn hot_alike(visit: &mut Visit) {
    for round in &mut heat(visit).rounds {
        let like = round.readings[0].1.clone();
        let charger = round.readings.iter_mut();
        for (_, reading) in charger.filter(|(id, _)| id.starts_with("charger-")) {
            *reading = like.clone();
        }
    }
}

#[test]
fn heat_that_is_to_be_repaired_at_once_is_due_on_the_day() {
    // ANSI/NETA MTS, Table 100.18: over 40 K above the air, repair immediately. A circuit that is hot
    // alike may be used at a lower current until then.
    let deadline = |rise: f64, hottest: f64| {
        let mut visit = plain([rise, rise]);
        hot_alike(&mut visit);
        visit.circuits[0].hottest_air = Some(celsius(hottest));
        let a = judged(&visit);
        let found = only(&a);
        assert_eq!(found.cause, "hot-circuit");
        (found.grade, found.deadline, visit)
    };
    let (grade, due, visit) = deadline(40.1, 20.0);
    assert_eq!((grade, due), (Grade::Repair, Some(visit.date)));
    let (grade, due, visit) = deadline(39.9, 20.0);
    assert_eq!((grade, due), (Grade::Watch, months(&visit, 6)));
    // A projection for the hottest day is no measured rise: 36 K above 40 °C is over 75 °C.
    let (grade, due, visit) = deadline(36.0, 40.0);
    assert_eq!((grade, due), (Grade::Repair, months(&visit, 1)));
}

#[test]
fn a_judgement_may_name_a_cause() {
    let mut visit = plain([25.0, 8.0]);
    let judge = |cause: CauseId, grade| Judgement {
        finding: Cause::Known(cause),
        circuit: None,
        place: None,
        connection: Some("breaker-L1".to_owned()),
        seen: None,
        grade,
        because: "The sleeve was read, not the lug.".to_owned(),
    };
    visit.judgement = vec![judge(CauseId::PoorJoint, Grade::Watch)];
    let a = judged(&visit);
    let joint = only(&a);
    assert_eq!(
        (joint.rule_grade, joint.grade, joint.charging),
        (Grade::Repair, Grade::Watch, Charging::AsUsual)
    );
    assert!(!a.limitations.iter().any(|l| l.id == "judgement-unmatched"));
    // What is judged in order stays a note; a stop stays a stop.
    visit.judgement = vec![judge(CauseId::PoorJoint, Grade::Pass)];
    assert_eq!(only(&judged(&visit)).grade, Grade::Note);
    let mut visit = plain([62.0, 8.0]);
    visit.judgement = vec![judge(CauseId::PoorJoint, Grade::Note)];
    let a = judged(&visit);
    assert_eq!(a.findings[0].grade, Grade::Stop);
    assert_eq!(a.charging, Charging::NotAtAll);
    // One that names a cause that was not found is not dropped silently.
    visit.judgement = vec![judge(CauseId::HotPlace, Grade::Note)];
    let unmatched = |l: &&warmlug::assess::Limitation| l.id == "judgement-unmatched";
    assert_eq!(
        judged(&visit).limitations.iter().filter(unmatched).count(),
        1
    );
}

#[test]
fn what_is_warm_without_load_is_no_reserve() {
    // 10 K at 0 A of 36 K: only 26 K + U come from the load, and 25 K are left for them.
    let mut visit = plain([36.0, 36.0]);
    visit.circuits[0].hottest_air = Some(celsius(40.0));
    for connection in 0..2 {
        set(&mut visit, 0, connection, 30.0);
    }
    let a = judged(&visit);
    let place = a.findings.iter().find(|f| f.cause == "hot-place").unwrap();
    let u = a.circuits[0].connections[0]
        .rise_at_rated
        .unwrap()
        .expanded
        .kelvin();
    let allowed = 40.0 * (25.0 / (26.0 + u)).powf(1.0 / 1.6);
    let expected = (allowed / 6.0).floor() * 6.0;
    let limit = place.charging.limit().unwrap().ampere();
    assert!(
        (limit - expected).abs() < 1e-6,
        "{limit} A, by hand {allowed}"
    );
}

#[test]
fn a_second_bad_joint_in_the_box_is_named_too() {
    // Three legs, two of them far hotter than the third.
    let three = |rises: [f64; 2]| {
        let mut visit = plain(rises);
        third_leg(&mut visit, 28.0);
        visit.circuits[0].breaker.poles = Some(3);
        let cold = heat(&mut visit).rounds[0].readings.last_mut().unwrap();
        cold.1 = reading(20.0);
        visit
    };
    let visit = three([42.0, 40.0]);
    let a = judged(&visit);
    let poor: Vec<&str> = a
        .findings
        .iter()
        .filter(|f| f.cause == "poor-joint")
        .map(|f| f.connections[0].as_str())
        .collect();
    assert_eq!(poor, ["breaker-L1", "breaker-L2"], "{:?}", causes(&a));
    assert_eq!(a.charging, Charging::NotAtAll);
    // A sister that is only warmed by its neighbour is not.
    let a = judged(&three([42.0, 22.0]));
    let poor = a.findings.iter().filter(|f| f.cause == "poor-joint");
    assert_eq!(poor.count(), 1, "{:?}", causes(&a));
    // One leg hot, and no difference between others that shows it: still a joint.
    let a = judged(&plain([30.0, 29.0]));
    assert!(a.findings.iter().all(|f| f.cause == "hot-place"));
}

#[test]
fn damage_is_what_the_finding_is_about_where_the_heat_is_slight() {
    let mut visit = plain([11.9, 8.0]);
    seen(&mut visit, Condition::Discoloured, None);
    let a = judged(&visit);
    assert!(
        causes(&a).contains(&("damaged-part", Grade::Repair)),
        "{:?}",
        causes(&a)
    );
    assert_eq!(a.charging, Charging::NotAtAll);
}

#[test]
fn a_receptacle_rated_below_the_load_forbids_charging() {
    // NEMA WD 6: a 14-30 is rated 30 A, a 14-50 50 A; the charger draws 40 A.
    for (configuration, breaker, charging) in [
        ("14-30", 50.0, Charging::NotAtAll),
        ("5-15", 50.0, Charging::NotAtAll),
        ("14-50", 60.0, Charging::AsUsual),
    ] {
        let mut visit = plain([8.0, 8.0]);
        visit.circuits[0].charger.connection = ChargerConnection::Receptacle;
        visit.circuits[0].breaker.rating = ampere(breaker);
        visit.circuits[0].receptacle = Some(Receptacle {
            configuration: configuration.to_owned(),
            grade: Some(ReceptacleGrade::Industrial),
            rating: None,
            wet_location: None,
        });
        let a = judged(&visit);
        let found = a
            .findings
            .iter()
            .find(|f| f.cause == "unsuitable-receptacle");
        assert_eq!(found.unwrap().charging, charging, "{configuration}");
    }
}

#[test]
fn a_breaker_too_large_for_the_conductors_is_no_question_of_a_lower_current() {
    // 6 AWG in conduit, 75 °C: 65 A; the next standard rating is 70 A, and 56 A may be drawn.
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].breaker.rating = ampere(90.0);
    let a = judged(&visit);
    let large = a.findings.iter().find(|f| f.cause == "oversized-breaker");
    assert_eq!(large.unwrap().charging, Charging::AsUsual);
}

#[test]
fn a_judgement_on_one_check_hides_nothing() {
    let on = |finding, connection: Option<&str>, grade| Judgement {
        finding: Cause::Check(finding),
        circuit: None,
        place: None,
        connection: connection.map(str::to_owned),
        seen: None,
        grade,
        because: "The sleeve was read, not the lug.".to_owned(),
    };
    // The cool leg is not what a leg difference is about.
    let mut visit = plain([25.0, 8.0]);
    visit.judgement = vec![on(CheckId::LegDifference, Some("breaker-L2"), Grade::Note)];
    let a = judged(&visit);
    assert_eq!(a.findings[0].grade, Grade::Repair);
    assert!(a.limitations.iter().any(|l| l.id == "judgement-unmatched"));
    // A milder grade for what was found raises nothing that is in order.
    let mut visit = plain([25.0, 8.0]);
    visit.judgement = vec![on(CheckId::LegDifference, None, Grade::Watch)];
    let a = judged(&visit);
    let judged_checks = a.checks.iter().filter(|c| c.judgement.is_some());
    assert_eq!(judged_checks.count(), 1);
}

#[test]
fn a_screw_that_moved_without_a_known_torque_is_to_be_watched() {
    let mut visit = plain([8.0, 8.0]);
    visit.circuits[0].places[0].connections[0].torque = None;
    visit.circuits[0].torque[0].found = TorqueFound::Moved;
    let a = judged(&visit);
    assert_eq!(causes(&a), [("loose-screw", Grade::Watch)]);
}

#[test]
fn a_screw_too_tight_on_a_hot_joint_is_part_of_that_joint() {
    let too_tight = |rises, connection: usize| {
        let mut visit = plain(rises);
        visit.circuits[0].torque[connection].found =
            TorqueFound::Value(Torque::from_newton_metre(8.0));
        visit.circuits[0].torque[connection].left = Some(Torque::from_newton_metre(5.0));
        visit
    };
    let a = judged(&too_tight([25.0, 8.0], 0));
    let joint = only(&a);
    assert_eq!(
        (joint.cause, joint.grade),
        (Cause::Known(CauseId::PoorJoint), Grade::Repair)
    );
    assert!(evidence(&a, joint).contains(&CheckId::TorqueTight));
    // Without heat, or at the other connection, it is a finding of its own.
    assert_eq!(
        causes(&judged(&too_tight([8.0, 8.0], 0))),
        [("overtightened-screw", Grade::Note)]
    );
    assert_eq!(
        causes(&judged(&too_tight([25.0, 8.0], 1))),
        [
            ("poor-joint", Grade::Repair),
            ("overtightened-screw", Grade::Note)
        ]
    );
}

#[test]
fn thin_conductors_explain_heat_only_where_the_rest_of_the_circuit_is_warm_too() {
    // The breaker is hot; the charger's terminals, at the other end of the same wires, are cool.
    let mut visit = plain([25.0, 25.0]);
    visit.circuits[0].conductors.size = "10 AWG".parse().unwrap();
    let a = judged(&visit);
    let found: Vec<&str> = a.findings.iter().map(|f| f.cause.word()).collect();
    assert!(found.contains(&"undersized-conductor"), "{found:?}");
    let place = a.findings.iter().find(|f| f.cause == "hot-place");
    assert_eq!(place.unwrap().place.as_deref(), Some("breaker"));
    assert_eq!(found.len(), 2, "{found:?}");
}

/// Makes a connection, by its place among the readings of `plain`, settle to a rise.
fn rising(visit: &mut Visit, connection: usize, rise: f64) {
    // 15 min after charging began, with a time constant of 10 min: 1 − e^(−1.5).
    for (round, share) in [(1, 0.776_87), (2, 0.998_5)] {
        set(visit, round, connection, 20.0 + rise * share);
    }
}

/// Text and evidence of each finding, in English.
fn told(visit: &Visit, a: &Assessment) -> Vec<(String, Vec<String>)> {
    let wording = Wording::built_in("en").unwrap();
    let speaker = Speaker::new(visit, a, built_in("us").unwrap(), wording);
    let plain = |t: String| t.replace('\u{a0}', " ");
    let of = |f: &Finding| {
        let shown = speaker.evidence(f).into_iter().map(plain).collect();
        (plain(speaker.diagnosis(f).text), shown)
    };
    a.findings.iter().map(of).collect()
}

#[test]
fn a_slight_difference_at_the_other_end_of_a_cable_is_a_finding_of_its_own() {
    let mut visit = plain([25.0, 8.0]);
    rising(&mut visit, 2, 5.5);
    let a = judged(&visit);
    assert_eq!(
        causes(&a),
        [("poor-joint", Grade::Repair), ("poor-joint", Grade::Note)]
    );
    assert_eq!(a.findings[1].connections, ["charger-L1"]);
    // Along a metre of wire the heat of the joint reaches it, along a metre and a half it does not.
    for (metres, findings) in [(1.0, 1), (1.5, 2)] {
        visit.circuits[0].conductors.length = Some(Length::from_metre(metres));
        let a = judged(&visit);
        assert_eq!(a.findings.len(), findings, "{metres}");
    }
    // Evidence of another place names it.
    visit.circuits[0].conductors.length = Some(Length::from_metre(1.0));
    let a = judged(&visit);
    let (_, shown) = &told(&visit, &a)[0];
    let elsewhere: Vec<_> = shown
        .iter()
        .filter(|t| t.contains("Place of charger"))
        .collect();
    assert_eq!(elsewhere.len(), 1, "{shown:?}");
    assert!(elsewhere[0].starts_with("Place of charger: "), "{shown:?}");
}

#[test]
fn a_hot_place_names_all_its_legs_and_is_one_only_where_the_rest_is_cooler() {
    let visit = plain([25.0, 25.0]);
    let a = judged(&visit);
    assert_eq!(only(&a).cause, Cause::Known(CauseId::HotPlace));
    let (text, _) = &told(&visit, &a)[0];
    assert!(text.contains("the connections of L1 and L2"), "{text}");
    // With thin conductors, heat of 25 K here and 19 K (under four fifths) there is of this place;
    // of 20.8 K (over four fifths, and under the 21 K of the first band) it is of the conductors.
    for (there, hot_place) in [(19.0, true), (20.8, false)] {
        let mut visit = plain([25.0, 25.0]);
        visit.circuits[0].conductors.size = "10 AWG".parse().unwrap();
        rising(&mut visit, 2, there);
        rising(&mut visit, 3, there);
        let a = judged(&visit);
        let found: Vec<&str> = a.findings.iter().map(|f| f.cause.word()).collect();
        assert_eq!(
            found.contains(&"hot-place"),
            hot_place,
            "{there}: {found:?}"
        );
    }
}

#[test]
fn warm_aluminium_in_terminals_for_copper_is_one_finding_and_forbids_charging() {
    let marked = |rises| {
        let mut visit = plain(rises);
        let circuit = &mut visit.circuits[0];
        circuit.conductors.material = Material::Aluminium;
        circuit.conductors.size = "2 AWG".parse().unwrap();
        for place in &mut circuit.places {
            for connection in &mut place.connections {
                connection.marked = Some(MarkedFor::Copper);
            }
        }
        judged(&visit)
    };
    let cool = marked([8.0, 8.0]);
    assert_eq!(causes(&cool), [("unsuitable-terminals", Grade::Repair)]);
    assert_eq!(cool.charging, Charging::AsUsual);
    let warm = marked([19.0, 8.0]);
    assert_eq!(causes(&warm), [("unsuitable-terminals", Grade::Repair)]);
    assert!(evidence(&warm, only(&warm)).contains(&CheckId::LegDifference));
    assert_eq!(warm.charging, Charging::NotAtAll);
}

#[test]
fn a_charger_that_draws_more_than_the_breaker_may_carry_is_set_lower() {
    // 50 A / 1.25 = 40 A for hours. Drawn: 48 A, whose 3 % (6 % expanded) leave it over 40 A.
    let mut visit = plain([8.0, 8.0]);
    current(&mut visit, 48.0);
    let a = judged(&visit);
    assert_eq!(causes(&a), [("charging-current", Grade::Repair)]);
    assert_eq!(a.charging, Charging::AtMost(ampere(36.0)));
    // 40 A is a setting that the charger has.
    visit.circuits[0].charger.settings = vec![ampere(16.0), ampere(40.0), ampere(48.0)];
    assert_eq!(judged(&visit).charging, Charging::AtMost(ampere(40.0)));
    // What it may carry is told in whole amperes, rounded down: 45 A / 1.25 = 36 A; 60 A / 1.25 is 48 A;
    // 49.59 A would be 49 A.
    visit.circuits[0].charger.settings.clear();
    visit.circuits[0].breaker.rating = ampere(45.0);
    let (text, _) = &told(&visit, &judged(&visit))[0];
    assert!(text.contains("36 A"), "{text}");
}

#[test]
fn derived_currents_are_told_in_whole_amperes_of_the_safe_side() {
    // 10 AWG copper: 35 A at 75 °C; from 40 A at 90 °C with 0.91 for 40 °C, 36.4 A, at most the 35 A.
    // At 50 °C the factor is 0.82: 32.8 A, told as 32 A. Needed: 1.25 × 33.5 A = 41.875 A, told as 42 A.
    let mut visit = plain([8.0, 8.0]);
    let circuit = &mut visit.circuits[0];
    circuit.conductors.size = "10 AWG".parse().unwrap();
    circuit.hottest_air = Some(celsius(50.0));
    circuit.charger.rated_current = ampere(33.5);
    let a = judged(&visit);
    let thin = a
        .findings
        .iter()
        .position(|f| f.cause == "undersized-conductor");
    let (_, shown) = &told(&visit, &a)[thin.unwrap()];
    assert!(
        shown.contains(&"wires good for 35 A; 42 A needed".to_owned()),
        "{shown:?}"
    );
    assert!(
        shown.contains(
            &"wires good for 32 A on the hottest day; the charger draws 33.5 A".to_owned()
        ),
        "{shown:?}"
    );
}

#[test]
fn two_visits_of_one_day_are_told_apart_by_number() {
    let us = built_in("us").unwrap();
    let mut before = plain([3.0, 3.0]);
    before.number = "2025-0007".to_owned();
    let now = plain([19.0, 3.0]);
    let morning = Earlier::new(&before, &assess(&before, us, &[]));
    let a = assess(&now, us, &[morning]);
    let (_, shown) = &told(&now, &a)[0];
    let worse: Vec<_> = shown.iter().filter(|t| t.contains("heats up")).collect();
    assert!(
        worse[0].ends_with("more than at visit 2025-0007 of the same day"),
        "{shown:?}"
    );
}

#[test]
fn a_grade_raised_by_evidence_together_says_why() {
    let us = built_in("us").unwrap();
    let before = plain([3.0, 3.0]);
    let mut now = plain([14.0, 3.0]);
    moved(&mut now);
    now.date = now.date.succ_opt().unwrap();
    let earlier = Earlier::new(&before, &assess(&before, us, &[]));
    let a = assess(&now, us, &[earlier]);
    let wording = Wording::built_in("en").unwrap();
    let speaker = Speaker::new(&now, &a, us, wording);
    let joint = a.findings.iter().find(|f| f.cause == "poor-joint").unwrap();
    assert_eq!(joint.grade, Grade::Repair, "{:?}", evidence(&a, joint));
    let worst = joint.checks(&a.checks).map(|c| c.effective_grade()).max();
    assert_eq!(worst, Some(Grade::Watch));
    assert!(
        speaker
            .raised(joint)
            .unwrap()
            .contains("together this is worse")
    );
}
