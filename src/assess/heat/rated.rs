//! What a connection settles to, and its rise at rated load.
//!
//! Three things are known of a connection under load, and the largest of them is what it is
//! judged by:
//! - the **settled** rise, where the rounds tell one, scaled to rated load;
//! - the **measured** rise: the largest that was read in a round with enough load, scaled by the
//!   largest current up to then. Under no more than that current a body cannot have got hotter
//!   than it settles to, so that this is a lower bound whatever the curve was, and it needs no
//!   time of charging;
//! - the **least settled** rise: a last reading lower than it was may show where the connection
//!   settles, and a hotter one can't mean that it settles lower. Where the rounds do not tell, the
//!   highest lower reading that still tells gives it. Where they tell under a current that varied,
//!   a hotter last reading can pass for a shorter time constant and so for less heat at the other
//!   currents; then the lower reading that tells the most gives it. No plateau is invented: it is
//!   the bound that keeps a grade from getting milder because a reading got hotter.

use super::readings::Thermometer;
use crate::assess::assessment::{Estimate, RatedBy, RoundValue, Settled, SettledHow};
use crate::assess::thermal::{load_scaling, settle};
use crate::quantity::{Current, TemperatureDifference};
use crate::rules::Rules;
use crate::visit::{Circuit, Connection, HalfWidth, Heat, InstrumentKind, Reading, Visit};

/// How near to settled counts as settled, kelvin: below what a spot thermometer resolves.
const WITHIN_K: f64 = 1.0;

/// Precision to which the highest reading that still tells is sought, kelvin.
const SEARCH_K: f64 = 1e-7;

/// Currents nearer to each other than this share are one current: a charger's own wander (our
/// choice, no source).
const ONE_CURRENT: f64 = 0.02;

/// Lower readings are looked at in steps of so many kelvin, counted from absolute zero so that a
/// hotter reading looks at the same ones and more; the most of them; and how much less is asked of
/// each than of the one that was taken, so that none that would have told falls between two steps.
const GRID_K: f64 = 0.1;
const MOST_STEPS: u32 = 512;
const EASE: f64 = 1.05;

/// Least kelvin of the surface that one kelvin shown is taken to make.
const LEAST_SLOPE: f64 = 0.05;

/// How far below a flat curve it is sought still, in standard uncertainties of the reading.
const BELOW_FLAT: f64 = 4.0;

/// The load of a circuit's rounds, and how well it is known.
pub(crate) struct Load {
    /// Rated current.
    pub rated: Current,
    /// Rounds, by index, that carry enough load to be judged.
    pub judged: Vec<usize>,
    /// Largest current up to and including each round, ampere.
    pub largest: Vec<f64>,
    /// Accuracy of the current: share and least half-width in ampere.
    pub accuracy: (f64, f64),
    /// Standard uncertainty of the exponent.
    pub u_exponent: f64,
}

impl Load {
    pub fn of(visit: &Visit, circuit: &Circuit, rules: &Rules) -> Self {
        let rated = circuit.charger.rated_current;
        let rounds = circuit.heat.as_ref().map_or(&[][..], |h| &h.rounds);
        let mut most = 0.0;
        let largest = rounds
            .iter()
            .map(|r| {
                most = r.current.ampere().max(most);
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
        let span = rules.thermal.exponent_range.value;
        Self {
            rated,
            judged: judged_rounds(circuit, rules),
            largest,
            accuracy: meter.unwrap_or((rules.thermal.assumed_current_accuracy.value, 0.0)),
            u_exponent: crate::assess::thermal::uncertainty::between(span.low, span.high),
        }
    }

    /// Standard uncertainty of a current.
    pub fn u_current(&self, current: Current) -> Current {
        let (share, least) = self.accuracy;
        Current::from_ampere(crate::assess::thermal::uncertainty::rectangular(
            (share * current.ampere()).max(least),
        ))
    }

    /// Scales a rise with its standard uncertainty (kelvin) from a current to the rated one.
    pub fn at_rated(
        &self,
        rise_k: f64,
        u_k: f64,
        current: Current,
        rules: &Rules,
    ) -> Option<load_scaling::Scaled> {
        let at = load_scaling::AtLoad {
            rise: TemperatureDifference::from_kelvin(rise_k),
            u_rise: TemperatureDifference::from_kelvin(u_k),
            current,
            u_current: self.u_current(current),
        };
        load_scaling::at_rated(
            &at,
            self.rated,
            rules.thermal.exponent.value,
            self.u_exponent,
        )
    }
}

/// Rounds, by index, that carry enough load to be judged.
pub(crate) fn judged_rounds(circuit: &Circuit, rules: &Rules) -> Vec<usize> {
    let least = rules.thermal.least_load_fraction.value;
    circuit
        .heat
        .iter()
        .flat_map(|h| h.rounds.iter().enumerate())
        .filter(|(_, r)| circuit.loaded(r.current, least))
        .map(|(i, _)| i)
        .collect()
}

/// Rounds, by index, that are loaded but not enough to be judged: what they show is the least
/// there is at rated load.
pub(crate) fn little_load(circuit: &Circuit, judged: &[usize]) -> Vec<usize> {
    circuit
        .heat
        .iter()
        .flat_map(|h| h.rounds.iter().enumerate())
        .filter(|(i, r)| r.current.ampere() > 0.0 && judged.binary_search(i).is_err())
        .map(|(i, _)| i)
        .collect()
}

/// What a connection's rounds come to.
pub(crate) struct AtRated {
    /// The curve.
    pub settled: Option<Settled>,
    /// Largest of what is known, with what it is.
    pub rise: Option<(Estimate, RatedBy)>,
    /// The measured rise at rated load.
    pub measured: Option<Estimate>,
    /// Round of the measured rise.
    pub measured_round: Option<usize>,
    /// The reading that would just have told, kelvin below the last one, and the settled rise it
    /// would have told.
    pub least: Option<(f64, Settled)>,
}

/// One connection with everything its curve is fitted from.
pub(crate) struct Curve<'a> {
    pub heat: &'a Heat,
    pub connection: &'a Connection,
    pub rounds: &'a [RoundValue],
    /// The reading of each round.
    pub readings: &'a [&'a Reading],
    pub thermometer: &'a Thermometer<'a>,
    pub load: &'a Load,
    pub rules: &'a Rules,
}

