//! Quantities that follow from the supply: power, the conductors that carry the current, voltage to
//! ground.

use super::ruling::{informing, with};
use crate::assess::assessment::{Check, Value};
use crate::quantity::{Power, Voltage};
use crate::visit::{Circuit, System};
use crate::vocabulary::{CheckId, ValueName};

/// Whether the load draws from three legs.
pub(super) fn three_phase(circuit: &Circuit) -> bool {
    circuit.supply.phases == 3
}

/// Legs other than neutral and ground.
pub(super) fn lines(circuit: &Circuit) -> usize {
    let is_line = |leg: &&String| !matches!(leg.as_str(), "N" | "G" | "PE");
    circuit.supply.legs.iter().filter(is_line).count()
}

/// Conductors that carry the charger's current: three legs, two legs, or leg and neutral. The
/// neutral of a three-phase charger carries almost no current.
pub(super) fn loaded_conductors(circuit: &Circuit) -> u16 {
    if three_phase(circuit) { 3 } else { 2 }
}

/// Length of conductor that contributes to the voltage drop per metre of the run: 2 for a two-wire
/// circuit (there and back), √3 for a balanced three-phase load, line to line.
pub(super) fn drop_factor(circuit: &Circuit) -> f64 {
    if three_phase(circuit) {
        3f64.sqrt()
    } else {
        2.0
    }
}

/// Power at rated current and nominal voltage, W: P = V·I, with √3 for three phases.
pub(super) fn watts(circuit: &Circuit) -> f64 {
    let volt_ampere = circuit.supply.voltage.volt() * circuit.charger.load().ampere();
    if three_phase(circuit) {
        volt_ampere * 3f64.sqrt()
    } else {
        volt_ampere
    }
}

/// Reports the power. Values: `power`, `load`, `voltage`.
pub(super) fn power(circuit: &Circuit) -> Check {
    let watts = watts(circuit);
    let check = informing(
        CheckId::ChargingPower,
        "W",
        watts,
        "P = V·I; √3·V·I for three phases, line to line",
    );
    let check = with(
        check,
        ValueName::Power,
        Value::Power(Power::from_watt(watts)),
    );
    let check = with(
        check,
        ValueName::Load,
        Value::Current(circuit.charger.load()),
    );
    with(
        check,
        ValueName::Voltage,
        Value::Voltage(circuit.supply.voltage),
    )
}

/// The possible voltages to ground of the supply: a single one if it is given or can be derived.
///
/// A leg with neutral has the supply voltage; two legs have half of it on a split-phase service and
/// 1/√3 of it on a wye system; three legs have 1/√3 on a wye system. In a delta system one leg can
/// have the full voltage (corner-grounded) or 0.87 of it (high leg), and an ungrounded system
/// counts as having the full voltage (NFPA 70 (2023), Article 100, Voltage to Ground).
pub(super) fn to_ground(circuit: &Circuit) -> Vec<Voltage> {
    let volts = circuit.supply.voltage.volt();
    let wye = volts / 3f64.sqrt();
    let possible = match (lines(circuit), circuit.supply.system) {
        (0 | 1, _) => vec![volts],
        (_, Some(System::Wye)) => vec![wye],
        (_, Some(System::Delta)) => vec![volts],
        (2, None) if !three_phase(circuit) => vec![volts / 2.0, wye],
        _ => vec![wye, volts],
    };
    possible.into_iter().map(Voltage::from_volt).collect()
}
