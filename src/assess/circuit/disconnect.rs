//! The disconnecting means of a large charger, or of one with a high voltage to ground.

use super::ruling::{agreed, ruled, with};
use super::supply;
use crate::assess::assessment::{Check, Value};
use crate::rules::Rules;
use crate::visit::{ChargerConnection, Circuit};
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// Passes if the disconnecting means can be locked open and is within sight of the charger, or a
/// plaque at the charger states its location; not made if none is required. Values: `load`,
/// `in_sight` (`yes` or `no`, if specified).
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.disconnect.as_ref()?;
    if rule.hardwired_only && circuit.charger.connection != ChargerConnection::Hardwired {
        return None;
    }
    let load = circuit.charger.rated_current;
    let asked = if load > rule.above_current {
        Some(true)
    } else {
        let to_ground = supply::to_ground(circuit);
        agreed(to_ground.iter().map(|v| *v > rule.above_voltage_to_ground))
    };
    if asked == Some(false) {
        return None;
    }
    let mut check = ruled(CheckId::Disconnect, "A", &rule.basis);
    check.value = Some(load.ampere());
    check = with(check, ValueName::Load, Value::Current(load));
    let described = circuit.disconnect;
    let lockable = described.and_then(|d| d.lockable);
    let in_sight = described.and_then(|d| d.in_sight);
    let plaque = described.and_then(|d| d.plaque);
    if let Some(in_sight) = in_sight {
        let word = if in_sight { "yes" } else { "no" };
        check = with(check, ValueName::InSight, Value::Text(word.to_owned()));
    }
    let found = match in_sight {
        Some(false) => plaque,
        other => other,
    };
    check.holds = match (lockable, found) {
        (Some(true), Some(true)) => Some(true),
        // A fault only if one is required at all.
        (Some(false), _) | (_, Some(false)) if asked.is_some() => Some(false),
        _ => None,
    };
    if check.holds.is_none() {
        if asked.is_none() {
            check.missing.push(MissingKey::SupplySystem);
        }
        if lockable.is_none() {
            check.missing.push(MissingKey::DisconnectLockable);
        }
        match (in_sight, plaque) {
            (None, _) => check.missing.push(MissingKey::DisconnectInSight),
            (Some(false), None) => check.missing.push(MissingKey::DisconnectPlaque),
            _ => {}
        }
    }
    Some(check)
}
