//! What was not done: a visit that lacks readings, a full-load round or proof of isolation never
//! reads as a clean bill.

use super::engine::Notes;
use super::model::{ConnectionAssessment, Limitation, Value, Values};
use crate::quantity::Duration;
use crate::rules::Rules;
use crate::visit::{Circuit, Connection, ConnectionKind, Heat, Place, Round};

pub(super) fn judge(
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
    notes: &mut Notes,
) {
    readings(circuit, connections, rules, notes);
    torque(circuit, notes);
    surfaces(circuit, notes);
}

fn limit(circuit: &Circuit, id: &'static str, incomplete: bool) -> Limitation {
    Limitation {
        id,
        circuit: Some(circuit.id.clone()),
        place: None,
        connections: Vec::new(),
        incomplete,
        values: Values::new(),
    }
}

fn readings(
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
    notes: &mut Notes,
) {
    let Some(heat) = circuit.heat.as_ref().filter(|h| !h.rounds.is_empty()) else {
        notes.limitations.push(limit(circuit, "no-heat", true));
        return;
    };
    if connections.iter().all(|c| c.rounds.is_empty()) {
        notes.limitations.push(limit(circuit, "no-readings", true));
        return;
    }
    if !heat.rounds.iter().any(|r| r.current.ampere() == 0.0) {
        notes
            .limitations
            .push(limit(circuit, "no-load-round-missing", false));
    }
    if heat.rounds.iter().any(|r| r.air.is_none()) {
        notes
            .limitations
            .push(limit(circuit, "air-not-measured", true));
    }

    let full = |r: &Round| {
        r.current.ampere()
            >= rules.thermal.full_load_fraction.value * circuit.charger.rated_current.ampere()
    };
    let full_rounds: Vec<usize> = (0..heat.rounds.len())
        .filter(|&i| full(&heat.rounds[i]))
        .collect();
    let Some(&last) = full_rounds.last() else {
        let mut l = limit(circuit, "no-full-load-round", true);
        let highest = heat
            .rounds
            .iter()
            .map(|r| r.current)
            .fold(None, |m, c| match m {
                Some(have) if have >= c => Some(have),
                _ => Some(c),
            });
        if let Some(c) = highest {
            l.values.insert("current", Value::Current(c));
        }
        l.values
            .insert("rated", Value::Current(circuit.charger.rated_current));
        notes.limitations.push(l);
        return;
    };
    long_round(circuit, heat, last, rules, notes);

    let unread: Vec<String> = connections
        .iter()
        .filter(|c| !c.rounds.iter().any(|r| full_rounds.contains(&r.round)))
        .map(|c| c.id.clone())
        .collect();
    if !unread.is_empty() {
        let mut l = limit(circuit, "readings-missing", true);
        l.connections = unread;
        notes.limitations.push(l);
    }
}

fn long_round(circuit: &Circuit, heat: &Heat, last: usize, rules: &Rules, notes: &mut Notes) {
    let needed = rules.thermal.long_round_min.value;
    let longest = heat
        .charging_from
        .map(|from| (heat.rounds[last].at.seconds() - from.seconds()) as f64 / 60.0);
    if longest.is_none_or(|m| m < needed) {
        let mut l = limit(circuit, "no-long-round", true);
        if let Some(m) = longest {
            l.values
                .insert("longest", Value::Duration(Duration::from_minute(m)));
        }
        l.values
            .insert("needed", Value::Duration(Duration::from_minute(needed)));
        notes.limitations.push(l);
    }
}

fn torque(circuit: &Circuit, notes: &mut Notes) {
    let unchecked: Vec<String> = circuit
        .connections()
        .filter(|(_, c)| {
            matches!(c.kind, ConnectionKind::ScrewTerminal | ConnectionKind::Lug)
                && !circuit.torque.iter().any(|t| t.connection == c.id)
        })
        .map(|(_, c)| c.id.clone())
        .collect();
    if !unchecked.is_empty() {
        let mut l = limit(circuit, "torque-not-checked", false);
        l.connections = unchecked;
        notes.limitations.push(l);
    }
}

fn surfaces(circuit: &Circuit, notes: &mut Notes) {
    let Some(heat) = &circuit.heat else { return };
    let read = |c: &Connection| {
        heat.rounds
            .iter()
            .any(|r| r.readings.iter().any(|(id, _)| *id == c.id))
    };
    let untold: Vec<String> = circuit
        .connections()
        .filter(|(_, c): &(&Place, &Connection)| {
            c.surface.is_none() && c.emissivity.is_none() && read(c)
        })
        .map(|(_, c)| c.id.clone())
        .collect();
    if !untold.is_empty() {
        let mut l = limit(circuit, "surface-not-told", false);
        l.connections = untold;
        notes.limitations.push(l);
    }
}
