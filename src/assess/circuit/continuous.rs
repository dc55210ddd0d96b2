//! The overcurrent device against a continuous load: charging lasts three hours or more, so the
//! device must be rated for more than the load unless it is listed for all of it.

use crate::assess::model::{Check, Value, Values};
use crate::quantity::Current;
use crate::rules::circuit::CircuitRules;
use crate::visit::Circuit;

/// Holds when rating ≥ factor × load. Values: `load`, `rating`, `factor` and `needed`.
pub(super) fn check(circuit: &Circuit, rules: &CircuitRules) -> Option<Check> {
    let rule = rules.continuous_load.as_ref()?;
    let load = circuit.charger.rated_current.ampere();
    let factor = if circuit.breaker.full_rated {
        rule.full_rated_factor
    } else {
        rule.factor
    };
    let rating = circuit.breaker.rating.ampere();
    let needed = factor * load;
    Some(Check {
        rule: "continuous-load",
        value: Some(rating),
        limit: Some(needed),
        unit: "A",
        holds: Some(super::at_least(rating, needed)),
        missing: Vec::new(),
        source: rule.basis.source.clone(),
        checked: rule.basis.checked,
        grade: rule.basis.grade,
        values: Values::from([
            ("load", Value::Current(circuit.charger.rated_current)),
            ("rating", Value::Current(circuit.breaker.rating)),
            ("factor", Value::Number(factor)),
            ("needed", Value::Current(Current::from_ampere(needed))),
        ]),
    })
}
