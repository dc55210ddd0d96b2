//! Places and legs of a circuit.

use crate::assess::assessment::ConnectionAssessment;
use crate::visit::{Circuit, Place};

/// Legs that carry the charger's current: the lines, and the neutral only if it is the return conductor
/// of a single line.
pub(crate) fn carrying(circuit: &Circuit) -> Vec<&str> {
    let legs = &circuit.supply.legs;
    let lines: Vec<&str> = legs
        .iter()
        .map(String::as_str)
        .filter(|l| *l != "N")
        .collect();
    // A single line has the neutral as its return, listed or not.
    if lines.len() == 1 {
        lines.into_iter().chain(["N"]).collect()
    } else {
        lines
    }
}

/// The places with the results for their connections, both in the visit's order.
pub(crate) fn by_place<'a>(
    circuit: &'a Circuit,
    connections: &'a [ConnectionAssessment],
) -> impl Iterator<Item = (&'a Place, &'a [ConnectionAssessment])> {
    let mut rest = connections;
    circuit.places.iter().map(move |place| {
        let (here, after) = rest.split_at(place.connections.len().min(rest.len()));
        rest = after;
        (place, here)
    })
}
