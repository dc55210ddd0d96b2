//! Conductors in parallel.

use super::ruling::{SLACK, ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::rules::Rules;
use crate::visit::{Circuit, Conductors};
use crate::vocabulary::{CheckId, ValueName};

/// Conductors that share the current of a leg.
pub(super) fn count(conductors: &Conductors) -> f64 {
    f64::from(conductors.parallel.unwrap_or(1))
}

/// Passes if each conductor is large enough to be run in parallel. Made only if there are several.
/// Values: `size`, `least_size`.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.parallel_conductors.as_ref()?;
    let conductors = &circuit.conductors;
    if count(conductors) < 2.0 {
        return None;
    }
    let (size, least) = (conductors.size, rule.least);
    let check = Check {
        holds: Some(size.square_millimetres() >= least.square_millimetres() * (1.0 - SLACK)),
        ..ruled(CheckId::ParallelConductors, "1", &rule.basis)
    };
    let check = with(check, ValueName::Size, Value::Text(size.to_string()));
    Some(with(
        check,
        ValueName::LeastSize,
        Value::Text(least.to_string()),
    ))
}
