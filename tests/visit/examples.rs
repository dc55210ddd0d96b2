//! The example visits read without a problem, and teach what they set out to teach.

use chrono::NaiveDate;
use std::path::Path;
use warmlug::assess::{Assessment, Charging, CheckResult, Earlier, Outcome, assess};
use warmlug::photo::Folder;
use warmlug::visit::{Grade, ImageError, ImageFacts, Surroundings, Visit};
use warmlug::{rules, typeset, visit};

/// The world around an example, on a day after all of them.
struct Around(Folder);

impl Surroundings for Around {
    fn today(&self) -> NaiveDate {
        NaiveDate::from_ymd_opt(2025, 8, 1).unwrap()
    }
    fn image(&self, path: &str) -> Result<ImageFacts, ImageError> {
        self.0.image(path)
    }
    fn prints(&self, c: char) -> bool {
        typeset::prints(c)
    }
}

fn read(name: &str) -> Visit {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let folder = examples.join(name);
    let text = std::fs::read_to_string(folder.join("visit.yaml")).unwrap();
    let around = Around(Folder::new(&folder).unwrap());
    visit::read(&text, name, &around).unwrap_or_else(|problems| panic!("{problems}"))
}

fn judged(name: &str, earlier: &[&str]) -> Assessment {
    let visit = read(name);
    let rules = rules::built_in(&visit.rules).unwrap();
    let earlier: Vec<Earlier> = earlier
        .iter()
        .map(|name| {
            let before = read(name);
            Earlier::new(&before, &assess(&before, rules, &[]))
        })
        .collect();
    assess(&visit, rules, &earlier)
}

/// The findings of an id at a place, with the connections they name.
fn found<'a>(a: &'a Assessment, id: &str, place: &str) -> Vec<&'a CheckResult> {
    a.checks
        .iter()
        .filter(|f| f.id == id && f.place.as_deref() == Some(place))
        .collect()
}

fn limitations(a: &Assessment) -> Vec<&str> {
    a.limitations.iter().map(|l| l.id.word()).collect()
}

#[test]
fn the_first_visit_is_clean() {
    let a = judged("townhouse-first", &[]);
    assert_eq!((a.outcome, a.complete), (Outcome::Satisfactory, true));
    assert_eq!(limitations(&a), [""; 0]);
    assert!(a.checks.iter().all(|f| f.effective_grade() == Grade::Pass));
    assert_eq!(a.next_due.date, NaiveDate::from_ymd_opt(2025, 5, 13));
    let checks = &a.circuits[0].checks;
    assert!(checks.len() >= 8 && checks.iter().all(|c| c.holds == Some(true)));
}

#[test]
fn half_a_year_later_one_joint_is_to_be_repaired() {
    assert_eq!(
        read("townhouse-return").earlier,
        ["../townhouse-first/visit.yaml"]
    );
    let a = judged("townhouse-return", &["townhouse-first"]);
    assert_eq!((a.outcome, a.complete), (Outcome::Unsatisfactory, true));
    assert_eq!(
        a.checks.iter().map(CheckResult::effective_grade).max(),
        Some(Grade::Watch)
    );

    let [legs] = found(&a, "leg-difference", "breaker")[..] else {
        panic!("one finding")
    };
    assert_eq!((legs.grade, legs.borderline), (Grade::Watch, false));
    assert_eq!(legs.connections, ["breaker-L1", "breaker-L2"]);
    let worse: Vec<&CheckResult> = a
        .checks
        .iter()
        .filter(|f| f.id == "worse-than-before" && f.grade > Grade::Pass)
        .collect();
    assert_eq!(worse.len(), 1);
    assert_eq!(
        (worse[0].grade, &worse[0].connections[..]),
        (Grade::Watch, &["breaker-L1".to_owned()][..])
    );
    // The screw that had moved was put right, which the rules call a note; the inspector says
    // watch, and both are kept.
    let moved = a.checks.iter().find(|f| f.id == "torque-moved").unwrap();
    assert_eq!(
        (moved.grade, moved.effective_grade()),
        (Grade::Note, Grade::Watch)
    );
    // It had moved, is hot, and is hotter than before: one finding, worse than each of these.
    let joint = &a.findings[0];
    assert_eq!(
        (joint.cause.word(), joint.grade, &joint.connections[..]),
        ("poor-joint", Grade::Repair, &["breaker-L1".to_owned()][..])
    );
    assert!(joint.combined.is_some());
    for id in [
        "torque-moved",
        "leg-difference",
        "worse-than-before",
        "contact-drop",
    ] {
        assert!(joint.checks(&a.checks).any(|c| c.id == id), "{id}");
    }
    assert_eq!((joint.charging, joint.deadline), (Charging::NotAtAll, None));
    assert_eq!(a.next_due.date, None);
}

