//! What many certificates show together: the worst margins, equipment that fails more often, thermometers
//! that read high, and how rises grow.
//!
//! Nothing here is about people: no inspector, signer or firm is compared.
//!
//! A circuit counts once, however often it was visited, because visits to one circuit say nearly the
//! same. Only certificates that verify count, and none that was replaced.

mod ageing;
mod failing;
mod instruments;
pub mod intervals;
pub mod section;
#[cfg(test)]
mod tests;
mod visits;

use super::row::Row;
use super::wanted::Wanted;
use chrono::NaiveDate;
use serde::Serialize;

pub use ageing::{ByAge, Growth};
pub use failing::{Count, Group, Rule, StandsOut, What, Worse};
pub use instruments::Thermometer;

/// How many of the worst margins are listed.
const WORST: usize = 10;

/// What the certificates of a register show together. The keys are a public interface: their names stay,
/// new ones may be added.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fleet {
    /// Number of circuits.
    pub circuits: usize,
    /// Number of their visits.
    pub visits: usize,
    /// Connections with the least margins by the result in force, least first.
    pub worst_margins: Vec<WorstMargin>,
    /// What has to hold before a group is said to fail more often.
    pub rule: Rule,
    /// Groups of circuits that fail more often than the others.
    pub stands_out: Vec<StandsOut>,
    /// All groups that were compared.
    pub groups: Vec<Group>,
    /// Thermometers that others read the same connections with.
    pub thermometers: Vec<Thermometer>,
    /// How rises grow, of all connections and by part.
    pub growth: Vec<Growth>,
    /// How much they have grown since the first certificate, by years since then.
    pub by_age: Vec<ByAge>,
}

/// A connection with little margin.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WorstMargin {
    /// Name of the site.
    pub site: String,
    /// Id of the circuit.
    pub circuit: String,
    /// Its name for people.
    pub circuit_name: Option<String>,
    /// Connection id.
    pub connection: String,
    /// The part that it is at, if that is known.
    pub part: Option<String>,
    /// Margin below its rating on the hottest day, kelvin.
    pub margin_k: f64,
    /// Certificate number.
    pub number: Option<String>,
    /// Day of the visit.
    pub date: Option<NaiveDate>,
    /// The file.
    pub file: String,
}

/// What the wanted circuits show together.
pub fn fleet(all: &[Row], wanted: &Wanted) -> Fleet {
    let latest = wanted.latest(all);
    let circuits = visits::circuits(all, &latest);
    let growth = ageing::growth(&circuits);
    let a_year = growth.first().and_then(|all| all.k_per_year);
    let (groups, stands_out, rule) = failing::compared(&circuits);
    Fleet {
        circuits: circuits.len(),
        visits: circuits.iter().map(|circuit| circuit.visits.len()).sum(),
        worst_margins: worst_margins(&latest),
        rule,
        stands_out,
        groups,
        thermometers: instruments::compared(&circuits, a_year.unwrap_or(0.0)),
        by_age: ageing::by_age(&circuits),
        growth,
    }
}

fn worst_margins(latest: &[&Row]) -> Vec<WorstMargin> {
    let mut all: Vec<WorstMargin> = latest
        .iter()
        .filter(|row| row.valid)
        .flat_map(|row| {
            row.margins.iter().map(|margin| WorstMargin {
                site: row.site.clone().unwrap_or_default(),
                circuit: row.circuit.clone().unwrap_or_default(),
                circuit_name: row.circuit_name.clone(),
                connection: margin.connection.clone(),
                part: row
                    .points
                    .iter()
                    .find(|point| point.connection == margin.connection)
                    .and_then(|point| point.part.clone()),
                margin_k: margin.margin_k,
                number: row.number.clone(),
                date: row.date,
                file: row.file.clone(),
            })
        })
        .collect();
    all.sort_by(|a, b| {
        let place = |w: &WorstMargin| (w.site.clone(), w.circuit.clone(), w.connection.clone());
        a.margin_k
            .total_cmp(&b.margin_k)
            .then_with(|| place(a).cmp(&place(b)))
    });
    all.truncate(WORST);
    all
}
