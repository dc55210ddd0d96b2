//! Ground-fault protection of an outdoor outlet.

use super::ruling::{agreed, ruled};
use super::supply;
use crate::assess::assessment::Check;
use crate::rules::Rules;
use crate::visit::{Circuit, GroundFault};
use crate::vocabulary::{CheckId, MissingKey};

/// Voltage to ground and rating up to which the protection is asked for, of one phase (NFPA 70 (2023),
/// 210.8(F); from memory).
const MOST_TO_GROUND_V: f64 = 150.0;
const MOST_RATING_A: f64 = 50.0;

/// Passes if the breaker protects people; made outdoors, for one phase at no more than 150 V to ground
/// and 50 A.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let basis = rules
        .circuit
        .checks
        .graded
        .get(&CheckId::OutdoorGroundFault)?;
    let asked = circuit.outdoors == Some(true)
        && !supply::three_phase(circuit)
        && circuit.breaker.rating.ampere() <= MOST_RATING_A;
    let to_ground = supply::to_ground(circuit);
    let low = agreed(to_ground.iter().map(|v| v.volt() <= MOST_TO_GROUND_V));
    if !asked || low == Some(false) {
        return None;
    }
    let mut check = ruled(CheckId::OutdoorGroundFault, "1", basis);
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
