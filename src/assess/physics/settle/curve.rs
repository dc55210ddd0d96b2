//! The numerics of settling: the first-order model over the rounds of one connection, its
//! least-squares fit and the uncertainties.
//!
//! For a time constant τ the model is R·f + g, linear in R: f is the effect of unit heat, g the
//! effect of a warm start and drifting air. So for each τ the best R is a quotient of sums, and
//! only τ is searched (variable projection; Golub and Pereyra 1973). The parent module interprets
//! the results.

use super::load::{Heating, LoadPoint};

/// Range of time constants searched: from this fraction of the first round's minutes, at which
/// every round is already settled to 10⁻⁷, …
const SHORTEST: f64 = 1.0 / 16.0;
/// … to this multiple of the last round's, at which the curve is straight to within 1 %.
const LONGEST: f64 = 50.0;
/// Points of the coarse search per doubling of τ.
const PER_DOUBLING: usize = 2;
/// Maximum number of steps of the fine search, and the step from which on every other one halves
/// the bracket.
const MOST_STEPS: usize = 100;
const HALVING_FROM: usize = 12;
/// Change of ln τ below which the fine search has converged.
const ARRIVED: f64 = 1e-12;
/// Fraction of the product of the normal matrix's diagonal below which its determinant is only
/// rounding error: then the rounds do not separate R from τ.
const SEPARABLE: f64 = 1e-12;

/// Larger numbers are no minutes, kelvin or amperes of a real circuit, and would overflow when
/// squared and multiplied.
const MOST: f64 = 1e6;
/// Smallest uncertainty (K), interval (min) and current (A) that count as nonzero, for the same
/// reason.
const LEAST: f64 = 1e-6;
/// Largest exponent of the current; published practice is 1.6 to 2.
const MOST_EXPONENT: f64 = 4.0;

/// One usable round.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    /// Minutes since the previous round.
    pub(super) dt: f64,
    /// Rise.
    pub(super) y: f64,
    /// Its uncertainty and weight 1/u².
    pub(super) u: f64,
    pub(super) w: f64,
    /// Heat relative to the reference current, (I/I_ref)ⁿ.
    pub(super) heat: f64,
    /// Drift of the air since the previous round, kelvin per minute.
    pub(super) drift: f64,
}

/// The usable rounds of one connection.
pub(super) struct Run {
    pub(super) points: Vec<Point>,
    pub(super) reference: f64,
    pub(super) start_rise: f64,
    /// Time of the first and the last round, minutes.
    pub(super) first: f64,
    pub(super) until: f64,
    /// Fraction of the variances that is independent from round to round; 1 if unknown.
    pub(super) independent: f64,
    /// Whether that fraction is known.
    pub(super) share_known: bool,
}

/// Smallest independent fraction used, so that sums of squares stay finite.
const LEAST_INDEPENDENT: f64 = 1e-6;
/// Relative difference above which two currents count as different.
const CHANGED: f64 = 0.01;

/// A candidate: τ, the best R for it, the sum of squares.
#[derive(Debug, Clone, Copy)]
pub(super) struct Candidate {
    pub(super) tau: f64,
    pub(super) r: f64,
    pub(super) chi: f64,
    /// Half the derivative of `chi` with respect to ln τ, and its Gauss–Newton second derivative.
    pub(super) slope: f64,
    pub(super) curve: f64,
}

/// A mean with its two uncertainties.
pub(super) struct Flat {
    pub(super) r: f64,
    pub(super) chi: f64,
    pub(super) independent: f64,
    pub(super) common: f64,
}

/// Uncertainties of a fit.
pub(super) struct Spread {
    pub(super) independent: f64,
    pub(super) common: f64,
    pub(super) tau: f64,
    pub(super) covariance: f64,
    /// Of the heat still to come after the last round, for independent and for common errors.
    pub(super) to_go: [f64; 2],
}

