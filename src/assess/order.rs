//! The order of work: whether something was done before or after the heat was measured, and
//! whether a connection had cooled when it was tightened.

use super::assessment::{CheckResult, ConnectionAssessment, Limitation, Values};
use super::notes::Notes;
use crate::quantity::{Temperature, TemperatureDifference};
use crate::rules::Rules;
use crate::visit::{Circuit, Heat, Reason, Repair, TorqueCheck, TorqueFound, Visit, When};
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
/// that is not known. As between rounds, more than twelve hours earlier means the next day.
pub(super) fn of(when: Option<When>, heat: Option<&Heat>) -> Option<Order> {
    match when? {
        When::Before => Some(Order::Before),
        When::After => Some(Order::After),
        When::At(time) => {
            let heat = heat?;
            let loaded = heat.rounds.iter().find(|r| r.current.ampere() > 0.0);
            let start = heat.charging_from.or(loaded.map(|r| r.at))?;
            let later = i64::from(time.seconds()) - i64::from(start.time.seconds());
            Some(match (-HALF_DAY_S..0).contains(&later) {
                true => Order::Before,
                false => Order::After,
            })
        }
    }
}

/// Half a day.
const HALF_DAY_S: i64 = 12 * 3600;

/// Whether a repair was made before or after the circuit was heated up.
pub(super) fn of_repair(repair: &Repair, heat: Option<&Heat>) -> Option<Order> {
    of(Some(When::At(repair.at)), heat)
}

/// Judges the order of torque checks and repairs: a connection that was changed before the heat was
/// measured was not measured as found, and one that was tightened hot is loose when cold.
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
            let mut concerned: Vec<String> = changed
                .filter(|check| order(check) == stated)
                .map(|check| check.connection.clone())
                .collect();
            // A repair always has its time.
            let repaired = circuit.repairs.iter();
            let repaired = repaired.filter(|r| of_repair(r, Some(heat)) == stated);
            for connection in repaired.map(|r| &r.connection) {
                if stated.is_some() && !concerned.contains(connection) {
                    concerned.push(connection.clone());
                }
            }
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
    let mut charging: Vec<String> = circuit
        .torque
        .iter()
        .filter(|check| while_charging(check.when, heat))
        .map(|check| check.connection.clone())
        .collect();
    for repair in &circuit.repairs {
        let at = Some(When::At(repair.at));
        if while_charging(at, heat) && !charging.contains(&repair.connection) {
            charging.push(repair.connection.clone());
        }
    }
    if !charging.is_empty() {
        notes.limitations.push(Limitation {
            id: LimitationId::TorqueWhileCharging,
            circuit: Some(circuit.id.clone()),
            place: None,
            connections: charging,
            incomplete: true,
            values: Values::new(),
        });
    }
    for (place, connection) in circuit.connections() {
        let check = circuit
            .torque
            .iter()
            .find(|t| t.connection == connection.id);
        let repair = circuit
            .repairs
            .iter()
            .find(|r| r.connection == connection.id);
        let assessed = connections.iter().find(|c| c.id == connection.id);
        // Each time that the screw was touched, with what it had cooled to.
        let checked = check.map(|check| (order(check), check.cooled_to));
        let repaired = repair.map(|repair| (of_repair(repair, Some(heat)), repair.cooled_to));
        let touched = [checked, repaired].into_iter().flatten();
        let touched = touched.filter(|(side, _)| *side != Some(Order::Before));
        let after = touched.clone().any(|(side, _)| side == Some(Order::After));
        // The warmer one, where both were recorded.
        let warmest = |a: Temperature, b: Temperature| if b > a { b } else { a };
        let to = touched.filter_map(|(_, to)| to).reduce(warmest);
        // The air of the last round, wherever it was taken.
        let air = heat.rounds.iter().rev().find_map(|r| r.air);
        let over = match to.zip(air) {
            Some((to, air)) => Some(to - air),
            // Nothing in the visit shows that it had cooled.
            None if after => assessed.and_then(last_rise),
            None => None,
        };
        if let Some(over) = over.filter(|over| over.kelvin() > rules.torque.hot_over.value) {
            notes.checks.push(CheckResult {
                circuit: Some(circuit.id.clone()),
                place: Some(place.id.clone()),
                connections: vec![connection.id.clone()],
                value: Some(over.kelvin()),
                limit: Some(rules.torque.hot_over.value),
                unit: "K",
                source: rules.torque.tightened_hot.source.clone(),
                ..CheckResult::new(CheckId::TorqueHot, rules.torque.tightened_hot.value)
            });
        }
    }
}

/// Whether a time of day lies between the first and the last round with a current: the circuit was
/// energised.
pub(super) fn while_charging(when: Option<When>, heat: &Heat) -> bool {
    let Some(When::At(time)) = when else {
        return false;
    };
    let mut loaded = heat.rounds.iter().filter(|r| r.current.ampere() > 0.0);
    let Some(first) = loaded.next() else {
        return false;
    };
    let start = heat.charging_from.unwrap_or(first.at);
    let end = loaded.next_back().unwrap_or(first).at;
    start.time < time && time < end.time
}

/// Rise over air in the last round with a current.
fn last_rise(connection: &ConnectionAssessment) -> Option<TemperatureDifference> {
    let loaded = connection.rounds.iter().rev();
    let last = loaded
        .filter(|r| r.current.ampere() > 0.0)
        .find_map(|r| r.rise)?;
    Some(last.value)
}
