//! The overcurrent device under a continuous load: charging lasts three hours or more, so the
//! device must be rated for more than the load unless it is listed for 100 % of its rating.

use super::ruling::{at_least, ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::quantity::Current;
use crate::rules::Rules;
use crate::rules::circuit_limits::ContinuousLoad;
use crate::visit::Circuit;
use crate::vocabulary::{CheckId, ValueName};

/// The factor on the load, and the resulting minimum rating in amperes.
pub(super) fn needed(circuit: &Circuit, rule: &ContinuousLoad) -> (f64, f64) {
    let factor = factor(circuit, rule);
    (factor, factor * circuit.charger.load().ampere())
}

fn factor(circuit: &Circuit, rule: &ContinuousLoad) -> f64 {
    if circuit.breaker.full_rated {
        rule.full_rated_factor
    } else {
        rule.factor
    }
}

/// The factor by which the device's rating must exceed a continuous load; 1 if the rule set
/// requires none.
pub(in crate::assess) fn load_factor(circuit: &Circuit, rules: &Rules) -> f64 {
    let rule = rules.circuit.checks.continuous_load.as_ref();
    rule.map_or(1.0, |rule| factor(circuit, rule))
}

/// Passes if rating ≥ factor × load. Values: `load`, `rating`, `factor`, `needed`.
pub(super) fn device(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.continuous_load.as_ref()?;
    let (factor, needed) = needed(circuit, rule);
    let rating = circuit.breaker.rating.ampere();
    let check = Check {
        value: Some(rating),
        limit: Some(needed),
        holds: Some(at_least(rating, needed)),
        ..ruled(CheckId::ContinuousLoad, "A", &rule.basis)
    };
    let check = with(
        check,
        ValueName::Load,
        Value::Current(circuit.charger.load()),
    );
    let check = with(
        check,
        ValueName::Rating,
        Value::Current(circuit.breaker.rating),
    );
    let check = with(check, ValueName::Factor, Value::Number(factor));
    Some(with(
        check,
        ValueName::Needed,
        Value::Current(Current::from_ampere(needed)),
    ))
}

/// Passes if the rating is a standard one. The limit is the smallest standard rating sufficient for
/// the load. Values: `rating`, `smallest`.
pub(super) fn standard_rating(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let basis = rules.circuit.checks.graded.get(&CheckId::StandardRating)?;
    let standard = &rules.circuit.standard_ratings.as_ref()?.value;
    let rating = circuit.breaker.rating.ampere();
    let smallest = rules.circuit.checks.continuous_load.as_ref().and_then(|r| {
        let (_, needed) = needed(circuit, r);
        standard.iter().copied().find(|s| at_least(*s, needed))
    });
    let check = Check {
        value: Some(rating),
        limit: smallest,
        holds: Some(is_standard(standard, rating)),
        ..ruled(CheckId::StandardRating, "A", basis)
    };
    let mut check = with(
        check,
        ValueName::Rating,
        Value::Current(circuit.breaker.rating),
    );
    if let Some(s) = smallest {
        check = with(
            check,
            ValueName::Smallest,
            Value::Current(Current::from_ampere(s)),
        );
    }
    Some(check)
}

/// Whether a current is one of the standard ratings.
pub(super) fn is_standard(standard: &[f64], ampere: f64) -> bool {
    standard
        .iter()
        .any(|s| (s - ampere).abs() <= s * super::ruling::SLACK)
}
