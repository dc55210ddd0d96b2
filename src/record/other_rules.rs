//! What is to be known of a certificate that was judged by a rules file: that it was, and what the
//! built-in rule sets find in the same visit.

use super::accepted::earlier_visit;
use super::recompute::{Record, RecordError, earlier};
use crate::assess::{self, Assessment, CheckResult};
use crate::compose::{Speaker, Wording};
use crate::rules::{self, Rules};
use crate::visit::{Grade, Visit};
use serde::Serialize;

/// A certificate's rules that are not those of a built-in set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OtherRules {
    /// Id of the rules file.
    pub id: String,
    /// Its edition.
    pub edition: String,
    /// The built-in set that it extends.
    pub extends: Option<String>,
    /// Title of the result by these rules, in English.
    pub result: String,
    /// What the built-in set that it extends finds; all built-in sets if it extends none.
    pub built_in: Vec<ByBuiltIn>,
}

/// What a built-in set finds in the visit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ByBuiltIn {
    /// Id of the set.
    pub id: String,
    /// Its edition in this version.
    pub edition: String,
    /// Title of the result, in English.
    pub result: String,
    /// Findings, in English, that it grades worse than the rules file does.
    pub worse: Vec<String>,
}

impl OtherRules {
    /// Judges the visit of a record again by built-in sets; `by` and `assessment` are the rules file
    /// and what it found.
    ///
    /// # Errors
    /// An earlier visit's file cannot be read.
    pub(super) fn of(
        record: &Record,
        visit: &Visit,
        by: &Rules,
        assessment: &Assessment,
    ) -> Result<Self, RecordError> {
        let wording = Wording::built_in("en")?;
        let result = |rules: &Rules, assessment: &Assessment| {
            let speaker = Speaker::new(visit, assessment, rules, wording);
            speaker.verdict().title
        };
        let bases = rules::built_in_ids()
            .filter(|id| by.extends.as_ref().is_none_or(|extends| extends == id))
            .filter_map(rules::built_in);
        let mut built_in = Vec::new();
        for base in bases {
            let before = record
                .earlier
                .iter()
                .enumerate()
                .map(|(i, source)| earlier_visit(source, &earlier(i), base))
                .collect::<Result<Vec<_>, _>>()
                .map_err(RecordError::Visit)?;
            let found = assess::assess(visit, base, &before);
            let speaker = Speaker::new(visit, &found, base, wording);
            let worse = found.checks.iter().filter(|finding| {
                let here = assessment.checks.iter().filter(|f| same(f, finding));
                let here = here.map(CheckResult::effective_grade).max();
                finding.effective_grade() > here.unwrap_or(Grade::Pass)
            });
            built_in.push(ByBuiltIn {
                id: base.id.clone(),
                edition: base.edition.clone(),
                result: result(base, &found),
                worse: worse
                    .map(|f| {
                        let grade = speaker.grade(f.effective_grade());
                        format!("{grade}: {}", speaker.finding(f).text)
                    })
                    .collect(),
            });
        }
        Ok(Self {
            id: by.id.clone(),
            edition: by.edition.clone(),
            extends: by.extends.clone(),
            result: result(by, assessment),
            built_in,
        })
    }

    /// Whose rules these are and what the built-in sets come to, as a sentence.
    pub fn sentence(&self) -> String {
        let mut told = format!(
            "It was judged by the firm's own rules “{}” (edition {}), not by a built-in rule set",
            self.id, self.edition
        );
        for by in &self.built_in {
            told.push_str(&if by.result == self.result {
                format!("; the built-in set {} comes to the same result", by.id)
            } else {
                format!(
                    "; by the built-in set {} the result is “{}” where the certificate says “{}”",
                    by.id, by.result, self.result
                )
            });
        }
        told + "."
    }
}

/// Whether two findings are about the same matter.
fn same(a: &CheckResult, b: &CheckResult) -> bool {
    (a.id, &a.circuit, &a.place, &a.connections) == (b.id, &b.circuit, &b.place, &b.connections)
}
