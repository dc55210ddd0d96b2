//! Leg difference: the largest minus the smallest temperature among connections on different legs
//! in one place and round. Legs of one circuit carry similar currents through similar parts, so a
//! difference points to one of the parts. A part is compared with the same kind of part on the
//! other leg, and with another kind only if that leg has no matching part there.
//!
//! It is taken from the latest round near the largest current, or from a later one if that shows a
//! worse difference, and graded by the difference to be expected when all has settled at rated load:
//! the one read, times the mean of (I_r/I)ⁿ for the largest current I up to then, and times what the
//! rise of the hotter connection still grows by its own curve. The legs of a place warm up alike, so
//! that one curve serves both; a curve of its own for the cooler one would add the noise of another
//! fit, and count as a difference what only one of the two shows. There is no threshold at some
//! share of the rated current, so a reading at a lower current is never graded better.
//!
//! What a connection keeps without load beyond its place is taken off ([`without_load`]).
//!
//! [`without_load`]: super::without_load
//!
//! The air temperature enters only in the growth, so a wrong one cannot hide a difference. The thermometer's
//! bias does not enter either, because both readings have it in common; only its repeatability and
//! the surfaces' emissivities make a difference uncertain.

use super::held::{Held, over};
use super::places::{by_place, carrying};
use super::rated::Load;
use super::would_show::{self, Reading};
use crate::assess::assessment::{
    CheckResult, ConnectionAssessment, Estimate, Growth, RoundValue, Value,
};
use crate::assess::notes::Notes;
use crate::assess::physics::uncertainty::root_sum_square;
use crate::quantity::{Temperature, TemperatureDifference};
use crate::rules::Rules;
use crate::visit::{Circuit, Connection, ConnectionKind, Grade, Place, Visit};
use crate::vocabulary::{CheckId, ValueName};

pub(crate) fn judge(
    visit: &Visit,
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
    notes: &mut Notes,
) {
    let load = Load::of(visit, circuit, rules);
    let carrying = carrying(circuit);
    for (place, here) in by_place(circuit, connections) {
        let pairs: Vec<Pair> = load
            .judged
            .iter()
            .filter_map(|&r| widest(place, here, &carrying, r))
            .collect();
        let currents = pairs.iter().map(|p| (p.round, p.hot.1.current.ampere()));
        let latest = load.latest_loaded(currents);
        let worst = pairs
            .iter()
            .filter(|p| p.round >= latest)
            .map(|pair| finding(circuit, place, pair, &load, rules))
            .reduce(|worst, f| if f.grade > worst.grade { f } else { worst });
        notes.checks.extend(worst);
    }
}

/// Whether a round was at full load.
pub(crate) fn is_full(circuit: &Circuit, round: usize, rules: &Rules) -> bool {
    let full = rules.thermal.full_load_fraction.value;
    circuit
        .heat
        .as_ref()
        .and_then(|h| h.rounds.get(round))
        .is_some_and(|r| circuit.loaded(r.current, full))
}

/// Currents of two legs that differ by no more than this share are compared: a balanced load and the
/// error of a clamp meter. Common practice, no source.
const ALIKE: f64 = 0.05;

type Seen<'a> = (&'a ConnectionAssessment, &'a RoundValue);

/// A reading less what its connection keeps without load.
fn own((connection, round): Seen) -> Temperature {
    let kept = connection.without_load.map_or(0.0, |e| e.value.kelvin());
    round.temperature + TemperatureDifference::from_kelvin(-kept)
}

/// Hotter and cooler connection of the pair with the largest settled difference on different legs.
struct Pair<'a> {
    hot: Seen<'a>,
    cool: Seen<'a>,
    round: usize,
}

impl Pair<'_> {
    fn difference(&self) -> TemperatureDifference {
        own(self.hot) - own(self.cool)
    }

    /// What the hotter connection's rise grows until it is settled.
    fn growth(&self) -> Growth {
        self.hot.0.growth.unwrap_or(Growth {
            factor: 1.0,
            standard: 0.0,
        })
    }

    /// The part of the difference that grows, kelvin: it is no more than the hotter connection's own
    /// rise, even if the cooler one reads colder than the air.
    fn grows(&self) -> f64 {
        let kept = self.hot.0.without_load.map_or(0.0, |e| e.value.kelvin());
        let own = self.hot.1.rise.map(|rise| rise.value.kelvin() - kept);
        own.map_or(0.0, |own| self.difference().kelvin().min(own))
    }

    /// The difference when settled at the current of the round, kelvin: never less than was read.
    fn settled(&self) -> f64 {
        let read = self.difference().kelvin();
        read.max(self.growth().factor * self.grows())
    }

    /// Its standard uncertainty, kelvin. What the whole place keeps without load is in both readings.
    fn uncertainty(&self, coverage: f64) -> f64 {
        let read = self.hot.1.errors().difference(&self.cool.1.errors());
        let kept = [self.hot.0.without_load, self.cool.0.without_load];
        if kept[0] == kept[1] {
            return read;
        }
        let kept = kept.into_iter().flatten();
        root_sum_square(kept.map(|e| e.expanded.kelvin() / coverage).chain([read]))
    }
}

/// Hottest and coolest connection of one kind on one leg.
struct Leg<'a> {
    kind: ConnectionKind,
    leg: &'a str,
    hot: Seen<'a>,
    cool: Seen<'a>,
}

