//! Fit of the settled rise and the time constant to the rounds.

use super::curve::{Point, Run};
use super::load::{Heating, LoadPoint};
use crate::assess::physics::uncertainty::COVERAGE;

/// How much the rounds determine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum How {
    /// R and τ solved from two rounds.
    Solved,
    /// R and τ fitted to three or more.
    Fitted,
    /// The rises are equal, or fall, within their uncertainty, and a body that was still warming up
    /// would have shown it: R is their weighted mean; for τ only an upper bound is known.
    Plateau,
    /// The rise grew without a curvature that would show where it ends: the last rise is a lower
    /// bound.
    StillClimbing,
    /// The rises are too small compared with their uncertainty to distinguish climbing from
    /// settled: only the last rise is known.
    TooUncertain,
    /// The rises contradict a body warming under this current by more than their uncertainty (they
    /// fall, or scatter): only the largest is known.
    Contradictory,
    /// Fewer than two usable rounds: the last rise, if any, is a lower bound.
    TooFew,
}

/// The result of fitting the loaded rounds of one connection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settling {
    /// How much the rounds determine.
    pub how: How,
    /// Settled rise at `reference_a`, kelvin: fitted, or the bound named by `how`, scaled to that
    /// current; `None` without any usable round.
    pub rise_k: Option<f64>,
    /// Standard uncertainty of `rise_k`, kelvin: from the readings, according to the common
    /// fraction or, if that is unknown, in the worst case; and from the moment at which the current
    /// changed.
    pub u_rise_k: f64,
    /// Contribution of the readings if all their errors were independent (weighted least squares).
    pub u_rise_independent_k: f64,
    /// Contribution of the readings if all had one common error, in proportion to their
    /// uncertainties.
    pub u_rise_common_k: f64,
    /// Contribution of the unknown moment at which the current changed between rounds.
    pub u_rise_current_k: f64,
    /// Time constant, minutes, if solved or fitted.
    pub time_constant_min: Option<f64>,
    /// Its standard uncertainty, minutes, for independent errors.
    pub u_time_constant_min: Option<f64>,
    /// Covariance of rise and time constant, K·min, for independent errors.
    pub covariance: Option<f64>,
    /// For a plateau: the largest time constant compatible with the rises (k = 2), minutes.
    pub time_constant_at_most_min: Option<f64>,
    /// Rise of the last round according to the fit, at that round's current; as measured if nothing
    /// was fitted. Kelvin.
    pub last_rise_k: f64,
    /// Distance of the last round from the settled rise at its own current, kelvin; 0 on a plateau,
    /// `None` if unknown.
    pub to_go_k: Option<f64>,
    /// Its standard uncertainty, kelvin.
    pub u_to_go_k: f64,
    /// Rate of the rise at the last round according to the fit, kelvin per hour; `None` if unknown.
    pub rate_k_per_h: Option<f64>,
    /// Current to which `rise_k` refers, ampere.
    pub reference_a: f64,
    /// Weighted sum of squared residuals, relative to the independent part of the uncertainties.
    pub chi_squared: f64,
    /// Number of rounds minus number of fitted parameters.
    pub degrees: usize,
}

impl Settling {
    /// Minutes remaining after the last round, at its current, until the rise is within `within_k`
    /// of settled; 0 if it already is, `None` if the rounds do not determine it.
    pub fn minutes_to_within(&self, within_k: f64) -> Option<f64> {
        let to_go = self.to_go_k?.abs();
        if within_k.is_nan() || within_k <= 0.0 {
            return None;
        }
        if to_go <= within_k {
            return Some(0.0);
        }
        Some(self.time_constant_min? * libm::log(to_go / within_k))
    }
}

/// Change of the sum of squares that counts as significant: k² for one parameter (k = 2, about 95
/// %; JCGM 100:2008, 6.3.3).
const SEEN: f64 = COVERAGE * COVERAGE;
/// A fitted rise is not reported as one if its expanded uncertainty exceeds this fraction of it …
/// (our choice, no source)
const LARGEST_RELATIVE: f64 = 0.5;
/// … and the cause is the fit, not the thermometer: its uncertainty exceeds the last reading's by
/// this factor (our choice, no source).
const LARGEST_GROWTH: f64 = 1.5;

/// Sums of squares closer than this count as equal.
const SAME: f64 = 1e-6;

/// Fits the loaded rounds of one connection, in chronological order.
///
/// Points at or before the start of charging or before their predecessor, without an uncertainty,
/// or with numbers impossible in a circuit (not finite, or over a million) are left out.
pub fn fit(points: &[LoadPoint], heating: &Heating) -> Settling {
    fit_eased(points, heating, 1.0)
}