#[test]
fn a_brown_blade_is_unsatisfactory() {
    let a = judged("receptacle-aluminium", &[]);
    assert_eq!((a.outcome, a.complete), (Outcome::Unsatisfactory, true));
    assert_eq!(a.next_due.date, None, "not before it is repaired");
    assert_eq!(limitations(&a), [""; 0]);
    for blade in found(&a, "condition", "blades") {
        assert_eq!(
            (blade.grade, blade.effective_grade()),
            (Grade::Repair, Grade::Stop)
        );
    }
    let [legs] = found(&a, "leg-difference", "blades")[..] else {
        panic!("one finding")
    };
    assert_eq!(legs.grade, Grade::Repair);
    let [heat] = found(&a, "projected-heat", "blades")[..] else {
        panic!("one finding")
    };
    assert_eq!(
        (heat.grade, &heat.connections[..]),
        (Grade::Repair, &["blade-L1".to_owned()][..])
    );
    assert!(a.checks.iter().any(|f| f.id == "spot-too-wide"));
}

#[test]
fn a_limited_visit_never_reads_as_a_clean_bill() {
    let a = judged("limited-visit", &[]);
    assert_ne!(a.outcome, Outcome::Satisfactory);
    assert!(!a.complete);
    let limits = limitations(&a);
    for id in [
        "isolation-not-proved",
        "no-full-load-round",
        "torque-not-checked",
        "not-looked-at",
    ] {
        assert!(limits.contains(&id), "{id} in {limits:?}");
    }
    let ids: Vec<&str> = a.checks.iter().map(|f| f.id.word()).collect();
    for id in ["calibration-overdue", "load-too-low", "shiny-target"] {
        assert!(ids.contains(&id), "{id} in {ids:?}");
    }
    assert!(!ids.contains(&"rise"), "nothing is said of full load");
}

#[test]
fn the_pictures_of_the_thermal_imager_agree_with_the_readings() {
    // examples/draw_photos.py paints these figures into the display.
    let drawn = std::fs::read_to_string(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/draw_photos.py"),
    )
    .unwrap();
    let visit = read("townhouse-return");
    let last = visit.circuits[0]
        .heat
        .as_ref()
        .unwrap()
        .rounds
        .last()
        .unwrap()
        .clone();
    for (id, reading) in last
        .readings
        .iter()
        .filter(|(id, _)| id.starts_with("breaker"))
    {
        let shown = format!("\"{:.1}\"", reading.temperatures[0].fahrenheit());
        assert!(drawn.contains(&shown), "{id} {shown}");
    }
}

#[test]
fn one_of_the_landlords_six_chargers_must_be_repaired() {
    let visit = read("landlord-six");
    let a = judged("landlord-six", &[]);
    assert_eq!(visit.circuits.len(), 6);
    assert_eq!((a.outcome, a.complete), (Outcome::Unsatisfactory, true));
    assert_eq!(limitations(&a), [""; 0]);
    for circuit in &visit.circuits {
        let worst = a
            .checks
            .iter()
            .filter(|f| f.circuit.as_ref() == Some(&circuit.id))
            .map(CheckResult::effective_grade)
            .max();
        let expected = match circuit.id.as_str() {
            "bay-4" => Grade::Repair,
            "bay-6" => Grade::Note,
            _ => Grade::Pass,
        };
        assert_eq!(worst, Some(expected), "{}", circuit.id);
    }
}

#[test]
fn the_metric_visit_is_judged_by_its_own_rules() {
    let a = judged("carport-three-phase", &[]);
    assert_eq!(a.rules_id, "iec");
    assert_eq!(
        (a.outcome, a.complete),
        (Outcome::SatisfactoryWithNotes, true)
    );
    // Three equal phases leave the neutral without current, so that heat shows nothing of it.
    assert_eq!(limitations(&a), ["neutral-not-loaded"]);
    let noted: Vec<&str> = a
        .checks
        .iter()
        .filter(|f| f.grade > Grade::Pass)
        .map(|f| f.id.word())
        .collect();
    assert_eq!(noted, ["torque-moved"], "the dust was cleaned out");
    // Every check of the set that concerns a hardwired charger is made, and holds.
    let checks = &a.circuits[0].checks;
    assert!(checks.len() >= 12 && checks.iter().all(|c| c.holds == Some(true)));
    let visit = read("carport-three-phase");
    assert_eq!(visit.zone.as_deref(), Some("Europe/Vienna"));
}
