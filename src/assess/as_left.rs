//! The circuit as it was left: what was repaired during the visit, and read again, counts in the
//! state after the repair; everything else as it was found.
//!
//! A repaired connection that was not read again at full load counts as not read: its readings from
//! before the repair no longer describe it. The exception is a screw that was set to its torque
//! without having been hot: its readings remain valid, and so does the finding that it had moved.

use super::assessment::{AsFound, Assessment, CheckResult, ConnectionAssessment, Mended, NextDue};
use super::diagnose;
use super::finding::{Charging, Finding};
use super::heat::measured;
use super::notes::Notes;
use super::order;
use super::repairs::made_anew;
use crate::rules::Rules;
use crate::visit::{Circuit, Condition, Grade, Heat, Moment, TorqueFound, Visit};
use crate::vocabulary::{CheckId, LimitationId};
use chrono::Months;

/// The visit as it was found: without what was measured after the repairs.
pub(super) fn as_found(visit: &Visit) -> Visit {
    let mut found = visit.clone();
    for circuit in &mut found.circuits {
        circuit.heat_after = None;
    }
    found
}

/// The visit as it was left, given what was found.
///
/// Where a circuit has rounds after the repairs, its `heat` has the rounds of both series, and
/// `heat_after` those of the second, so that [`series`] can tell them apart.
pub(super) fn as_left(visit: &Visit, found: &Assessment) -> Visit {
    let mut left = visit.clone();
    for circuit in &mut left.circuits {
        if !circuit.repairs.is_empty() {
            leave(circuit, &found.checks);
        }
    }
    left
}

fn leave(circuit: &mut Circuit, found: &[CheckResult]) {
    let hot = |connection: &str| {
        found.iter().any(|c| {
            c.circuit.as_deref() == Some(&circuit.id)
                && c.connections.first().map(String::as_str) == Some(connection)
                && c.effective_grade() >= Grade::Watch
                && (diagnose::shows_heat(c) || diagnose::shows_poor_joint(c))
        })
    };
    // What was repaired only after the second series had begun is not proved by it.
    let late: Vec<String> = circuit
        .repairs
        .iter()
        .filter(|r| {
            let after = circuit.heat_after.as_ref();
            after.is_some() && order::of_repair(r, after) == Some(order::Order::After)
        })
        .map(|r| r.connection.clone())
        .collect();
    if let Some(after) = &mut circuit.heat_after {
        for round in &mut after.rounds {
            round.readings.retain(|(id, _)| !late.contains(id));
        }
    }
    let read_again = |connection: &str| {
        circuit
            .heat_after
            .iter()
            .flat_map(|h| &h.rounds)
            .filter(|r| r.current.ampere() > 0.0)
            .any(|r| r.readings.iter().any(|(id, _)| id == connection))
    };
    let changed: Vec<String> = circuit
        .repairs
        .iter()
        .map(|r| &r.connection)
        .filter(|id| read_again(id) || made_anew(circuit, id) || hot(id) || late.contains(id))
        .cloned()
        .collect();
    let of_before: Vec<String> = circuit
        .connections()
        .map(|(_, c)| &c.id)
        .filter(|id| read_again(id) || changed.contains(id))
        .cloned()
        .collect();

    let anew: Vec<String> = changed
        .iter()
        .filter(|id| made_anew(circuit, id))
        .cloned()
        .collect();
    for seen in &mut circuit.looked_at {
        if seen.connection.as_ref().is_some_and(|c| anew.contains(c)) {
            seen.seen.retain(|condition| !condition.spoils());
            if seen.seen.is_empty() {
                seen.seen.push(Condition::Clean);
            }
        }
    }
    for place in &mut circuit.places {
        for connection in &mut place.connections {
            connection.remade |= anew.contains(&connection.id);
        }
    }
    // Only the torque at which it was left counts. The torque of an old joint does not describe the
    // new one.
    circuit
        .torque
        .retain(|t| t.left.is_some() || !anew.contains(&t.connection));
    for check in &mut circuit.torque {
        if changed.contains(&check.connection)
            && let Some(left) = check.left
        {
            check.found = TorqueFound::Value(left);
        }
    }
    if let Some(heat) = &mut circuit.heat {
        for round in &mut heat.rounds {
            round.readings.retain(|(id, _)| !of_before.contains(id));
        }
    }
    circuit.heat = circuit.whole_heat();
}

/// One series of rounds: when its charging began, and the position of its first round.
#[derive(Debug, Clone, Copy)]
pub(super) struct Series {
    /// When charging began.
    pub from: Option<Moment>,
    /// Position of its first round in the circuit's rounds.
    pub start: usize,
}

/// The series to which a round of the circuit's heat belongs.
pub(super) fn series(circuit: &Circuit, heat: &Heat, round: usize) -> Series {
    match second(circuit, heat) {
        Some((start, after)) if round >= start => Series {
            from: after.charging_from,
            start,
        },
        _ => Series {
            from: heat.charging_from,
            start: 0,
        },
    }
}

/// Position of the first round after the repairs, and their series.
fn second<'a>(circuit: &'a Circuit, heat: &Heat) -> Option<(usize, &'a Heat)> {
    let after = circuit.heat_after.as_ref()?;
    Some((heat.rounds.len().checked_sub(after.rounds.len())?, after))
}

