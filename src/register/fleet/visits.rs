//! The circuits of a register with their visits, in the order of their dates.

use crate::register::current::by_circuit;
use crate::register::row::Row;
use std::collections::HashSet;

/// Least number of circuits of which anything is said.
pub(super) const LEAST_CIRCUITS: usize = 10;

/// A circuit and the visits to it that count, oldest first.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Circuit<'a> {
    /// Name of the site.
    pub site: &'a str,
    /// Its visits; at least one.
    pub visits: Vec<&'a Row>,
}

/// The circuits that these rows are the results in force of, by site and id.
pub(super) fn circuits<'a>(all: &'a [Row], latest: &[&Row]) -> Vec<Circuit<'a>> {
    let wanted: HashSet<_> = latest.iter().filter_map(|row| row.own_circuit()).collect();
    let mut found: Vec<_> = by_circuit(all)
        .into_iter()
        .filter(|(own, _)| wanted.contains(own))
        .collect();
    found.sort_by_key(|(own, _)| *own);
    let circuits = found.into_iter().map(|((site, _, _), visits)| {
        let mut seen = HashSet::new();
        let rows = visits.into_iter().filter_map(|i| all.get(i));
        let rows = rows.filter(|row| row.valid && !row.future && row.date.is_some());
        Circuit {
            site,
            // Copies of a certificate are one visit.
            visits: rows.filter(|row| seen.insert(row.certificate())).collect(),
        }
    });
    circuits
        .filter(|circuit| !circuit.visits.is_empty())
        .collect()
}
