//! The rise at which a connection settles, and its rise at rated load.
//!
//! Up to three values are known for a connection under load, and the largest of them is used for
//! grading:
//! - the **settled** rise, if the rounds determine one, scaled to rated load;
//! - the **measured** rise: the largest one read in a loaded round, scaled by the
//!   largest current up to then. Under at most that current a body cannot have become hotter
//!   than the temperature at which it settles, so this is a lower bound for any curve, and it
//!   does not depend on the charging time;
//! - the **least settled** rise: a lower last reading might have determined a settled rise, and
//!   a hotter one cannot mean that the connection settles lower. If the rounds do not determine
//!   it, the highest lower reading that still does is used. If they do under a varying current,
//!   a hotter last reading can look like a shorter time constant and so like less heat at the
//!   other currents; then the lower reading with the highest result is used. This does not
//!   invent a plateau: the bound keeps a grade from improving because a reading was hotter.

use super::readings::Thermometer;
use super::without_load::{self, less};
use crate::assess::assessment::{Estimate, Growth, RatedBy, RoundValue, Settled, SettledHow};
use crate::assess::physics::load_scaling::{self, Exponents, Factor};
use crate::assess::physics::settle;
use crate::quantity::{Current, TemperatureDifference};
use crate::rules::Rules;
use crate::visit::{Circuit, Connection, HalfWidth, Heat, InstrumentKind, Reading, Visit};

/// A connection this close to settled counts as settled, kelvin: less than a spot thermometer
/// resolves.
const WITHIN_K: f64 = 1.0;

/// Precision of the search for the highest reading that still determines a settled rise, kelvin.
const SEARCH_K: f64 = 1e-7;

/// Currents that differ by less than this fraction count as the same: the fluctuation of a charger
/// itself (our choice, no source).
const ONE_CURRENT: f64 = 0.02;

/// A round whose current is at least this share of the largest one counts as read at the largest
/// (our choice, no source).
const NEAR_LARGEST: f64 = 0.9;

/// Lower readings are tried in steps of this size in kelvin, counted from absolute zero so that a
/// hotter reading tries the same ones and more; the maximum number of steps; and the factor by
/// which the requirements on each are eased compared with the actual reading, so that no sufficient
/// reading is missed between two steps.
const GRID_K: f64 = 0.1;
const MOST_STEPS: u32 = 512;
const EASE: f64 = 1.05;

/// Least change assumed in the surface temperature, in kelvin, per displayed kelvin.
const LEAST_SLOPE: f64 = 0.05;

/// How far below a flat curve the search extends, in standard uncertainties of the reading.
const BELOW_FLAT: f64 = 4.0;

/// The load of a circuit's rounds, and its uncertainty.
pub(crate) struct Load {
    /// Rated current.
    pub rated: Current,
    /// Indices of the loaded rounds.
    pub judged: Vec<usize>,
    /// Whether some round had the load that the rule set requires for a comparison.
    pub enough: bool,
    /// Largest current up to and including each round, ampere.
    pub largest: Vec<f64>,
    /// Accuracy of the current: relative part, and least half-width in ampere.
    pub accuracy: (f64, f64),
    /// Exponents of the load, equally likely.
    pub exponents: Exponents,
}

impl Load {
    /// The load of the leg that carries most.
    pub fn of(visit: &Visit, circuit: &Circuit, rules: &Rules) -> Self {
        Self::in_leg(visit, circuit, "", rules)
    }