impl Run {
    pub(super) fn new(points: &[LoadPoint], heating: &Heating) -> Self {
        let sane = |x: f64| x.abs() <= MOST;
        let start_air = heating.start_air_c.filter(|a| sane(*a));
        let mut kept: Vec<Point> = Vec::with_capacity(points.len());
        let (mut at, mut air, mut reference) = (0.0, start_air, 0.0);
        for p in points {
            let numbers = [p.minutes, p.rise_k, p.u_rise_k, p.current_a, p.air_c];
            if !numbers.into_iter().all(sane)
                || p.minutes < at + LEAST
                || p.u_rise_k < LEAST
                || p.current_a < 0.0
            {
                continue;
            }
            let dt = p.minutes - at;
            kept.push(Point {
                dt,
                y: p.rise_k,
                u: p.u_rise_k,
                w: 1.0 / (p.u_rise_k * p.u_rise_k),
                heat: p.current_a,
                drift: (p.air_c - air.unwrap_or(p.air_c)) / dt,
            });
            at = p.minutes;
            air = Some(p.air_c);
            if p.current_a >= LEAST {
                reference = p.current_a;
            }
        }
        let wanted = heating.reference_a.filter(|a| sane(*a) && *a >= LEAST);
        reference = wanted.unwrap_or(reference);
        let first = kept.first().map_or(1.0, |p| p.dt);
        let exponent = if heating.exponent.is_nan() {
            0.0
        } else {
            heating.exponent.clamp(0.0, MOST_EXPONENT)
        };
        for p in &mut kept {
            p.heat = if p.heat < LEAST {
                0.0
            } else if p.heat == reference {
                1.0
            } else {
                libm::pow(p.heat / reference, exponent)
            };
        }
        Self {
            points: kept,
            reference,
            start_rise: if sane(heating.start_rise_k) {
                heating.start_rise_k
            } else {
                0.0
            },
            first,
            until: at,
            independent: heating
                .common_share
                .filter(|s| s.is_finite())
                .map_or(1.0, |s| (1.0 - s).clamp(LEAST_INDEPENDENT, 1.0)),
            share_known: heating.common_share.is_some_and(f64::is_finite),
        }
    }

    /// Standard uncertainty, combined from the results for independent and for common errors.
    pub(super) fn combined(&self, independent: f64, common: f64) -> f64 {
        if self.share_known {
            let s = self.independent;
            (s * independent * independent + (1.0 - s) * common * common).sqrt()
        } else {
            independent.max(common)
        }
    }

    /// Standard uncertainty from not knowing when the current changed between two rounds, with `r`
    /// fitted for a change right after the earlier one.
    ///
    /// The change may have happened at any time between them. The result for a change halfway is
    /// taken as the middle of the possible range of R, so its distance δ from `r` is the half-width
    /// around a middle from which `r` deviates by δ: √(δ²/3 + δ²) = 2δ/√3.
    pub(super) fn moment(&self, points: &[LoadPoint], heating: &Heating, r: f64) -> f64 {
        let varied = self
            .points
            .windows(2)
            .any(|w| (w[0].heat - w[1].heat).abs() > CHANGED * w[0].heat.max(w[1].heat));
        if !varied {
            return 0.0;
        }
        let mut halfway = Run::new(points, heating);
        let mut steps = Vec::with_capacity(2 * halfway.points.len());
        let mut before = None;
        for p in &halfway.points {
            let dt = 0.5 * p.dt;
            steps.push(Point {
                dt,
                heat: before.unwrap_or(p.heat),
                y: 0.0,
                u: 0.0,
                w: 0.0,
                drift: p.drift,
            });
            steps.push(Point { dt, ..*p });
            before = Some(p.heat);
        }
        halfway.points = steps;
        2.0 / 3f64.sqrt() * (halfway.search().r - r).abs()
    }

    /// Walks through the rounds with time constant `tau`; for each calls `with(point, f, g, f',
    /// g')` where the model is R·f + g and ′ is the derivative with respect to ln τ.
    #[inline]
    fn walk(&self, tau: f64, mut with: impl FnMut(&Point, f64, f64, f64, f64)) {
        let (mut f, mut g, mut df, mut dg) = (0.0, self.start_rise, 0.0, 0.0);
        for p in &self.points {
            let x = p.dt / tau;
            let lost = -libm::expm1(-x);
            let kept = 1.0 - lost;
            let dkept = kept * x;
            let lag = p.drift * tau;
            df = df * kept + (f - p.heat) * dkept;
            dg = dg * kept + (g + lag) * dkept - lag * lost;
            f = f * kept + p.heat * lost;
            g = g * kept - lag * lost;
            with(p, f, g, df, dg);
        }
    }

    /// f and g at the last round.
    pub(super) fn last(&self, tau: f64) -> (f64, f64) {
        let mut end = (0.0, self.start_rise);
        self.walk(tau, |_, f, g, _, _| end = (f, g));
        end
    }

