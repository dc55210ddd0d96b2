//! What a rise would settle to, and how fast, from the loaded rounds of a visit.
//!
//! A joint under load is taken as one body that sheds heat in proportion to its rise over the
//! air: τ·dr/dt = R·(I/I_ref)ⁿ − r − τ·dA/dt. Under steady current and air this is
//! r(t) = R·(1 − e^(−t/τ)). A real device has a fast part (the joint) and a slow one (the case,
//! the wall behind), so the first-order curve tells what the rounds show, not what hours would.
//!
//! What is supposed between rounds, since nobody measured there:
//! - the current read in a round has flowed since the round before (the first since charging
//!   began); where it varied, the steps superpose, each with heat ∝ Iⁿ, and since the moment of
//!   each change is unknown, what halfway between the rounds would give widens the uncertainty;
//! - the air went in a straight line from one round's to the next; the body follows it with the
//!   same τ, which is how a drift of the air enters a rise taken over the air of its own round;
//! - before charging the body was at the air's temperature, unless a no-load round says else.
//!
//! R and τ are fitted by weighted least squares: for each τ the best R is linear, so only τ is
//! searched. Two rounds are the same search with nothing left over. No plateau is invented: what
//! the rounds cannot tell within their uncertainty is said to be so, see [`How`].
//!
//! Left to others: which rounds count, what n is, which finding follows.

use super::uncertainty::COVERAGE;

/// One loaded round at one connection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadPoint {
    /// Minutes since charging began, over 0.
    pub minutes: f64,
    /// Rise over the air of the same round, kelvin.
    pub rise_k: f64,
    /// Standard uncertainty of the rise, kelvin, over 0.
    pub u_rise_k: f64,
    /// Current read in the round, ampere, not negative.
    pub current_a: f64,
    /// Air in the round, °C; only its drift counts.
    pub air_c: f64,
}

/// What the fit supposes besides the rounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heating {
    /// Exponent n of heat ∝ Iⁿ, 0 to 4; held within.
    pub exponent: f64,
    /// Current that the settled rise is told for, ampere; `None` for that of the last round with
    /// any current.
    pub reference_a: Option<f64>,
    /// Rise when charging began, kelvin; 0 unless a no-load round tells.
    pub start_rise_k: f64,
    /// Air when charging began, °C; `None` takes the first loaded round's.
    pub start_air_c: Option<f64>,
    /// Share, 0 to 1, of each rise's variance that is one error common to all rounds (an
    /// instrument's calibration), the rest being independent from round to round; `None` when
    /// unknown. Then a bend must show against all of the uncertainty, and the settled rise gets
    /// the uncertainty of the worst share.
    pub common_share: Option<f64>,
}

impl Heating {
    /// A cold start, with heat ∝ Iⁿ.
    pub const fn new(exponent: f64) -> Self {
        Self {
            exponent,
            reference_a: None,
            start_rise_k: 0.0,
            start_air_c: None,
            common_share: None,
        }
    }
}

/// How much the rounds tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum How {
    /// R and τ solved from two rounds.
    Solved,
    /// R and τ fitted to three or more.
    Fitted,
    /// The rises are equal, or fall, within their uncertainty, and a body that still climbed
    /// would have shown it: R is their weighted mean, of τ only an upper bound is known.
    Plateau,
    /// The rise grew and shows no bend that would tell where it ends: the last rise is a lower
    /// bound.
    StillClimbing,
    /// The rises are too small against their uncertainty to tell climbing from settled: the last
    /// rise is what is known.
    TooUncertain,
    /// The rises contradict a body warming under this current by more than their uncertainty
    /// (they fall, or scatter): the largest is what is known.
    Contradictory,
    /// Fewer than two usable rounds: the last rise, if any, is a lower bound.
    TooFew,
}