    /// The load of a leg.
    pub fn in_leg(visit: &Visit, circuit: &Circuit, leg: &str, rules: &Rules) -> Self {
        let rated = circuit.charger.load();
        let rounds = circuit.heat.as_ref().map_or(&[][..], |h| &h.rounds);
        let mut most = 0.0;
        let largest = rounds
            .iter()
            .map(|r| {
                most = r.current_in(leg).ampere().max(most);
                most
            })
            .collect();
        let meter = visit
            .instruments
            .iter()
            .filter(|i| {
                matches!(
                    i.kind,
                    InstrumentKind::ClampMeter | InstrumentKind::Multimeter
                )
            })
            .filter_map(|i| {
                let a = i.accuracy?;
                let share = a.of_reading.map(|p| p.fraction());
                match a.at_least {
                    Some(HalfWidth::Current(c)) => Some((share.unwrap_or(0.0), c.ampere())),
                    None if i.kind == InstrumentKind::ClampMeter => Some((share?, 0.0)),
                    _ => None,
                }
            })
            .next();
        Self {
            rated,
            judged: loaded_rounds_of(circuit, leg),
            enough: enough_load(circuit, rules),
            largest,
            accuracy: meter.unwrap_or((rules.thermal.assumed_current_accuracy.value, 0.0)),
            exponents: exponents(rules),
        }
    }

    /// The latest of some rounds, given with their currents, whose current is near the largest of
    /// them. It shows everything that the earlier rounds showed, and later ones carry less.
    pub fn latest_loaded(&self, rounds: impl Iterator<Item = (usize, f64)> + Clone) -> usize {
        let most = rounds.clone().map(|(_, a)| a).fold(0.0, f64::max);
        rounds
            .filter(|(_, a)| *a >= NEAR_LARGEST * most)
            .map(|(round, _)| round)
            .last()
            .unwrap_or(0)
    }

    /// Standard uncertainty of a current.
    pub fn u_current(&self, current: Current) -> Current {
        let (share, least) = self.accuracy;
        Current::from_ampere(crate::assess::physics::uncertainty::rectangular(
            (share * current.ampere()).max(least),
        ))
    }

    /// Scales a rise with its standard uncertainty (kelvin) from one current to the rated current.
    pub fn at_rated(
        &self,
        rise_k: f64,
        u_k: f64,
        current: Current,
    ) -> Option<load_scaling::Scaled> {
        let at = load_scaling::AtLoad {
            rise: TemperatureDifference::from_kelvin(rise_k),
            u_rise: TemperatureDifference::from_kelvin(u_k),
            current,
            u_current: self.u_current(current),
        };
        load_scaling::at_rated(&at, self.rated, self.exponents)
    }

    /// A difference of two rises in a round and its standard uncertainty, both at rated load, and
    /// the factor. It is scaled by the largest current up to that round, and never below what was
    /// read.
    pub fn difference_at_rated(&self, kelvin: f64, u_k: f64, round: usize) -> (f64, f64, f64) {
        let current = self.largest.get(round).copied().unwrap_or(0.0);
        let scaled = (current < self.rated.ampere())
            .then(|| self.at_rated(kelvin, u_k, Current::from_ampere(current)))
            .flatten();
        match scaled {
            Some(s) => (s.rise.kelvin(), s.budget.standard(), s.factor),
            None => (kelvin, u_k, 1.0),
        }
    }
}

/// Exponents of the load by a rule set.
pub(crate) fn exponents(rules: &Rules) -> Exponents {
    let span = rules.thermal.exponent_range.value;
    Exponents {
        low: span.low,
        high: span.high,
    }
}

/// Indices of the rounds under any load.
pub(crate) fn loaded_rounds(circuit: &Circuit) -> Vec<usize> {
    loaded_rounds_of(circuit, "")
}

/// The same for a leg.
fn loaded_rounds_of(circuit: &Circuit, leg: &str) -> Vec<usize> {
    let rounds = circuit
        .heat
        .iter()
        .flat_map(|h| h.rounds.iter().enumerate());
    rounds
        .filter(|(_, r)| r.current_in(leg).ampere() > 0.0)
        .map(|(i, _)| i)
        .collect()
}

