//! Voltage drop at rated load in the branch circuit, in the feeder, and in both, with the
//! conductor's resistance at its temperature under that load.

use super::conductor;
use super::parallel;
use super::ruling::{at_least, ruled, with};
use super::supply;
use crate::assess::assessment::{Check, Value};
use crate::quantity::{Current, Temperature, Voltage};
use crate::rules::Rules;
use crate::visit::{Circuit, Conductors};
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// Resistance of one metre of a loaded conductor, Ω/m, and its temperature.
///
/// At its ampacity, in the table's ambient conditions, a conductor reaches the table's temperature;
/// its rise is proportional to the square of the current (calculated).
pub(super) fn loaded_resistance(
    circuit: &Circuit,
    conductors: &Conductors,
    load: Current,
    rules: &Rules,
) -> Option<(f64, Temperature)> {
    let heating = conductor::heating(conductors, circuit, rules)?;
    let rise = heating.rise.kelvin() * (load.ampere() / heating.ampacity).powi(2);
    let temperature = Temperature::from_kelvin(heating.surroundings.kelvin() + rise);
    let resistance = rules.circuit.resistance.as_ref()?.per_metre(
        conductors.material,
        conductors.size,
        conductors.stranded,
        temperature,
    )?;
    Some((resistance / parallel::count(conductors), temperature))
}

/// Drop in one run, V, with the conductor's resistance, Ω/m, and temperature.
#[derive(Debug, Clone, Copy)]
struct Drop {
    volts: f64,
    per_metre: f64,
    temperature: Temperature,
}

/// Drop in one run, or what is missing.
fn drop(
    circuit: &Circuit,
    conductors: &Conductors,
    load: Current,
    rules: &Rules,
    missing: [MissingKey; 2],
) -> Result<Drop, Vec<MissingKey>> {
    let length = conductors.length.ok_or_else(|| vec![missing[0]])?;
    let (per_metre, temperature) =
        loaded_resistance(circuit, conductors, load, rules).ok_or_else(|| vec![missing[1]])?;
    let volts = supply::drop_factor(circuit) * length.metre() * load.ampere() * per_metre;
    Ok(Drop {
        volts,
        per_metre,
        temperature,
    })
}

/// `voltage-drop` and, if the visit gives the feeder, `voltage-drop-feeder` and
/// `voltage-drop-total`. Values: `drop`, `share`, `limit`, `voltage`; except for the total also
/// `conductor` (its temperature), `resistance` (Ω/m), `ways`, `load`, `length`.
pub(super) fn checks(circuit: &Circuit, rules: &Rules) -> Vec<Check> {
    let Some(rule) = &rules.circuit.checks.voltage_drop else {
        return Vec::new();
    };
    let line = |id, limit: f64, drop: Result<f64, Vec<MissingKey>>| {
        let mut check = ruled(id, "%", &rule.basis);
        check.limit = Some(limit * 100.0);
        match drop {
            Ok(volts) => {
                let share = volts / circuit.supply.voltage.volt();
                check.value = Some(share * 100.0);
                check.holds = Some(at_least(limit, share));
                check = with(
                    check,
                    ValueName::Drop,
                    Value::Voltage(Voltage::from_volt(volts)),
                );
                check = with(check, ValueName::Share, Value::Percentage(share));
            }
            Err(missing) => check.missing = missing,
        }
        let check = with(
            check,
            ValueName::Voltage,
            Value::Voltage(circuit.supply.voltage),
        );
        with(check, ValueName::Limit, Value::Percentage(limit))
    };
    let run = |check: Check, conductors: &Conductors, load: Option<Current>, at: Option<Drop>| {
        let mut check = check;
        if let Some(load) = load {
            check = with(check, ValueName::Load, Value::Current(load));
        }
        if let Some(length) = conductors.length {
            check = with(check, ValueName::Length, Value::Length(length));
        }
        let Some(Drop {
            per_metre,
            temperature,
            ..
        }) = at
        else {
            return check;
        };
        let check = with(check, ValueName::Conductor, Value::Temperature(temperature));
        let check = with(check, ValueName::Resistance, Value::Number(per_metre));
        with(
            check,
            ValueName::Ways,
            Value::Number(supply::drop_factor(circuit)),
        )
    };
    let load = circuit.charger.load();
    let branch = drop(
        circuit,
        &circuit.conductors,
        load,
        rules,
        [MissingKey::ConductorsLength, MissingKey::ConductorsSize],
    );
    let at = branch.as_ref().ok().copied();
    let branch = branch.map(|d| d.volts);
    let check = line(CheckId::VoltageDrop, rule.branch, branch.clone());
    let mut out = vec![run(check, &circuit.conductors, Some(load), at)];
    if let Some(conductors) = &circuit.feeder {
        let feeder = conductors.load.map_or_else(
            || Err(vec![MissingKey::FeederLoad]),
            |load| {
                drop(
                    circuit,
                    conductors,
                    load,
                    rules,
                    [MissingKey::FeederLength, MissingKey::FeederSize],
                )
            },
        );
        let at = feeder.as_ref().ok().copied();
        let feeder = feeder.map(|d| d.volts);
        let total = match (&branch, &feeder) {
            (Ok(b), Ok(f)) => Ok(b + f),
            (b, f) => Err([b, f]
                .into_iter()
                .filter_map(|d| d.as_ref().err())
                .flatten()
                .copied()
                .collect()),
        };
        let check = line(CheckId::VoltageDropFeeder, rule.feeder, feeder);
        out.push(run(check, conductors, conductors.load, at));
        out.push(line(CheckId::VoltageDropTotal, rule.total, total));
    }
    out
}
