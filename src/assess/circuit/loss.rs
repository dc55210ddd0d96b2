//! Energy lost in the run per year, that is, the cost of a thinner or longer run, for the yearly
//! charging energy that the rule set assumes.

use super::ruling::{check, with};
use super::supply;
use super::voltage_drop;
use crate::assess::assessment::{Check, Value};
use crate::quantity::Power;
use crate::rules::Rules;
use crate::visit::{Circuit, Grade};
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// Reports the loss in kWh per year: I²·R of every loaded conductor over the hours needed to charge
/// the yearly energy at rated power. Values: `loss` (power at rated load) from `load`, `length`,
/// `resistance` (Ω/m) and the number of loaded `conductors`; `energy` and `charged` (kWh per year),
/// `share` of the energy charged, the charging `power`.
pub(super) fn yearly(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let assumed = rules.circuit.yearly_energy_kwh.as_ref()?;
    let mut line = check(
        CheckId::RunLoss,
        "kWh",
        Grade::Pass,
        &crate::rules::Provenance {
            source: assumed.source.clone(),
            checked: assumed.checked,
            why: assumed.why.clone(),
        },
    );
    let Some(length) = circuit.conductors.length else {
        line.missing.push(MissingKey::ConductorsLength);
        return Some(line);
    };
    let load = circuit.charger.load();
    let Some((per_metre, _)) =
        voltage_drop::loaded_resistance(circuit, &circuit.conductors, load, rules)
    else {
        line.missing.push(MissingKey::ConductorsSize);
        return Some(line);
    };
    let watts = f64::from(supply::loaded_conductors(circuit))
        * load.ampere().powi(2)
        * per_metre
        * length.metre();
    let share = watts / supply::watts(circuit);
    let energy = assumed.value * share;
    line.value = Some(energy);
    line.holds = Some(true);
    let line = with(line, ValueName::Load, Value::Current(load));
    let line = with(line, ValueName::Length, Value::Length(length));
    let line = with(line, ValueName::Resistance, Value::Number(per_metre));
    let conductors = f64::from(supply::loaded_conductors(circuit));
    let line = with(line, ValueName::Conductors, Value::Number(conductors));
    let power = Value::Power(Power::from_watt(supply::watts(circuit)));
    let line = with(line, ValueName::Power, power);
    let line = with(line, ValueName::Loss, Value::Power(Power::from_watt(watts)));
    let line = with(line, ValueName::Energy, Value::Number(energy));
    let line = with(line, ValueName::Charged, Value::Number(assumed.value));
    Some(with(line, ValueName::Share, Value::Percentage(share)))
}
