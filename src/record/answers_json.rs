//! The answers about a certificate as JSON.

use super::answers::Answers;
use super::stated::{Proof, Stated};
use super::time_warnings;
use crate::compose::BUILD;
use crate::visit::FORMAT;
use chrono::{DateTime, FixedOffset};
use serde_json::{Value, json};

impl Answers<'_> {
    /// All answers as JSON. `acceptable` says whether the reader's own conditions are met. The keys
    /// are a public interface: their names do not change, but new ones may be added.
    pub fn json(&self, acceptable: bool, now: DateTime<FixedOffset>) -> Value {
        let Answers {
            report,
            contents,
            standing,
            extract_of,
            index_of,
            label_of,
            ..
        } = self;
        let because = match (extract_of, index_of) {
            (Some(_), _) => "an extract has no record",
            (_, Some(_)) => "an index has no record",
            (None, None) => "read only from under an unbroken seal",
        };
        let open = || json!({ "answer": "not-determined", "because": because });
        let all = contents
            .as_ref()
            .map(|contents| serde_json::to_value(contents).unwrap_or_default());
        let answer = |key: &str| match &all {
            Some(all) => all.get(key).cloned().unwrap_or_default(),
            None => open(),
        };
        json!({
            "acceptable": acceptable,
            "genuine": self.genuine(),
            "unchanged": report.unchanged(),
            "key_compared": report.key_compared(),
            "sentence": self.sentence(),
            "objections": self.objections(),
            "signed_in_future": time_warnings::signed_in_future(report, now),
            "time_warnings": time_warnings::warnings(report, now),
            "certificate": standing,
            "extract_of": extract_of,
            "index_of": index_of,
            "label_of": label_of,
            "stated": Stated::of(self),
            "proof": Proof::of(self, now),
            "made_by": answer("made_by"),
            "other_rules": answer("other_rules"),
            "this_version": { "version": env!("CARGO_PKG_VERSION"), "build": BUILD, "format": FORMAT },
            "seal": report,
            "findings_follow": answer("findings_follow"),
            "pages": answer("pages"),
            "tables": answer("tables"),
            "photos": answer("photos"),
            "paper": answer("paper"),
        })
    }
}
