//! Whether the charger has a circuit of its own.

use super::ruling::{ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::rules::Rules;
use crate::visit::Circuit;
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// Passes if the circuit serves nothing else, or a system limits what its loads draw together; not
/// required for small loads. Values: `load`, `voltage`.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.individual_circuit.as_ref()?;
    let load = circuit.charger.rated_current;
    let voltage = circuit.supply.voltage;
    if load <= rule.above_current && voltage <= rule.above_voltage {
        return None;
    }
    let mut check = ruled(CheckId::IndividualCircuit, "A", &rule.basis);
    check.value = Some(load.ampere());
    check.holds = match circuit.load_management {
        Some(_) => Some(true),
        None => circuit.dedicated,
    };
    if check.holds.is_none() {
        check.missing.push(MissingKey::Dedicated);
    }
    check = with(check, ValueName::Load, Value::Current(load));
    Some(with(check, ValueName::Voltage, Value::Voltage(voltage)))
}
