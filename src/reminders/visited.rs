//! The visit of a certificate in a register, read again for what its row does not say: the client, what was
//! left undone, and why it is due.

use crate::assess::Assessment;
use crate::record::recompute::Record;
use crate::record::sealed_record::SealedError;
use crate::rules::Rules;
use crate::visit::{Circuit, Visit};
use std::collections::BTreeMap;

/// A visit with its assessment.
#[derive(Debug)]
pub struct Visited {
    /// The visit.
    pub visit: Visit,
    /// Its assessment, computed again.
    pub assessment: Assessment,
    /// Its rule set.
    pub rules: Rules,
    /// By circuit, the key of the rule that set its next date, as the record says.
    bases: BTreeMap<String, String>,
}

impl Visited {
    /// The visit of a certificate whose seal is unbroken.
    ///
    /// # Errors
    /// See [`SealedError`].
    pub fn of(pdf: &[u8]) -> Result<Self, SealedError> {
        let record = Record::sealed(pdf)?;
        let again = record.recompute()?;
        let circuits = record.assessment["circuits"].as_array();
        let bases = circuits.into_iter().flatten().filter_map(|circuit| {
            let basis = circuit["next_due_basis"].as_str()?;
            Some((circuit["id"].as_str()?.to_owned(), basis.to_owned()))
        });
        Ok(Self {
            bases: bases.collect(),
            visit: again.visit,
            assessment: again.assessment,
            rules: again.rules,
        })
    }

    /// The key of the rule that set the next date of a circuit, as in
    /// [`NextDue`](crate::assess::NextDue).
    pub fn basis(&self, circuit: &str) -> &str {
        // Records of earlier versions have one for the whole visit only.
        let whole = self.assessment.next_due.basis;
        self.bases.get(circuit).map_or(whole, String::as_str)
    }

    /// Whether nothing is left to do at a circuit of a visit that ended early: something is missing at other
    /// circuits alone.
    pub fn finished(&self, circuit: &str) -> bool {
        let incomplete = self.assessment.limitations.iter().filter(|l| l.incomplete);
        let at: Vec<Option<&str>> = incomplete
            .filter(|l| !l.id.of_the_end())
            .map(|l| l.circuit.as_deref())
            .collect();
        !at.is_empty() && at.iter().all(|at| at.is_some_and(|at| at != circuit))
    }

    /// The circuit with this id.
    pub fn circuit(&self, id: &str) -> Option<&Circuit> {
        self.visit.circuits.iter().find(|c| c.id == id)
    }
}
