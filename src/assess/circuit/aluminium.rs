//! Aluminium conductors under terminals that are marked for them.

use super::{ruled, with};
use crate::assess::model::{Check, Value};
use crate::rules::Rules;
use crate::visit::{Circuit, Material};

/// Only for aluminium and copper-clad aluminium: whether the terminals are marked for it, which
/// the visit file has no key to tell. Values: `size`.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let basis = rules.circuit.checks.aluminium_termination.as_ref()?;
    if circuit.conductors.material == Material::Copper {
        return None;
    }
    let mut check = ruled("aluminium-termination", "1", basis);
    check.missing.push("places.connections.marked");
    let size = Value::Text(circuit.conductors.size.to_string());
    Some(with(check, "size", size))
}
