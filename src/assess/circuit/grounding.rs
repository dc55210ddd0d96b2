//! The size of the equipment grounding (protective) conductor.

use super::conductor;
use super::ruling::{SLACK, agreed, ruled, with};
use crate::assess::assessment::{Check, Value};
use crate::quantity::{ConductorSize, Current};
use crate::rules::Rules;
use crate::rules::circuit_limits::{Ampacity, LeastGrounding};
use crate::visit::{Circuit, Material};
use crate::vocabulary::{CheckId, MissingKey, ValueName};

/// A size that is enough, and its area in mm².
type Least = (String, f64);

/// Passes if the conductor is at least as large as the table requires. Made only if the visit gives
/// its size. The conductor is assumed to be of the same metal as the line conductors and need not
/// be larger than they are. Values: `size`, `least_size`.
pub(super) fn check(circuit: &Circuit, rules: &Rules) -> Option<Check> {
    let rule = rules.circuit.checks.grounding_conductor.as_ref()?;
    let size = circuit.conductors.grounding?;
    let mut check = ruled(CheckId::GroundingConductor, "1", &rule.basis);
    check = with(check, ValueName::Size, Value::Text(size.to_string()));
    let possible = match &rule.least {
        LeastGrounding::ByDevice { rows, proportional } => {
            by_device(circuit, rules, rows, *proportional)
        }
        LeastGrounding::ByLine(same, fixed) => vec![by_line(circuit, *same, *fixed)],
    };
    let enough = |least: &Least| size.square_millimetres() >= least.1 * (1.0 - SLACK);
    check.holds = agreed(possible.iter().map(enough));
    if check.holds.is_none() {
        check.missing = missing(circuit, rules);
    }
    let largest = possible.into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
    Some(match largest {
        Some((least, _)) => with(check, ValueName::LeastSize, Value::Text(least)),
        None => check,
    })
}

fn by_line(circuit: &Circuit, same: ConductorSize, fixed: ConductorSize) -> Least {
    let area = ConductorSize::square_millimetres;
    let line = circuit.conductors.size;
    if area(line) <= area(same) * (1.0 + SLACK) {
        (line.to_string(), area(line))
    } else if area(line) <= area(fixed) * (1.0 + SLACK) {
        (same.to_string(), area(same))
    } else {
        (format!("{} mm²", area(line) / 2.0), area(line) / 2.0)
    }
}

/// The smallest permitted size in every case that the visit leaves open; empty for a device that is
/// not in the table.
fn by_device(
    circuit: &Circuit,
    rules: &Rules,
    rows: &[(Current, ConductorSize, ConductorSize)],
    proportional: bool,
) -> Vec<Least> {
    let area = ConductorSize::square_millimetres;
    let rating = circuit.breaker.rating;
    let material = circuit.conductors.material;
    let Some((_, copper, aluminium)) = rows.iter().find(|(up_to, ..)| rating <= *up_to) else {
        return Vec::new();
    };
    let table = match material {
        Material::Copper => *copper,
        Material::Aluminium | Material::CopperCladAluminium => *aluminium,
    };
    let line = circuit.conductors.size;
    let mut sufficient = vec![area(line)];
    if proportional {
        sufficient = smallest_lines(circuit, rules);
    }
    let of = |sufficient: f64| {
        let needed = area(table) * (area(line) / sufficient).max(1.0);
        if needed >= area(line) * (1.0 - SLACK) {
            return (line.to_string(), area(line));
        }
        let mut sizes = sizes(rules, material).chain([table, line]);
        let mut fits: Vec<_> = sizes
            .by_ref()
            .filter(|s| area(*s) >= needed * (1.0 - SLACK))
            .collect();
        fits.sort_by(|a, b| area(*a).total_cmp(&area(*b)));
        let least = fits.first().copied().unwrap_or(line);
        (least.to_string(), needed)
    };
    sufficient.into_iter().map(of).collect()
}

/// Sizes of the ampacity table.
fn sizes(rules: &Rules, material: Material) -> impl Iterator<Item = ConductorSize> + '_ {
    let rows = match (&rules.circuit.ampacity, material) {
        (Some(Ampacity::Columns(table)), Material::Copper) => table.copper.as_slice(),
        (Some(Ampacity::Columns(table)), _) => table.aluminium.as_slice(),
        _ => &[],
    };
    rows.iter().map(|(size, _)| *size)
}

/// Areas, mm², of the smallest line conductors with sufficient ampacity: one, or the smallest and
/// the largest if the visit leaves it open. Never larger than the installed conductors, even if
/// these are too small.
fn smallest_lines(circuit: &Circuit, rules: &Rules) -> Vec<f64> {
    let area = ConductorSize::square_millimetres;
    let installed = area(circuit.conductors.size);
    let mut with_size = circuit.clone();
    // If the installed conductors may be too small themselves, they were not made larger than
    // needed.
    let (mut surely, mut perhaps) = (installed, installed);
    for size in sizes(rules, circuit.conductors.material) {
        if area(size) >= installed {
            continue;
        }
        with_size.conductors.size = size;
        let all = conductor::sufficient(&with_size, rules);
        if all != Some(false) {
            perhaps = perhaps.min(area(size));
        }
        if all == Some(true) {
            surely = surely.min(area(size));
        }
    }
    if surely == perhaps {
        vec![surely]
    } else {
        vec![surely, perhaps]
    }
}

/// The keys that would decide the check: those missing for the checks of these conductors or of
/// smaller ones.
fn missing(circuit: &Circuit, rules: &Rules) -> Vec<MissingKey> {
    let installed = circuit.conductors.size.square_millimetres();
    let mut with_size = circuit.clone();
    let mut keys = Vec::new();
    for size in sizes(rules, circuit.conductors.material) {
        if size.square_millimetres() <= installed * (1.0 + SLACK) {
            with_size.conductors.size = size;
            let checks = conductor::checks(&with_size, rules);
            keys.extend(checks.into_iter().flat_map(|c| c.missing));
        }
    }
    keys.sort();
    keys.dedup();
    if keys.is_empty() {
        keys.push(MissingKey::ConductorsSize);
    }
    keys
}
