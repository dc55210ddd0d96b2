//! Loads that are limited to less than their nameplates: by a charger's own setting, or by a system
//! that limits several loads together.

use super::ruling::{at_least, ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::quantity::Current;
use crate::rules::Rules;
use crate::visit::Circuit;
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// `current-setting`, `load-management` and `managed-setting`.
pub(super) fn checks(circuit: &Circuit, rules: &Rules) -> Vec<Check> {
    [
        setting(circuit, rules),
        management(circuit, rules),
        managed_setting(circuit, rules),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Passes if changing the charger's setting needs a tool, a lock or a password. Made only if the
/// setting is below the charger's rating, because all other checks then use the setting. Values:
/// `load`, `rated`.
fn setting(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let basis = rules.circuit.checks.graded.get(&CheckId::CurrentSetting)?;
    let charger = &circuit.charger;
    let setting = charger.current_setting?;
    if setting >= charger.rated_current {
        return None;
    }
    let mut check = ruled(CheckId::CurrentSetting, "A", basis);
    check.value = Some(setting.ampere());
    check.holds = charger.setting_restricted;
    if check.holds.is_none() {
        check.missing.push(MissingKey::ChargerSettingRestricted);
    }
    check = with(check, ValueName::Load, Value::Current(setting));
    let rated = Value::Current(charger.rated_current);
    Some(with(check, ValueName::Rated, rated))
}

/// Passes if changing the limit of the load management needs a tool, a lock or a password; made only
/// where the visit says whether it does. Values: `load`.
fn managed_setting(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let basis = rules.circuit.checks.graded.get(&CheckId::ManagedSetting)?;
    let managed = circuit.load_management?;
    let mut check = ruled(CheckId::ManagedSetting, "A", basis);
    check.value = Some(managed.limit.ampere());
    check.holds = Some(managed.restricted?);
    Some(with(check, ValueName::Load, Value::Current(managed.limit)))
}

/// Passes if the overcurrent device of the loads is rated for what the system lets them draw
/// together. This is the device of the feeder, or of the circuit if the circuit serves more than
/// this charger. Values: `rating`, `factor`, `needed`.
fn management(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.load_management.as_ref()?;
    let managed = circuit.load_management?;
    let mut check = ruled(CheckId::LoadManagement, "A", &rule.basis);
    let needed = rule.factor * managed.limit.ampere();
    check.limit = Some(needed);
    check = with(check, ValueName::Factor, Value::Number(rule.factor));
    let limit = Value::Current(Current::from_ampere(needed));
    check = with(check, ValueName::Needed, limit);
    let feeder = circuit.feeder.as_ref();
    let device = match feeder.and_then(|f| f.protected_by) {
        Some(device) => device,
        None if feeder.is_none() && circuit.dedicated == Some(false) => circuit.breaker.rating,
        None => {
            check.missing.push(MissingKey::FeederProtectedBy);
            return Some(check);
        }
    };
    check.value = Some(device.ampere());
    check.holds = Some(at_least(device.ampere(), needed));
    Some(with(check, ValueName::Rating, Value::Current(device)))
}
