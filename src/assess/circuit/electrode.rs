//! The earth electrode of a TT system: the touch voltage on the earthed parts at a fault current
//! just too small to trip the residual-current device.

use super::ruling::{SLACK, ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::rules::Rules;
use crate::visit::{Circuit, Earthing};
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// Passes if R_A·I_Δn is at most the rule set's voltage. Made only for a TT system. Values:
/// `permitted` (the rated residual current), if specified.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.earth_electrode.as_ref()?;
    if circuit.supply.earthing != Some(Earthing::Tt) {
        return None;
    }
    let mut check = ruled(CheckId::EarthElectrode, "V", &rule.basis);
    check.limit = Some(rule.most.volt());
    let rated = circuit.rcd.and_then(|rcd| rcd.rating);
    let resistance = circuit.supply.earth_resistance;
    if let Some(rated) = rated {
        check = with(check, ValueName::Permitted, Value::Current(rated));
    }
    match (resistance, rated) {
        (Some(resistance), Some(rated)) => {
            let volts = resistance.ohm() * rated.ampere();
            check.value = Some(volts);
            check.holds = Some(volts <= rule.most.volt() * (1.0 + SLACK));
        }
        (resistance, rated) => {
            if resistance.is_none() {
                check.missing.push(MissingKey::SupplyEarthResistance);
            }
            if rated.is_none() {
                check.missing.push(MissingKey::RcdRating);
            }
        }
    }
    Some(check)
}
