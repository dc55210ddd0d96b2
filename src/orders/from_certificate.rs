//! The order of a certificate that verifies.

use super::error::OrderError;
use crate::assess::Finding;
use crate::compose::repair_order::Origin;
use crate::compose::{Speaker, Wording};
use crate::record::answers::Answers;
use crate::record::embedded_images;
use crate::record::recompute::{Recomputed, grade_that_counts};
use crate::visit::Grade;
use serde_json::Value;

/// A certificate that verifies, and whose findings this version knows to be those that it computes.
#[derive(Debug)]
pub struct Certified<'a> {
    again: &'a Recomputed,
    wording: &'static Wording,
    /// Where the order comes from.
    pub origin: Origin,
}

impl<'a> Certified<'a> {
    /// The certificate with these answers; `pdf` is its file.
    ///
    /// # Errors
    /// See [`OrderError`].
    pub fn of(answers: &'a Answers<'_>, pdf: &[u8]) -> Result<Self, OrderError> {
        if let Some(whole) = &answers.extract_of {
            return Err(OrderError::Extract(whole.number.clone()));
        }
        if !answers.good() {
            return Err(OrderError::NotGood(answers.sentence()));
        }
        let known = answers.again.as_ref().zip(answers.record.as_ref());
        let ((again, record), standing) = known
            .zip(answers.standing.as_ref())
            .ok_or(OrderError::NotRecomputed)?;
        let sealed = record.assessment["findings"].as_array();
        let sealed = sealed.map_or(&[][..], Vec::as_slice);
        if !same_findings(sealed, &again.assessment.findings) {
            return Err(OrderError::OtherFindings(record.made_by.words()));
        }
        let wording = Wording::built_in(again.visit.print.main_language())?;
        let images = embedded_images::read(pdf, &again.visit, record);
        Ok(Self {
            again,
            wording,
            origin: Origin {
                sha256: standing.sha256.clone(),
                compared: answers.report.key_compared(),
                photos: images.map(|all| all.photos).map_err(|why| why.to_string()),
            },
        })
    }

    /// Speaks of its visit in its language.
    pub fn speaker(&self) -> Speaker<'_> {
        let again = self.again;
        Speaker::new(&again.visit, &again.assessment, &again.rules, self.wording)
    }
}

/// Whether the findings of a record that ask for something are those that were computed again: the same
/// causes and grades at the same connections. Their words may differ between versions.
fn same_findings(sealed: &[Value], now: &[Finding]) -> bool {
    let text = |value: &Value| value.as_str().map(str::to_owned);
    let list = |value: &Value| -> Vec<String> {
        let items = value.as_array().into_iter().flatten();
        items.filter_map(text).collect()
    };
    let mut before: Vec<_> = sealed
        .iter()
        .filter_map(|f| Some((f, grade_that_counts(f)?)))
        .filter(|(_, grade)| *grade > Grade::Pass)
        .map(|(f, grade)| {
            (
                text(&f["cause"]).unwrap_or_default(),
                grade,
                text(&f["circuit"]),
                list(&f["connections"]),
            )
        })
        .collect();
    let mut after: Vec<_> = now
        .iter()
        .filter(|f| f.grade > Grade::Pass)
        .map(|f| {
            (
                f.cause.word().to_owned(),
                f.grade,
                f.circuit.clone(),
                f.connections.clone(),
            )
        })
        .collect();
    before.sort();
    after.sort();
    before == after
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::same_findings;
    use crate::record::accepted::Accepted;
    use serde_json::Value;

    #[test]
    fn an_order_is_written_only_of_the_findings_that_the_certificate_has() {
        let text = include_str!("../../examples/landlord-six/visit.yaml");
        let visit = crate::visit::read(text, "visit.yaml", &Accepted).unwrap();
        let rules = crate::rules::built_in("us").unwrap();
        let mut assessment = crate::assess::assess(&visit, rules, &[]);
        let wording = crate::compose::Wording::built_in("en").unwrap();
        let json = crate::compose::json(&assessment, &visit, rules, wording);
        let sealed = json["findings"].as_array().unwrap().clone();
        assert!(sealed.len() > 1);
        assert!(same_findings(&sealed, &assessment.findings));
        let with = |n: usize, key: &str, value: Value| {
            let mut other = sealed.clone();
            other[n][key] = value;
            same_findings(&other, &assessment.findings)
        };
        // Other words are no other finding.
        assert!(with(0, "text", "in other words".into()));
        assert!(!with(0, "grade", "watch".into()));
        assert!(!with(0, "cause", "loose-screw".into()));
        assert!(!with(0, "circuit", "bay-1".into()));
        assert!(!with(0, "connections", serde_json::json!(["breaker-L1"])));
        assert!(!same_findings(&sealed[1..], &assessment.findings));
        assert!(!same_findings(&sealed, &assessment.findings[1..]));
        // A note counts as much as a repair.
        let last = sealed.iter().position(|f| f["grade"] == "note").unwrap();
        assert!(!with(last, "circuit", "bay-1".into()));
        let mut fewer = sealed.clone();
        fewer.remove(last);
        assert!(!same_findings(&fewer, &assessment.findings));
        assessment.findings.retain(|f| f.grade.word() != "note");
        assert!(!same_findings(&sealed, &assessment.findings));
    }
}