impl Curve<'_> {
    fn coverage(&self) -> f64 {
        self.rules.thermal.coverage_factor.value
    }

    /// Everything that the rounds tell about rated load.
    pub fn at_rated(&self) -> AtRated {
        let k = self.coverage();
        let estimate = |s: load_scaling::Scaled| Estimate {
            value: s.rise,
            expanded: TemperatureDifference::from_kelvin(s.budget.expanded(k)),
        };
        let measured = self.measured();
        let (mut points, heating) = self.points();
        let fitted = settle::fit(&points, &heating);
        let settled = settled(&fitted, k);
        let told = settled.filter(|s| s.how.tells());
        let least = match told {
            Some(_) if steady(&points) => None,
            _ => self.least(&mut points, &heating, told),
        };
        let scaled = |s: &Settled| {
            self.load
                .at_rated(
                    s.rise.value.kelvin(),
                    s.rise.expanded.kelvin() / k,
                    s.current,
                    self.rules,
                )
                .map(estimate)
        };
        let rise = [
            told.and_then(|s| Some((scaled(&s)?, RatedBy::Settled))),
            least
                .as_ref()
                .and_then(|(_, s)| Some((scaled(s)?, RatedBy::LeastSettled))),
            measured
                .as_ref()
                .map(|(e, _)| (estimate(e.clone()), RatedBy::Measured)),
        ]
        .into_iter()
        .flatten()
        .reduce(|best, next| {
            if next.0.value > best.0.value {
                next
            } else {
                best
            }
        });
        AtRated {
            settled: told.or_else(|| self.bound(settled?, measured.as_ref())),
            rise,
            measured_round: measured.as_ref().map(|(_, r)| *r),
            measured: measured.map(|(e, _)| estimate(e)),
            least,
        }
    }

    /// Rounds of this connection that count: judged, trusted, with air.
    fn judged(&self) -> impl Iterator<Item = (&RoundValue, Estimate)> {
        self.rounds
            .iter()
            .filter(|r| r.trusted && self.load.judged.binary_search(&r.round).is_ok())
            .filter_map(|r| Some((r, r.rise?)))
    }

    /// The largest rise that was read, scaled to rated load by the largest current up to then;
    /// with its round.
    fn measured(&self) -> Option<(load_scaling::Scaled, usize)> {
        let rated = self.load.rated.ampere();
        let exponent = self.rules.thermal.exponent.value;
        // Mostly one current throughout: its factor is computed once.
        let mut known = (rated, 1.0);
        let (round, rise, current, _) = self
            .judged()
            .filter_map(|(r, rise)| {
                let current = *self.load.largest.get(r.round)?;
                if current != known.0 {
                    known = (current, libm::pow(rated / current, exponent));
                }
                Some((r.round, rise, current, rise.value.kelvin() * known.1))
            })
            .reduce(|best, next| if next.3 > best.3 { next } else { best })?;
        let scaled = self.load.at_rated(
            rise.value.kelvin(),
            rise.expanded.kelvin() / self.coverage(),
            Current::from_ampere(current),
            self.rules,
        )?;
        Some((scaled, round))
    }

    /// What the curve is fitted from: the rounds since charging began up to the last judged one,
    /// those without load among them, since the body cooled in them.
    pub fn points(&self) -> (Vec<settle::LoadPoint>, settle::Heating) {
        let k = self.coverage();
        let last = self.judged().last().map(|(r, _)| r);
        let points = self
            .rounds
            .iter()
            .take_while(|r| last.is_some_and(|l| r.round <= l.round))
            .filter(|r| r.trusted)
            .filter_map(|r| {
                let rise = r.rise?;
                Some(settle::LoadPoint {
                    minutes: r.minutes.filter(|m| *m > 0.0)?,
                    rise_k: rise.value.kelvin(),
                    u_rise_k: rise.expanded.kelvin() / k,
                    current_a: r.current.ampere(),
                    air_c: r.air?.celsius(),
                })
            })
            .collect();
        let before = self
            .rounds
            .iter()
            .take_while(|r| r.current.ampere() == 0.0)
            .filter(|r| r.trusted && r.minutes.is_some_and(|m| m <= 0.0))
            .filter_map(|r| Some((r.rise?, r.air?)))
            .last();
        let heating = settle::Heating {
            // A rise before charging counts as a warm start only beyond its uncertainty.
            start_rise_k: before
                .filter(|(rise, _)| rise.value > rise.expanded)
                .map_or(0.0, |(rise, _)| rise.value.kelvin()),
            start_air_c: before.map(|(_, air)| air.celsius()),
            reference_a: last.map(|r| r.current.ampere()),
            ..settle::Heating::new(self.rules.thermal.exponent.value)
        };
        (points, heating)
    }

    /// Rounds that do not tell a settled rise give the measured one as its bound, at the current
    /// of the last judged round.
    fn bound(
        &self,
        settled: Settled,
        measured: Option<&(load_scaling::Scaled, usize)>,
    ) -> Option<Settled> {
        let k = self.coverage();
        let (_, round) = measured?;
        let (r, rise) = self.judged().find(|(r, _)| r.round == *round)?;
        let from = *self.load.largest.get(r.round)?;
        // The load of one round brought to that of another is the same scaling.
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
            self.rules,
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

    /// The last reading, below the one that was taken, from which the rounds would have told the
    /// highest settled rise, where that is higher than the one they told: how much lower it is, and
    /// what they would have told.
    ///
    /// The uncertainty goes along with the reading, so that the answer depends on what was read
    /// before and on no more of the last reading than that it was at least this high.
    fn least(
        &self,
        points: &mut [settle::LoadPoint],
        heating: &settle::Heating,
        told: Option<Settled>,
    ) -> Option<(f64, Settled)> {
        let (index, value) = self.rounds.iter().enumerate().rfind(|(_, r)| {
            r.trusted && r.rise.is_some() && self.load.judged.binary_search(&r.round).is_ok()
        })?;
        let round = self.heat.rounds.get(value.round)?;
        let reading = self.readings.get(index)?;
        let (last, before) = points.split_last()?;
        let previous = before.iter().rev().find(|p| p.current_a > 0.0)?;
        let steady = steady(points);
        // Equal rises at one load are the flattest curve there is; under a varied current a body
        // may even cool down to the air's temperature.
        let flat = if steady { previous.rise_k } else { 0.0 };
        // Air that warmed up and scatter can put what tells a little below it.
        let most = (last.rise_k - flat).max(0.0) + BELOW_FLAT * last.u_rise_k;
        if !(most > 0.0 && most.is_finite()) {
            return None;
        }
        let lowest = last.rise_k - most;
        let k = self.coverage();
        let air = value.air?;
        let end = points.len() - 1;
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
            settled(&settle::fit_eased(points, heating, EASE), k).filter(|s| s.how.tells())
        };
        // How many kelvin shown make one of the surface.
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
        let floor = told.map_or(f64::NEG_INFINITY, |s| s.rise.value.kelvin());
        (found.1.rise.value.kelvin() > floor).then_some(found)
    }
}

