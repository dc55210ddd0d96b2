//! Loss of the conductor that is both neutral and protective conductor of the supply.

use super::ruling::ruled;
use crate::assess::assessment::Check;
use crate::rules::Rules;
use crate::visit::Circuit;
use crate::vocabulary::CheckId;

/// Passes if its loss is protected against; made where the visit tells.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let basis = rules.circuit.checks.graded.get(&CheckId::PenLoss)?;
    let protected = circuit.supply.pen_protected?;
    Some(Check {
        holds: Some(protected),
        ..ruled(CheckId::PenLoss, "1", basis)
    })
}
