//! Uncertainty and decisions against the guides' own examples (JCGM 100:2008, JCGM 106:2012, ILAC-G8:09/2019);
//! the rest is arithmetic alone.

use super::close;
use warmlug::assess::physics::uncertainty::{
    Accuracy, Budget, COVERAGE, Errors, Pair, between, borderline, normal_cdf, probability_over,
    rectangular, repeated, student_factor,
};
use warmlug::quantity::Temperature;

#[test]
fn end_gauge_of_the_gum() {
    // JCGM 100:2008, H.1.7 and table H.1: components 25, 9.7, 2.9 and 16.6 nm with 18, 25.6, 50
    // and 2 degrees of freedom → u_c = 32 nm, ν_eff = 16, U₉₉ = 2.92 × 32 nm = 93 nm.
    let budget = Budget::new()
        .with_degrees("standard", 1.0, 25.0, Some(18.0))
        .with_degrees("difference", 1.0, 9.7, Some(25.6))
        .with_degrees("expansion", 1.0, 2.9, Some(50.0))
        .with_degrees("temperature", 1.0, 16.6, Some(2.0));
    close(budget.standard(), 31.7, 0.05);
    assert_eq!(budget.effective_degrees().floor(), 16.0);
    let k = student_factor(0.99, budget.effective_degrees());
    close(k, 2.92, 0.005);
    close(budget.expanded(k), 93.0, 0.7);
    let shares: f64 = budget.contributions().iter().map(|c| c.share).sum();
    close(shares, 1.0, 1e-15);
}

#[test]
fn surface_temperature_of_nist() {
    // NIST Technical Note 1900 (2015), example E2: 22 daily readings, °C → mean 25.6, s/√22 =
    // 0.872, k = 2.08 with 21 degrees of freedom, 95 % interval 23.8 to 27.4.
    let readings = [
        18.75, 28.25, 25.75, 28.0, 28.5, 20.75, 21.0, 22.75, 18.5, 27.25, 20.75, 26.5, 28.0, 23.25,
        28.0, 21.75, 26.0, 26.5, 28.0, 33.25, 32.0, 29.5,
    ];
    let r = repeated(&readings).unwrap();
    close(r.mean, 25.59, 0.005);
    close(r.deviation, 4.09, 0.005);
    close(r.standard, 0.872, 0.0005);
    assert_eq!(r.degrees, 21);
    let k = student_factor(0.95, 21.0);
    close(k, 2.08, 0.005);
    close(r.mean - k * r.standard, 23.8, 0.05);
    close(r.mean + k * r.standard, 27.4, 0.05);
}

/// NIST Technical Note 1297 (1994), table B.1 (as in JCGM 100:2008, table G.2): t_p(ν) for
/// fractions of 68.27, 90, 95, 95.45, 99 and 99.73 %.
#[rustfmt::skip]
const STUDENT: [(f64, [f64; 6]); 27] = [
    (1.0, [1.84, 6.31, 12.71, 13.97, 63.66, 235.80]),
    (2.0, [1.32, 2.92, 4.30, 4.53, 9.92, 19.21]),
    (3.0, [1.20, 2.35, 3.18, 3.31, 5.84, 9.22]),
    (4.0, [1.14, 2.13, 2.78, 2.87, 4.60, 6.62]),
    (5.0, [1.11, 2.02, 2.57, 2.65, 4.03, 5.51]),
    (6.0, [1.09, 1.94, 2.45, 2.52, 3.71, 4.90]),
    (7.0, [1.08, 1.89, 2.36, 2.43, 3.50, 4.53]),
    (8.0, [1.07, 1.86, 2.31, 2.37, 3.36, 4.28]),
    (9.0, [1.06, 1.83, 2.26, 2.32, 3.25, 4.09]),
    (10.0, [1.05, 1.81, 2.23, 2.28, 3.17, 3.96]),
    (11.0, [1.05, 1.80, 2.20, 2.25, 3.11, 3.85]),
    (12.0, [1.04, 1.78, 2.18, 2.23, 3.05, 3.76]),
    (13.0, [1.04, 1.77, 2.16, 2.21, 3.01, 3.69]),
    (14.0, [1.04, 1.76, 2.14, 2.20, 2.98, 3.64]),
    (15.0, [1.03, 1.75, 2.13, 2.18, 2.95, 3.59]),
    (16.0, [1.03, 1.75, 2.12, 2.17, 2.92, 3.54]),
    (17.0, [1.03, 1.74, 2.11, 2.16, 2.90, 3.51]),
    (18.0, [1.03, 1.73, 2.10, 2.15, 2.88, 3.48]),
    (19.0, [1.03, 1.73, 2.09, 2.14, 2.86, 3.45]),
    (20.0, [1.03, 1.72, 2.09, 2.13, 2.85, 3.42]),
    (25.0, [1.02, 1.71, 2.06, 2.11, 2.79, 3.33]),
    (30.0, [1.02, 1.70, 2.04, 2.09, 2.75, 3.27]),
    (35.0, [1.01, 1.70, 2.03, 2.07, 2.72, 3.23]),
    (40.0, [1.01, 1.68, 2.02, 2.06, 2.70, 3.20]),
    (45.0, [1.01, 1.68, 2.01, 2.06, 2.69, 3.18]),
    (50.0, [1.01, 1.68, 2.01, 2.05, 2.68, 3.16]),
    (f64::INFINITY, [1.000, 1.645, 1.960, 2.000, 2.576, 3.000]),
];

