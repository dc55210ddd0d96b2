//! Whether the overcurrent device opens every line.

use super::ruling::ruled;
use super::supply;
use crate::assess::assessment::Check;
use crate::rules::Rules;
use crate::visit::Circuit;
use crate::vocabulary::CheckId;

/// Reported only if it fails: the device has fewer poles than the supply has lines, so that a line
/// stays live when the device is off. If the number of poles is not specified, nothing is reported,
/// because few people record it.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let basis = rules.circuit.checks.graded.get(&CheckId::BreakerPoles)?;
    let lines = supply::lines(circuit);
    let poles = usize::from(circuit.breaker.poles?);
    (poles < lines).then(|| Check {
        value: Some(poles as f64),
        limit: Some(lines as f64),
        holds: Some(false),
        ..ruled(CheckId::BreakerPoles, "1", basis)
    })
}
