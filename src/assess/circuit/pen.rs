//! Loss of the PEN conductor, which is both neutral and protective conductor of the supply.

use super::ruling::ruled;
use crate::assess::assessment::Check;
use crate::rules::Rules;
use crate::visit::Circuit;
use crate::vocabulary::CheckId;

/// Passes if there is protection against its loss. Made only if the visit says whether there is.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let basis = rules.circuit.checks.graded.get(&CheckId::PenLoss)?;
    let protected = circuit.supply.pen_protected?;
    Some(Check {
        holds: Some(protected),
        ..ruled(CheckId::PenLoss, "1", basis)
    })
}