/// [`fit`], with the requirements for a determined result eased by a factor of at least 1.
pub(in crate::assess) fn fit_eased(points: &[LoadPoint], heating: &Heating, ease: f64) -> Settling {
    let run = Run::new(points, heating);
    let Some(last) = run.points.last().copied() else {
        return nothing();
    };
    // A round without current gives no bound; the last one with current does.
    let loaded = run.points.iter().rev().find(|p| p.heat > 0.0);
    let mut found = Settling {
        reference_a: run.reference,
        last_rise_k: last.y,
        chi_squared: 0.0,
        degrees: 0,
        ..bound(How::TooFew, &run, *loaded.unwrap_or(&last))
    };
    if run.points.len() < 2 || loaded.is_none() {
        return found;
    }

    let flat = run.flat();
    let straight = run.straight();
    let best = run.search();
    let chi = best.chi.min(flat.chi).min(straight.chi);
    // Only errors that vary from round to round can hide or imitate a curvature.
    let seen = SEEN / ease * run.independent;
    let bends = straight.chi - chi >= seen;
    let grew = flat.chi - chi >= seen;
    found.degrees = run.points.len() - 2;

    if !bends {
        // A straight climb fits as well as any curve.
        found.how = if grew {
            How::StillClimbing
        } else {
            How::TooUncertain
        };
        found.chi_squared = chi / run.independent;
        return found;
    }
    if flat.chi <= best.chi + SAME {
        // No warming curve fits better than assuming no warming at all.
        found.degrees = run.points.len() - 1;
        found.chi_squared = flat.chi / run.independent;
        let u = run.combined(flat.independent, flat.common);
        if scatters(found.chi_squared / ease, found.degrees) || flat.r + COVERAGE * u < 0.0 {
            return contradictory(found, &run);
        }
        return Settling {
            how: How::Plateau,
            rise_k: Some(flat.r),
            u_rise_k: u,
            u_rise_independent_k: flat.independent,
            u_rise_common_k: flat.common,
            time_constant_at_most_min: run.longest_compatible(flat.chi, seen),
            last_rise_k: flat.r * last.heat,
            to_go_k: Some(0.0),
            rate_k_per_h: Some(0.0),
            ..found
        };
    }
    found.chi_squared = best.chi / run.independent;
    if scatters(found.chi_squared / ease, found.degrees) || best.r <= 0.0 {
        return contradictory(found, &run);
    }
    let Some(spread) = run.spread(&best) else {
        found.how = How::StillClimbing;
        return found;
    };
    let moment = run.moment(points, heating, best.r);
    let u = libm::hypot(run.combined(spread.independent, spread.common), moment);
    let measured = loaded.map_or(0.0, |p| p.u / p.heat);
    if COVERAGE * u > ease * LARGEST_RELATIVE * best.r && u > ease * LARGEST_GROWTH * measured {
        found.how = if grew {
            How::StillClimbing
        } else {
            How::TooUncertain
        };
        return found;
    }
    let (f, g) = run.last(best.tau);
    let now = best.r * f + g;
    let to_go = best.r * last.heat - now;
    Settling {
        how: if run.points.len() == 2 {
            How::Solved
        } else {
            How::Fitted
        },
        rise_k: Some(best.r),
        u_rise_k: u,
        u_rise_independent_k: spread.independent,
        u_rise_common_k: spread.common,
        u_rise_current_k: moment,
        time_constant_min: Some(best.tau),
        u_time_constant_min: Some(spread.tau),
        covariance: Some(spread.covariance),
        last_rise_k: now,
        to_go_k: Some(to_go),
        u_to_go_k: libm::hypot(
            run.combined(spread.to_go[0], spread.to_go[1]),
            moment * last.heat,
        ),
        rate_k_per_h: Some(60.0 * to_go / best.tau),
        ..found
    }
}

/// Nothing usable at all.
fn nothing() -> Settling {
    Settling {
        how: How::TooFew,
        rise_k: None,
        u_rise_k: 0.0,
        u_rise_independent_k: 0.0,
        u_rise_common_k: 0.0,
        u_rise_current_k: 0.0,
        time_constant_min: None,
        u_time_constant_min: None,
        covariance: None,
        time_constant_at_most_min: None,
        last_rise_k: 0.0,
        to_go_k: None,
        u_to_go_k: 0.0,
        rate_k_per_h: None,
        reference_a: 0.0,
        chi_squared: 0.0,
        degrees: 0,
    }
}

/// One round's rise as the only known value, scaled to the reference current.
fn bound(how: How, run: &Run, point: Point) -> Settling {
    let scale = if point.heat > 0.0 {
        1.0 / point.heat
    } else {
        0.0
    };
    let known = scale > 0.0 && scale.is_finite();
    let u = point.u * scale;
    Settling {
        how,
        rise_k: known.then_some(point.y * scale),
        u_rise_k: if known { u } else { 0.0 },
        u_rise_independent_k: if known { u } else { 0.0 },
        u_rise_common_k: if known { u } else { 0.0 },
        reference_a: run.reference,
        ..nothing()
    }
}

