//! The parts that a circuit must have, and the places that are these parts.
//!
//! A place is the part that its `part:` key names. Without the key, its part is inferred only where
//! a mistake is unlikely: from the kind or the product standard that all its connections share, or
//! from its id, if that is the name of a part (`breaker`, `charger-2`).

use crate::visit::{
    ChargerConnection, Circuit, ConnectionKind, Disconnector, Part, Place, ProductStandard,
};
use crate::vocabulary::Word;

/// The part that a place is; `None` for a closed cover, and if it is not known.
pub fn of(place: &Place) -> Option<Part> {
    if place.closed {
        return None;
    }
    place.part.or_else(|| inferred(place))
}

fn inferred(place: &Place) -> Option<Part> {
    let live = || place.connections.iter().filter(|c| !grounds(&c.leg));
    let all = |kind: ConnectionKind| live().next().is_some() && live().all(|c| c.kind == kind);
    if all(ConnectionKind::Blade) {
        return Some(Part::Plug);
    }
    if all(ConnectionKind::BusStab) {
        return Some(Part::Busbar);
    }
    let breaker = |standard: Option<ProductStandard>| {
        matches!(
            standard,
            Some(ProductStandard::Iec60898 | ProductStandard::Iec60947Breaker)
        )
    };
    if live().next().is_some() && live().all(|c| breaker(c.standard)) {
        return Some(Part::Breaker);
    }
    // `charger-panel` may be anything, `charger-2` is one of several.
    let numbered = || {
        let (name, number) = place.id.rsplit_once('-')?;
        let digits = number.bytes().all(|b| b.is_ascii_digit());
        (digits && !number.is_empty()).then_some(name)
    };
    let named = Part::of(&place.id).or_else(|| Part::of(numbered()?));
    named.or_else(|| all(ConnectionKind::Splice).then_some(Part::Splice))
}

/// Whether a connection of this leg belongs to the equipment grounding (protective) conductor.
pub fn grounds(leg: &str) -> bool {
    matches!(leg, "G" | "PE")
}

/// The places of a circuit that are this part; a disconnect under one cover is both of its sides.
pub fn places(circuit: &Circuit, part: Part) -> impl Iterator<Item = &Place> {
    circuit.places.iter().filter(move |place| match of(place) {
        Some(Part::Disconnect) => matches!(
            part,
            Part::Disconnect | Part::DisconnectLine | Part::DisconnectLoad
        ),
        found => found == Some(part),
    })
}

/// The parts with line terminals that a circuit must have: the overcurrent device, both sides of a
/// disconnect with terminals, and the charger's end.
pub fn required(circuit: &Circuit) -> Vec<Part> {
    let mut parts = vec![Part::Breaker];
    let switch = circuit.disconnect.and_then(|d| d.kind) == Some(Disconnector::Switch);
    let listed = places(circuit, Part::DisconnectLine)
        .chain(places(circuit, Part::DisconnectLoad))
        .next()
        .is_some();
    if switch || listed {
        parts.extend([Part::DisconnectLine, Part::DisconnectLoad]);
    }
    match circuit.charger.connection {
        ChargerConnection::Hardwired => parts.push(Part::Charger),
        ChargerConnection::Receptacle => parts.extend([Part::Receptacle, Part::Plug]),
    }
    parts
}

/// Whether it is unknown if the disconnect has terminals of its own: the circuit has a disconnect,
/// which is not said to be the breaker, a switch or the plug, and no place is one.
pub fn disconnect_untold(circuit: &Circuit) -> bool {
    circuit.charger.connection == ChargerConnection::Hardwired
        && circuit.disconnect.is_some_and(|d| d.kind.is_none())
        && !required(circuit).contains(&Part::DisconnectLine)
}

/// Whether a termination of the equipment grounding conductor is listed at the supply's end, and
/// at the charger's.
pub fn grounded_ends(circuit: &Circuit) -> (bool, bool) {
    let at = |parts: &[Part]| {
        parts
            .iter()
            .flat_map(|part| places(circuit, *part))
            .any(|place| place.connections.iter().any(|c| grounds(&c.leg)))
    };
    let end = match circuit.charger.connection {
        ChargerConnection::Hardwired => Part::Charger,
        ChargerConnection::Receptacle => Part::Receptacle,
    };
    (at(&[Part::Breaker, Part::Ground]), at(&[end]))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::record::accepted::Accepted;

    /// A place with this id and these connections, each `leg kind`.
    fn place(head: &str, connections: &[&str]) -> Place {
        let source = crate::next::first_visit::STARTER
            .replace("{number}", "1")
            .replace("{date}", "2025-05-14");
        let visit = crate::visit::read(&source, "visit.yaml", &Accepted).unwrap();
        let mut place = visit.circuits[0].places[0].clone();
        place.id = head.to_owned();
        let like = place.connections[0].clone();
        place.connections = connections
            .iter()
            .map(|text| {
                let (leg, kind) = text.split_once(' ').unwrap();
                let mut one = like.clone();
                (one.leg, one.kind) = (leg.to_owned(), ConnectionKind::of(kind).unwrap());
                one
            })
            .collect();
        place
    }

    #[test]
    fn a_part_is_inferred_only_where_it_is_safe() {
        let screws = ["L1 screw-terminal", "L2 screw-terminal"];
        let of_id = |id: &str| of(&place(id, &screws));
        assert_eq!(of_id("breaker"), Some(Part::Breaker));
        assert_eq!(of_id("breaker-2"), Some(Part::Breaker));
        assert_eq!(of_id("disconnect-line"), Some(Part::DisconnectLine));
        assert_eq!(of_id("charger"), Some(Part::Charger));
        assert_eq!(of_id("charger-panel"), None);
        assert_eq!(of_id("charger-"), None);
        assert_eq!(of_id("panel"), None);
        assert_eq!(of_id("breakers"), None);

        let kinds = |kinds: &[&str]| of(&place("panel", kinds));
        assert_eq!(kinds(&["L1 blade", "L2 blade", "G lug"]), Some(Part::Plug));
        assert_eq!(kinds(&["L1 blade", "L2 lug"]), None);
        assert_eq!(kinds(&["G blade"]), None);
        assert_eq!(kinds(&["L1 bus-stab", "L2 bus-stab"]), Some(Part::Busbar));
        assert_eq!(kinds(&["L1 splice"]), Some(Part::Splice));
        let within = place("charger", &["L1 splice", "L2 splice"]);
        assert_eq!(of(&within), Some(Part::Charger), "spliced to its own leads");
        let stabs = place("breaker", &["L1 bus-stab", "L2 bus-stab"]);
        assert_eq!(of(&stabs), Some(Part::Busbar), "not its terminals");

        let mut board = place("board", &screws);
        board.connections[0].standard = Some(ProductStandard::Iec60898);
        assert_eq!(of(&board), None, "of one connection only");
        board.connections[1].standard = Some(ProductStandard::Iec60947Breaker);
        assert_eq!(of(&board), Some(Part::Breaker));
        board.part = Some(Part::Splice);
        assert_eq!(of(&board), Some(Part::Splice), "the key counts");
        board.closed = true;
        assert_eq!(of(&board), None, "nothing is seen behind a cover");
    }
}