/// A last reading, kelvin below the one that was taken, with what it would tell.
type Lowered = (f64, Settled);

/// The one that tells the higher settled rise; of equals the first.
fn higher(a: Lowered, b: Lowered) -> Lowered {
    if b.1.rise.value > a.1.rise.value {
        b
    } else {
        a
    }
}

/// The reading between `low` and `high`, about `best`, that tells the highest settled rise, by
/// golden sections; one that does not tell counts as lower than any.
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

/// Whether all rounds carried one current.
fn steady(points: &[settle::LoadPoint]) -> bool {
    let largest = points.iter().map(|p| p.current_a).fold(0.0, f64::max);
    points
        .iter()
        .all(|p| p.current_a >= (1.0 - ONE_CURRENT) * largest)
}

fn settled(fit: &settle::Settling, coverage: f64) -> Option<Settled> {
    let how = match fit.how {
        settle::How::Solved => SettledHow::TwoRounds,
        settle::How::Fitted => SettledHow::LeastSquares,
        settle::How::Plateau => SettledHow::Measured,
        settle::How::StillClimbing => SettledHow::StillClimbing,
        settle::How::TooUncertain => SettledHow::TooUncertain,
        settle::How::Contradictory => SettledHow::Contradictory,
        settle::How::TooFew => SettledHow::OneRound,
    };
    Some(Settled {
        rise: Estimate {
            value: TemperatureDifference::from_kelvin(fit.rise_k?),
            expanded: TemperatureDifference::from_kelvin(coverage * fit.u_rise_k),
        },
        time_constant_min: fit.time_constant_min,
        current: Current::from_ampere(fit.reference_a),
        how,
        rate_k_per_h: fit.rate_k_per_h,
        wait_min: fit.minutes_to_within(WITHIN_K),
    })
}