/// What the loaded rounds tell about one connection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settling {
    /// How much they tell.
    pub how: How,
    /// Settled rise at `reference_a`, kelvin: fitted, or the bound that `how` names, scaled to
    /// that current; `None` without any usable round.
    pub rise_k: Option<f64>,
    /// Standard uncertainty of `rise_k`, kelvin: of the readings, by the common share or, when
    /// that is unknown, the worst; and of the moment the current changed.
    pub u_rise_k: f64,
    /// Part of the readings if all their errors were independent (weighted least squares).
    pub u_rise_independent_k: f64,
    /// Part of the readings if all shared one error, in proportion to their uncertainties.
    pub u_rise_common_k: f64,
    /// Part of the unknown moment at which the current changed between rounds.
    pub u_rise_current_k: f64,
    /// Time constant, minutes, when solved or fitted.
    pub time_constant_min: Option<f64>,
    /// Its standard uncertainty, minutes, all errors independent.
    pub u_time_constant_min: Option<f64>,
    /// Covariance of rise and time constant, K·min, all errors independent.
    pub covariance: Option<f64>,
    /// For a plateau: the largest time constant compatible with the rises (k = 2), minutes.
    pub time_constant_at_most_min: Option<f64>,
    /// Rise of the last round as the fit has it, at that round's current; as measured when
    /// nothing was fitted. Kelvin.
    pub last_rise_k: f64,
    /// How far the last round still is from settled at its own current, kelvin; 0 on a plateau,
    /// `None` when unknown.
    pub to_go_k: Option<f64>,
    /// Rate of the rise at the last round, kelvin an hour, by the fit; `None` when unknown.
    pub rate_k_per_h: Option<f64>,
    /// Current that `rise_k` belongs to, ampere.
    pub reference_a: f64,
    /// Weighted sum of squared residuals, against the independent part of the uncertainties.
    pub chi_squared: f64,
    /// Rounds minus fitted numbers.
    pub degrees: usize,
}

impl Settling {
    /// Minutes still to wait after the last round, with its current held, until the rise is
    /// within `within_k` of settled; 0 when it already is, `None` when the rounds do not tell.
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

/// Time constants searched: from this share of the first round's minutes, where every round is
/// already settled to 10⁻⁷, …
const SHORTEST: f64 = 1.0 / 16.0;
/// … to this multiple of the last round's, where the curve is straight to 1 %.
const LONGEST: f64 = 50.0;
/// Steps of the coarse search over ln τ.
const GRID: usize = 20;
/// Steps of the fine search at most, and from which on every other one halves the bracket.
const MOST_STEPS: usize = 100;
const HALVING_FROM: usize = 12;
/// Change of the sum of squares that counts as seen: k² for one parameter (k = 2, about 95 %;
/// JCGM 100:2008, 6.3.3).
const SEEN: f64 = COVERAGE * COVERAGE;
/// A fitted rise is not told as one when its expanded uncertainty exceeds this share of it …
/// (our choice, no source)
const LARGEST_RELATIVE: f64 = 0.5;
/// … and the fit, not the thermometer, is to blame: its uncertainty exceeds the last reading's by
/// this factor (our choice, no source).
const LARGEST_GROWTH: f64 = 1.5;

/// Sums of squares closer than this are the same.
const SAME: f64 = 1e-6;
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

/// Fits the loaded rounds of one connection, in order of time.
///
/// Points at or before the start of charging or before their predecessor, without an
/// uncertainty, or with numbers that no circuit has (not finite, or over a million) are left
/// out.
pub fn fit(points: &[LoadPoint], heating: &Heating) -> Settling {
    let run = Run::new(points, heating);
    let Some(last) = run.points.last().copied() else {
        return nothing();
    };
    // A round without current bounds nothing; the last with current does.
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
    // Only what differs from round to round can hide or feign a bend.
    let seen = SEEN * run.independent;
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
        // No warming curve fits better than no warming at all.
        found.degrees = run.points.len() - 1;
        found.chi_squared = flat.chi / run.independent;
        let u = run.combined(flat.independent, flat.common);
        if scatters(found.chi_squared, found.degrees) || flat.r + COVERAGE * u < 0.0 {
            return contradictory(found, &run);
        }
        return Settling {
            how: How::Plateau,
            rise_k: Some(flat.r),
            u_rise_k: u,
            u_rise_independent_k: flat.independent,
            u_rise_common_k: flat.common,
            time_constant_at_most_min: run.longest_compatible(flat.chi),
            last_rise_k: flat.r * last.heat,
            to_go_k: Some(0.0),
            rate_k_per_h: Some(0.0),
            ..found
        };
    }
    found.chi_squared = best.chi / run.independent;
    if scatters(found.chi_squared, found.degrees) || best.r <= 0.0 {
        return contradictory(found, &run);
    }
    let Some(spread) = run.spread(&best) else {
        found.how = How::StillClimbing;
        return found;
    };
    let moment = run.moment(points, heating, best.r);
    let u = libm::hypot(run.combined(spread.independent, spread.common), moment);
    let measured = loaded.map_or(0.0, |p| p.u / p.heat);
    if COVERAGE * u > LARGEST_RELATIVE * best.r && u > LARGEST_GROWTH * measured {
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
        rate_k_per_h: None,
        reference_a: 0.0,
        chi_squared: 0.0,
        degrees: 0,
    }
}

