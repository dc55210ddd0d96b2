//! The size of the equipment grounding (protective) conductor.

use super::ruling::{SLACK, ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::quantity::ConductorSize;
use crate::rules::Rules;
use crate::rules::circuit_limits::LeastGrounding;
use crate::visit::{Circuit, Material};
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// Passes if the conductor is no smaller than the table gives; made where the visit tells its size. It
/// is taken to be of the line conductors' metal, and need not be larger than they are. Values: `size`,
/// `least_size`.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.grounding_conductor.as_ref()?;
    let conductors = &circuit.conductors;
    let size = conductors.grounding?;
    let mut check = ruled(CheckId::GroundingConductor, "1", &rule.basis);
    check = with(check, ValueName::Size, Value::Text(size.to_string()));
    let line = conductors.size;
    let area = ConductorSize::square_millimetres;
    let (least, needed) = match &rule.least {
        LeastGrounding::ByDevice(rows) => {
            let rating = circuit.breaker.rating;
            let Some((_, copper, aluminium)) = rows.iter().find(|(up_to, ..)| rating <= *up_to)
            else {
                check.missing.push(MissingKey::ConductorsSize);
                return Some(check);
            };
            let size = match conductors.material {
                Material::Copper => *copper,
                Material::Aluminium | Material::CopperCladAluminium => *aluminium,
            };
            let least = if area(line) < area(size) { line } else { size };
            (least.to_string(), area(least))
        }
        LeastGrounding::ByLine(same, fixed) => {
            if area(line) <= area(*same) * (1.0 + SLACK) {
                (line.to_string(), area(line))
            } else if area(line) <= area(*fixed) * (1.0 + SLACK) {
                (same.to_string(), area(*same))
            } else {
                (format!("{} mm²", area(line) / 2.0), area(line) / 2.0)
            }
        }
    };
    check.holds = Some(area(size) >= needed * (1.0 - SLACK));
    Some(with(check, ValueName::LeastSize, Value::Text(least)))
}