/// Measures every connection of a circuit, each in the series that it was last read in.
pub(super) fn measure(
    visit: &Visit,
    circuit: &Circuit,
    rules: &Rules,
    notes: &mut Notes,
) -> Vec<ConnectionAssessment> {
    let parts = circuit
        .heat
        .as_ref()
        .and_then(|heat| Some((heat, second(circuit, heat)?)));
    let Some((heat, (start, after))) = parts else {
        return measured::measure(visit, circuit, rules, notes);
    };
    let mut first = heat.clone();
    first.rounds.truncate(start);
    let mut part = circuit.clone();
    part.heat_after = None;
    part.heat = Some(first);
    let before = measured::measure(visit, &part, rules, notes);
    part.heat = Some(after.clone());
    let again = measured::measure(visit, &part, rules, notes);
    before
        .into_iter()
        .zip(again)
        .map(|(before, mut again)| {
            if again.rounds.is_empty() {
                return before;
            }
            for round in &mut again.rounds {
                round.round += start;
            }
            again
        })
        .collect()
}

/// Copies the results for the state as found that apply to the circuit as left too: the order of
/// work, and connections that were tightened while hot.
pub(super) fn carry_over(circuit: &Circuit, found: &Assessment, notes: &mut Notes) {
    let own = |id: &Option<String>| id.as_ref() == Some(&circuit.id);
    let hot = found.checks.iter();
    notes.checks.extend(
        hot.filter(|c| c.id == CheckId::TorqueHot && own(&c.circuit))
            .cloned(),
    );
    let order = found.limitations.iter();
    notes.limitations.extend(
        order
            .filter(|l| {
                let of_order = [
                    LimitationId::NotAsFound,
                    LimitationId::TorqueOrderNotTold,
                    LimitationId::TorqueWhileCharging,
                ];
                of_order.contains(&l.id) && own(&l.circuit)
            })
            .cloned(),
    );
}

/// The state as found, with the findings that no longer exist in the state as left.
pub(super) fn compare(found: Assessment, left: &Assessment, visit: &Visit) -> AsFound {
    let mended = found
        .findings
        .iter()
        .enumerate()
        .filter_map(|(position, finding)| {
            let circuit = visit
                .circuits
                .iter()
                .find(|c| finding.circuit.as_ref() == Some(&c.id))?;
            let gone = finding.grade > Grade::Note
                && !circuit.repairs.is_empty()
                && !left.findings.iter().any(|now| remains(finding, now));
            gone.then(|| Mended {
                finding: position,
                proved: proved(finding, left),
            })
        })
        .collect();
    AsFound {
        assessment: found,
        mended,
    }
}

/// Keeps the restrictions of a fault whose repair is not proved. Until a repaired connection has
/// been read again at full current, charging stays as restricted as it was by the fault, and the
/// reading is due when the repair was due.
pub(super) fn hold_back(left: &mut Assessment, state: &AsFound, rules: &Rules) {
    let source = &rules.next_due.incomplete.source;
    let visited = left.date;
    let watched = |rules: &Rules| {
        let months = Months::new(rules.next_due.watch.value);
        visited.checked_add_months(months)
    };
    let unproved = state.mended().filter(|(_, proved)| !proved);
    for finding in unproved.map(|(finding, _)| finding) {
        let charging = finding.charging;
        let sooner = |due: &mut NextDue| {
            let date = match charging {
                Charging::NotAtAll => None,
                // Its own date, even if something else was to be done before the circuit is used.
                _ => finding.deadline.or_else(|| watched(rules)),
            };
            // Without a date: before the circuit is used.
            let sooner = match (date, due.date) {
                (_, None) => false,
                (None, Some(_)) => true,
                (Some(date), Some(have)) => date < have,
            };
            if sooner {
                *due = NextDue {
                    date,
                    basis: "incomplete",
                    source: source.clone(),
                };
            }
        };
        let circuits = left.circuits.iter_mut();
        for circuit in circuits.filter(|c| finding.circuit.as_ref() == Some(&c.id)) {
            circuit.charging = circuit.charging.stricter(charging);
            sooner(&mut circuit.next_due);
        }
        left.charging = left.charging.stricter(charging);
        sooner(&mut left.next_due);
    }
}

/// Whether a finding as found remains in the finding `now` as left: both have the same cause and a
/// connection in common, or the same connection is still graded `watch` or worse.
pub(super) fn remains(finding: &Finding, now: &Finding) -> bool {
    let first = finding.connections.first();
    let alike = match first {
        Some(_) => finding
            .connections
            .iter()
            .any(|c| now.connections.contains(c)),
        None => finding.place == now.place,
    };
    let same_connection = first.is_some() && first == now.connections.first();
    finding.circuit == now.circuit
        && ((finding.cause == now.cause && alike) || (same_connection && now.grade >= Grade::Watch))
}

/// Whether everything that a finding was about was read again at full load.
fn proved(finding: &Finding, left: &Assessment) -> bool {
    let open = left
        .limitations
        .iter()
        .filter(|l| l.id == LimitationId::RepairNotProved && l.circuit == finding.circuit);
    let connections = left
        .circuits
        .iter()
        .filter(|c| finding.circuit.as_ref() == Some(&c.id))
        .flat_map(|c| &c.connections);
    open.flat_map(|l| &l.connections).all(|open| {
        let at = connections.clone().find(|c| c.id == *open);
        !finding.connections.contains(open)
            && at.is_none_or(|at| finding.place.as_ref() != Some(&at.place))
    })
}