    /// Best R and sum of squares for one τ.
    fn at(&self, tau: f64) -> Candidate {
        let (mut sff, mut sfy, mut syy) = (0.0, 0.0, 0.0);
        // Also sums the derivatives, so that one pass gives both the value and the slope.
        let (mut sfp, mut sfq, mut syp, mut syq) = (0.0, 0.0, 0.0, 0.0);
        let (mut spp, mut spq, mut sqq) = (0.0, 0.0, 0.0);
        self.walk(tau, |p, f, g, df, dg| {
            let y = p.y - g;
            let (wf, wy) = (p.w * f, p.w * y);
            sff += wf * f;
            sfy += wf * y;
            syy += wy * y;
            sfp += wf * df;
            sfq += wf * dg;
            syp += wy * df;
            syq += wy * dg;
            spp += p.w * df * df;
            spq += p.w * df * dg;
            sqq += p.w * dg * dg;
        });
        let r = if sff > 0.0 { sfy / sff } else { 0.0 };
        // J = R·f' + g' is the model's derivative with respect to ln τ; residual e = y − g − R·f.
        let slope = -(r * syp + syq - r * (r * sfp + sfq));
        let jj = r * r * spp + 2.0 * r * spq + sqq;
        let jf = r * sfp + sfq;
        Candidate {
            tau,
            r,
            chi: (syy - r * sfy).max(0.0),
            slope,
            curve: if sff > 0.0 { jj - jf * jf / sff } else { 0.0 },
        }
    }

    /// τ → 0: every round already settled at its own current.
    pub(super) fn flat(&self) -> Flat {
        let (mut shh, mut shy, mut shu) = (0.0, 0.0, 0.0);
        for p in &self.points {
            shh += p.w * p.heat * p.heat;
            shy += p.w * p.heat * p.y;
            shu += p.w * p.heat * p.u;
        }
        let r = if shh > 0.0 { shy / shh } else { 0.0 };
        let chi = self
            .points
            .iter()
            .map(|p| p.w * (p.y - r * p.heat) * (p.y - r * p.heat))
            .sum();
        Flat {
            r,
            chi,
            independent: 1.0 / shh.sqrt(),
            common: shu / shh,
        }
    }

    /// τ → ∞: the rise grows with the heat supplied, and none is shed.
    pub(super) fn straight(&self) -> Flat {
        let walk = || {
            let (mut f, mut g) = (0.0, self.start_rise);
            self.points.iter().map(move |p| {
                f += p.heat * p.dt;
                g -= p.drift * p.dt;
                (p, f, p.y - g)
            })
        };
        let (sff, sfy) = walk().fold((0.0, 0.0), |(a, b), (p, f, y)| {
            (a + p.w * f * f, b + p.w * f * y)
        });
        let r = if sff > 0.0 { sfy / sff } else { 0.0 };
        let chi = walk()
            .map(|(p, f, y)| p.w * (y - r * f) * (y - r * f))
            .sum();
        Flat {
            r,
            chi,
            independent: 0.0,
            common: 0.0,
        }
    }

    /// Span of time constants searched, as logarithms.
    fn span(&self) -> (f64, f64) {
        (
            libm::log(self.first * SHORTEST),
            libm::log(self.until * LONGEST),
        )
    }

    /// The τ with the least sum of squares: a coarse search over the whole range, then a fine one
    /// between the neighbours of the best value.
    pub(super) fn search(&self) -> Candidate {
        let (from, to) = self.span();
        let step = std::f64::consts::LN_2 / PER_DOUBLING as f64;
        let middle = self.coarse(from, to, step);
        let (mut low, mut high) = ((middle - step).max(from), (middle + step).min(to));
        let best = self.at(libm::exp(middle));
        // Secant steps on the slope, starting with a Gauss–Newton step; if a step leaves the
        // bracket, or convergence is slow, the bracket is halved.
        let (mut s, mut now) = (middle, best);
        let mut before: Option<(f64, f64)> = None;
        for i in 0..MOST_STEPS {
            if now.slope > 0.0 {
                high = s;
            } else {
                low = s;
            }
            let curve = before.map_or(now.curve, |(s0, slope0)| (now.slope - slope0) / (s - s0));
            let step = s - now.slope / curve;
            let next = if step > low && step < high && (i < HALVING_FROM || i % 2 == 0) {
                step
            } else {
                0.5 * (low + high)
            };
            before = Some((s, now.slope));
            let moved = (next - s).abs();
            s = next;
            now = self.at(libm::exp(s));
            if moved < ARRIVED || now.slope == 0.0 {
                break;
            }
        }
        if now.chi <= best.chi { now } else { best }
    }