/// The pair with the largest settled difference in one place and round; among equal ones the first in the
/// visit's order.
fn widest<'a>(
    place: &Place,
    here: &'a [ConnectionAssessment],
    carrying: &[&str],
    round: usize,
) -> Option<Pair<'a>> {
    let mut legs: Vec<Leg<'a>> = Vec::new();
    let told = place.connections.iter().zip(here);
    for (described, c) in told.filter(|(d, _)| carrying.contains(&d.leg.as_str())) {
        let seen = c
            .rounds
            .binary_search_by_key(&round, |r| r.round)
            .ok()
            .map(|i| (c, &c.rounds[i]))
            .filter(|(_, r)| r.trusted || r.colder_than_air());
        if let Some(seen) = seen {
            add(&mut legs, described, seen);
        }
    }
    let mut best: Option<Pair> = None;
    for a in &legs {
        let like = |b: &Leg| {
            let other = |l: &&Leg| l.leg == b.leg;
            let (i, j) = (a.hot.1.current.ampere(), b.cool.1.current.ampere());
            if i.min(j) <= 0.0 || (i - j).abs() > ALIKE * i.max(j) {
                return false;
            }
            b.kind == a.kind || legs.iter().filter(other).all(|l| l.kind != a.kind)
        };
        for b in legs.iter().filter(|b| b.leg != a.leg && like(b)) {
            let pair = Pair {
                hot: a.hot,
                cool: b.cool,
                round,
            };
            if pair.difference().kelvin() >= 0.0
                && best
                    .as_ref()
                    .is_none_or(|best| pair.settled() > best.settled())
            {
                best = Some(pair);
            }
        }
    }
    best
}

fn add<'a>(legs: &mut Vec<Leg<'a>>, described: &Connection, seen: Seen<'a>) {
    let known = legs
        .iter_mut()
        .find(|l| l.kind == described.kind && l.leg == seen.0.leg);
    match known {
        Some(leg) => {
            if own(seen) > own(leg.hot) {
                leg.hot = seen;
            }
            if own(seen) < own(leg.cool) {
                leg.cool = seen;
            }
        }
        None => legs.push(Leg {
            kind: described.kind,
            leg: &seen.0.leg,
            hot: seen,
            cool: seen,
        }),
    }
}

fn finding(
    circuit: &Circuit,
    place: &Place,
    pair: &Pair,
    load: &Load,
    rules: &Rules,
) -> CheckResult {
    let bands = &rules.thermal.leg_difference;
    let k = rules.thermal.coverage_factor.value;
    let (hot, cool) = (pair.hot.1, pair.cool.1);
    let measured = pair.difference().kelvin();
    let u_measured = pair.uncertainty(k);
    let (value, u, factor) = load.difference_at_rated(measured, u_measured, pair.round);
    let growth = pair.growth();
    let grows = factor * pair.grows();
    let settles = growth.factor * grows > value;
    let (value, u) = match settles {
        true => (
            growth.factor * grows,
            libm::hypot(growth.factor * u, grows * growth.standard),
        ),
        false => (value, u),
    };
    let seen = measured > k * u_measured;
    let grade = if seen {
        bands.grade(value).0
    } else {
        // A difference within the instrument's accuracy is not a finding. From `watch` on the
        // measured value decides: a poor instrument must not explain away a large difference.
        Some(bands.grade(measured).0)
            .filter(|g| *g > Grade::Note)
            .unwrap_or(Grade::Pass)
    };
    let reading = Reading {
        u_k: u_measured,
        current_a: load.largest.get(pair.round).copied().unwrap_or(0.0),
        hidden: pair.hot.0.hidden.unwrap_or(0.0),
        growth,
    };
    let mut finding = CheckResult {
        would_show: would_show::against(bands, reading, load, rules),
        circuit: Some(circuit.id.clone()),
        place: Some(place.id.clone()),
        connections: vec![pair.hot.0.id.clone(), pair.cool.0.id.clone()],
        source: bands.source.clone(),
        values: [
            (ValueName::Hot, Value::Temperature(hot.temperature)),
            (ValueName::Cool, Value::Temperature(cool.temperature)),
            (ValueName::HotLeg, Value::Text(pair.hot.0.leg.clone())),
            (ValueName::CoolLeg, Value::Text(pair.cool.0.leg.clone())),
            (ValueName::Current, Value::Current(hot.current)),
            (ValueName::Rated, Value::Current(circuit.charger.load())),
            (ValueName::Round, Value::Count(pair.round)),
            (ValueName::Measured, Value::Difference(pair.difference())),
        ]
        .into(),
        ..over(
            CheckId::LegDifference,
            grade,
            value,
            if grade > Grade::Pass {
                Held::against(bands, value, k * u)
            } else {
                Held::first(bands)
            },
            u,
            rules,
        )
    };
    if pair.hot.0.without_load != pair.cool.0.without_load {
        let kelvin = |e: Option<Estimate>| e.map_or(0.0, |e| e.value.kelvin());
        let more = kelvin(pair.hot.0.without_load) - kelvin(pair.cool.0.without_load);
        let more = TemperatureDifference::from_kelvin(more);
        finding
            .values
            .insert(ValueName::WithoutLoad, Value::Difference(more));
    }
    if factor > 1.0 {
        finding
            .values
            .insert(ValueName::Factor, Value::Number(factor));
    }
    if settles {
        finding
            .values
            .insert(ValueName::Growth, Value::Number(growth.factor));
    }
    finding
}
