//! Number of splices in a leg between the overcurrent device and the charger.

use super::ruling::{ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::rules::Rules;
use crate::visit::{Circuit, ConnectionKind};
use crate::vocabulary::{CheckId, ValueName};
use std::collections::BTreeMap;

/// Passes if no leg has more splices than the rule set considers usual. Values: `splices` (in the
/// leg with the most), `most`.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.splices.as_ref()?;
    let mut by_leg: BTreeMap<&str, u32> = BTreeMap::new();
    for (_, c) in circuit.connections() {
        if c.kind == ConnectionKind::Splice {
            *by_leg.entry(&c.leg).or_default() += 1;
        }
    }
    let count = by_leg.values().copied().max().unwrap_or(0);
    let check = Check {
        value: Some(f64::from(count)),
        limit: Some(f64::from(rule.most)),
        holds: Some(count <= rule.most),
        ..ruled(CheckId::Splices, "1", &rule.basis)
    };
    let check = with(check, ValueName::Splices, Value::Number(f64::from(count)));
    Some(with(
        check,
        ValueName::Most,
        Value::Number(f64::from(rule.most)),
    ))
}
