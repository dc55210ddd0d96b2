//! Leg difference: the largest minus the smallest temperature among connections on different legs
//! in one place and round. Legs of one circuit carry similar currents through similar parts, so a
//! difference points to one of the parts. A part is compared with the same kind of part on the
//! other leg, and with another kind only if that leg has no matching part there.
//!
//! It is taken from the last round at full load; without one, from the last round with enough load
//! to be judged, and then graded by the expected difference at rated load. A round with less load
//! cannot show that legs are equal, but any difference it shows is at least as large at rated load:
//! it counts unscaled if that is worse.
//!
//! The air temperature does not enter, so a wrong one cannot hide a difference. Nor does the
//! thermometer's bias, which both readings have in common: only its repeatability and the surfaces'
//! emissivities make a difference uncertain.

use super::held::{Held, over};
use super::places::{by_place, carrying};
use super::rated::{judged_rounds, little_load};
use crate::assess::assessment::{CheckResult, ConnectionAssessment, RoundValue, Value};
use crate::assess::notes::Notes;
use crate::quantity::TemperatureDifference;
use crate::rules::Rules;
use crate::visit::{Circuit, Connection, ConnectionKind, Grade, Place};
use crate::vocabulary::{CheckId, ValueName};

pub(crate) fn judge(
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
    notes: &mut Notes,
) {
    let judged = judged_rounds(circuit, rules);
    let little = little_load(circuit, &judged);
    let carrying = carrying(circuit);
    let full: Vec<usize> = judged
        .iter()
        .copied()
        .filter(|&r| is_full(circuit, r, rules))
        .collect();
    for (place, here) in by_place(circuit, connections) {
        let found = full
            .iter()
            .rev()
            .chain(judged.iter().rev())
            .find_map(|&r| widest(place, here, &carrying, r));
        let found = found.map(|pair| finding(circuit, place, &pair, rules));
        let least = little
            .iter()
            .filter_map(|&r| widest(place, here, &carrying, r))
            .map(|pair| finding(circuit, place, &pair, rules))
            .filter(|f| f.grade > Grade::Note)
            .max_by_key(|f| f.grade);
        notes.checks.extend(worse(found, least));
    }
}

/// The worse of the full-load result and the lower bound from rounds with too little load; the
/// former if they are equal.
fn worse(full: Option<CheckResult>, least: Option<CheckResult>) -> Option<CheckResult> {
    match (full, least) {
        (Some(full), Some(least)) if least.grade > full.grade => Some(least),
        (Some(full), _) => Some(full),
        (None, least) => least,
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

type Seen<'a> = (&'a ConnectionAssessment, &'a RoundValue);

/// Hotter and cooler connection of the pair with the largest difference on different legs.
struct Pair<'a> {
    hot: Seen<'a>,
    cool: Seen<'a>,
    round: usize,
}

impl Pair<'_> {
    fn difference(&self) -> TemperatureDifference {
        self.hot.1.temperature - self.cool.1.temperature
    }
}

/// Hottest and coolest connection of one kind on one leg.
struct Leg<'a> {
    kind: ConnectionKind,
    leg: &'a str,
    hot: Seen<'a>,
    cool: Seen<'a>,
}

/// The pair with the largest difference in one place and round; among equal ones the first in the
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
                    .is_none_or(|best| pair.difference() > best.difference())
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
            if seen.1.temperature > leg.hot.1.temperature {
                leg.hot = seen;
            }
            if seen.1.temperature < leg.cool.1.temperature {
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

fn finding(circuit: &Circuit, place: &Place, pair: &Pair, rules: &Rules) -> CheckResult {
    let bands = &rules.thermal.leg_difference;
    let (hot, cool) = (pair.hot.1, pair.cool.1);
    let measured = pair.difference().kelvin();
    let u = hot.errors().difference(&cool.errors());
    let factor = factor(circuit, pair.round, rules);
    let value = measured * factor;
    let seen = measured > rules.thermal.coverage_factor.value * u;
    let grade = if seen {
        bands.grade(value).0
    } else {
        // A difference within the instrument's accuracy is not a finding. From `watch` on the
        // measured value decides: a poor instrument must not explain away a large difference.
        Some(bands.grade(measured).0)
            .filter(|g| *g > Grade::Note)
            .unwrap_or(Grade::Pass)
    };
    let mut finding = CheckResult {
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
            (
                ValueName::Rated,
                Value::Current(circuit.charger.rated_current),
            ),
            (ValueName::Round, Value::Count(pair.round)),
            (ValueName::Measured, Value::Difference(pair.difference())),
        ]
        .into(),
        ..over(
            CheckId::LegDifference,
            grade,
            value,
            if grade > Grade::Pass {
                Held::against(
                    bands,
                    value,
                    rules.thermal.coverage_factor.value * u * factor,
                )
            } else {
                Held::first(bands)
            },
            u * factor,
            rules,
        )
    };
    if factor > 1.0 {
        finding
            .values
            .insert(ValueName::Factor, Value::Number(factor));
    }
    finding
}

/// Factor that scales a difference to rated load: 1 for a round at full load or more, and for one
/// with too little load to be judged, which gives a lower bound; otherwise (I_r/I)ⁿ as for a rise.
fn factor(circuit: &Circuit, round: usize, rules: &Rules) -> f64 {
    let current = circuit
        .heat
        .as_ref()
        .and_then(|h| h.rounds.get(round))
        .map_or(0.0, |r| r.current.ampere());
    let judged = judged_rounds(circuit, rules).binary_search(&round).is_ok();
    if is_full(circuit, round, rules) || !judged {
        return 1.0;
    }
    libm::pow(
        circuit.charger.rated_current.ampere() / current,
        rules.thermal.exponent.value,
    )
}
