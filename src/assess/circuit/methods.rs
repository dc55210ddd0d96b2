//! Ampacities in columns of reference methods: which methods and how many circuits side by side are
//! possible for the run, and the resulting ampacity.

use super::ampacity::{Found, Heating, LimitedBy, ambient};
use super::parallel;
use super::supply;
use crate::quantity::Temperature;
use crate::rules::circuit_limits::{AmpacityMethods, Counts, Grouping};
use crate::rules::{Checked, Provenance, Rules};
use crate::visit::{Circuit, Conductors};

/// Columns that may apply to a run: one if the method is specified.
pub(super) fn possible(conductors: &Conductors, table: &AmpacityMethods) -> Vec<usize> {
    match conductors.method.as_deref() {
        Some(stated) => table.method(stated).into_iter().collect(),
        None => (0..table.methods.len()).collect(),
    }
}

/// The grouping adjustment for a method.
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

/// Air or ground temperature along a run laid by a method: as specified for the run; otherwise, for
/// a method in the ground, the ground's own temperature; otherwise the hottest air.
pub(super) fn surroundings(
    conductors: &Conductors,
    circuit: &Circuit,
    rules: &Rules,
    table: &AmpacityMethods,
    method: usize,
) -> Temperature {
    match (conductors.ambient, table.in_ground(method)) {
        (Some(stated), _) => stated,
        (None, Some((ground, _))) => ground.ambient,
        (None, None) => ambient(circuit, rules),
    }
}

/// Ampacity of a run laid by a method, for a given terminal rating.
///
/// The conductor may become as hot as insulation and terminals allow, whichever is lower; ampacity
/// and corrections are those for that temperature.
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
    let ampacity = parallel::count(c) * rows.get(c.material, c.size, method)?;
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
        checked: rows
            .checked(c.material, c.size, method)
            .with(factor_checked(
                correction.map(|t| &t.provenance),
                ambient_factor,
            ))
            .with(factor_checked(
                grouping(rules, table, method).map(|g| &g.provenance),
                grouping_factor,
            )),
    })
}

/// How far a factor was checked; one that changes nothing needs no source.
pub(super) fn factor_checked(from: Option<&Provenance>, factor: f64) -> Checked {
    match from {
        Some(from) if factor != 1.0 => from.checked,
        _ => Checked::Confirmed,
    }
}

/// Ampacity, the conductor temperature reached at it, and the air or ground temperature to which it
/// applies, in the surroundings of the run; of all methods possible for the run, the one with the
/// least ampacity.
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
                ampacity: parallel::count(conductors)
                    * rows.get(conductors.material, conductors.size, method)?,
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
