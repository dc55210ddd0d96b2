//! The baseline: the values of a sound first visit, with which later visits and the owner's own
//! readings are compared.

use super::assessment::{Assessment, Baseline, CircuitAssessment, ConnectionAssessment};
use crate::quantity::{Length, Temperature};
use crate::visit::{Circuit, Grade, Reason, Visit};

/// The values of every connection that was read under load, including closed covers. Empty unless
/// the visit is a complete first visit without anything worse than a note.
pub(super) fn of(assessment: &Assessment, visit: &Visit) -> Vec<Baseline> {
    let sound = assessment.complete && assessment.worst() <= Grade::Note;
    if visit.reason != Reason::First || !sound {
        return Vec::new();
    }
    visit
        .circuits
        .iter()
        .zip(&assessment.circuits)
        .flat_map(|(circuit, assessed)| of_circuit(circuit, assessed))
        .collect()
}

fn of_circuit<'a>(
    circuit: &'a Circuit,
    assessed: &'a CircuitAssessment,
) -> impl Iterator<Item = Baseline> + 'a {
    circuit
        .connections()
        .zip(&assessed.connections)
        .filter_map(|((place, connection), found)| {
            let rise = found.rise_at_rated?;
            Some(Baseline {
                circuit: circuit.id.clone(),
                place: place.id.clone(),
                connection: connection.id.clone(),
                closed: place.closed,
                rise,
                temperature: last(found),
                surface: connection.surface,
                distance: distance(circuit, &connection.id),
            })
        })
}

/// True temperature in the last loaded round.
fn last(found: &ConnectionAssessment) -> Option<Temperature> {
    let mut rounds = found.rounds.iter().rev();
    let last = rounds.find(|r| r.trusted && r.current.ampere() > 0.0)?;
    Some(last.temperature)
}

/// Distance of the last reading that states one.
fn distance(circuit: &Circuit, connection: &str) -> Option<Length> {
    let series = [&circuit.heat_after, &circuit.heat];
    series
        .into_iter()
        .flatten()
        .flat_map(|heat| heat.rounds.iter().rev())
        .flat_map(|round| &round.readings)
        .filter(|(id, _)| id == connection)
        .find_map(|(_, reading)| reading.distance)
}
