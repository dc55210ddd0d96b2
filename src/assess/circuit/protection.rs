//! Protection of the conductor by its overcurrent device: the rating that an ampacity allows, and
//! the lower limits for small conductors.

use super::continuous;
use super::ruling::{at_least, ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::quantity::Current;
use crate::rules::Rules;
use crate::rules::circuit_limits::Protection;
use crate::visit::{ChargerConnection, Circuit};
use crate::vocabulary::{CheckId, ValueName};

/// The largest rating that an ampacity allows and, if that depends on whether the circuit feeds
/// only one receptacle and the visit does not say, the rating allowed if it does.
///
/// The next higher standard rating is allowed up to a limit if the ampacity is not itself a
/// standard rating and the circuit does not feed several receptacles.
pub(super) fn allowed(
    circuit: &Circuit,
    rules: &Rules,
    rule: &Protection,
    ampacity: f64,
) -> (f64, Option<f64>) {
    let standard = rules.circuit.standard_ratings.as_ref();
    let next = || {
        let up_to = rule.next_size_up_to?.ampere();
        let standard = &standard?.value;
        if continuous::is_standard(standard, ampacity) {
            return None;
        }
        let next = standard.iter().copied().find(|s| *s > ampacity)?;
        (next <= up_to).then_some(next)
    };
    let Some(next) = next() else {
        return (ampacity, None);
    };
    match (circuit.charger.connection, circuit.dedicated) {
        (ChargerConnection::Hardwired, _) | (ChargerConnection::Receptacle, Some(true)) => {
            (next, None)
        }
        (ChargerConnection::Receptacle, Some(false)) => (ampacity, None),
        (ChargerConnection::Receptacle, None) => (ampacity, Some(next)),
    }
}

/// Passes if the rating is within the limit for a small conductor. Values: `rating`, `size`,
/// `allowed`.
pub(super) fn small_conductor(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.small_conductor.as_ref()?;
    let c = &circuit.conductors;
    let (_, _, limit) = rule
        .limits
        .iter()
        .find(|(material, size, _)| *material == c.material && *size == c.size)?;
    let rating = circuit.breaker.rating.ampere();
    let check = Check {
        value: Some(rating),
        limit: Some(*limit),
        holds: Some(at_least(*limit, rating)),
        ..ruled(CheckId::SmallConductor, "A", &rule.basis)
    };
    let check = with(
        check,
        ValueName::Rating,
        Value::Current(circuit.breaker.rating),
    );
    let check = with(check, ValueName::Size, Value::Text(c.size.to_string()));
    let limit = Value::Current(Current::from_ampere(*limit));
    Some(with(check, ValueName::Allowed, limit))
}
