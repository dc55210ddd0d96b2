//! Settling: arithmetic alone, by hand, and what the rounds can and cannot tell.

use super::close;
use warmlug::assess::physics::settle::{Heating, How, LoadPoint, Settling, fit};

/// Rounds at 40 A in still air of 20 °C.
fn rounds(u: f64, values: &[(f64, f64)]) -> Vec<LoadPoint> {
    values
        .iter()
        .map(|&(minutes, rise_k)| LoadPoint {
            minutes,
            rise_k,
            u_rise_k: u,
            current_a: 40.0,
            air_c: 20.0,
        })
        .collect()
}

fn of(u: f64, values: &[(f64, f64)]) -> Settling {
    fit(&rounds(u, values), &Heating::new(2.0))
}

/// Exact first-order rise.
fn curve(r: f64, tau: f64, t: f64) -> f64 {
    r * (1.0 - (-t / tau).exp())
}

#[test]
fn two_rounds_have_one_answer() {
    // 10 K at 15 min and 20 K at 60 min: with x = e^(−15/τ), 1 + x + x² + x³ = 2 → x = 0.5437,
    // τ = 24.6 min, R = 10/(1 − x) = 21.9 K, slope at 60 min (21.9 − 20)/24.6 = 4.7 K/h.
    let s = of(0.5, &[(15.0, 10.0), (60.0, 20.0)]);
    assert_eq!(s.how, How::Solved);
    close(s.rise_k.unwrap(), 21.9, 0.05);
    close(s.time_constant_min.unwrap(), 24.6, 0.05);
    close(s.rate_k_per_h.unwrap(), 4.7, 0.05);
    close(s.to_go_k.unwrap(), 1.91, 0.01);
    // First-order uncertainty by hand: with x = 0.54369, f₁ = 1 − x, f₂ = 1 − x⁴,
    // g₁ = ∂r₁/∂ln τ = −R·x·ln x⁻¹, g₂ = −R·x⁴·4·ln x⁻¹:
    // ∂R/∂r₁ = g₂/(f₁g₂ − f₂g₁), ∂R/∂r₂ = −g₁/(f₁g₂ − f₂g₁).
    let (x, r) = (0.543_689_f64, 21.914_9);
    let l = -x.ln();
    let (f1, f2) = (1.0 - x, 1.0 - x.powi(4));
    let (g1, g2) = (-r * x * l, -r * x.powi(4) * 4.0 * l);
    let d = f1 * g2 - f2 * g1;
    let (c1, c2) = (g2 / d, -g1 / d);
    close(s.u_rise_independent_k, 0.5 * c1.hypot(c2), 1e-4);
    close(s.u_rise_common_k, 0.5 * (c1 + c2).abs(), 1e-4);
    assert_eq!(s.u_rise_k, s.u_rise_independent_k);
}

#[test]
fn an_early_bend_leaves_little_to_wait_for() {
    // 15.0 K at 15 min and 19.44 K at 65 min: τ = 10.20 min, R = 15/(1 − e^(−15/10.20)) =
    // 19.47 K, of which e^(−65/10.20) = 0.17 % = 0.03 K is still to come.
    let s = of(1.633, &[(15.0, 15.0), (65.0, 19.44)]);
    assert_eq!(s.how, How::Solved);
    close(s.rise_k.unwrap(), 19.47, 0.005);
    close(s.time_constant_min.unwrap(), 10.20, 0.005);
    close(s.to_go_k.unwrap(), 0.03, 0.005);
}

#[test]
fn the_ratio_of_two_rounds_must_lie_between_one_and_their_times() {
    // 15 and 60 min: at a ratio of 4 the line is straight, at 1 the plateau was there from the
    // start. Just inside, the curve is solved when the readings are sharp enough.
    let ratio = |q: f64| of(0.001, &[(15.0, 10.0), (60.0, 10.0 * q)]);
    assert_eq!(ratio(1.001).how, How::Solved);
    assert_eq!(ratio(1.0).how, How::Plateau);
    assert_eq!(ratio(0.999_9).how, How::Plateau);
    assert_eq!(ratio(0.99).how, How::Contradictory);
    assert_eq!(ratio(3.9).how, How::Solved);
    assert_eq!(ratio(4.0).how, How::StillClimbing);
    assert_eq!(ratio(4.1).how, How::StillClimbing);
    // A bound, not a fit.
    let s = ratio(4.0);
    close(s.rise_k.unwrap(), 40.0, 1e-12);
    assert_eq!((s.time_constant_min, s.to_go_k), (None, None));
    assert_eq!(s.minutes_to_within(1.0), None);
}

