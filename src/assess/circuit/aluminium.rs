//! Conductors under terminals that are marked for their metal.

use super::ruling::{ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::rules::Rules;
use crate::visit::{Circuit, Connection, ConnectionKind, MarkedFor, Material};
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// Whether a conductor of the run ends at this connection: the stab of a breaker on a busbar and
/// the blade of a plug take none, and the grounding conductor of a cable may be of another metal.
fn takes_conductor(c: &Connection) -> bool {
    !matches!(c.kind, ConnectionKind::BusStab | ConnectionKind::Blade)
        && !matches!(c.leg.as_str(), "G" | "PE")
}

/// What the terminals that take a conductor are marked for.
fn marks(circuit: &Circuit) -> Vec<Option<MarkedFor>> {
    circuit
        .connections()
        .filter(|(_, c)| takes_conductor(c))
        .map(|(_, c)| c.marked)
        .collect()
}

/// For aluminium and copper-clad aluminium: holds when every terminal is marked for it, does not
/// when one is marked for copper only. For copper, which every unmarked terminal takes, only where
/// one is marked for aluminium alone: does not hold. Values: `size`.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let basis = rules
        .circuit
        .checks
        .graded
        .get(&CheckId::AluminiumTermination)?;
    let marks = marks(circuit);
    let size = Value::Text(circuit.conductors.size.to_string());
    if circuit.conductors.material == Material::Copper {
        let check = Check {
            holds: Some(false),
            ..ruled(CheckId::CopperTermination, "1", basis)
        };
        return marks
            .contains(&Some(MarkedFor::Aluminium))
            .then(|| with(check, ValueName::Size, size));
    }
    let mut check = ruled(CheckId::AluminiumTermination, "1", basis);
    if marks.contains(&Some(MarkedFor::Copper)) {
        check.holds = Some(false);
    } else if marks.is_empty() || marks.contains(&None) {
        check.missing.push(MissingKey::PlacesConnectionsMarked);
    } else {
        check.holds = Some(true);
    }
    Some(with(check, ValueName::Size, size))
}
