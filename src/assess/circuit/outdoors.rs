//! Ground-fault protection of an outdoor outlet.

use super::ruling::{agreed, ruled};
use super::supply;
use crate::assess::assessment::Check;
use crate::rules::Rules;
use crate::visit::{Circuit, GroundFault};
use crate::vocabulary::{CheckId, MissingKey};

/// Passes if the breaker protects people. Made only outdoors, for one phase, up to the voltage to
/// ground and the rating given by the rule set.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.outdoor_ground_fault.as_ref()?;
    let asked = circuit.outdoors == Some(true)
        && !supply::three_phase(circuit)
        && circuit.breaker.rating <= rule.up_to_rating;
    let to_ground = supply::to_ground(circuit);
    let low = agreed(to_ground.iter().map(|v| *v <= rule.up_to_voltage_to_ground));
    if !asked || low == Some(false) {
        return None;
    }
    let mut check = ruled(CheckId::OutdoorGroundFault, "1", &rule.basis);
    check.holds = match circuit.breaker.ground_fault {
        GroundFault::Gfci => Some(true),
        GroundFault::None | GroundFault::Gfpe => Some(false),
        GroundFault::Unknown => None,
    };
    if check.holds.is_none() {
        check.missing.push(MissingKey::BreakerGroundFault);
    }
    Some(check)
}