/// Fractions of that table; 68.27, 95.45 and 99.73 % stand for ±1, 2 and 3 standard deviations.
fn fractions() -> [f64; 6] {
    let within = |z: f64| 1.0 - 2.0 * normal_cdf(-z);
    [within(1.0), 0.90, 0.95, within(2.0), 0.99, within(3.0)]
}

/// Entries of that table that are printed wrongly: 35 degrees of freedom, 90 %: 1.70 for 1.69.
const MISPRINTS: [(f64, f64); 1] = [(35.0, 0.90)];

#[test]
fn student_factors_of_nist() {
    for (degrees, row) in STUDENT {
        for (fraction, printed) in fractions().into_iter().zip(row) {
            let found = student_factor(fraction, degrees);
            let agrees = (found - printed).abs() <= 0.005 + 1e-9;
            assert_eq!(
                agrees,
                !MISPRINTS.contains(&(degrees, fraction)),
                "ν {degrees}, {fraction}: {found}, printed {printed}"
            );
        }
    }
}

#[test]
fn confidence_that_is_none_or_all() {
    for none in [0.0, -0.5, f64::NAN] {
        assert_eq!(student_factor(none, 5.0), 0.0);
    }
    assert_eq!(student_factor(1.0, 5.0), f64::INFINITY);
    // Fewer than one degree of freedom count as one, part of one is cut off.
    assert_eq!(student_factor(0.95, 0.0), student_factor(0.95, 1.0));
    assert_eq!(student_factor(0.95, 2.9), student_factor(0.95, 2.0));
}

#[test]
fn coverage_grows_when_a_few_readings_rule() {
    let few = Budget::new().with_degrees("repeatability", 1.0, 1.0, Some(3.0));
    close(few.coverage_for(COVERAGE), 3.31, 0.005);
    let known = Budget::new().with("instrument", 1.0, 1.0);
    assert_eq!(known.coverage_for(COVERAGE), COVERAGE);
    // Three readings beside a much larger instrument share: ν_eff in the thousands.
    let both = known.with_degrees("repeatability", 1.0, 0.1, Some(2.0));
    close(both.coverage_for(COVERAGE), 2.0, 0.002);
    let nothing = Budget::new().with_degrees("repeatability", 1.0, 0.0, Some(0.0));
    assert_eq!(nothing.coverage_for(COVERAGE), COVERAGE);
}

#[test]
fn zener_diode_of_jcgm_106() {
    // JCGM 106:2012, 7.3.2, example (from memory): breakdown voltage with one upper limit of
    // −5.40 V, measured −5.47 V, u = 0.05 V → conformance probability Φ(1.40) = 0.92.
    close(1.0 - probability_over(-5.47, 0.05, -5.40), 0.92, 0.005);
}

#[test]
fn one_sided_factors_of_jcgm_106() {
    // JCGM 106:2012, table 1: conformance probability and z = (T_U − y)/u.
    for (p, z) in [
        (0.80, 0.84),
        (0.90, 1.28),
        (0.95, 1.64),
        (0.99, 2.33),
        (0.999, 3.09),
    ] {
        let over = probability_over(100.0 - z, 1.0, 100.0);
        let slack = 0.0055 * (-z * z / 2.0_f64).exp() / (2.0 * std::f64::consts::PI).sqrt();
        close(1.0 - over, p, slack);
    }
}

#[test]
fn speed_of_jcgm_106() {
    // JCGM 106:2012, 8.3.3.2, example (from memory): u(v) = 0.02·v; a driver at 100 km/h is to be
    // fined wrongly with a probability of at most 0.1 %: the limit to act on is 107 km/h.
    let over = |v: f64| probability_over(v, 0.02 * v, 100.0);
    assert!(over(106.0) < 0.999 && over(107.0) >= 0.999);
}

#[test]
fn guard_band_of_ilac() {
    // ILAC-G8:09/2019, 4.2: w = U with k = 2 leaves a false accept under 2.5 %; w = 0 up to 50 %.
    let over = probability_over(10.0 - 2.0, 1.0, 10.0);
    assert!(over < 0.025, "{over}");
    assert_eq!(probability_over(10.0, 1.0, 10.0), 0.5);
}