/// Whether the largest current of a circuit's rounds is at least the share of the rated current
/// that the rule set requires for a comparison.
pub(crate) fn enough_load(circuit: &Circuit, rules: &Rules) -> bool {
    let least = rules.thermal.least_load_fraction.value;
    let mut rounds = circuit.heat.iter().flat_map(|h| &h.rounds);
    rounds.any(|r| circuit.loaded(r.current, least))
}

/// The result for one connection's rounds.
pub(crate) struct AtRated {
    /// The curve.
    pub settled: Option<Settled>,
    /// The largest of the known rises, and how it was obtained.
    pub rise: Option<(Estimate, RatedBy)>,
    /// Whether the measured rise exceeds its own uncertainty.
    pub seen: bool,
    /// The measured rise at rated load.
    pub measured: Option<Estimate>,
    /// How the measured rise grows to the settled one.
    pub growth: Option<Growth>,
    /// Part of the standard uncertainty of `rise` for a slow part of the device, kelvin.
    pub slow_k: f64,
    /// The largest of the known rises, with what the connection keeps without load.
    pub projected: Option<Estimate>,
    /// Round of the measured rise.
    pub measured_round: Option<usize>,
    /// The nearest reading that would have determined a settled rise, as kelvin below the last one,
    /// and that settled rise.
    pub least: Option<(f64, Settled)>,
}

/// One connection with all inputs of its curve fit.
pub(crate) struct Curve<'a> {
    pub heat: &'a Heat,
    pub connection: &'a Connection,
    pub rounds: &'a [RoundValue],
    /// The reading of each round.
    pub readings: &'a [&'a Reading],
    pub thermometer: &'a Thermometer<'a>,
    pub load: &'a Load,
    /// What the connection keeps without load.
    pub kept: Option<Estimate>,
    pub rules: &'a Rules,
}

