//! The numerics of settling: the first-order model over the rounds of one connection, its least
//! squares and their uncertainties.
//!
//! For a time constant τ the model is R·f + g, linear in R: f is what unit heat brings about, g
//! what a warm start and drifting air do. So for each τ the best R is a quotient of sums, and
//! only τ is searched (variable projection; Golub and Pereyra 1973). What a result means is the
//! parent's business.

use super::{Heating, LoadPoint};

/// Time constants searched: from this share of the first round's minutes, where every round is
/// already settled to 10⁻⁷, …
const SHORTEST: f64 = 1.0 / 16.0;
/// … to this multiple of the last round's, where the curve is straight to 1 %.
const LONGEST: f64 = 50.0;
/// Points of the coarse search per doubling of τ.
const PER_DOUBLING: usize = 2;
/// Steps of the fine search at most, and from which on every other one halves the bracket.
const MOST_STEPS: usize = 100;
const HALVING_FROM: usize = 12;
/// Change of ln τ below which the fine search has arrived.
const ARRIVED: f64 = 1e-12;
/// Share of the product of the normal matrix's diagonal below which its determinant is rounding:
/// then the rounds do not separate R from τ.
const SEPARABLE: f64 = 1e-12;

/// Numbers beyond which nothing is a minute, kelvin or ampere of a circuit, and which would
/// overflow when squared and multiplied.
const MOST: f64 = 1e6;
/// Least uncertainty (K), interval (min) and current (A) that count as any, for the same reason.
const LEAST: f64 = 1e-6;
/// Largest exponent of the current; published practice is 1.6 to 2.
const MOST_EXPONENT: f64 = 4.0;

/// One usable round.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    /// Minutes since the one before.
    pub(super) dt: f64,
    /// Rise.
    pub(super) y: f64,
    /// Its uncertainty and weight 1/u².
    pub(super) u: f64,
    pub(super) w: f64,
    /// Heat relative to the reference current, (I/I_ref)ⁿ.
    pub(super) heat: f64,
    /// Drift of the air since the round before, kelvin a minute.
    pub(super) drift: f64,
}

/// The usable rounds of one connection.
pub(super) struct Run {
    pub(super) points: Vec<Point>,
    pub(super) reference: f64,
    pub(super) start_rise: f64,
    /// Minutes of the first and the last round.
    pub(super) first: f64,
    pub(super) until: f64,
    /// Share of the variances that is independent from round to round; 1 when unknown.
    pub(super) independent: f64,
    /// Whether that share is known.
    pub(super) share_known: bool,
}

/// Least independent share reckoned with, so that sums of squares stay finite.
const LEAST_INDEPENDENT: f64 = 1e-6;
/// Relative difference of currents from which one counts as changed.
const CHANGED: f64 = 0.01;

/// A candidate: τ, the best R for it, the sum of squares.
#[derive(Debug, Clone, Copy)]
pub(super) struct Candidate {
    pub(super) tau: f64,
    pub(super) r: f64,
    pub(super) chi: f64,
    /// Half the derivative of `chi` by ln τ, and its Gauss–Newton second derivative.
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

    /// Standard uncertainty from what independent and what common errors would give.
    pub(super) fn combined(&self, independent: f64, common: f64) -> f64 {
        if self.share_known {
            let s = self.independent;
            (s * independent * independent + (1.0 - s) * common * common).sqrt()
        } else {
            independent.max(common)
        }
    }

    /// Standard uncertainty from not knowing when the current changed between two rounds, with
    /// `r` fitted for a change right after the earlier one.
    ///
    /// The change may lie anywhere between them. Halfway is taken for the middle of what R can
    /// be, so its distance δ from `r` is the half-width around a middle that `r` misses by δ:
    /// √(δ²/3 + δ²) = 2δ/√3.
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

    /// Walks the rounds with time constant `tau`; for each calls `with(point, f, g, f', g')`
    /// where the model is R·f + g and ′ is the derivative by ln τ.
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
        // Sums with the derivatives, so that one walk serves the value and the slope.
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
        // J = R·f' + g' is the model's derivative by ln τ; residual e = y − g − R·f.
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

    /// τ → ∞: the rise grows with the heat put in, and nothing is shed.
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

    /// The τ with the least sum of squares: a coarse search over the whole span, then a fine one
    /// between the neighbours of its best.
    pub(super) fn search(&self) -> Candidate {
        let (from, to) = self.span();
        let step = std::f64::consts::LN_2 / PER_DOUBLING as f64;
        let middle = self.coarse(from, to, step);
        let (mut low, mut high) = ((middle - step).max(from), (middle + step).min(to));
        let best = self.at(libm::exp(middle));
        // Secant steps on the slope, Gauss and Newton's first; where a step leaves the bracket, or
        // they take long, the bracket is halved.
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
    /// Halving τ squares e^(−Δt/τ), so what is lost in an interval, ℓ = 1 − e^(−Δt/τ), becomes
    /// ℓ·(2 − ℓ): only the first of each doubling needs exponentials.
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

    /// Sum of squares at the best R, given what is lost in each interval.
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

    /// Uncertainties of a fit, first order; `None` where the rounds do not separate R from τ.
    pub(super) fn spread(&self, best: &Candidate) -> Option<Spread> {
        let (mut a, mut b, mut c) = (0.0, 0.0, 0.0);
        let (mut common_f, mut common_j) = (0.0, 0.0);
        self.walk(best.tau, |p, f, _, df, dg| {
            let j = (best.r * df + dg) / best.tau;
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
        // More scatter than the uncertainties say widens the result in proportion (Birge).
        let degrees = self.points.len() - 2;
        let birge = if degrees > 0 {
            (best.chi / self.independent / degrees as f64).max(1.0)
        } else {
            1.0
        };
        Some(Spread {
            independent: (rr * birge).sqrt(),
            common: (rr * common_f + rt * common_j).abs(),
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
