//! Numbered connections: counted through the whole visit in order from the supply, with the same
//! number in every table, diagram and photo, and each with the mark of its worst grade.

use super::document::Signal;
use crate::assess::{Assessment, ConnectionAssessment};
use crate::visit::{Circuit, Connection, Grade, Place, Visit};
use crate::vocabulary::{CheckId, Topic};
use std::collections::HashMap;

/// The mark of a grade.
pub(super) const fn signal(grade: Grade) -> Signal {
    match grade {
        Grade::Pass => Signal::Good,
        Grade::Note => Signal::Notice,
        Grade::Watch => Signal::Caution,
        Grade::Repair => Signal::Warning,
        Grade::Stop => Signal::Danger,
    }
}

/// A connection with its number.
#[derive(Debug, Clone, Copy)]
pub(super) struct Numbered<'a> {
    /// From 1.
    pub number: usize,
    /// Its circuit.
    pub circuit: &'a Circuit,
    /// Its place.
    pub place: &'a Place,
    /// The connection.
    pub connection: &'a Connection,
    /// What was found.
    pub found: Option<&'a ConnectionAssessment>,
    /// Its mark.
    pub signal: Signal,
}

/// All connections of a visit.
#[derive(Debug)]
pub(super) struct Connections<'a> {
    all: Vec<Numbered<'a>>,
}

impl<'a> Connections<'a> {
    pub fn new(visit: &'a Visit, assessment: &'a Assessment) -> Self {
        let worst = worst_grades(assessment);
        let found: HashMap<(&str, &str), &ConnectionAssessment> = assessment
            .circuits
            .iter()
            .flat_map(|c| {
                c.connections
                    .iter()
                    .map(move |n| ((c.id.as_str(), n.id.as_str()), n))
            })
            .collect();
        let all = visit
            .circuits
            .iter()
            .flat_map(|circuit| circuit.connections().map(move |(p, c)| (circuit, p, c)))
            .enumerate()
            .map(|(i, (circuit, place, connection))| {
                let key = (circuit.id.as_str(), connection.id.as_str());
                Numbered {
                    number: i + 1,
                    circuit,
                    place,
                    connection,
                    found: found.get(&key).copied(),
                    signal: worst.get(&key).map_or(Signal::Unknown, |g| signal(*g)),
                }
            })
            .collect();
        Connections { all }
    }

    /// Those of one circuit, in order from the supply.
    pub fn of<'s>(&'s self, circuit: &'s Circuit) -> impl Iterator<Item = &'s Numbered<'a>> + 's {
        self.all.iter().filter(|n| n.circuit.id == circuit.id)
    }

    /// The connection with this id: in the circuit if one is named, otherwise the first in the
    /// visit.
    pub fn find(&self, circuit: Option<&str>, id: &str) -> Option<&Numbered<'a>> {
        self.all.iter().find(|n| {
            n.connection.id == id && circuit.is_none_or(|circuit| n.circuit.id == circuit)
        })
    }
}

/// Worst grade that counts for every connection named by a check. A comparison is about the hotter
/// connection, which comes first, not about those that it was compared with.
fn worst_grades(assessment: &Assessment) -> HashMap<(&str, &str), Grade> {
    let mut worst = HashMap::new();
    for finding in &assessment.checks {
        let Some(circuit) = finding.circuit.as_deref() else {
            continue;
        };
        let one = matches!(
            finding.id,
            CheckId::LegDifference | CheckId::ContactResistance
        );
        let count = if one || finding.id.about() == Topic::Hint {
            1
        } else {
            usize::MAX
        };
        for id in finding.connections.iter().take(count) {
            let grade = worst.entry((circuit, id.as_str())).or_insert(Grade::Pass);
            *grade = (*grade).max(finding.effective_grade());
        }
    }
    worst
}

/// Position of a leg among the supply's legs; neutral and ground come after them.
pub(super) fn leg_index(circuit: &Circuit, leg: &str) -> usize {
    circuit
        .supply
        .legs
        .iter()
        .position(|l| l == leg)
        .unwrap_or(circuit.supply.legs.len())
}