/// One round's rise as all that is known, scaled to the reference current.
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

/// The largest rise, at the reference current, is what is known.
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

/// Whether residuals scatter more than their uncertainties allow: over the 99.9 % point of χ²
/// with that many degrees of freedom, by Wilson and Hilferty's cube (good to 1 % from one degree
/// on). With none, whatever is left over is too much.
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

/// One usable round.
#[derive(Debug, Clone, Copy)]
struct Point {
    /// Minutes since the one before.
    dt: f64,
    /// Rise.
    y: f64,
    /// Its uncertainty and weight 1/u².
    u: f64,
    w: f64,
    /// Heat relative to the reference current, (I/I_ref)ⁿ.
    heat: f64,
    /// Drift of the air since the round before, kelvin a minute.
    drift: f64,
}

/// The usable rounds of one connection.
struct Run {
    points: Vec<Point>,
    reference: f64,
    start_rise: f64,
    /// Minutes of the first and the last round.
    first: f64,
    until: f64,
    /// Share of the variances that is independent from round to round; 1 when unknown.
    independent: f64,
    /// Whether that share is known.
    share_known: bool,
}

/// Least independent share reckoned with, so that sums of squares stay finite.
const LEAST_INDEPENDENT: f64 = 1e-6;
/// Relative difference of currents from which one counts as changed.
const CHANGED: f64 = 0.01;

/// A candidate: τ, the best R for it, the sum of squares.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    tau: f64,
    r: f64,
    chi: f64,
    /// Half the derivative of `chi` by ln τ, and its Gauss–Newton second derivative.
    slope: f64,
    curve: f64,
}

/// A mean with its two uncertainties.
struct Flat {
    r: f64,
    chi: f64,
    independent: f64,
    common: f64,
}

/// Uncertainties of a fit.
struct Spread {
    independent: f64,
    common: f64,
    tau: f64,
    covariance: f64,
}

impl Run {
    fn new(points: &[LoadPoint], heating: &Heating) -> Self {
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
            p.heat = if p.heat == reference {
                1.0
            } else if p.heat >= LEAST {
                libm::pow(p.heat / reference, exponent)
            } else {
                0.0
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
    fn combined(&self, independent: f64, common: f64) -> f64 {
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
    fn moment(&self, points: &[LoadPoint], heating: &Heating, r: f64) -> f64 {
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
    fn last(&self, tau: f64) -> (f64, f64) {
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
    fn flat(&self) -> Flat {
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
    fn straight(&self) -> Flat {
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

    /// The τ with the least sum of squares: a coarse search, then Newton between its neighbours.
    fn search(&self) -> Candidate {
        let (from, to) = self.span();
        let step = (to - from) / GRID as f64;
        let grow = libm::exp(step);
        let mut tau = libm::exp(from);
        let mut best = self.at(tau);
        let mut index = 0;
        for i in 1..=GRID {
            tau *= grow;
            let c = self.at(tau);
            if c.chi < best.chi {
                best = c;
                index = i;
            }
        }
        let middle = from + step * index as f64;
        let (mut low, mut high) = (
            if index == 0 { from } else { middle - step },
            if index == GRID { to } else { middle + step },
        );
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
            if moved < 1e-13 || now.slope == 0.0 {
                break;
            }
        }
        if now.chi <= best.chi { now } else { best }
    }

    /// Uncertainties of a fit, first order; `None` where the rounds do not separate R from τ.
    fn spread(&self, best: &Candidate) -> Option<Spread> {
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

    /// The largest τ whose sum of squares is not seen to differ from `chi`.
    fn longest_compatible(&self, chi: f64) -> Option<f64> {
        let (mut low, mut high) = self.span();
        let fits = |s: f64| self.at(libm::exp(s)).chi - chi < SEEN * self.independent;
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