/// Only the largest rise, at the reference current, is known.
fn contradictory(found: Settling, run: &Run) -> Settling {
    let largest = run
        .points
        .iter()
        .filter(|p| p.heat > 0.0)
        .max_by(|a, b| (a.y / a.heat).total_cmp(&(b.y / b.heat)));
    match largest {
        Some(&point) => Settling {
            last_rise_k: found.last_rise_k,
            chi_squared: found.chi_squared,
            degrees: found.degrees,
            ..bound(How::Contradictory, run, point)
        },
        None => Settling {
            how: How::Contradictory,
            ..found
        },
    }
}

/// Whether residuals scatter more than their uncertainties allow: over the 99.9 % point of χ² with
/// that many degrees of freedom, by the Wilson–Hilferty approximation (up to 3 % high). With no
/// degrees of freedom, a curve through both rounds leaves no residual.
fn scatters(chi: f64, degrees: usize) -> bool {
    /// 99.9 % point of the standard normal distribution.
    const Z: f64 = 3.090_232;
    if degrees == 0 {
        return chi > SEEN;
    }
    let v = degrees as f64;
    let s = 2.0 / (9.0 * v);
    let root = 1.0 - s + Z * s.sqrt();
    chi > v * root * root * root
}
#[cfg(test)]
mod tests {
    use super::*;

    const EASE: f64 = 1.5;

    fn points(u: f64, rises: &[(f64, f64)]) -> Vec<LoadPoint> {
        let point = |&(minutes, rise_k)| LoadPoint {
            minutes,
            rise_k,
            u_rise_k: u,
            current_a: 40.0,
            air_c: 20.0,
        };
        rises.iter().map(point).collect()
    }

    /// The number between `no` and `yes` at which `holds` becomes true.
    fn edge(mut no: f64, mut yes: f64, holds: impl Fn(f64) -> bool) -> f64 {
        assert!(!holds(no) && holds(yes), "{no} {yes}");
        while (yes - no).abs() > 1e-9 {
            let middle = 0.5 * (no + yes);
            if holds(middle) {
                yes = middle;
            } else {
                no = middle;
            }
        }
        yes
    }

    fn run(points: &[LoadPoint]) -> Run {
        Run::new(points, &Heating::new(2.0))
    }

    #[test]
    fn a_bend_is_seen_from_its_sum_of_squares_on_and_earlier_where_eased() {
        // Of rounds at 10, 30 and 60 minutes the middle one determines the curvature.
        let with = |middle: f64| points(2.0, &[(10.0, 6.0), (30.0, middle), (60.0, 36.0)]);
        let bend = |middle: f64, ease: f64| {
            let how = fit_eased(&with(middle), &Heating::new(2.0), ease).how;
            !matches!(how, How::StillClimbing) || {
                // Significant, but then not known well enough: distinguished by what was fitted.
                let run = run(&with(middle));
                run.straight().chi - run.search().chi >= SEEN / ease
                    && fit_eased(&with(middle), &Heating::new(2.0), ease).chi_squared
                        < run.straight().chi - 1e-9
            }
        };
        for ease in [1.0, EASE] {
            let seen = edge(18.0, 30.0, |middle| bend(middle, ease));
            let run = run(&with(seen));
            let excess = run.straight().chi - run.search().chi;
            assert!((excess - SEEN / ease).abs() < 1e-6, "{ease}: {excess}");
        }
    }

    #[test]
    fn a_rise_is_told_up_to_half_of_it_in_doubt_and_further_where_eased() {
        // The less the second round deviates from a straight climb, the more uncertain the settled
        // rise.
        let share = |ease: f64| {
            let fitted = |late: f64| {
                let points = points(0.3, &[(10.0, 6.0), (60.0, late)]);
                fit_eased(&points, &Heating::new(2.0), ease)
            };
            let solved = |late: f64| fitted(late).how == How::Solved;
            let f = fitted(edge(35.0, 12.0, solved));
            COVERAGE * f.u_rise_k / f.rise_k.unwrap()
        };
        let (plain, eased) = (share(1.0), share(EASE));
        assert!((plain - LARGEST_RELATIVE).abs() < 1e-3, "{plain}");
        assert!((eased - EASE * LARGEST_RELATIVE).abs() < 1e-3, "{eased}");
    }

