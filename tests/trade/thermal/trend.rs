//! Change and trend over visits: arithmetic alone, by hand.

use super::close;
use warmlug::assess::physics::trend::{DAYS_A_YEAR, Past, change, trend};

fn visits(u: f64, values: &[(f64, f64)]) -> Vec<Past> {
    values
        .iter()
        .map(|&(years, rise_k)| Past {
            day: years * DAYS_A_YEAR,
            rise_k,
            u_rise_k: u,
        })
        .collect()
}

#[test]
fn a_change_against_its_uncertainty() {
    // 12 ± 1.6 → 18 ± 1.6 K: 6 K, u = 2.263, z = 2.65, hotter with 99.6 %.
    let c = change((12.0, 1.6), (18.0, 1.6));
    close(c.change_k, 6.0, 1e-12);
    close(c.standard_k, 2.263, 5e-4);
    close(c.z, 2.652, 5e-4);
    close(c.probability_hotter, 0.996, 5e-4);
    assert!(c.significant);
    // 2·2.263 = 4.525 K is the least that shows.
    assert!(!change((12.0, 1.6), (16.52, 1.6)).significant);
    assert!(change((12.0, 1.6), (16.53, 1.6)).significant);
    // Cooler is a change too.
    assert!(change((18.0, 1.6), (12.0, 1.6)).significant);
    let none = change((12.0, 0.0), (12.0, 0.0));
    assert_eq!((none.z, none.probability_hotter), (0.0, 0.5));
}

#[test]
fn median_slope_shrugs_at_one_bad_visit() {
    // Half-yearly 10, 12, 30, 16, 18 K: the pair slopes are six times 4, and −28, −12, 20, 36.
    let t = trend(&visits(
        1.0,
        &[
            (0.0, 10.0),
            (0.5, 12.0),
            (1.0, 30.0),
            (1.5, 16.0),
            (2.0, 18.0),
        ],
    ))
    .unwrap();
    close(t.slope.k_per_year, 4.0, 1e-9);
    close(t.slope.at_day_zero_k, 10.0, 1e-9);
}

#[test]
fn three_visits_give_the_range_of_their_slopes_or_the_instruments() {
    // 10, 13, 14 K yearly: slopes 3, 1, 2. Sharp values: the range 1 to 3.
    let t = trend(&visits(0.01, &[(0.0, 10.0), (1.0, 13.0), (2.0, 14.0)])).unwrap();
    close(t.slope.k_per_year, 2.0, 1e-9);
    close(t.slope.low, 1.0, 1e-9);
    close(t.slope.high, 3.0, 1e-9);
    assert!(t.slope.significant);
    // u = 1.6 K: least squares 1.6/√2 = 1.131 over √(3/π) = 1.158; ± 2.316.
    let t = trend(&visits(1.6, &[(0.0, 10.0), (1.0, 13.0), (2.0, 14.0)])).unwrap();
    close(t.slope.low, 2.0 - 2.316, 1e-3);
    close(t.slope.high, 2.0 + 2.316, 1e-3);
    assert!(!t.slope.significant);
}

#[test]
fn when_the_next_grade_is_reached() {
    // 10, 12, 14 K yearly, sharp: 20 K after five years.
    let t = trend(&visits(0.001, &[(0.0, 10.0), (1.0, 12.0), (2.0, 14.0)])).unwrap();
    let r = t.reaches(20.0).unwrap();
    close(r.day, 5.0 * DAYS_A_YEAR, 1e-6);
    close(r.earliest, 5.0 * DAYS_A_YEAR, 3.0);
    close(r.latest.unwrap(), 5.0 * DAYS_A_YEAR, 3.0);
    assert!(r.earliest < r.day && r.day < r.latest.unwrap());
    // With u = 0.5 K: slope 2 ± 0.7236, level ± 0.5774 about the middle: earliest
    // 1 + (20 − 12 − 0.577)/2.7236, latest 1 + (20 − 12 + 0.577)/1.2764 years.
    let t = trend(&visits(0.5, &[(0.0, 10.0), (1.0, 12.0), (2.0, 14.0)])).unwrap();
    let r = t.reaches(20.0).unwrap();
    close(r.earliest / DAYS_A_YEAR, 3.725, 2e-3);
    close(r.latest.unwrap() / DAYS_A_YEAR, 7.720, 2e-3);
    // Already there: the last visit's day. Never with a slope that may be flat.
    close(t.reaches(13.0).unwrap().day, 2.0 * DAYS_A_YEAR, 1e-9);
    let vague = trend(&visits(3.0, &[(0.0, 10.0), (1.0, 12.0), (2.0, 14.0)])).unwrap();
    assert_eq!(vague.reaches(20.0).unwrap().latest, None);
    // A falling series reaches nothing.
    let falling = trend(&visits(0.5, &[(0.0, 14.0), (1.0, 12.0), (2.0, 10.0)])).unwrap();
    assert!(falling.reaches(20.0).is_none());
    assert!(t.reaches(f64::NAN).is_none());
}

