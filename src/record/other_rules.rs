//! The notice about a certificate that was judged by a rules file: the rules, and what the built-in
//! rule sets find in the same visit.

use super::recompute::Recomputed;
use crate::compose::{Speaker, Wording};
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
    /// From a recomputed record; `None` if a built-in set judged it.
    pub(super) fn of(again: &Recomputed) -> Option<Self> {
        if again.built_in.is_empty() {
            return None;
        }
        let wording = Wording::built_in("en").ok()?;
        let speaker = |rules, assessment| Speaker::new(&again.visit, assessment, rules, wording);
        let by = &again.rules;
        let built_in = again.built_in.iter().map(|base| {
            let speaker = speaker(base.rules, &base.assessment);
            let worse = base.stricter.iter().map(|stricter| {
                let grade = speaker.grade(stricter.check.effective_grade());
                format!("{grade}: {}", speaker.finding(&stricter.check).text)
            });
            let incomplete = base.incomplete(&again.assessment);
            let incomplete = incomplete.then(|| "The inspection is not complete.".to_owned());
            let sooner = base.sooner(&again.assessment);
            let sooner = sooner.map(|date| format!("The next inspection is due by {date}."));
            let worse = worse.chain(incomplete).chain(sooner);
            ByBuiltIn {
                id: base.rules.id.clone(),
                edition: base.rules.edition.clone(),
                result: speaker.verdict().title,
                worse: worse.collect(),
            }
        });
        Some(Self {
            id: by.id.clone(),
            edition: by.edition.clone(),
            extends: by.extends.clone(),
            result: speaker(by, &again.assessment).verdict().title,
            built_in: built_in.collect(),
        })
    }

    /// Whose rules these are and what the built-in sets find, as a sentence.
    pub fn sentence(&self) -> String {
        let mut sentence = format!(
            "It was judged by the firm's own rules “{}” (edition {}), not by a built-in rule set",
            self.id, self.edition
        );
        for by in &self.built_in {
            let worse = match by.worse.len() {
                0 => String::new(),
                1 => ", but judges one point more strictly".to_owned(),
                n => format!(", but judges {n} points more strictly"),
            };
            sentence.push_str(&if by.result == self.result {
                format!(
                    "; the built-in set {}, edition {}, gives the same result{worse}",
                    by.id, by.edition
                )
            } else {
                format!(
                    "; by the built-in set {}, edition {}, the result is “{}” where the certificate \
                     says “{}”",
                    by.id, by.edition, by.result, self.result
                )
            });
        }
        sentence + "."
    }
}