    #[test]
    fn scatter_contradicts_from_its_limit_on_and_later_where_eased() {
        // A point moved off the curve; one degree of freedom.
        let with = |off: f64| points(0.3, &[(10.0, 15.0), (30.0, 19.0 + off), (60.0, 20.0)]);
        let limit = |ease: f64| {
            let how = |off: f64| fit_eased(&with(off), &Heating::new(2.0), ease).how;
            let off = edge(0.0, -8.0, |off| how(off) == How::Contradictory);
            run(&with(off)).search().chi
        };
        let plain = limit(1.0);
        assert!((plain / 10.828 - 1.0).abs() < 0.031, "{plain}");
        assert!((limit(EASE) / plain - EASE).abs() < 1e-3);
    }

    #[test]
    fn a_plateau_that_scatters_contradicts_later_where_eased() {
        // Rises that oscillate around 20 K; 13.8 for two degrees of freedom.
        let limit = |ease: f64| {
            let with =
                |off: f64| points(0.3, &[(20.0, 20.0 + off), (40.0, 20.0 - off), (60.0, 20.0)]);
            let how = |off: f64| fit_eased(&with(off), &Heating::new(2.0), ease).how;
            let off = edge(0.1, 3.0, |off| how(off) == How::Contradictory);
            assert_eq!(how(off - 0.01), How::Plateau);
            run(&with(off)).flat().chi
        };
        let plain = limit(1.0);
        assert!((plain / 13.816 - 1.0).abs() < 0.031, "{plain}");
        assert!((limit(EASE) / plain - EASE).abs() < 1e-3);
    }

    #[test]
    fn the_limits_of_scatter_are_those_of_the_table() {
        // Upper 0.1 % points of χ² (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4).
        for (degrees, point) in [
            (1, 10.828),
            (2, 13.816),
            (5, 20.515),
            (10, 29.588),
            (50, 86.661),
        ] {
            assert!(!scatters(0.99 * point, degrees), "{degrees}");
            assert!(scatters(1.031 * point, degrees), "{degrees}");
        }
        // A curve through both rounds leaves no residual.
        assert!(!scatters(SEEN, 0) && scatters(SEEN + 1e-9, 0));
    }

    #[test]
    fn what_is_not_told_still_says_what_is_known() {
        let fitted = |u: f64, rises: &[(f64, f64)]| fit(&points(u, rises), &Heating::new(2.0));
        // A plateau: the mean of three, each with an uncertainty of 0.5 K, all of it common in the
        // worst case.
        let f = fitted(0.5, &[(20.0, 15.1), (40.0, 14.9), (60.0, 15.0)]);
        assert_eq!(f.how, How::Plateau);
        assert_eq!((f.degrees, f.reference_a), (2, 40.0));
        assert!((f.last_rise_k - 15.0).abs() < 1e-9 && (f.u_rise_common_k - 0.5).abs() < 1e-9);
        assert!((f.u_rise_independent_k - 0.5 / 3f64.sqrt()).abs() < 1e-9);
        let f = fitted(0.5, &[(20.0, 15.2), (40.0, 14.7), (60.0, 15.1)]);
        assert_eq!(
            (f.how, f.to_go_k, f.rate_k_per_h),
            (How::Plateau, Some(0.0), Some(0.0))
        );
        assert!(
            (f.last_rise_k - 15.0).abs() < 1e-9,
            "the mean, not the last"
        );
        // A fit: the curve's value at the last round, which is not the reading.
        let f = fitted(
            0.5,
            &[(10.0, 12.0), (20.0, 17.0), (40.0, 19.5), (60.0, 20.6)],
        );
        assert_eq!((f.how, f.degrees), (How::Fitted, 2));
        let curve = f.rise_k.unwrap() * (1.0 - (-60.0 / f.time_constant_min.unwrap()).exp());
        assert!((f.last_rise_k - curve).abs() < 1e-9 && f.last_rise_k != 20.6);
        // Falling rises: the largest is known, and the last one as it was read.
        let f = fitted(0.2, &[(20.0, 25.0), (40.0, 19.0), (60.0, 15.0)]);
        assert_eq!((f.how, f.degrees), (How::Contradictory, 2));
        assert_eq!((f.rise_k, f.last_rise_k), (Some(25.0), 15.0));
        assert_eq!((f.u_rise_k, f.reference_a), (0.2, 40.0));
        assert!(f.chi_squared > 100.0);
        // One round: its own value.
        let f = fitted(0.2, &[(60.0, 15.0)]);
        assert_eq!((f.how, f.degrees, f.chi_squared), (How::TooFew, 0, 0.0));
        assert_eq!(
            (f.rise_k, f.last_rise_k, f.reference_a),
            (Some(15.0), 15.0, 40.0)
        );
        // None with current: no result.
        let cold = LoadPoint {
            current_a: 0.0,
            ..points(0.2, &[(60.0, 15.0)])[0]
        };
        let f = fit(&[cold], &Heating::new(2.0));
        assert_eq!((f.how, f.rise_k, f.u_rise_k), (How::TooFew, None, 0.0));
    }
}