#[test]
fn small_rises_against_a_coarse_thermometer_tell_nothing() {
    // 3.0 and 3.2 K with u = 1.63 K: equal, but as well 0.9 and 3.7 on a straight climb.
    let s = of(1.63, &[(15.0, 3.0), (60.0, 3.2)]);
    assert_eq!(s.how, How::TooUncertain);
    close(s.rise_k.unwrap(), 3.2, 1e-12);
    close(s.u_rise_k, 1.63, 1e-12);
    // The same through a thermometer whose error is nearly all common to both rounds.
    let heating = Heating {
        common_share: Some(0.98),
        ..Heating::new(2.0)
    };
    let s = fit(&rounds(1.63, &[(15.0, 3.0), (60.0, 3.2)]), &heating);
    assert_eq!(s.how, How::Solved);
    close(s.rise_k.unwrap(), 3.2, 0.01);
    close(s.u_rise_k, 1.63, 0.01);
}

#[test]
fn a_plateau_is_the_mean_and_bounds_the_time_constant() {
    let s = of(0.5, &[(20.0, 12.2), (40.0, 12.0), (60.0, 11.8)]);
    assert_eq!(s.how, How::Plateau);
    close(s.rise_k.unwrap(), 12.0, 1e-12);
    // Independent 0.5/√3, common 0.5; the worse counts.
    close(s.u_rise_independent_k, 0.5 / 3f64.sqrt(), 1e-12);
    close(s.u_rise_common_k, 0.5, 1e-12);
    assert_eq!(s.u_rise_k, s.u_rise_common_k);
    assert_eq!(s.time_constant_min, None);
    assert_eq!(s.minutes_to_within(1.0), Some(0.0));
    // With twice that bound the first round would have been seen lower.
    let bound = s.time_constant_at_most_min.unwrap();
    assert!(bound > 3.0 && bound < 15.0, "{bound}");
}

#[test]
fn rises_that_fall_under_steady_current_contradict_warming() {
    let s = of(0.5, &[(15.0, 20.0), (35.0, 17.0), (60.0, 14.0)]);
    assert_eq!(s.how, How::Contradictory);
    close(s.rise_k.unwrap(), 20.0, 1e-12);
    assert_eq!(s.time_constant_min, None);
    // Below the air by more than their uncertainty, too.
    assert_eq!(
        of(0.5, &[(15.0, -6.0), (60.0, -6.0)]).how,
        How::Contradictory
    );
}

#[test]
fn one_round_is_a_lower_bound() {
    let s = of(1.0, &[(20.0, 9.0)]);
    assert_eq!(s.how, How::TooFew);
    assert_eq!((s.rise_k, s.u_rise_k), (Some(9.0), 1.0));
    assert_eq!(s.minutes_to_within(1.0), None);
    assert_eq!(of(1.0, &[]).how, How::TooFew);
    assert_eq!(of(1.0, &[]).rise_k, None);
}

#[test]
fn unusable_rounds_are_left_out() {
    let good = rounds(0.5, &[(15.0, 10.0), (60.0, 20.0)]);
    let mut all = good.clone();
    all.insert(
        0,
        LoadPoint {
            minutes: -5.0,
            ..good[0]
        },
    );
    all.insert(
        0,
        LoadPoint {
            minutes: 0.0,
            ..good[0]
        },
    );
    all.insert(
        3,
        LoadPoint {
            minutes: 20.0,
            rise_k: f64::NAN,
            ..good[0]
        },
    );
    all.insert(
        3,
        LoadPoint {
            minutes: 15.0,
            ..good[0]
        },
    );
    all.insert(
        3,
        LoadPoint {
            minutes: 30.0,
            u_rise_k: 0.0,
            ..good[0]
        },
    );
    all.insert(
        3,
        LoadPoint {
            minutes: 30.0,
            current_a: -1.0,
            ..good[0]
        },
    );
    let heating = Heating::new(2.0);
    assert_eq!(fit(&all, &heating), fit(&good, &heating));
}

