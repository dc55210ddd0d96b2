//! Residual-current protection of a charging circuit: the currents it detects, its rated residual
//! current, and its disconnection time.

use super::ruling::{agreed, ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::rules::Rules;
use crate::visit::{Circuit, Earthing, Rcd};
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// Comparison slack of tripping times, milliseconds.
const SLACK_MS: f64 = 1e-6;

/// `residual-current` and `disconnection-time`.
pub(super) fn checks(circuit: &Circuit, rules: &Rules) -> Vec<Check> {
    [protection(circuit, rules), time(circuit, rules)]
        .into_iter()
        .flatten()
        .collect()
}

/// Passes if the device's rated residual current is at most the rule set's, and a smooth direct
/// current cannot blind it, either because of its type or because another device disconnects that
/// current. Values: `rcd` (type), `permitted`.
fn protection(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.residual_current.as_ref()?;
    let mut check = ruled(CheckId::ResidualCurrent, "mA", &rule.basis);
    check.limit = Some(rule.most.ampere() * 1e3);
    check = with(check, ValueName::Permitted, Value::Current(rule.most));
    let Some(device) = circuit.rcd else {
        check.missing.push(MissingKey::RcdType);
        return Some(check);
    };
    check = with(
        check,
        ValueName::Rcd,
        Value::Text(word(device.kind).to_owned()),
    );
    check.value = device.rating.map(|r| r.ampere() * 1e3);
    let fits = if rule.alone.contains(&device.kind) {
        Some(true)
    } else if rule.with_dc_detection.contains(&device.kind) {
        device.dc_detection
    } else {
        Some(false)
    };
    let sensitive = device.rating.map(|r| r <= rule.most);
    check.holds = match (fits, sensitive) {
        (Some(false), _) | (_, Some(false)) => Some(false),
        (Some(true), Some(true)) => Some(true),
        _ => None,
    };
    if check.holds.is_none() {
        if fits.is_none() {
            check.missing.push(MissingKey::RcdDcDetection);
        }
        if sensitive.is_none() {
            check.missing.push(MissingKey::RcdRating);
        }
    }
    Some(check)
}

/// Passes if the device tripped within the time required for the supply's earthing system. Values:
/// `earthing`, if specified.
fn time(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.disconnection_time.as_ref()?;
    let mut check = ruled(CheckId::DisconnectionTime, "ms", &rule.basis);
    let possible = match circuit.supply.earthing {
        Some(Earthing::Tn) => vec![rule.tn],
        Some(Earthing::Tt) => vec![rule.tt],
        None => vec![rule.tn, rule.tt],
    };
    if let Some(earthing) = circuit.supply.earthing {
        let word = match earthing {
            Earthing::Tn => "TN",
            Earthing::Tt => "TT",
        };
        check = with(check, ValueName::Earthing, Value::Text(word.to_owned()));
    }
    let limits: Vec<f64> = possible.iter().map(|t| t.second() * 1e3).collect();
    check.limit = limits.iter().copied().reduce(f64::min);
    let tripped = circuit.rcd.and_then(|r| r.trip_time);
    let Some(tripped) = tripped.map(|t| t.second() * 1e3) else {
        check.missing.push(MissingKey::RcdTripTime);
        return Some(check);
    };
    check.value = Some(tripped);
    check.holds = agreed(limits.iter().map(|limit| tripped <= limit + SLACK_MS));
    if check.holds.is_none() {
        check.missing.push(MissingKey::SupplyEarthing);
    }
    Some(check)
}

const fn word(kind: Rcd) -> &'static str {
    match kind {
        Rcd::None => "none",
        Rcd::Ac => "AC",
        Rcd::A => "A",
        Rcd::F => "F",
        Rcd::A6mA => "A, 6 mA d.c.",
        Rcd::B => "B",
    }
}