    /// ln τ with the least sum of squares among steps down from `to` to `from`.
    ///
    /// Halving τ squares e^(−Δt/τ), so the fraction lost in an interval, ℓ = 1 − e^(−Δt/τ), becomes
    /// ℓ·(2 − ℓ): only the first step of each doubling needs exponentials.
    fn coarse(&self, from: f64, to: f64, step: f64) -> f64 {
        let mut best = (f64::INFINITY, to);
        let mut lost = vec![0.0; self.points.len()];
        for offset in 0..PER_DOUBLING {
            let mut s = to - step * offset as f64;
            let mut tau = libm::exp(s);
            for (l, p) in lost.iter_mut().zip(&self.points) {
                *l = -libm::expm1(-p.dt / tau);
            }
            while s >= from {
                let chi = self.chi(tau, &lost);
                if chi < best.0 {
                    best = (chi, s);
                }
                for l in &mut lost {
                    *l *= 2.0 - *l;
                }
                tau *= 0.5;
                s -= std::f64::consts::LN_2;
            }
        }
        best.1
    }

    /// Sum of squares at the best R, given the fraction lost in each interval.
    fn chi(&self, tau: f64, lost: &[f64]) -> f64 {
        let (mut f, mut g) = (0.0, self.start_rise);
        let (mut sff, mut sfy, mut syy) = (0.0, 0.0, 0.0);
        for (p, &l) in self.points.iter().zip(lost) {
            f += (p.heat - f) * l;
            g -= (g + p.drift * tau) * l;
            let y = p.y - g;
            sff += p.w * f * f;
            sfy += p.w * f * y;
            syy += p.w * y * y;
        }
        if sff > 0.0 {
            syy - sfy * sfy / sff
        } else {
            syy
        }
    }

    /// Uncertainties of a fit, to first order; `None` if the rounds do not separate R from τ.
    pub(super) fn spread(&self, best: &Candidate) -> Option<Spread> {
        let (mut a, mut b, mut c) = (0.0, 0.0, 0.0);
        let (mut common_f, mut common_j) = (0.0, 0.0);
        // Derivatives of what is still to come after the last round, R·(h − f) − g, by R and τ.
        let (mut by_r, mut by_tau) = (0.0, 0.0);
        self.walk(best.tau, |p, f, _, df, dg| {
            let j = (best.r * df + dg) / best.tau;
            (by_r, by_tau) = (p.heat - f, -j);
            a += p.w * f * f;
            b += p.w * f * j;
            c += p.w * j * j;
            common_f += p.w * f * p.u;
            common_j += p.w * j * p.u;
        });
        let determinant = a * c - b * b;
        if determinant.is_nan() || determinant <= SEPARABLE * a * c {
            return None;
        }
        let (rr, rt, tt) = (c / determinant, -b / determinant, a / determinant);
        // If the scatter exceeds the uncertainties, the result's uncertainty is widened in
        // proportion (Birge).
        let degrees = self.points.len() - 2;
        let birge = if degrees > 0 {
            (best.chi / self.independent / degrees as f64).max(1.0)
        } else {
            1.0
        };
        let (common_r, common_tau) = (rr * common_f + rt * common_j, rt * common_f + tt * common_j);
        let to_go = rr * by_r * by_r + 2.0 * rt * by_r * by_tau + tt * by_tau * by_tau;
        Some(Spread {
            independent: (rr * birge).sqrt(),
            common: common_r.abs(),
            to_go: [
                (to_go * birge).max(0.0).sqrt(),
                (by_r * common_r + by_tau * common_tau).abs(),
            ],
            tau: (tt * birge).sqrt(),
            covariance: rt * birge,
        })
    }