#[test]
fn fewer_than_three_days_make_no_trend() {
    assert!(trend(&visits(1.0, &[(0.0, 10.0), (1.0, 12.0)])).is_none());
    assert!(trend(&visits(1.0, &[(0.0, 10.0), (0.0, 11.0), (1.0, 12.0)])).is_none());
    assert!(trend(&visits(0.0, &[(0.0, 10.0), (1.0, 11.0), (2.0, 12.0)])).is_none());
    assert!(trend(&visits(1.0, &[(0.0, 10.0), (1.0, f64::NAN), (2.0, 12.0)])).is_none());
    let three = [(0.0, 10.0), (1.0, 11.0), (2.0, 12.0)];
    for wrong in [f64::NAN, f64::INFINITY, -1.0] {
        let mut past = visits(1.0, &three);
        past[1].u_rise_k = wrong;
        assert!(trend(&past).is_none(), "u {wrong}");
    }
    for wrong in [f64::NAN, f64::INFINITY] {
        let mut past = visits(1.0, &three);
        past[1].day = wrong;
        assert!(trend(&past).is_none(), "day {wrong}");
        past = visits(1.0, &three);
        past[1].rise_k = wrong;
        assert!(trend(&past).is_none(), "rise {wrong}");
    }
}

#[test]
fn a_slope_is_significant_either_way() {
    let sloped = |by: f64| {
        trend(&visits(
            0.1,
            &[(0.0, 30.0), (1.0, 30.0 + by), (2.0, 30.0 + 2.0 * by)],
        ))
    };
    for (by, significant) in [(5.0, true), (-5.0, true), (0.01, false), (-0.01, false)] {
        assert_eq!(sloped(by).unwrap().slope.significant, significant, "{by}");
    }
}

#[test]
fn any_day_count_gives_the_same_slope() {
    let base = visits(1.0, &[(0.0, 10.0), (0.7, 13.0), (1.9, 15.0)]);
    let late: Vec<Past> = base
        .iter()
        .map(|p| Past {
            day: p.day + 739_000.0,
            ..*p
        })
        .collect();
    let (a, b) = (trend(&base).unwrap(), trend(&late).unwrap());
    close(a.slope.k_per_year, b.slope.k_per_year, 1e-9);
    close(
        a.reaches(25.0).unwrap().day + 739_000.0,
        b.reaches(25.0).unwrap().day,
        1e-3,
    );
}

#[test]
fn what_does_not_rise_reaches_nothing() {
    let flat = trend(&visits(0.1, &[(0.0, 30.0), (1.0, 30.0), (2.0, 30.0)])).unwrap();
    assert_eq!(flat.slope.k_per_year, 0.0);
    assert!(flat.reaches(40.0).is_none());
}

/// Several visits on one day make fewer pairs and a smaller variance of Kendall's statistic
/// (Sen 1968): slope and 95 % interval by `scipy.stats.theilslopes` 1.17.1.
#[test]
fn visits_of_one_day_narrow_the_ranks() {
    let told = [
        (0.0, 10.0),
        (0.0, 10.8),
        (0.0, 9.5),
        (0.0, 10.3),
        (1.0, 12.1),
        (2.0, 12.9),
        (3.0, 15.2),
        (4.0, 15.9),
    ];
    let slope = trend(&visits(1e-3, &told)).unwrap().slope;
    close(slope.k_per_year, 1.4875, 1e-9);
    close(slope.low, 1.266_666_666_666_666_8, 1e-9);
    close(slope.high, 1.9, 1e-9);
}