#[test]
fn many_rounds_find_the_curve_they_came_from() {
    let values: Vec<(f64, f64)> = (1..=12)
        .map(|i| 10.0 * f64::from(i))
        .map(|t| (t, curve(27.5, 33.0, t)))
        .collect();
    let s = of(0.5, &values);
    assert_eq!((s.how, s.degrees), (How::Fitted, 10));
    close(s.rise_k.unwrap(), 27.5, 1e-9);
    close(s.time_constant_min.unwrap(), 33.0, 1e-9);
    close(s.chi_squared, 0.0, 1e-9);
    assert!(s.covariance.unwrap() > 0.0);
    // 27.5·e^(−120/33) = 0.7246 K to go.
    close(s.to_go_k.unwrap(), 0.7246, 5e-5);
    assert_eq!(s.minutes_to_within(1.0), Some(0.0));
    close(
        s.minutes_to_within(0.1).unwrap(),
        33.0 * 7.246_f64.ln(),
        0.05,
    );
}

#[test]
fn steps_of_current_superpose() {
    // 32 A until 15 min, 40 A from there: with n = 2 the heat is 0.64 of that at 40 A, so
    // r(15) = 0.64·R·(1 − x), r(60) = R·(1 − e^(−45/τ)) + r(15)·e^(−45/τ).
    let (r, tau) = (22.0, 20.0);
    let first = 0.64 * curve(r, tau, 15.0);
    let kept = (-45.0_f64 / tau).exp();
    let later = |t: f64| {
        let kept = (-(t - 15.0) / tau).exp();
        r * (1.0 - kept) + first * kept
    };
    close(later(60.0), r * (1.0 - kept) + first * kept, 1e-12);
    let mut points = rounds(
        0.3,
        &[(15.0, first), (30.0, later(30.0)), (60.0, later(60.0))],
    );
    points[0].current_a = 32.0;
    let s = fit(&points, &Heating::new(2.0));
    assert_eq!(s.how, How::Fitted);
    close(s.rise_k.unwrap(), r, 1e-9);
    close(s.time_constant_min.unwrap(), tau, 1e-9);
    assert_eq!(s.reference_a, 40.0);
    // Nobody saw when the current went up.
    assert!(s.u_rise_current_k > 0.0);
    assert!(s.u_rise_k > s.u_rise_independent_k.max(s.u_rise_common_k));
    // Told for the charger's rating of 48 A instead: × (48/40)².
    let heating = Heating {
        reference_a: Some(48.0),
        ..Heating::new(2.0)
    };
    close(fit(&points, &heating).rise_k.unwrap(), r * 1.44, 1e-9);
}

#[test]
fn a_steady_current_has_no_moment_of_change() {
    let s = of(0.5, &[(15.0, 10.0), (30.0, 15.4), (60.0, 20.0)]);
    assert_eq!(s.u_rise_current_k, 0.0);
}

#[test]
fn drifting_air_is_followed_late() {
    // Air warms by 0.1 K/min from the start; the body lags: r loses drift·τ·(1 − e^(−t/τ)).
    let (r, tau, drift) = (20.0, 25.0, 0.1);
    let values: Vec<(f64, f64)> = [15.0, 30.0, 60.0]
        .map(|t| (t, curve(r - drift * tau, tau, t)))
        .to_vec();
    let mut points = rounds(0.2, &values);
    for p in &mut points {
        p.air_c = 20.0 + drift * p.minutes;
    }
    let heating = Heating {
        start_air_c: Some(20.0),
        ..Heating::new(2.0)
    };
    let s = fit(&points, &heating);
    close(s.rise_k.unwrap(), r, 1e-8);
    close(s.time_constant_min.unwrap(), tau, 1e-8);
    // Left out of account, the same rises would seem to settle 2.5 K lower.
    let ignoring = of(0.2, &values);
    close(ignoring.rise_k.unwrap(), r - drift * tau, 1e-8);
}

#[test]
fn a_warm_start_is_taken_out() {
    let (r, tau, start) = (20.0, 25.0, 4.0);
    let values: Vec<(f64, f64)> = [15.0, 60.0]
        .map(|t: f64| (t, curve(r, tau, t) + start * (-t / tau).exp()))
        .to_vec();
    let heating = Heating {
        start_rise_k: start,
        ..Heating::new(2.0)
    };
    let s = fit(&rounds(0.2, &values), &heating);
    close(s.rise_k.unwrap(), r, 1e-8);
    close(s.time_constant_min.unwrap(), tau, 1e-8);
}

#[test]
fn a_pause_cools() {
    // Charging until 20 min, none until 40, again until 70.
    let (r, tau) = (30.0, 15.0);
    let a = curve(r, tau, 20.0);
    let b = a * (-20.0_f64 / tau).exp();
    let c = curve(r, tau, 30.0) + b * (-30.0_f64 / tau).exp();
    let mut points = rounds(0.3, &[(20.0, a), (40.0, b), (70.0, c)]);
    points[1].current_a = 0.0;
    let s = fit(&points, &Heating::new(2.0));
    close(s.rise_k.unwrap(), r, 1e-8);
    close(s.time_constant_min.unwrap(), tau, 1e-8);
}