    /// The largest τ whose sum of squares exceeds `chi` by less than `seen`.
    pub(super) fn longest_compatible(&self, chi: f64, seen: f64) -> Option<f64> {
        let (mut low, mut high) = self.span();
        let fits = |s: f64| self.at(libm::exp(s)).chi - chi < seen;
        if !fits(low) || fits(high) {
            return None;
        }
        while high - low > 1e-3 {
            let s = 0.5 * (low + high);
            if fits(s) {
                low = s;
            } else {
                high = s;
            }
        }
        Some(libm::exp(high))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounds of a body with a time constant of 11 minutes, with scatter: under one current; under
    /// several, one of them zero, with a warm start and drifting air.
    fn runs() -> Vec<Run> {
        let point = |minutes, rise_k, current_a, air_c| LoadPoint {
            minutes,
            rise_k,
            u_rise_k: 0.4 + 0.01 * minutes,
            current_a,
            air_c,
        };
        let steady = [
            point(9.0, 11.3, 40.0, 20.0),
            point(17.0, 15.4, 40.0, 20.0),
            point(35.0, 19.6, 40.0, 20.0),
            point(64.0, 19.8, 40.0, 20.0),
        ];
        let varied = [
            point(8.0, 12.0, 32.0, 21.0),
            point(20.0, 9.0, 0.0, 20.0),
            point(33.0, 18.0, 40.0, 23.0),
            point(61.0, 20.5, 38.0, 24.0),
        ];
        let warm = Heating {
            start_rise_k: 3.0,
            start_air_c: Some(22.0),
            ..Heating::new(1.8)
        };
        vec![
            Run::new(&steady, &Heating::new(2.0)),
            Run::new(&varied, &warm),
        ]
    }

    /// The effect at each round of a rise of 1 K at the reference current, and of a warm start and
    /// the air, in steps of a thousandth of an interval: the differential equations τ·df/dt = h − f
    /// and τ·dg/dt = −g − τ·d, integrated numerically.
    fn simulated(run: &Run, tau: f64) -> Vec<(f64, f64)> {
        const STEPS: u32 = 1000;
        let (mut f, mut g) = (0.0, run.start_rise);
        let mut rounds = Vec::new();
        for p in &run.points {
            let dt = p.dt / f64::from(STEPS);
            for _ in 0..STEPS {
                // The midpoint rule.
                let (rf, rg) = (|f: f64| (p.heat - f) / tau, |g: f64| -g / tau - p.drift);
                f += dt * rf(f + 0.5 * dt * rf(f));
                g += dt * rg(g + 0.5 * dt * rg(g));
            }
            rounds.push((f, g));
        }
        rounds
    }

    fn close(a: f64, b: f64, within: f64) {
        assert!((a - b).abs() <= within * b.abs().max(1.0), "{a} is not {b}");
    }

    #[test]
    fn a_candidate_is_the_least_sum_of_squares_with_its_derivatives() {
        for run in runs() {
            for tau in [2.0, 7.5, 11.0, 40.0] {
                let now = run.at(tau);
                let model = simulated(&run, tau);
                let sum = |of: &dyn Fn(&Point, f64, f64) -> f64| -> f64 {
                    let rounds = run.points.iter().zip(&model);
                    rounds.map(|(p, &(f, g))| p.w * of(p, f, g)).sum()
                };
                let r = sum(&|p, f, g| f * (p.y - g)) / sum(&|_, f, _| f * f);
                close(now.r, r, 1e-5);
                close(now.chi, sum(&|p, f, g| (p.y - g - r * f).powi(2)), 1e-4);
                // The same with the steps of the coarse search.
                let lost: Vec<f64> = run
                    .points
                    .iter()
                    .map(|p| 1.0 - (-p.dt / tau).exp())
                    .collect();
                close(run.chi(tau, &lost), now.chi, 1e-9);

                const H: f64 = 1e-4;
                let (less, more) = (tau * (-H).exp(), tau * H.exp());
                close(
                    now.slope,
                    (run.at(more).chi - run.at(less).chi) / (4.0 * H),
                    1e-5,
                );
                // J = dm/d ln τ at this R; the part that R can absorb does not count.
                let (below, above) = (simulated(&run, less), simulated(&run, more));
                let j = |i: usize| {
                    (r * (above[i].0 - below[i].0) + above[i].1 - below[i].1) / (2.0 * H)
                };
                let weighed = |of: &dyn Fn(usize) -> f64| -> f64 {
                    (0..model.len()).map(|i| run.points[i].w * of(i)).sum()
                };
                let jj = weighed(&|i| j(i) * j(i));
                let jf = weighed(&|i| j(i) * model[i].0);
                let ff = weighed(&|i| model[i].0 * model[i].0);
                close(now.curve, jj - jf * jf / ff, 1e-3);
            }
        }
    }

    #[test]
    fn what_was_never_heated_tells_no_rise() {
        let cold = LoadPoint {
            minutes: 10.0,
            rise_k: 2.0,
            u_rise_k: 0.5,
            current_a: 0.0,
            air_c: 20.0,
        };
        let warm = Heating {
            start_rise_k: 5.0,
            reference_a: Some(40.0),
            ..Heating::new(2.0)
        };
        let run = Run::new(&[cold], &warm);
        let now = run.at(10.0);
        assert_eq!((now.r, now.curve), (0.0, 0.0));
        close(
            now.chi,
            (2.0 - 5.0 * (-1.0_f64).exp()).powi(2) / 0.25,
            1e-12,
        );
        close(run.chi(10.0, &[1.0 - (-1.0_f64).exp()]), now.chi, 1e-12);
        assert_eq!((run.flat().r, run.straight().r), (0.0, 0.0));
    }

    /// The effects of unit heat, and of everything else, at a round.
    type Model = fn(&[Point], usize) -> (f64, f64);

    #[test]
    fn both_ends_of_the_model_are_least_sums_of_squares() {
        for run in runs() {
            let ends: [(Flat, Model); 2] = [
                (run.flat(), |points, i| (points[i].heat, 0.0)),
                (run.straight(), |points, i| {
                    let until = &points[..=i];
                    let put_in = until.iter().map(|p| p.heat * p.dt).sum();
                    (put_in, -until.iter().map(|p| p.drift * p.dt).sum::<f64>())
                }),
            ];
            for (index, (end, model)) in ends.iter().enumerate() {
                // A warm start is lost at once at one extreme and never at the other.
                let start = if index == 0 { 0.0 } else { run.start_rise };
                let chi = |r: f64| -> f64 {
                    let e = |i: usize| {
                        let (f, g) = model(&run.points, i);
                        run.points[i].y - start - g - r * f
                    };
                    (0..run.points.len())
                        .map(|i| run.points[i].w * e(i) * e(i))
                        .sum()
                };
                close(end.chi, chi(end.r), 1e-12);
                assert!(chi(end.r * 1.001) > end.chi && chi(end.r * 0.999) > end.chi);
            }
        }
    }

    #[test]
    fn the_search_finds_the_least_of_all_time_constants() {
        for run in runs() {
            let best = run.search();
            let (from, to) = run.span();
            let grid = (0..=200_000).map(|i| from + (to - from) * f64::from(i) / 200_000.0);
            let least = grid
                .map(|s| (s, run.at(s.exp()).chi))
                .reduce(|a, b| if b.1 < a.1 { b } else { a })
                .unwrap();
            assert!(best.chi <= least.1, "{} > {}", best.chi, least.1);
            close(best.tau.ln(), least.0, 1e-4);
            assert!(best.slope.abs() < 1e-6, "{}", best.slope);
        }
    }

    #[test]
    fn the_longest_compatible_time_constant_is_where_the_sum_has_grown_enough() {
        let settled =
            [(14.0, 15.1), (40.0, 14.9), (63.0, 15.0)].map(|(minutes, rise_k)| LoadPoint {
                minutes,
                rise_k,
                u_rise_k: 0.5,
                current_a: 40.0,
                air_c: 20.0,
            });
        let run = Run::new(&settled, &Heating::new(2.0));
        let flat = run.flat().chi;
        let longest = run.longest_compatible(flat, 4.0).unwrap();
        close(run.at(longest).chi - flat, 4.0, 0.02);
        assert!(longest > 4.0 && longest < 20.0, "{longest}");
        // If no time constant is too long, or the shortest is, there is no such value.
        let (low, high) = run.span();
        let last = run.at(high.exp()).chi - flat;
        assert!(run.longest_compatible(flat, 0.99 * last).is_some());
        assert_eq!(run.longest_compatible(flat, 1.01 * last), None);
        for run in runs() {
            let best = run.search().chi;
            let first = run.at(low.exp()).chi - best;
            assert!(first > 4.0);
            assert_eq!(run.longest_compatible(best, 4.0), None);
        }
    }

    #[test]
    fn a_current_that_stays_leaves_no_moment_in_doubt() {
        let point = |minutes, current_a| LoadPoint {
            minutes,
            rise_k: 15.0,
            u_rise_k: 0.5,
            current_a,
            air_c: 20.0,
        };
        let heating = Heating::new(2.0);
        let moment = |currents: [f64; 2]| {
            let points = [point(15.0, currents[0]), point(60.0, currents[1])];
            let run = Run::new(&points, &heating);
            run.moment(&points, &heating, run.search().r)
        };
        assert_eq!(moment([40.0, 40.0]), 0.0);
        // Within a hundredth of the heat it counts as equal.
        assert_eq!(moment([39.9, 40.0]), 0.0);
        assert!(moment([38.0, 40.0]) > 0.0);
    }
}
