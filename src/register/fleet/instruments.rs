//! Thermometers that read high or low against others on the same connections.
//!
//! Two visits in a row to a circuit with different thermometers are compared, less what rises grow in the
//! time between. A thermometer that reads high makes all others look low: the clearest one is named
//! first, and another only if it still differs without it. Which of two that differ is wrong, only a
//! calibration tells.

use super::ageing::{common, told, years};
use super::intervals::{median, rounded};
use super::visits::Circuit;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Difference from which a thermometer is said to read high or low, kelvin: less does not matter beside
/// the accuracy that such instruments have (2 K or more). Our choice.
const LEAST_K: f64 = 1.0;

/// A thermometer against the others.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Thermometer {
    /// Model and serial number.
    pub thermometer: String,
    /// Number of other thermometers that read the same connections.
    pub others: usize,
    /// Number of circuits that they did so on: of each, the mean of its differences counts.
    pub circuits: usize,
    /// Median of what it reads more than the others, kelvin; `None` of fewer than ten circuits.
    pub above_others_k: Option<f64>,
    /// Its 95 % interval.
    pub interval: Option<[f64; 2]>,
    /// `high` or `low` if the interval leaves no doubt, the difference is at least 1 K, and it is not
    /// explained by another thermometer that is named.
    pub reads: Option<&'static str>,
}

/// Two visits in a row to a circuit.
struct Pair<'a> {
    circuit: usize,
    first: &'a str,
    second: &'a str,
    /// What the second reads more, kelvin.
    more: f64,
}

/// Every thermometer of which there is something to compare, by name.
pub(super) fn compared(circuits: &[Circuit<'_>], growth_k_per_year: f64) -> Vec<Thermometer> {
    let pairs = pairs(circuits, growth_k_per_year);
    let mut all = against_others(&pairs, &BTreeSet::new());
    let mut named = BTreeSet::new();
    loop {
        let left = against_others(&pairs, &named);
        let clear = left
            .iter()
            .filter_map(|thermometer| Some((thermometer, reads(thermometer)?)));
        // Of two that differ as much from each other, the one that differs from more others too.
        let clearest = clear.max_by(|(a, _), (b, _)| {
            let size = |t: &Thermometer| t.above_others_k.unwrap_or(0.0);
            let by_size = size(a).abs().total_cmp(&size(b).abs());
            by_size
                .then(a.others.cmp(&b.others))
                .then(size(a).total_cmp(&size(b)))
        });
        let Some((thermometer, reads)) = clearest else {
            return all;
        };
        for own in &mut all {
            if own.thermometer == thermometer.thermometer {
                own.reads = Some(reads);
            }
        }
        if !named.insert(thermometer.thermometer.clone()) {
            return all;
        }
    }
}

fn pairs<'a>(circuits: &[Circuit<'a>], growth_k_per_year: f64) -> Vec<Pair<'a>> {
    let mut pairs = Vec::new();
    for (number, circuit) in circuits.iter().enumerate() {
        for pair in circuit.visits.windows(2) {
            let &[before, now] = pair else { continue };
            let both = before
                .thermometer
                .as_deref()
                .zip(now.thermometer.as_deref());
            let Some((first, second)) = both.filter(|(a, b)| a != b) else {
                continue;
            };
            let changes: Vec<f64> = common(before, now).iter().map(|(_, more)| *more).collect();
            let grown = years(before, now).unwrap_or(0.0) * growth_k_per_year;
            pairs.extend(median(&changes).map(|more| Pair {
                circuit: number,
                first,
                second,
                more: more - grown,
            }));
        }
    }
    pairs
}

/// Each thermometer against the others, without some; none is said to read high or low.
fn against_others(pairs: &[Pair<'_>], without: &BTreeSet<String>) -> Vec<Thermometer> {
    let mut all: BTreeMap<&str, BTreeMap<usize, Vec<f64>>> = BTreeMap::new();
    let mut others: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    let left = |pair: &&Pair<'_>| !without.contains(pair.first) && !without.contains(pair.second);
    for pair in pairs.iter().filter(left) {
        for (own, other, more) in [
            (pair.second, pair.first, pair.more),
            (pair.first, pair.second, -pair.more),
        ] {
            let of_circuit = all.entry(own).or_default().entry(pair.circuit);
            of_circuit.or_default().push(more);
            others.entry(own).or_default().insert(other);
        }
    }
    let rows = all.into_iter().map(|(thermometer, circuits)| {
        let means = circuits
            .into_values()
            .map(|differences| rounded(differences.iter().sum::<f64>() / differences.len() as f64));
        let means: Vec<f64> = means.collect();
        let (above_others_k, interval) = told(&means);
        Thermometer {
            thermometer: thermometer.to_owned(),
            others: others.get(thermometer).map_or(0, BTreeSet::len),
            circuits: means.len(),
            above_others_k,
            interval,
            reads: None,
        }
    });
    rows.collect()
}

/// Whether a thermometer reads high or low, if its numbers leave no doubt.
fn reads(thermometer: &Thermometer) -> Option<&'static str> {
    let middle = thermometer.above_others_k?;
    let [low, high] = thermometer.interval?;
    if middle.abs() < LEAST_K {
        None
    } else if low > 0.0 {
        Some("high")
    } else if high < 0.0 {
        Some("low")
    } else {
        None
    }
}
