//! The order of work: whether something was done before or after the heat was measured, and
//! whether a connection had cooled when it was tightened.

use super::assessment::{CheckResult, ConnectionAssessment, Limitation, Values};
use super::notes::Notes;
use crate::quantity::TemperatureDifference;
use crate::rules::Rules;
use crate::visit::{Circuit, Heat, Reason, TorqueCheck, TorqueFound, Visit, When};
use crate::vocabulary::{CheckId, LimitationId};

/// Before or after the circuit was heated up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Order {
    /// Before charging began.
    Before,
    /// After it.
    After,
}

/// The order that a `when` key states; `None` if it is not stated, or if there was no charging.
///
/// A time of day is compared with the beginning of charging, or with the first loaded round where
/// that is not known.
pub(super) fn of(when: Option<When>, heat: Option<&Heat>) -> Option<Order> {
    match when? {
        When::Before => Some(Order::Before),
        When::After => Some(Order::After),
        When::At(time) => {
            let heat = heat?;
            let loaded = heat.rounds.iter().find(|r| r.current.ampere() > 0.0);
            let start = heat.charging_from.or(loaded.map(|r| r.at))?;
            Some(match time < start.time {
                true => Order::Before,
                false => Order::After,
            })
        }
    }
}

/// Judges the order of the torque checks: what was changed before the heat was measured was not
/// measured as found, and what was tightened hot is loose when cold.
pub(super) fn judge(
    visit: &Visit,
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
    notes: &mut Notes,
) {
    let Some(heat) = circuit.heat.as_ref().filter(|h| !h.rounds.is_empty()) else {
        return;
    };
    let order = |check: &TorqueCheck| of(check.when, Some(heat));
    // At a first visit there is no earlier state to compare with.
    if visit.reason != Reason::First {
        let changed = |check: &&TorqueCheck| check.found != TorqueFound::Held;
        for (stated, id) in [
            (Some(Order::Before), LimitationId::NotAsFound),
            (None, LimitationId::TorqueOrderNotTold),
        ] {
            let changed = circuit.torque.iter().filter(changed);
            let concerned: Vec<String> = changed
                .filter(|check| order(check) == stated)
                .map(|check| check.connection.clone())
                .collect();
            if !concerned.is_empty() {
                notes.limitations.push(Limitation {
                    id,
                    circuit: Some(circuit.id.clone()),
                    place: None,
                    connections: concerned,
                    incomplete: false,
                    values: Values::new(),
                });
            }
        }
    }
    for check in &circuit.torque {
        if order(check) != Some(Order::After) {
            continue;
        }
        let assessed = connections.iter().find(|c| c.id == check.connection);
        if let Some((found, rise)) = assessed.and_then(|c| Some((c, last_rise(c)?)))
            && rise.kelvin() > rules.torque.hot_over.value
            && !cooled(circuit, check, found, rules)
        {
            notes.checks.push(CheckResult {
                circuit: Some(circuit.id.clone()),
                place: Some(found.place.clone()),
                connections: vec![check.connection.clone()],
                value: Some(rise.kelvin()),
                limit: Some(rules.torque.hot_over.value),
                unit: "K",
                source: rules.torque.tightened_hot.source.clone(),
                ..CheckResult::new(CheckId::TorqueHot, rules.torque.tightened_hot.value)
            });
        }
    }
}

/// Rise over air in the last round with a current.
fn last_rise(connection: &ConnectionAssessment) -> Option<TemperatureDifference> {
    let loaded = connection.rounds.iter().rev();
    let last = loaded
        .filter(|r| r.current.ampere() > 0.0)
        .find_map(|r| r.rise)?;
    Some(last.value)
}

/// Whether a recorded temperature shows that the connection had cooled before it was touched: at
/// most the rule set's difference over the air of the last round.
fn cooled(
    circuit: &Circuit,
    check: &TorqueCheck,
    found: &ConnectionAssessment,
    rules: &Rules,
) -> bool {
    let repair = circuit
        .repairs
        .iter()
        .find(|r| r.connection == check.connection);
    let to = check.cooled_to.or(repair.and_then(|r| r.cooled_to));
    let air = found.rounds.iter().rev().find_map(|r| r.air);
    match (to, air) {
        (Some(to), Some(air)) => to.kelvin() - air.kelvin() <= rules.torque.hot_over.value,
        _ => false,
    }
}