#[test]
fn four_values_about_a_limit() {
    // Two readings of ±2 °C each, rectangular: u = √2 × 1.155 = 1.633, U = 3.27 K. Against 15 K
    // the guarded decisions are 11.7 pass, 13.0 conditional pass, 16.0 conditional fail, 18.3
    // fail (ILAC-G8:09/2019, 4.2.3, hand arithmetic); the two in the middle straddle.
    let u = Pair::independent(rectangular(2.0), rectangular(2.0)).difference();
    close(u, 1.633, 0.0005);
    close(COVERAGE * u, 3.27, 0.005);
    let straddles = |v| borderline(v, COVERAGE * u, 15.0);
    assert_eq!(
        [11.7, 13.0, 16.0, 18.3].map(straddles),
        [false, true, true, false]
    );
    assert!(borderline(12.0, 3.0, 15.0) && !borderline(11.999, 3.0, 15.0));
}

#[test]
fn accuracy_is_the_larger_half_width() {
    let gun = Accuracy {
        of_reading: 0.02,
        at_least_k: 2.0,
    };
    let half = |c| gun.half_width(Temperature::from_celsius(c)).kelvin();
    // 2 % of 99 °C is 1.98, of 101 °C 2.02, of −150 °C 3.
    close(half(99.0), 2.0, 1e-12);
    close(half(101.0), 2.02, 1e-12);
    close(half(-150.0), 3.0, 1e-12);
    close(
        gun.standard(Temperature::from_celsius(20.0)).kelvin(),
        1.1547,
        5e-5,
    );
}

#[test]
fn a_range_of_emissivity_is_rectangular() {
    // 0.90 to 0.96: (0.96 − 0.90)/√12 = 0.01732.
    close(between(0.90, 0.96), 0.01732, 5e-6);
}

#[test]
fn common_errors_cancel_in_a_difference() {
    close(Pair::independent(3.0, 4.0).difference(), 5.0, 1e-15);
    // All of the smaller common: √(4² − 3²) is left.
    let all = Pair {
        first: 3.0,
        second: 4.0,
        common: 3.0,
    };
    close(all.difference(), 7f64.sqrt(), 1e-15);
    // More than there is counts as all there is.
    let more = Pair {
        first: 3.0,
        second: 4.0,
        common: 9.0,
    };
    assert_eq!(more.difference(), all.difference());
    let same = Pair {
        first: 1.2,
        second: 1.2,
        common: 1.2,
    };
    assert_eq!(same.difference(), 0.0);
}

#[test]
fn the_bias_of_one_instrument_cancels_in_a_difference_alone() {
    // ± 2 K with a repeatability of 0.4 K, and 0.3 K from the emissivity. By hand: u(T)² = 4/3 +
    // 0.09 = 1.4233, b² = 4/3 − 0.16, so the difference of two has √(2·(0.16 + 0.09)) = 0.7071 K.
    let instrument = rectangular(2.0);
    let one = Errors::of(libm::hypot(instrument, 0.3), instrument, 0.4);
    close(one.standard(), 1.4233_f64.sqrt(), 1e-4);
    close(one.difference(&one), 0.5_f64.sqrt(), 1e-12);
    // The bias grows with the reading: 2 % of 150 °C is 3 K. b = √(3 − 0.16) − √(4/3 − 0.16).
    let hot = Errors::of(rectangular(3.0), rectangular(3.0), 0.4);
    let cool = Errors::of(rectangular(2.0), rectangular(2.0), 0.4);
    let bias = 2.84_f64.sqrt() - (4.0 / 3.0 - 0.16_f64).sqrt();
    close(hot.difference(&cool), (0.32 + bias * bias).sqrt(), 1e-12);
    // One whose whole accuracy differs from reading to reading has nothing in common.
    let noisy = Errors::of(0.5, 0.5, 0.5);
    close(noisy.difference(&noisy), 0.5 * 2f64.sqrt(), 1e-12);
}

#[test]
fn one_reading_shows_no_scatter() {
    assert_eq!(repeated(&[]), None);
    let one = repeated(&[41.3]).unwrap();
    assert_eq!((one.mean, one.standard, one.degrees), (41.3, 0.0, 0));
    let equal = repeated(&[0.1, 0.1, 0.1]).unwrap();
    assert_eq!((equal.mean, equal.deviation), (0.1, 0.0));
}

#[test]
fn without_uncertainty_the_value_decides() {
    assert_eq!(probability_over(15.0, 0.0, 15.0), 0.0);
    assert_eq!(probability_over(15.000_001, 0.0, 15.0), 1.0);
}

#[test]
fn of_nothing_every_source_has_no_share() {
    let exact = Budget::new().with("instrument", 1.0, 0.0);
    assert_eq!(exact.standard(), 0.0);
    assert!(exact.contributions().iter().all(|c| c.share == 0.0));
}
