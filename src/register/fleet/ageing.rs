//! How rises grow: the change of each connection between visits with the same thermometer.
//!
//! The age is counted from the first certificate in the register: the day of the installation is not
//! recorded. A connection that was made anew or repaired begins again.

use super::intervals::{median, of_median, rounded};
use super::visits::{Circuit, LEAST_CIRCUITS};
use crate::register::measured::Point;
use crate::register::row::Row;
use serde::Serialize;
use std::collections::BTreeMap;

/// Days of a year.
const YEAR: f64 = 365.25;
/// Least time between two visits, years, from which a growth is computed: in less, the uncertainty of
/// the readings would be taken for it. Our choice.
const LEAST_YEARS: f64 = 0.25;

/// How rises at rated current grow in a year.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Growth {
    /// The part; `None` for every connection.
    pub part: Option<String>,
    /// Number of circuits: of each, the median of its connections counts.
    pub circuits: usize,
    /// Median over the circuits, kelvin a year; `None` of fewer than ten.
    pub k_per_year: Option<f64>,
    /// Its 95 % interval.
    pub interval: Option<[f64; 2]>,
}

/// How much rises have grown since the first certificate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ByAge {
    /// Whole years since the first certificate of the circuit.
    pub years: u32,
    /// Number of circuits: of each, the median of its connections counts.
    pub circuits: usize,
    /// Median over the circuits, kelvin; `None` of fewer than ten.
    pub grown_k: Option<f64>,
    /// Its 95 % interval.
    pub interval: Option<[f64; 2]>,
}

/// Years between two visits.
pub(super) fn years(before: &Row, now: &Row) -> Option<f64> {
    Some((now.date? - before.date?).num_days() as f64 / YEAR)
}

/// The connections that two visits have in common, none made anew since, with their rises.
pub(super) fn common<'a>(before: &'a Row, now: &'a Row) -> Vec<(&'a Point, f64)> {
    let pairs = now.points.iter().filter(|point| !point.fresh);
    let pairs = pairs.filter_map(|point| {
        let earlier = before
            .points
            .iter()
            .find(|p| p.connection == point.connection)?;
        Some((point, point.rise_at_rated_k? - earlier.rise_at_rated_k?))
    });
    pairs.collect()
}

/// The growth of every connection, and by part.
pub(super) fn growth(circuits: &[Circuit<'_>]) -> Vec<Growth> {
    // Of each circuit, the median by part; `None` is all parts.
    let mut all: BTreeMap<Option<&str>, Vec<f64>> = BTreeMap::new();
    for circuit in circuits {
        let mut own: BTreeMap<Option<&str>, Vec<f64>> = BTreeMap::new();
        for pair in circuit.visits.windows(2) {
            let [before, now] = pair else { continue };
            let time = years(before, now).filter(|years| *years >= LEAST_YEARS);
            let Some(time) = time.filter(|_| before.thermometer == now.thermometer) else {
                continue;
            };
            for (point, change) in common(before, now) {
                own.entry(None).or_default().push(change / time);
                if let Some(part) = point.part.as_deref() {
                    own.entry(Some(part)).or_default().push(change / time);
                }
            }
        }
        for (part, changes) in own {
            all.entry(part).or_default().extend(median(&changes));
        }
    }
    let rows = all.into_iter().map(|(part, values)| {
        let (middle, interval) = told(&values);
        Growth {
            part: part.map(str::to_owned),
            circuits: values.len(),
            k_per_year: middle,
            interval,
        }
    });
    rows.collect()
}

/// Growth since the first certificate.
pub(super) fn by_age(circuits: &[Circuit<'_>]) -> Vec<ByAge> {
    let mut all: BTreeMap<u32, Vec<f64>> = BTreeMap::new();
    for circuit in circuits {
        let Some((first, later)) = circuit.visits.split_first() else {
            continue;
        };
        let mut own: BTreeMap<u32, Vec<f64>> = BTreeMap::new();
        // Connections that were made anew do not come back.
        let mut gone: Vec<&str> = Vec::new();
        for now in later {
            let fresh = now.points.iter().filter(|point| point.fresh);
            gone.extend(fresh.map(|point| point.connection.as_str()));
            let time = years(first, now).filter(|years| *years >= 0.0);
            let Some(time) = time.filter(|_| first.thermometer == now.thermometer) else {
                continue;
            };
            let changes = common(first, now)
                .into_iter()
                .filter(|(point, _)| !gone.contains(&point.connection.as_str()))
                .map(|(_, change)| change);
            // Truncated: whole years.
            own.entry(time as u32).or_default().extend(changes);
        }
        for (years, changes) in own {
            all.entry(years).or_default().extend(median(&changes));
        }
    }
    let rows = all.into_iter().map(|(years, values)| {
        let (grown_k, interval) = told(&values);
        ByAge {
            years,
            circuits: values.len(),
            grown_k,
            interval,
        }
    });
    rows.filter(|row| row.circuits > 0).collect()
}

/// The median and its interval, if there are enough circuits.
pub(super) fn told(values: &[f64]) -> (Option<f64>, Option<[f64; 2]>) {
    if values.len() < LEAST_CIRCUITS {
        return (None, None);
    }
    (
        median(values).map(rounded),
        of_median(values).map(|interval| interval.map(rounded)),
    )
}
