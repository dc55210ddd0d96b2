//! The current that a breaker carries in warm air, or beside other loaded breakers.

use super::ruling::{at_least, ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::rules::Rules;
use crate::visit::Circuit;
use crate::vocabulary::{CheckId, ValueName};

/// Passes if the breaker still carries the load. Made only if the visit gives the air around the
/// breaker or the number of breakers side by side; a value that is not given does not reduce the
/// current. Values: `load`, `rating`, `ambient`, `ambient_factor`, `grouping_factor`.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.breaker_derating.as_ref()?;
    let breaker = &circuit.breaker;
    if breaker.ambient.is_none() && breaker.side_by_side.is_none() {
        return None;
    }
    let ambient = breaker.ambient.unwrap_or(rule.reference);
    let over = (ambient - rule.reference).kelvin().max(0.0);
    let warm = (1.0 - rule.per_kelvin * over).max(0.0);
    let count = u32::from(breaker.side_by_side.unwrap_or(1));
    let row = rule.rows.iter().find(|(up_to, _)| count <= *up_to);
    let beside = row.map_or(rule.beyond, |(_, factor)| *factor);
    let carries = breaker.rating.ampere() * warm * beside;
    let load = circuit.charger.load();
    let check = Check {
        value: Some(carries),
        limit: Some(load.ampere()),
        holds: Some(at_least(carries, load.ampere())),
        ..ruled(CheckId::BreakerDerating, "A", &rule.basis)
    };
    let check = with(check, ValueName::Load, Value::Current(load));
    let check = with(check, ValueName::Rating, Value::Current(breaker.rating));
    let check = with(check, ValueName::Ambient, Value::Temperature(ambient));
    let check = with(check, ValueName::AmbientFactor, Value::Number(warm));
    Some(with(
        check,
        ValueName::GroupingFactor,
        Value::Number(beside),
    ))
}
