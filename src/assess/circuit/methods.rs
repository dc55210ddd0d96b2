//! Ampacities in columns of reference methods: which methods, and how many circuits side by side,
//! the run can have, and what it then carries.

use super::ampacity::{Found, Heating, LimitedBy, ambient};
use super::supply;
use crate::quantity::Temperature;
use crate::rules::Rules;
use crate::rules::circuit_limits::{AmpacityMethods, Counts, Grouping};
use crate::visit::{Circuit, Conductors};

/// Columns that a run can be judged by: one when the method is told.
pub(super) fn possible(conductors: &Conductors, table: &AmpacityMethods) -> Vec<usize> {
    match conductors.method.as_deref() {
        Some(told) => table.method(told).into_iter().collect(),
        None => (0..table.methods.len()).collect(),
    }
}

/// The adjustment that a method is grouped by.
pub(super) fn grouping<'r>(
    rules: &'r Rules,
    table: &'r AmpacityMethods,
    method: usize,
) -> Option<&'r Grouping> {
    table
        .in_ground(method)
        .map(|(_, grouping)| grouping)
        .or(rules.circuit.grouping.as_ref())
}

/// Air or ground along a run laid by a method: as told for the run, else the ground's own
/// temperature for a method in it, else the hottest air.
pub(super) fn surroundings(
    conductors: &Conductors,
    circuit: &Circuit,
    rules: &Rules,
    table: &AmpacityMethods,
    method: usize,
) -> Temperature {
    match (conductors.ambient, table.in_ground(method)) {
        (Some(told), _) => told,
        (None, Some((ground, _))) => ground.ambient,
        (None, None) => ambient(circuit, rules),
    }
}

/// What a run carries by a method, with terminals of a rating.
///
/// The conductor may become as hot as insulation and terminals allow, whichever is less; ampacity
/// and corrections are those of that temperature.
pub(super) fn found(
    circuit: &Circuit,
    rules: &Rules,
    table: &AmpacityMethods,
    method: usize,
    terminal: Temperature,
    grouping_factor: f64,
) -> Option<Found> {
    let c = &circuit.conductors;
    let (rating, limited_by) = if terminal < c.insulation {
        (terminal, LimitedBy::Terminals)
    } else {
        (c.insulation, LimitedBy::Insulation)
    };
    let rows = table.table(rating, supply::loaded_conductors(circuit))?;
    let ampacity = rows.get(c.material, c.size, method)?;
    let ambient = surroundings(c, circuit, rules, table, method);
    let correction = table
        .in_ground(method)
        .map(|(ground, _)| &ground.correction)
        .or(rules.circuit.ambient_correction.as_ref());
    let ambient_factor = match correction {
        Some(t) => t.factor(ambient, rows.conductor)?,
        None => 1.0,
    };
    Some(Found {
        before: ampacity,
        after: ampacity * ambient_factor * grouping_factor,
        column: rows.conductor,
        limited_by,
        from_column: rows.conductor,
        from: ampacity,
        ambient,
        ambient_factor,
        grouping_factor,
        method: Some(method),
    })
}

/// Ampacity, temperature that the conductor then reaches, and air or ground that this holds for,
/// with the surroundings of the run; of the methods that the run can have, the one with the least
/// ampacity.
pub(super) fn heating(
    conductors: &Conductors,
    circuit: &Circuit,
    rules: &Rules,
    table: &AmpacityMethods,
) -> Option<Heating> {
    let loaded = supply::loaded_conductors(circuit);
    let rows = table.table(conductors.insulation, loaded)?;
    possible(conductors, table)
        .into_iter()
        .filter_map(|method| {
            let base = table
                .in_ground(method)
                .map_or(table.ambient, |(ground, _)| ground.ambient);
            Some(Heating {
                ampacity: rows.get(conductors.material, conductors.size, method)?,
                rise: rows.conductor - base,
                surroundings: surroundings(conductors, circuit, rules, table, method),
            })
        })
        .min_by(|a, b| a.ampacity.total_cmp(&b.ampacity))
}

/// Whether a rule counts circuits.
pub(super) fn counts_circuits(rule: &Grouping) -> bool {
    rule.counts == Counts::Circuits
}
