//! The receptacle of a plug-connected charger: configuration, rating and grade.

use super::ruling::{at_least, ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::rules::Rules;
use crate::visit::{ChargerConnection, Circuit};
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// Nominal voltages of a service are within this fraction of a receptacle's rating: 208 V and 240 V
/// match 250 V, 120 V matches 125 V (ANSI C84.1, from memory).
const VOLTAGE_SHARE: std::ops::RangeInclusive<f64> = 0.8..=1.0;

/// `receptacle-configuration`, `receptacle-rating` and `receptacle-grade`; none for a hard-wired
/// charger.
pub(super) fn checks(circuit: &Circuit, rules: &Rules) -> Vec<Check> {
    if circuit.charger.connection == ChargerConnection::Hardwired {
        return Vec::new();
    }
    [
        configuration(circuit, rules),
        rating(circuit, rules),
        grade(circuit, rules),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Passes if the configuration is allowed for charging and made for the supply's voltage. Values:
/// `configuration`, `voltage`.
fn configuration(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.receptacle_configuration.as_ref()?;
    let known = rules.circuit.receptacles.as_ref()?;
    let mut check = ruled(CheckId::ReceptacleConfiguration, "V", &rule.basis);
    let volts = circuit.supply.voltage.volt();
    check.value = Some(volts);
    check = with(
        check,
        ValueName::Voltage,
        Value::Voltage(circuit.supply.voltage),
    );
    let Some(receptacle) = &circuit.receptacle else {
        check.missing.push(MissingKey::ReceptacleConfiguration);
        return Some(check);
    };
    let written = Value::Text(receptacle.configuration.clone());
    check = with(check, ValueName::Configuration, written);
    let Some((name, _, made_for)) = known.find(&receptacle.configuration) else {
        // A locking or foreign configuration: unknown here, and not in the list.
        check.holds = Some(false);
        return Some(check);
    };
    check.limit = Some(made_for.volt());
    check.holds =
        Some(rule.allowed.contains(name) && VOLTAGE_SHARE.contains(&(volts / made_for.volt())));
    Some(check)
}

/// Passes if the receptacle is rated for at least its circuit. Values: `configuration`,
/// `receptacle`, `rating`.
fn rating(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let basis = rules
        .circuit
        .checks
        .graded
        .get(&CheckId::ReceptacleRating)?;
    let known = rules.circuit.receptacles.as_ref()?;
    let mut check = ruled(CheckId::ReceptacleRating, "A", basis);
    let rating = circuit.breaker.rating;
    check.limit = Some(rating.ampere());
    check = with(check, ValueName::Rating, Value::Current(rating));
    let found = circuit
        .receptacle
        .as_ref()
        .and_then(|r| known.find(&r.configuration));
    let Some((name, own, _)) = found else {
        check.missing.push(MissingKey::ReceptacleConfiguration);
        return Some(check);
    };
    check.value = Some(own.ampere());
    check.holds = Some(at_least(own.ampere(), rating.ampere()));
    check = with(check, ValueName::Configuration, Value::Text(name.clone()));
    Some(with(check, ValueName::Receptacle, Value::Current(*own)))
}

/// Passes if the receptacle's grade is made for long-lasting loads; not required for small loads.
/// Values: `load`, `above`, `grade`.
fn grade(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.receptacle_grade.as_ref()?;
    let load = circuit.charger.load();
    if load <= rule.above {
        return None;
    }
    let mut check = ruled(CheckId::ReceptacleGrade, "A", &rule.basis);
    check.value = Some(load.ampere());
    check = with(check, ValueName::Load, Value::Current(load));
    check = with(check, ValueName::Above, Value::Current(rule.above));
    let Some(grade) = circuit.receptacle.as_ref().and_then(|r| r.grade) else {
        check.missing.push(MissingKey::ReceptacleGrade);
        return Some(check);
    };
    check.holds = Some(rule.accepted.contains(&grade));
    Some(with(
        check,
        ValueName::Grade,
        Value::Text(grade.to_string()),
    ))
}
