//! The inspector's own word on findings: it replaces the grade that counts and never hides the
//! rule set's.

use super::model::{Finding, Limitation, Value};
use crate::visit::Judgement;

/// Puts judgements on the findings they name; gives a limitation for each that names none, so
/// that no judgement is lost in silence.
pub(super) fn apply(judgements: &[Judgement], findings: &mut [Finding]) -> Vec<Limitation> {
    let mut unmatched = Vec::new();
    for judgement in judgements {
        let mut matched = false;
        for finding in findings.iter_mut().filter(|f| names(judgement, f)) {
            finding.judgement = Some((judgement.grade, judgement.because.clone()));
            matched = true;
        }
        if !matched {
            unmatched.push(Limitation {
                id: "judgement-unmatched",
                circuit: judgement.circuit.clone(),
                place: judgement.place.clone(),
                connections: judgement.connection.iter().cloned().collect(),
                incomplete: false,
                values: [
                    ("finding", Value::Text(judgement.finding.clone())),
                    ("because", Value::Text(judgement.because.clone())),
                ]
                .into(),
            });
        }
    }
    unmatched
}

fn names(judgement: &Judgement, finding: &Finding) -> bool {
    let same = |said: &Option<String>, have: &Option<String>| said.is_none() || said == have;
    judgement.finding == finding.id
        && same(&judgement.circuit, &finding.circuit)
        && same(&judgement.place, &finding.place)
        && judgement
            .connection
            .as_ref()
            .is_none_or(|c| finding.connections.contains(c))
}
