//! Conductors at terminals that are marked for particular metals.

use super::ruling::{ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::rules::Rules;
use crate::visit::{Circuit, Connection, ConnectionKind, MarkedFor, Material};
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// Whether a conductor of the run ends at this connection: no conductor ends at the plug-on contact
/// of a breaker or the blade of a plug, and the grounding conductor of a cable may be of another
/// metal.
pub fn takes_conductor(c: &Connection) -> bool {
    !matches!(c.kind, ConnectionKind::BusStab | ConnectionKind::Blade)
        && !matches!(c.leg.as_str(), "G" | "PE")
}

/// Metal markings of the terminals that receive a conductor.
fn marks(circuit: &Circuit) -> Vec<Option<MarkedFor>> {
    circuit
        .connections()
        .filter(|(_, c)| takes_conductor(c))
        .map(|(_, c)| c.marked)
        .collect()
}

/// For aluminium and copper-clad aluminium: passes if every terminal is marked for it, fails if one
/// is marked for copper only. For copper, which every unmarked terminal accepts, the check is made
/// only if a terminal is marked for aluminium alone, and fails. Values: `size`.
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
