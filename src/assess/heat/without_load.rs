//! What a connection keeps without load: how much warmer than the air it was before charging, with
//! 0 A proved, and is still under load, because of the sun, a warm neighbour or an air thermometer
//! in the wrong spot. No current made this heat, so it is taken off where rises and legs are
//! compared, once, and with its uncertainty. The projection onto the hottest day keeps it.
//!
//! Heat that an earlier load left behind looks the same in that one reading, and must not hide a bad
//! joint. It is gone under load, and the joint makes it anew. So:
//! - what every connection of a place has in excess is the place's, and is taken off in full; a
//!   round under load in which one of them shows less is proof that less is left of it;
//! - what a connection has beyond that is taken off only where nearly all that it shows under load
//!   was there before: a joint that cools has lost more than that before anybody has switched off,
//!   opened the covers and proved the circuit dead.

use crate::assess::assessment::{Estimate, RoundValue};
use crate::quantity::TemperatureDifference;
use crate::rules::Rules;

/// Share of a connection's rise under load that its own excess without load has to reach to be taken
/// off. A body has lost a tenth of its heat after a tenth of its time constant: two minutes of 20
/// (our choice, no source).
const NEARLY_ALL: f64 = 0.9;

/// The last rise over air before charging, with no current.
pub(crate) fn before_charging(rounds: &[RoundValue]) -> Option<(&RoundValue, Estimate)> {
    rounds
        .iter()
        .take_while(|r| r.current.ampere() == 0.0)
        .filter(|r| r.trusted && r.minutes.is_some_and(|m| m <= 0.0))
        .filter_map(|r| Some((r, r.rise?)))
        .last()
}

/// The rises under load.
fn under_load(rounds: &[RoundValue]) -> impl Iterator<Item = f64> {
    rounds
        .iter()
        .filter(|r| r.trusted && r.current.ampere() > 0.0)
        .filter_map(|r| Some(r.rise?.value.kelvin()))
}

/// What each connection of a place keeps without load, given the rounds of each; `None` where that is
/// nothing beyond its uncertainty.
pub(crate) fn kept(place: &[&[RoundValue]], rules: &Rules) -> Vec<Option<Estimate>> {
    let beyond = |value: f64, excess: Estimate, scatter: f64| {
        let known = value > excess.expanded.kelvin();
        let k = rules.thermal.coverage_factor.value;
        known.then(|| Estimate {
            value: TemperatureDifference::from_kelvin(value),
            // The biases of the thermometers are the same under load.
            expanded: TemperatureDifference::from_kelvin(k * scatter),
        })
    };
    let excess = |rounds: &[RoundValue], least: f64| {
        let (round, excess) = before_charging(rounds)?;
        let value = excess.value.kelvin().min(least);
        beyond(value, excess, round.rise_scatter.kelvin())
    };
    let value = |e: &Estimate| e.value.kelvin();
    let all = place.iter().copied();
    let least = all
        .clone()
        .flat_map(under_load)
        .fold(f64::INFINITY, f64::min);
    let read = all.clone().filter(|r| before_charging(r).is_some());
    let each: Option<Vec<Estimate>> = read.map(|r| excess(r, least)).collect();
    let common = each.filter(|each| each.len() > 1).and_then(|each| {
        each.into_iter()
            .min_by(|a, b| value(a).total_cmp(&value(b)))
    });
    all.map(|rounds| {
        let most = under_load(rounds).fold(f64::NEG_INFINITY, f64::max);
        let least = under_load(rounds).fold(f64::INFINITY, f64::min);
        let own = excess(rounds, least)
            .filter(|_| most.is_finite())
            .filter(|e| value(e) >= NEARLY_ALL * most);
        match (own, common) {
            (Some(own), Some(common)) if value(&common) > value(&own) => Some(common),
            (Some(own), _) => Some(own),
            (None, common) => common,
        }
    })
    .collect()
}

/// A rise or a temperature difference, and its standard uncertainty, kelvin, less what is kept.
pub(crate) fn less(kept: Option<Estimate>, value: f64, u: f64, coverage: f64) -> (f64, f64) {
    match kept {
        Some(kept) => (
            value - kept.value.kelvin(),
            libm::hypot(u, kept.expanded.kelvin() / coverage),
        ),
        None => (value, u),
    }
}