impl Curve<'_> {
    fn coverage(&self) -> f64 {
        self.rules.thermal.coverage_factor.value
    }

    /// Whether the rise read in a round exceeds its uncertainty.
    fn seen_in(&self, round: usize) -> bool {
        self.judged().any(|(r, rise)| {
            let k = self.coverage();
            let (value, u) = less(
                self.kept,
                rise.value.kelvin(),
                rise.expanded.kelvin() / k,
                k,
            );
            r.round == round && value > k * u
        })
    }

    /// Everything the rounds show about rated load.
    pub fn at_rated(&self) -> AtRated {
        let k = self.coverage();
        let (mut points, heating) = self.points();
        let fitted = settle::fit(&points, &heating);
        let slow = self.slow(&points);
        let settled = settled(&fitted, k, slow);
        let determined = settled.filter(|s| s.how.is_settled());
        let least = match determined {
            Some(_) if steady(&points) => None,
            _ => self.least(&mut points, &heating, determined),
        };
        let measured = self.measured(self.kept);
        let whole = match self.kept {
            Some(_) => self.measured(None),
            None => measured.clone(),
        };
        let rise = self.largest(determined, &least, &measured, self.kept);
        let projected = match self.kept {
            Some(_) => self.largest(determined, &least, &whole, None),
            None => rise,
        };
        let seen = measured.as_ref().is_some_and(|(_, r)| self.seen_in(*r));
        let bound = settled.and_then(|s| self.bound(s, whole.as_ref()));
        let curve = match rise {
            Some((_, RatedBy::LeastSettled)) => least.map(|(_, s)| s),
            _ => determined,
        };
        let growth =
            rise.zip(measured.as_ref())
                .zip(curve)
                .and_then(|((rise, (measured, _)), curve)| {
                    let kept = self.kept.map_or(0.0, |e| e.value.kelvin());
                    growth(rise.0, measured, curve, (kept, k))
                });
        // A rise within its uncertainty that was scaled from little load means nothing.
        let significant = seen || self.load.enough;
        let measured = measured.filter(|_| significant);
        AtRated {
            seen,
            growth,
            slow_k: curve.map_or(0.0, |s| self.slow_at_rated(s)),
            settled: determined.or(bound),
            rise: rise.filter(|_| significant),
            measured_round: measured.as_ref().map(|(_, r)| *r),
            measured: measured.map(|(e, _)| self.estimate(&e)),
            projected: projected.filter(|_| significant).map(|(e, _)| e),
            least,
        }
    }

    /// The most that a slow part of the device may still add to a settled rise, as a share of it.
    ///
    /// The case and the wall behind it warm up much more slowly than the joint. If that is a part of
    /// the rise, the rounds of an hour hardly show it, and the curve of one body ends too low by up
    /// to what is still to come of that part. This is no scatter but a bias that is not corrected, so
    /// it is added to the expanded uncertainty as it is (JCGM 100:2008, F.2.4.5).
    fn slow(&self, points: &[settle::LoadPoint]) -> f64 {
        let thermal = &self.rules.thermal;
        let Some(last) = points.last() else {
            return 0.0;
        };
        // Since the current has been near the last one.
        let less = |p: &&settle::LoadPoint| p.current_a < NEAR_LARGEST * last.current_a;
        let since = points.iter().rev().find(less).map_or(0.0, |p| p.minutes);
        let minutes = last.minutes - since;
        let left = libm::exp(-minutes / thermal.slow_time_constant_min.value);
        thermal.slow_share.value * left
    }

    /// The part of the standard uncertainty for a slow part of the device at rated load, kelvin.
    fn slow_at_rated(&self, settled: Settled) -> f64 {
        let slow = settled.slow.kelvin();
        let scaled = self.load.at_rated(slow, 0.0, settled.current);
        scaled.map_or(slow, |s| s.rise.kelvin())
    }

    fn estimate(&self, scaled: &load_scaling::Scaled) -> Estimate {
        let expanded = scaled.budget.expanded(self.coverage());
        Estimate {
            value: scaled.rise,
            expanded: TemperatureDifference::from_kelvin(expanded),
        }
    }

    /// The largest of the known rises at rated load, each less what is `kept`.
    ///
    /// The fit begins at the excess without load, so that what it settles to includes it.
    fn largest(
        &self,
        determined: Option<Settled>,
        least: &Option<Lowered>,
        measured: &Option<(load_scaling::Scaled, usize)>,
        kept: Option<Estimate>,
    ) -> Option<(Estimate, RatedBy)> {
        let k = self.coverage();
        let scaled = |s: &Settled| {
            let (rise, u) = (s.rise.value.kelvin(), s.rise.expanded.kelvin() / k);
            let (rise, u) = less(kept, rise, u, k);
            let scaled = self.load.at_rated(rise, u, s.current)?;
            Some(self.estimate(&scaled))
        };
        let least = least.as_ref().and_then(|(_, s)| scaled(s));
        [
            determined.and_then(|s| Some((scaled(&s)?, RatedBy::Settled))),
            least.map(|e| (e, RatedBy::LeastSettled)),
            measured.as_ref().map(|(e, _)| {
                let mut measured = self.estimate(e);
                let slow = k * determined.map_or(0.0, |s| self.slow_at_rated(s));
                if slow > 0.0 {
                    let u = libm::hypot(measured.expanded.kelvin(), slow);
                    measured.expanded = TemperatureDifference::from_kelvin(u);
                }
                (measured, RatedBy::Measured)
            }),
        ]
        .into_iter()
        .flatten()
        .reduce(|best, next| match next.0.value > best.0.value {
            true => next,
            false => best,
        })
    }

    /// Rounds of this connection that count: loaded, trusted, with air temperature.
    fn judged(&self) -> impl Iterator<Item = (&RoundValue, Estimate)> + Clone {
        self.rounds
            .iter()
            .filter(|r| r.trusted && self.load.judged.binary_search(&r.round).is_ok())
            .filter_map(|r| Some((r, r.rise?)))
    }

    /// The largest rise read less what is `kept`, scaled to rated load by the largest current up to
    /// then, and its round. A rise read before the latest round near the largest current is not
    /// scaled up, because that round shows the effect of the larger current.
    fn measured(&self, kept: Option<Estimate>) -> Option<(load_scaling::Scaled, usize)> {
        let k = self.coverage();
        let rated = self.load.rated.ampere();
        let latest = self
            .load
            .latest_loaded(self.judged().map(|(r, _)| (r.round, r.current.ampere())));
        // Usually all currents are the same: compute the factor only once.
        let mut known = (rated, 1.0);
        let (earlier, later): (Vec<_>, Vec<_>) = self.judged().partition(|(r, _)| r.round < latest);
        let (round, (rise, u), current, _) = later
            .into_iter()
            .chain(earlier)
            .filter_map(|(r, rise)| {
                let current = match *self.load.largest.get(r.round)? {
                    current if r.round < latest => current.max(rated),
                    current => current,
                };
                if current != known.0 {
                    let factor = Factor::of(rated / current, self.load.exponents);
                    known = (current, factor.mean);
                }
                let rise = less(kept, rise.value.kelvin(), rise.expanded.kelvin() / k, k);
                let at_rated = load_scaling::scaled(rise.0, known.1);
                Some((r.round, rise, current, at_rated))
            })
            .reduce(|best, next| if next.3 > best.3 { next } else { best })?;
        let scaled = self.load.at_rated(rise, u, Current::from_ampere(current))?;
        Some((scaled, round))
    }

    /// Input of the curve fit: the rounds from the start of charging to the last judged one,
    /// including those without load, in which the body cooled.
    pub fn points(&self) -> (Vec<settle::LoadPoint>, settle::Heating) {
        let k = self.coverage();
        let last = self.judged().last().map(|(r, _)| r);
        let mut shares = Vec::with_capacity(self.rounds.len());
        let points = self
            .rounds
            .iter()
            .take_while(|r| last.is_some_and(|l| r.round <= l.round))
            .filter(|r| r.trusted)
            .filter_map(|r| {
                let rise = r.rise?;
                let point = settle::LoadPoint {
                    minutes: r.minutes.filter(|m| *m > 0.0)?,
                    rise_k: rise.value.kelvin(),
                    u_rise_k: rise.expanded.kelvin() / k,
                    current_a: r.current.ampere(),
                    air_c: r.air?.celsius(),
                };
                let own = r.rise_scatter.kelvin() / point.u_rise_k;
                shares.push((own * own).min(1.0));
                Some(point)
            })
            .collect();
        // The bias of the thermometers and the emissivity of the surface are the same error in every
        // round. By the rounds before the last one, so that its reading decides nothing about that.
        let known = shares.split_last().map_or(&[][..], |(_, before)| before);
        let independent = known.iter().copied().reduce(f64::max);
        let before =
            without_load::before_charging(self.rounds).and_then(|(r, rise)| Some((rise, r.air?)));
        let heating = settle::Heating {
            // A rise before charging counts as a warm start only if it exceeds its uncertainty.
            start_rise_k: before
                .filter(|(rise, _)| rise.value > rise.expanded)
                .map_or(0.0, |(rise, _)| rise.value.kelvin()),
            start_air_c: before.map(|(_, air)| air.celsius()),
            reference_a: last.map(|r| r.current.ampere()),
            common_share: independent.map(|share| 1.0 - share),
            ..settle::Heating::new(self.rules.thermal.exponent.value)
        };
        (points, heating)
    }

    /// If the rounds do not determine a settled rise, the measured one is used as its bound, at the
    /// current of the last judged round.
    fn bound(
        &self,
        settled: Settled,
        measured: Option<&(load_scaling::Scaled, usize)>,
    ) -> Option<Settled> {
        let k = self.coverage();
        let (_, round) = measured?;
        let (r, rise) = self.judged().find(|(r, _)| r.round == *round)?;
        let from = *self.load.largest.get(r.round)?;
        // Scaling from one round's load to another's works the same way.
        let to = Load {
            rated: settled.current,
            judged: Vec::new(),
            largest: Vec::new(),
            ..*self.load
        };
        let scaled = to.at_rated(
            rise.value.kelvin(),
            rise.expanded.kelvin() / k,
            Current::from_ampere(from),
        )?;
        Some(Settled {
            rise: Estimate {
                value: scaled.rise,
                expanded: if scaled.factor == 1.0 {
                    rise.expanded
                } else {
                    TemperatureDifference::from_kelvin(scaled.budget.expanded(k))
                },
            },
            ..settled
        })
    }

    /// The last reading, below the actual one, from which the rounds would have determined the
    /// highest settled rise, if that is higher than the actual result: how much lower the reading
    /// is, and that settled rise.
    ///
    /// The uncertainty varies with the reading, so that the result depends only on the earlier
    /// readings and on the last one being at least this high.
    fn least(
        &self,
        points: &mut [settle::LoadPoint],
        heating: &settle::Heating,
        determined: Option<Settled>,
    ) -> Option<(f64, Settled)> {
        let (index, value) = self.rounds.iter().enumerate().rfind(|(_, r)| {
            r.trusted && r.rise.is_some() && self.load.judged.binary_search(&r.round).is_ok()
        })?;
        let round = self.heat.rounds.get(value.round)?;
        let reading = self.readings.get(index)?;
        let (last, before) = points.split_last()?;
        let previous = before.iter().rev().find(|p| p.current_a > 0.0)?;
        let steady = steady(points);
        // Equal rises at one load are the flattest curve possible; under a varying current a body
        // may even cool down to the air's temperature.
        let flat = if steady { previous.rise_k } else { 0.0 };
        // Warming air and scatter can place a sufficient reading slightly below it.
        let most = (last.rise_k - flat).max(0.0) + BELOW_FLAT * last.u_rise_k;
        if !(most > 0.0 && most.is_finite()) {
            return None;
        }
        let lowest = last.rise_k - most;
        let k = self.coverage();
        let air = value.air?;
        let end = points.len() - 1;
        let slow = self.slow(points);
        let reduced = |lower_k: f64| {
            self.thermometer
                .reduce(round, self.connection, reading, lower_k)
        };
        let mut lowered = |lower_k: f64| {
            let r = reduced(lower_k);
            let rise = (r.temperature - air).kelvin();
            if !r.trusted || rise < lowest {
                return None;
            }
            points[end].rise_k = rise;
            points[end].u_rise_k = r.u_rise() * r.coverage(k) / k;
            settled(&settle::fit_eased(points, heating, EASE), k, slow)
                .filter(|s| s.how.is_settled())
        };
        // Kelvin of the surface per displayed kelvin.
        let slope = reduced(0.0).corrected.map_or(1.0, |c| c.by_shown);
        let span = most / slope.max(LEAST_SLOPE);
        let mut step = GRID_K;
        while span > step * f64::from(MOST_STEPS) {
            step *= 2.0;
        }
        let above = value.shown.kelvin() % step;
        let best = std::iter::once(0.0)
            .chain((0..=MOST_STEPS).map(|i| above + step * f64::from(i)))
            .take_while(|lower| *lower <= 2.0 * span)
            .filter_map(|lower| Some((lower, lowered(lower)?)))
            .reduce(higher)?;
        let found = summit((best.0 - step).max(0.0), best, best.0 + step, &mut lowered);
        let floor = determined.map_or(f64::NEG_INFINITY, |s| s.rise.value.kelvin());
        (found.1.rise.value.kelvin() > floor).then_some(found)
    }
}

