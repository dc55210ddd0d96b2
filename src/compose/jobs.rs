//! What the findings ask of whoever repairs: one job for each, with the connections at which it is
//! done.

use super::speaker::{Sentence, Speaker};
use crate::assess::torque::{self, Wanted};
use crate::assess::{Charging, Finding};
use crate::visit::{Circuit, Connection, Grade, Place, TorqueCheck};

/// What one finding asks for. Findings are about the circuit as it was left, so what was repaired
/// on the visit and no longer shows is no job.
#[derive(Debug, Clone)]
pub struct Job<'a> {
    /// The finding.
    pub finding: &'a Finding,
    /// Its name, what was found, and what is to be done; the steps for a hot connection are referred
    /// to.
    pub sentence: Sentence,
    /// Its circuit; none if it concerns the whole visit.
    pub circuit: Option<&'a Circuit>,
    /// The connections at which it is done: those that the action names, or else all of the finding.
    pub points: Vec<Point<'a>>,
}

/// A connection at which a job is done.
#[derive(Debug, Clone)]
pub struct Point<'a> {
    /// Its place.
    pub place: &'a Place,
    /// The connection.
    pub connection: &'a Connection,
    /// The torque specified for it, if one is known.
    pub wanted: Option<Wanted>,
    /// How its torque was found and left, if it was checked.
    pub checked: Option<&'a TorqueCheck>,
}

impl Job<'_> {
    /// Whether something is to be repaired or treated, as opposed to checked on the next occasion.
    pub fn repairs(&self) -> bool {
        self.finding.grade >= Grade::Watch
    }

    /// Whether the circuit must stay off until it is done.
    pub fn stays_off(&self) -> bool {
        self.finding.charging == Charging::NotAtAll
    }
}

impl<'a> Speaker<'a> {
    /// What the findings ask for, worst first: each finding once.
    pub fn jobs(&self) -> Vec<Job<'a>> {
        let findings = self.assessment.findings.iter();
        let open = findings.filter(|finding| finding.grade > Grade::Pass);
        open.map(|finding| self.job(finding)).collect()
    }

    fn job(&self, finding: &'a Finding) -> Job<'a> {
        let sentence = self.diagnosis_referring(finding);
        let circuit = finding.circuit.as_deref().and_then(|id| {
            let mut all = self.visit.circuits.iter();
            all.find(|c| c.id == id)
        });
        let ids = &finding.connections;
        let mut named: Vec<&String> = ids
            .iter()
            .filter(|id| names(&sentence.action, id))
            .collect();
        if named.is_empty() {
            named = ids.iter().collect();
        }
        let points = circuit.map_or_else(Vec::new, |circuit| {
            let at = named.iter().filter_map(|id| {
                let (place, connection) = circuit.connections().find(|(_, c)| c.id == **id)?;
                Some(Point {
                    place,
                    connection,
                    wanted: torque::wanted(circuit, connection, self.rules),
                    checked: circuit.torque.iter().rev().find(|t| t.connection == **id),
                })
            });
            at.collect()
        });
        Job {
            finding,
            sentence,
            circuit,
            points,
        }
    }
}

/// Whether a text names an id, not only as a part of a longer one.
fn names(text: &str, id: &str) -> bool {
    let of_id = |c: char| c.is_alphanumeric() || c == '-' || c == '_';
    text.match_indices(id).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = text[at + id.len()..].chars().next();
        !before.is_some_and(of_id) && !after.is_some_and(of_id)
    })
}

#[cfg(test)]
mod tests {
    use super::names;

    #[test]
    fn an_id_is_named_only_as_a_whole() {
        assert!(names("Repair breaker-L1. Follow the steps.", "breaker-L1"));
        assert!(names("breaker-L1 and breaker-L12", "breaker-L12"));
        assert!(!names("Repair breaker-L12.", "breaker-L1"));
        assert!(!names("Repair sub-breaker-L1.", "breaker-L1"));
    }
}
