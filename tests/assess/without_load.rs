//! What a connection is over the air without load is taken off where rises and legs are compared,
//! and is kept for the hottest day. Expected values are sums of the planted ones, by hand.

use crate::assess_common::{finding, heat, judged, plain, set};
use warmlug::assess::{Assessment, ConnectionAssessment, RatedBy};
use warmlug::quantity::Current;
use warmlug::visit::{Grade, Visit};

/// A visit whose breaker terminals are these kelvin over the air without load, after a quarter of an
/// hour and after an hour at full load.
fn read(l1: [f64; 3], l2: [f64; 3]) -> Visit {
    let mut visit = plain([0.0, 0.0]);
    for round in 0..3 {
        set(&mut visit, round, 0, 20.0 + l1[round]);
        set(&mut visit, round, 1, 20.0 + l2[round]);
    }
    visit
}

fn of<'a>(a: &'a Assessment, id: &str) -> &'a ConnectionAssessment {
    let mut all = a.circuits[0].connections.iter();
    all.find(|c| c.id == id).unwrap()
}

fn rise(a: &Assessment, id: &str) -> f64 {
    of(a, id).rise_at_rated.unwrap().value.kelvin()
}

fn kept(a: &Assessment, id: &str) -> Option<f64> {
    Some(of(a, id).without_load?.value.kelvin())
}

fn projected(a: &Assessment, id: &str) -> f64 {
    of(a, id).projected_rise.unwrap().value.kelvin()
}

#[test]
fn the_sun_on_a_box_is_no_rise() {
    let a = judged(&read([14.0, 18.5, 19.8], [14.0, 18.1, 19.2]));
    // 14 K in both: 19.8 − 14 and 19.2 − 14.
    assert_eq!(kept(&a, "breaker-L1").map(f64::round), Some(14.0));
    // The curve that begins at 14 K settles where it was last read, within a twentieth of a kelvin.
    assert_eq!(of(&a, "breaker-L1").rated_by, Some(RatedBy::Settled));
    assert!((rise(&a, "breaker-L1") - 5.8).abs() < 0.05);
    assert!((rise(&a, "breaker-L2") - 5.2).abs() < 0.05);
    assert!((projected(&a, "breaker-L1") - 19.8).abs() < 0.05);
    assert_eq!(finding(&a, "hot-without-load").grade, Grade::Note);
    let of_breaker = |c: &&warmlug::assess::CheckResult| c.place.as_deref() == Some("breaker");
    let mut rises = a
        .checks
        .iter()
        .filter(|c| c.id == "rise")
        .filter(of_breaker);
    assert!((rises.next().unwrap().value.unwrap() - 5.8).abs() < 0.05);
    // The margin on the hottest day, 40 °C and a terminal for 75 °C, still has all of it.
    let margin = of(&a, "breaker-L1").margin.unwrap().kelvin();
    assert!((margin - 15.2).abs() < 0.05, "{margin}");
    // The uncertainty is never below that of the rise as it was read.
    let c = of(&a, "breaker-L1");
    let read = c.rounds[2].rise.unwrap().expanded;
    assert!(c.rise_at_rated.unwrap().expanded > read);
}

#[test]
fn what_has_gone_under_load_is_not_taken_off() {
    // The sun left the box: 5.2 K of 14 K can be left, because L2 shows no more than that.
    let a = judged(&read([14.0, 18.5, 19.8], [14.0, 8.0, 5.2]));
    assert!((kept(&a, "breaker-L1").unwrap() - 5.2).abs() < 0.01);
    assert!(rise(&a, "breaker-L1") >= 19.8 - 5.2);
}

#[test]
fn heat_left_by_an_earlier_load_hides_no_joint() {
    // Joint and sister were warm from charging shortly before, by 72 % of what they show: what the
    // sister kept is taken off both, what the joint had beyond that is not.
    let a = judged(&read([18.0, 21.0, 25.0], [3.6, 4.2, 5.0]));
    assert!(rise(&a, "breaker-L1") >= 25.0 - 3.6);
    assert!(projected(&a, "breaker-L1") >= 25.0);
    assert_eq!(finding(&a, "leg-difference").grade, Grade::Repair);
    // Also where only the joint was still warm.
    let a = judged(&read([20.0, 22.0, 25.0], [0.0, 4.2, 5.0]));
    assert_eq!(kept(&a, "breaker-L1"), None);
    assert_eq!(finding(&a, "leg-difference").grade, Grade::Repair);
}

#[test]
fn what_one_connection_has_without_load_is_no_difference_between_legs() {
    // Nine tenths of what it shows: 14.4 of 16 K.
    for (without, kept_k, grade) in [(14.5, Some(14.5), Grade::Pass), (14.3, None, Grade::Watch)] {
        let a = judged(&read([without, 15.2, 16.0], [0.0, 1.4, 1.9]));
        assert_eq!(
            kept(&a, "breaker-L1").map(|k| (k * 10.0).round() / 10.0),
            kept_k
        );
        assert_eq!(finding(&a, "leg-difference").grade, grade, "{without}");
    }
}

#[test]
fn only_a_reading_without_current_before_charging_counts() {
    let sun = || read([14.0, 18.5, 19.8], [14.0, 18.1, 19.2]);
    assert!(kept(&judged(&sun()), "breaker-L1").is_some());
    let mut little = sun();
    heat(&mut little).rounds[0].current = Current::from_ampere(0.2);
    let mut untold = sun();
    heat(&mut untold).charging_from = None;
    let mut later = sun();
    let first = heat(&mut later).rounds[0].at;
    heat(&mut later).charging_from = Some(crate::assess_common::moment(580.0));
    assert!(first.seconds() > heat(&mut later).charging_from.unwrap().seconds());
    for visit in [little, untold, later] {
        assert_eq!(kept(&judged(&visit), "breaker-L1"), None);
    }
    // Within the uncertainty of a rise, 3.3 K, there is none.
    let a = judged(&read([3.2, 8.0, 9.0], [3.2, 7.0, 8.0]));
    assert_eq!(kept(&a, "breaker-L1"), None);
}