/// How far a last reading is below the actual one, kelvin, and the settled rise it would give.
type Lowered = (f64, Settled);

/// The one with the higher settled rise; the first if equal.
fn higher(a: Lowered, b: Lowered) -> Lowered {
    if b.1.rise.value > a.1.rise.value {
        b
    } else {
        a
    }
}

/// The reading between `low` and `high`, around `best`, with the highest settled rise, by
/// golden-section search; a reading that determines none counts as lower than any.
fn summit(
    mut low: f64,
    mut best: Lowered,
    mut high: f64,
    lowered: &mut impl FnMut(f64) -> Option<Settled>,
) -> Lowered {
    const SECTION: f64 = 0.381_966_011_250_105_1;
    while high - low > SEARCH_K {
        let right = high - best.0 > best.0 - low;
        let at = if right {
            best.0 + SECTION * (high - best.0)
        } else {
            best.0 - SECTION * (best.0 - low)
        };
        match lowered(at) {
            Some(s) if s.rise.value > best.1.rise.value => {
                if right {
                    low = best.0;
                } else {
                    high = best.0;
                }
                best = (at, s);
            }
            _ if right => high = at,
            _ => low = at,
        }
    }
    best
}

/// Whether all rounds had the same current.
fn steady(points: &[settle::LoadPoint]) -> bool {
    let largest = points.iter().map(|p| p.current_a).fold(0.0, f64::max);
    points
        .iter()
        .all(|p| p.current_a >= (1.0 - ONE_CURRENT) * largest)
}