#[test]
fn a_fall_within_its_scatter_is_a_plateau() {
    // R + d, R, R − d: χ² = 2·(d/u)² on two degrees of freedom, whose 99.9 % point is 13.8.
    let fall = |d: f64| of(0.5, &[(20.0, 20.0 + d), (40.0, 20.0), (60.0, 20.0 - d)]);
    // 2·2.55² = 13.0 and 2·2.75² = 15.1.
    assert_eq!(fall(2.55 * 0.5).how, How::Plateau);
    assert_eq!(fall(2.75 * 0.5).how, How::Contradictory);
    let s = fall(2.0 * 0.5);
    assert_eq!(s.degrees, 2);
    close(s.chi_squared, 8.0, 1e-9);
    // When half of the variance is common, the scatter is compared with the other half only.
    let heating = Heating {
        common_share: Some(0.5),
        ..Heating::new(2.0)
    };
    let points = rounds(0.5, &[(20.0, 20.0 + 1.2), (40.0, 20.0), (60.0, 20.0 - 1.2)]);
    let s = fit(&points, &heating);
    assert_eq!(s.how, How::Contradictory);
    close(s.chi_squared, 2.0 * 2.0 * 2.4 * 2.4, 1e-9);
    // √(½·u²/3 + ½·u²) for a plateau.
    let points = rounds(0.5, &[(20.0, 20.2), (40.0, 20.0), (60.0, 19.8)]);
    close(
        fit(&points, &heating).u_rise_k,
        0.5 * (0.5 / 3.0 + 0.5_f64).sqrt(),
        1e-12,
    );
}

#[test]
fn a_little_below_the_air_is_a_plateau_at_none() {
    // −0.9 K with u = 0.5 K, and −1.1 K, common to both rounds.
    let s = |r: f64| {
        let heating = Heating {
            common_share: Some(0.999),
            ..Heating::new(2.0)
        };
        fit(&rounds(0.5, &[(15.0, r), (60.0, r)]), &heating).how
    };
    assert_eq!(s(-0.9), How::Plateau);
    assert_eq!(s(-1.1), How::Contradictory);
}

#[test]
fn bounds_are_told_for_the_current_asked_for() {
    let heating = Heating {
        reference_a: Some(50.0),
        ..Heating::new(2.0)
    };
    // (50/40)² = 1.5625 on value and uncertainty.
    let s = fit(&rounds(0.5, &[(15.0, 10.0), (60.0, 40.0)]), &heating);
    assert_eq!(
        (s.how, s.reference_a, s.degrees),
        (How::StillClimbing, 50.0, 0)
    );
    close(s.rise_k.unwrap(), 62.5, 1e-12);
    for u in [s.u_rise_k, s.u_rise_independent_k, s.u_rise_common_k] {
        close(u, 0.5 * 1.5625, 1e-12);
    }
    assert_eq!(s.last_rise_k, 40.0);
    // A plateau too, with the last round's own rise beside it.
    let s = fit(&rounds(0.5, &[(15.0, 16.0), (60.0, 16.0)]), &heating);
    assert_eq!(s.how, How::Plateau);
    close(s.rise_k.unwrap(), 25.0, 1e-12);
    close(s.last_rise_k, 16.0, 1e-12);
    // And a fit, whose rise still to come is at the round's current.
    let s = fit(&rounds(0.5, &[(15.0, 10.0), (60.0, 20.0)]), &heating);
    close(s.rise_k.unwrap(), 21.914_9 * 1.5625, 1e-3);
    close(s.last_rise_k, 20.0, 1e-9);
    close(s.to_go_k.unwrap(), 1.914_9, 1e-3);
    // The largest of contradicting rises, each at its own current: 20 K at 40 A is more than
    // 24 K at 50 A.
    let mut points = rounds(0.2, &[(15.0, 24.0), (35.0, 20.0), (60.0, 9.0)]);
    points[0].current_a = 50.0;
    let s = fit(&points, &heating);
    assert_eq!(s.how, How::Contradictory);
    close(s.rise_k.unwrap(), 31.25, 1e-12);
    // Paused in the last round: the last with current bounds.
    let mut points = rounds(0.5, &[(15.0, 3.0), (20.0, 2.9)]);
    points[1].current_a = 0.0;
    let s = fit(&points, &Heating::new(2.0));
    assert_eq!(s.rise_k, Some(3.0));
    assert_eq!(s.last_rise_k, 2.9);
    // Paused in all: nothing is known.
    points[0].current_a = 0.0;
    let s = fit(&points, &Heating::new(2.0));
    assert_eq!((s.how, s.rise_k), (How::TooFew, None));
    assert_eq!(
        (s.u_rise_k, s.u_rise_independent_k, s.u_rise_common_k),
        (0.0, 0.0, 0.0)
    );
}

