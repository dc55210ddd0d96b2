//! An earlier visit, already assessed.

use super::instruments::thermometer_serial;
use super::repairs::made_anew;
use crate::assess::assessment::{Assessment, CheckResult, CircuitAssessment, ConnectionAssessment};
use crate::quantity::Current;
use crate::visit::{Circuit, Visit};
use crate::vocabulary::{CheckId, Variant};
use chrono::NaiveDate;

/// An earlier visit to the same site, already assessed.
#[derive(Debug, Clone, PartialEq)]
pub struct Earlier {
    /// Certificate number.
    pub number: String,
    /// Day of that visit.
    pub date: NaiveDate,
    /// Its circuits: ids and connections.
    pub circuits: Vec<(String, Vec<EarlierConnection>)>,
    /// The visit.
    pub visit: Visit,
    /// Circuit and connection of every screw that had moved and was corrected then.
    pub moved: Vec<(String, String)>,
}

/// One connection on an earlier visit.
#[derive(Debug, Clone, PartialEq)]
pub struct EarlierConnection {
    /// What was found.
    pub found: ConnectionAssessment,
    /// Whether it had been remade just before that visit.
    pub remade: bool,
    /// Serial number of the thermometer that read it.
    pub thermometer: Option<String>,
    /// Rated current of the charger at that time, to which its rise at rated load refers.
    pub rated: Current,
}

impl Earlier {
    /// From a visit and its assessment under the rule set in force now.
    pub fn new(visit: &Visit, assessment: &Assessment) -> Self {
        let connections = |described: &Circuit, assessed: &CircuitAssessment| {
            described
                .connections()
                .zip(&assessed.connections)
                .map(|((_, connection), found)| EarlierConnection {
                    found: found.clone(),
                    thermometer: thermometer_serial(visit, described).map(str::to_owned),
                    remade: connection.remade || made_anew(described, &connection.id),
                    rated: described.charger.load(),
                })
                .collect()
        };
        Self {
            number: visit.number.clone(),
            date: visit.date,
            circuits: visit
                .circuits
                .iter()
                .zip(&assessment.circuits)
                .map(|(described, assessed)| {
                    (described.id.clone(), connections(described, assessed))
                })
                .collect(),
            visit: visit.clone(),
            // A repaired screw had moved too.
            moved: moved(
                assessment
                    .as_found
                    .as_ref()
                    .map_or(&assessment.checks, |found| &found.assessment.checks),
            ),
        }
    }
}

/// Circuit and connection of every finding about a screw that moved and was corrected.
pub(super) fn moved(findings: &[CheckResult]) -> Vec<(String, String)> {
    let corrected =
        |f: &&CheckResult| f.id == CheckId::TorqueMoved && f.variant != Some(Variant::Untold);
    findings
        .iter()
        .filter(corrected)
        .filter_map(|f| Some((f.circuit.clone()?, f.connections.first()?.clone())))
        .collect()
}