/// By how much what was read grows to the settled rise at rated load. A last reading below the curve
/// is no growth, only scatter.
fn growth(
    rise: Estimate,
    measured: &load_scaling::Scaled,
    curve: Settled,
    (kept_k, coverage): (f64, f64),
) -> Option<Growth> {
    let settled_k = curve.rise.value.kelvin() - kept_k;
    let rise_k = rise.value.kelvin();
    let last_k = rise_k * (1.0 - curve.to_go.value.kelvin() / settled_k);
    let factor = (rise_k / last_k.max(measured.rise.kelvin())).max(1.0);
    let u_to_go = curve.to_go.expanded.kelvin() / coverage;
    let standard = u_to_go / settled_k * factor;
    (settled_k > 0.0 && last_k > 0.0 && factor.is_finite() && standard.is_finite())
        .then_some(Growth { factor, standard })
}

/// A settled rise from a fit; `slow` is the share of it that a slow part of the device may add.
fn settled(fit: &settle::Settling, coverage: f64, slow: f64) -> Option<Settled> {
    let how = match fit.how {
        settle::How::Solved => SettledHow::TwoRounds,
        settle::How::Fitted => SettledHow::LeastSquares,
        settle::How::Plateau => SettledHow::Measured,
        settle::How::StillClimbing => SettledHow::StillClimbing,
        settle::How::TooUncertain => SettledHow::TooUncertain,
        settle::How::Contradictory => SettledHow::Contradictory,
        settle::How::TooFew => SettledHow::OneRound,
    };
    let most = match how.is_settled() {
        true => slow * fit.rise_k?.abs(),
        false => 0.0,
    };
    let u = fit.u_rise_k + most / coverage;
    let slow = ((u - fit.u_rise_k) * (u + fit.u_rise_k)).max(0.0).sqrt();
    Some(Settled {
        rise: Estimate {
            value: TemperatureDifference::from_kelvin(fit.rise_k?),
            expanded: TemperatureDifference::from_kelvin(coverage * u),
        },
        to_go: Estimate {
            value: TemperatureDifference::from_kelvin(fit.to_go_k.unwrap_or(0.0)),
            expanded: TemperatureDifference::from_kelvin(coverage * fit.u_to_go_k),
        },
        slow: TemperatureDifference::from_kelvin(slow),
        time_constant_min: fit.time_constant_min,
        current: Current::from_ampere(fit.reference_a),
        how,
        rate_k_per_h: fit.rate_k_per_h,
        wait_min: fit.minutes_to_within(WITHIN_K),
    })
}
