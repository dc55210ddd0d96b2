//! Ground-fault protection of people.

use super::ruling::{agreed, ruled};
use super::supply;
use crate::assess::assessment::Check;
use crate::rules::Rules;
use crate::visit::{ChargerConnection, Circuit, GroundFault};
use crate::vocabulary::{CheckId, MissingKey};

/// Passes if a Class A device in the breaker protects people. Made for a receptacle, and for a
/// hardwired charger up to the voltage to ground given by the rule set.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.ground_fault.as_ref()?;
    let mut asked = Some(true);
    if circuit.charger.connection == ChargerConnection::Hardwired {
        let up_to = rule.hardwired_up_to?;
        asked = agreed(supply::to_ground(circuit).iter().map(|v| *v <= up_to));
    }
    if asked == Some(false) {
        return None;
    }
    let mut check = ruled(CheckId::GroundFault, "1", &rule.basis);
    match circuit.breaker.ground_fault {
        GroundFault::Gfci => check.holds = Some(true),
        GroundFault::None | GroundFault::Gfpe if asked.is_some() => check.holds = Some(false),
        GroundFault::None | GroundFault::Gfpe => check.missing.push(MissingKey::SupplySystem),
        GroundFault::Unknown => check.missing.push(MissingKey::BreakerGroundFault),
    }
    Some(check)
}