#[test]
fn waiting_for_nothing_is_not_told() {
    let s = of(0.5, &[(15.0, 10.0), (60.0, 20.0)]);
    for none in [0.0, -1.0, f64::NAN] {
        assert_eq!(s.minutes_to_within(none), None);
    }
    let plateau = of(0.5, &[(15.0, 10.0), (60.0, 10.0)]);
    assert_eq!(plateau.minutes_to_within(0.0), None);
}

#[test]
fn a_long_extrapolation_is_not_told_as_a_fit() {
    // Rounds at 5 and 10 min of a curve with τ = 60 min: the bend is there, but R could be half
    // or double.
    let values = [5.0, 10.0].map(|t| (t, curve(60.0, 60.0, t)));
    let s = of(0.05, &values);
    assert_eq!(s.how, How::StillClimbing);
    close(s.rise_k.unwrap(), values[1].1, 1e-12);
    // With a sharper thermometer it is reported.
    assert_eq!(of(0.002, &values).how, How::Solved);
}

#[test]
fn scatter_widens_what_it_blurs() {
    let exact = [10.0, 20.0, 30.0, 45.0, 60.0].map(|t| (t, curve(20.0, 18.0, t)));
    let mut blurred = exact;
    for (i, p) in blurred.iter_mut().enumerate() {
        p.1 += if i % 2 == 0 { 0.8 } else { -0.8 };
    }
    let (sharp, wide) = (of(0.5, &exact), of(0.5, &blurred));
    assert_eq!(wide.how, How::Fitted);
    assert!(wide.chi_squared > 9.0 && wide.u_rise_independent_k > 1.5 * sharp.u_rise_independent_k);
}

/// Of rounds that contradict each other the largest with any current is known; one without says
/// nothing of a load.
#[test]
fn a_round_without_current_is_no_bound() {
    let point = |minutes, rise_k, current_a| LoadPoint {
        minutes,
        rise_k,
        u_rise_k: 0.2,
        current_a,
        air_c: 20.0,
    };
    let f = fit(
        &[
            point(20.0, 25.0, 40.0),
            point(40.0, 30.0, 0.0),
            point(60.0, 15.0, 40.0),
        ],
        &Heating::new(2.0),
    );
    assert_eq!(f.how, How::Contradictory);
    assert_eq!(f.rise_k, Some(25.0));
}

/// What all rounds have in common counts with their weights: u = Σ(u·w)/Σw, w = 1/u².
#[test]
fn a_plateau_of_unequal_rounds() {
    let us = [0.5, 0.3, 0.4];
    let points: Vec<LoadPoint> = [(20.0, 15.2), (40.0, 14.9), (60.0, 15.1)]
        .into_iter()
        .zip(us)
        .map(|((minutes, rise_k), u_rise_k)| LoadPoint {
            minutes,
            rise_k,
            u_rise_k,
            current_a: 40.0,
            air_c: 20.0,
        })
        .collect();
    let f = fit(&points, &Heating::new(2.0));
    assert_eq!(f.how, How::Plateau);
    let weight: f64 = us.iter().map(|u| 1.0 / (u * u)).sum();
    close(
        f.u_rise_common_k,
        us.iter().map(|u| 1.0 / u).sum::<f64>() / weight,
        1e-12,
    );
    close(f.u_rise_independent_k, 1.0 / weight.sqrt(), 1e-12);
}

/// Sums of squares are compared with the part of the uncertainties that is independent.
#[test]
fn what_is_common_to_all_rounds_scatters_nothing() {
    let climb = rounds(2.0, &[(10.0, 6.0), (30.0, 19.0), (60.0, 35.0)]);
    let chi = |common: f64| {
        let heating = Heating {
            common_share: Some(common),
            ..Heating::new(2.0)
        };
        let f = fit(&climb, &heating);
        assert_eq!(f.how, How::StillClimbing, "{common}");
        f.chi_squared
    };
    assert!(chi(0.0) > 0.01);
    close(chi(0.5), 2.0 * chi(0.0), 1e-12);
    close(chi(0.75), 4.0 * chi(0.0), 1e-12);
}
