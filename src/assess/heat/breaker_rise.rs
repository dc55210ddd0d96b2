//! The rise of the breaker's terminals at the breaker's own rated current, which its product standard
//! limits: a charger draws less, and what is read at its current is scaled up.

use super::held::{Held, over};
use super::rated;
use crate::assess::assessment::{CheckResult, ConnectionAssessment, Value};
use crate::assess::notes::Notes;
use crate::assess::parts;
use crate::assess::physics::load_scaling::{self, AtLoad};
use crate::quantity::{Current, TemperatureDifference};
use crate::rules::Rules;
use crate::visit::{Circuit, Part};
use crate::vocabulary::{CheckId, ValueName};

/// Judges the terminals of each breaker of a circuit whose rise at rated load is known, by the hottest.
/// Only rises over the limit are reported, because the rise itself is graded as well.
pub(crate) fn judge(
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
    notes: &mut Notes,
) {
    let Some(rule) = &rules.thermal.breaker_rise else {
        return;
    };
    let (load, rating) = (circuit.charger.load(), circuit.breaker.rating);
    // Too little of the breaker's current to tell anything of the breaker at all of it. That breaker is
    // far too large, which is a finding of its own.
    if load.ampere() < rules.thermal.least_load_fraction.value * rating.ampere() {
        return;
    }
    let limit = if circuit.breaker.full_rated {
        rule.value.full_rated_k
    } else {
        rule.value.most_k
    };
    for place in parts::places(circuit, Part::Breaker).filter(|place| !place.closed) {
        let terminals = connections.iter().filter(|c| c.place == place.id);
        let scaled = terminals.filter_map(|c| {
            let rise = c.rise_at_rated?;
            let u = rise.expanded.kelvin() / rules.thermal.coverage_factor.value;
            let at = AtLoad {
                rise: rise.value,
                u_rise: TemperatureDifference::from_kelvin(u),
                current: load,
                // The breaker's rating is a nominal current without uncertainty; that of the
                // measured current is already part of the rise's uncertainty.
                u_current: Current::from_ampere(0.0),
            };
            let scaled = load_scaling::at_rated(&at, rating, rated::exponents(rules))?;
            Some((scaled.rise.kelvin(), scaled.budget.standard(), c))
        });
        let mut over_limit: Vec<_> = scaled.filter(|(value, ..)| *value > limit).collect();
        over_limit.sort_by(|a, b| b.0.total_cmp(&a.0));
        let Some((value, u, _)) = over_limit.first().copied() else {
            continue;
        };
        let held = Held {
            limit: Some(limit),
            next: None,
        };
        let found = over(
            CheckId::BreakerRise,
            rule.value.grade,
            value,
            held,
            u,
            rules,
        );
        notes.checks.push(CheckResult {
            circuit: Some(circuit.id.clone()),
            place: Some(place.id.clone()),
            connections: over_limit.iter().map(|(.., c)| c.id.clone()).collect(),
            source: rule.source.clone(),
            values: [(ValueName::Rated, Value::Current(rating))].into(),
            ..found
        });
    }
}
