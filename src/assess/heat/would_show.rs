//! The power of a check of heat: the smallest fault at rated current that it grades at least
//! `watch` with 95 % probability. The result of a check that could have missed a fault to be
//! repaired is `cannot-tell`, whatever it found.

use super::rated::Load;
use crate::assess::assessment::{CheckResult, Growth, Limitation, Value, WouldShow};
use crate::assess::notes::Notes;
use crate::quantity::{Current, TemperatureDifference};
use crate::rules::{Bands, Rules};
use crate::visit::{Circuit, Grade};
use crate::vocabulary::{CheckId, LimitationId, ValueName};

/// 95 % point of the standard normal distribution: a fault this many standard uncertainties above
/// the detection limit is seen with a probability of 95 % (JCGM 106:2012, table 1).
const Z_95_ONE_SIDED: f64 = 1.644_853_626_951_472;

/// Finest accuracy that is asked for, kelvin: a thermometer for the laboratory.
const FINEST_K: f64 = 0.1;

/// How a value, kelvin at rated current, was read.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Reading {
    /// Standard uncertainty of the value as read, kelvin.
    pub u_k: f64,
    /// Current by which it is scaled, ampere.
    pub current_a: f64,
    /// Share of the fault that was not visible where it was read.
    pub hidden: f64,
    /// By how much it grows until it is settled.
    pub growth: Growth,
}

impl Reading {
    /// The way in which a value at rated current was read, from its standard uncertainty there,
    /// without the parts that come from scaling: those depend on the size of the fault.
    pub fn of(load: &Load, value_k: f64, u_at_rated_k: f64, current_a: f64) -> Self {
        let (factor, relative) = scale(load, current_a);
        let scaling = value_k * relative;
        let own = ((u_at_rated_k - scaling) * (u_at_rated_k + scaling)).max(0.0);
        Self {
            u_k: own.sqrt() / factor,
            current_a,
            hidden: 0.0,
            growth: Growth {
                factor: 1.0,
                standard: 0.0,
            },
        }
    }

    /// The smallest fault, kelvin at rated current, of which at least `watch_k` is found with 95 %
    /// probability.
    ///
    /// It is found if what was read exceeds its expanded uncertainty and, settled and scaled by f,
    /// `watch_k`, or exceeds `watch_k` as read: x ≥ min(w, max(w/f, k·u)). A fault D gives x = D/f ± u, and f is
    /// known to its relative uncertainty: D = f·x + 1.645·f·√(u² + (x·u_f/f)²).
    fn smallest(&self, load: &Load, watch_k: f64, coverage: f64) -> f64 {
        let (factor, relative) = scale(load, self.current_a);
        let factor = factor * self.growth.factor;
        let relative = libm::hypot(relative, self.growth.standard / self.growth.factor);
        let seen = (watch_k / factor).max(coverage * self.u_k).min(watch_k);
        let visible = 1.0 - self.hidden;
        factor * (seen + Z_95_ONE_SIDED * libm::hypot(self.u_k, seen * relative)) / visible
    }

    /// The same, with the current and the accuracy that would make it show faults from `edge_k` on.
    pub fn would_show(&self, load: &Load, watch_k: f64, edge_k: f64, coverage: f64) -> WouldShow {
        let smallest = self.smallest(load, watch_k, coverage);
        let rated = load.rated.ampere();
        let shows = |reading: Self| reading.smallest(load, watch_k, coverage) <= edge_k;
        let at = |current_a: f64| Self { current_a, ..*self };
        let current = (self.current_a.ceil() as u32..=rated.ceil() as u32)
            .map(|a| f64::from(a).min(rated))
            .find(|a| shows(at(*a)))
            .unwrap_or(rated);
        let half_width = |tenths: u32| f64::from(tenths) / 10.0;
        let single = |half_width: f64| half_width * (2.0_f64 / 3.0).sqrt();
        let accuracy = (1..=200)
            .rev()
            .map(half_width)
            .find(|a| {
                let u_k = single(*a);
                u_k < self.u_k && shows(Self { u_k, ..*self })
            })
            .unwrap_or(FINEST_K);
        WouldShow {
            smallest,
            shows_repair: smallest <= edge_k,
            current: Current::from_ampere(current),
            accuracy: TemperatureDifference::from_kelvin(accuracy),
        }
    }
}

/// Factor from a current to the rated one, and its relative standard uncertainty; 1 above it.
fn scale(load: &Load, current_a: f64) -> (f64, f64) {
    let current = Current::from_ampere(current_a.min(load.rated.ampere()));
    load.at_rated(1.0, 0.0, current)
        .map_or((1.0, 0.0), |s| (s.factor, s.budget.standard() / s.factor))
}

/// The first values of bands at which `watch` and `repair` begin, kelvin.
pub(crate) fn edges(bands: &Bands) -> Option<(f64, f64)> {
    let first = |grade| bands.edges.iter().find(|e| e.grade >= grade).map(|e| e.at);
    Some((first(Grade::Watch)?, first(Grade::Repair)?))
}

/// The smallest fault that a check against bands would have shown.
pub(crate) fn against(
    bands: &Bands,
    reading: Reading,
    load: &Load,
    rules: &Rules,
) -> Option<WouldShow> {
    let (watch, repair) = edges(bands)?;
    let k = rules.thermal.coverage_factor.value;
    Some(reading.would_show(load, watch, repair, k))
}

/// The smallest fault that a comparison with an earlier visit would have shown, from the standard
/// uncertainty of the change. The earlier visit had its own current and instrument, so nothing done
/// today is certain to improve it.
pub(crate) fn change(
    watch_k: f64,
    edge_k: f64,
    u_k: f64,
    coverage: f64,
    rated: Current,
) -> WouldShow {
    let smallest = watch_k.max(coverage * u_k) + Z_95_ONE_SIDED * u_k;
    WouldShow {
        smallest,
        shows_repair: smallest <= edge_k,
        current: rated,
        accuracy: TemperatureDifference::from_kelvin(FINEST_K),
    }
}

/// Reports which checks of a circuit found nothing worse than a `note` but could have missed a
/// fault to be repaired, and what would have shown that fault.
pub(crate) fn judge(circuit: &Circuit, notes: &mut Notes) {
    let blind: Vec<&CheckResult> = notes
        .checks
        .iter()
        .filter(|c| c.circuit.as_ref() == Some(&circuit.id))
        .filter(|c| c.id != CheckId::WorseThanBefore && c.cannot_tell())
        .collect();
    if blind.is_empty() {
        return;
    }
    let mut connections: Vec<String> = Vec::new();
    for id in circuit.connections().map(|(_, c)| &c.id) {
        if blind.iter().any(|c| c.connections.contains(id)) {
            connections.push(id.clone());
        }
    }
    let shown = || blind.iter().filter_map(|c| c.would_show);
    let most = |a: Current, b: Current| if b > a { b } else { a };
    let least = |a: TemperatureDifference, b| if b < a { b } else { a };
    let (current, accuracy) = (
        shown().map(|s| s.current).reduce(most),
        shown().map(|s| s.accuracy).reduce(least),
    );
    notes.limitations.push(Limitation {
        id: LimitationId::WouldNotShow,
        circuit: Some(circuit.id.clone()),
        place: None,
        connections,
        incomplete: true,
        values: [
            current.map(|c| (ValueName::Needed, Value::Current(c))),
            accuracy.map(|a| (ValueName::Within, Value::Difference(a))),
        ]
        .into_iter()
        .flatten()
        .collect(),
    });
}
