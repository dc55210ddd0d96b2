//! The record inside a certificate: the visit file, the visits with which it was compared, and the
//! assessment as it was printed. It is read only from sealed bytes, and recomputed to show that the
//! findings follow from the readings.

use super::accepted;
use super::made_by::MadeBy;
use super::unambiguous;
use crate::assess::{self, Assessment, ByBuiltIn, Charging, Earlier};
use crate::compose::attachments::{ASSESSMENT, PHOTOS, TAKEN, VISIT};
use crate::compose::document::Attachment as Carried;
use crate::compose::{self, Wording, WordingError};
use crate::rules::{self, EditionError, Rules};
use crate::seal::{Attachment, SealError, Verified};
use crate::visit::limits::FILE_BYTES;
use crate::visit::{Grade, Visit};
use crate::yaml::Diagnostics;
use serde_json::Value;

pub use super::accepted::{Accepted, earlier_visit};

/// Name of a firm's rules file inside a certificate.
pub const RULES: &str = "rules.yaml";

/// Name of the `i`-th earlier visit's file inside a certificate, counted from 0.
pub fn earlier(i: usize) -> String {
    format!("earlier-{}.yaml", i + 1)
}

/// The files that are attached besides those of the visit, so that the findings can be recomputed:
/// a firm's rules file and the earlier visits.
pub fn attachments(rules: Option<&str>, earlier_visits: &[String]) -> Vec<Carried> {
    let file = |name: String, description: &str, source: &str| Carried {
        name,
        mime: "application/yaml".to_owned(),
        description: description.to_owned(),
        relationship: "Supplement",
        bytes: source.as_bytes().to_vec(),
    };
    let rules = rules.map(|source| file(RULES.to_owned(), "Rules file in force", source));
    let visits = earlier_visits.iter().enumerate().map(|(i, source)| {
        let about = "Earlier visit that this one was compared with";
        file(earlier(i), about, source)
    });
    rules.into_iter().chain(visits).collect()
}

/// The earlier visits of a certificate, from the texts of their files, assessed by a rule set.
///
/// # Errors
/// The problems in one of them.
pub fn assessed(sources: &[String], rules: &Rules) -> Result<Vec<Earlier>, Diagnostics> {
    let sources = sources.iter().enumerate();
    sources
        .map(|(i, source)| earlier_visit(source, &earlier(i), rules))
        .collect()
}

/// Maximum size of each text of a record, in bytes: that of a visit file.
const MAX_PART_BYTES: usize = FILE_BYTES;
/// Maximum size of the assessment, in bytes: that of a visit with as many connections as one may have.
const MAX_ASSESSMENT_BYTES: usize = 4 * FILE_BYTES;
/// Maximum number of findings and limitations, each of which is looked for on the pages.
const MAX_TOLD: usize = 5_000;
/// Maximum number of differences of either kind that are kept.
const MAX_DIFFERENCES: usize = 1_000;

/// Why a record cannot be read or recomputed.
#[derive(Debug, thiserror::Error)]
pub enum RecordError {
    /// The attachments cannot be read.
    #[error(transparent)]
    Attachments(#[from] SealError),
    /// One of them is missing.
    #[error("the certificate contains no {0}")]
    Missing(String),
    /// One of them is not text.
    #[error("{0} inside the certificate is not UTF-8 text")]
    NotText(String),
    /// One of them is larger than any record.
    #[error("{0} inside the certificate is larger than that of any visit")]
    TooLarge(String),
    /// It was written by a version whose records this one does not know.
    #[error(
        "{} made this certificate, and this version cannot read its record: get a newer warmlug",
        .0.words()
    )]
    Newer(MadeBy),
    /// The assessment inside is not JSON.
    #[error("assessment.json inside the certificate cannot be read: {0}")]
    NotJson(String),
    /// A visit file inside is not valid for this version of the program.
    #[error("a visit file inside the certificate is refused:\n{0}")]
    Visit(Diagnostics),
    /// The rules file inside is not valid.
    #[error("the rules file inside the certificate is refused: {0}")]
    Rules(Diagnostics),
    /// A rule set that this version does not have.
    #[error("this version has no rule set `{0}`")]
    UnknownRules(String),
    /// An edition of a code that this version does not have.
    #[error(transparent)]
    Edition(#[from] EditionError),
    /// A language that this version does not have.
    #[error(transparent)]
    Wording(#[from] WordingError),
}

/// The record of one certificate.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// The visit file.
    pub visit: String,
    /// The assessment as it was sealed.
    pub assessment: Value,
    /// Which version wrote the record, as it says.
    pub made_by: MadeBy,
    /// Digests of the photos, one `digest  path` per line; empty if there are none.
    pub photos: String,
    /// When and with what the photos were taken, as JSON; empty if that is not known of any.
    pub taken: String,
    /// A firm's rules file.
    pub rules: Option<String>,
    /// Texts of the earlier visits, in the order of the visit file.
    pub earlier: Vec<String>,
}

/// A recomputed record.
#[derive(Debug, Clone, PartialEq)]
pub struct Recomputed {
    /// The visit.
    pub visit: Visit,
    /// The rule set that the record names.
    pub rules: Rules,
    /// The assessment computed now.
    pub assessment: Assessment,
    /// Where the sealed assessment differs.
    pub differences: Vec<Difference>,
    /// The differences that no version explains: facts that the assessment repeats from the visit
    /// file, and an outcome that contradicts its own findings.
    pub contradictions: Vec<Difference>,
    /// What built-in rule sets find, if the record has a rules file.
    pub built_in: Vec<ByBuiltIn>,
}

/// One place where two assessments differ.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Difference {
    /// JSON pointer (RFC 6901).
    pub path: String,
    /// Sealed value.
    pub sealed: Value,
    /// Value computed now.
    pub now: Value,
}

impl Record {
    /// Reads the record from the sealed bytes.
    ///
    /// # Errors
    /// Something that every certificate contains is missing or damaged.
    pub fn read(verified: &Verified<'_>) -> Result<Self, RecordError> {
        let mut files = verified.attachments()?;
        let mut take = |name: &str| -> Result<Option<String>, RecordError> {
            let Some(i) = files.iter().position(|f| f.name == name) else {
                return Ok(None);
            };
            let Attachment { bytes, .. } = files.swap_remove(i);
            // Checked before parsing, which needs many times this size.
            let most = if name == ASSESSMENT {
                MAX_ASSESSMENT_BYTES
            } else {
                MAX_PART_BYTES
            };
            if bytes.len() > most {
                return Err(RecordError::TooLarge(name.to_owned()));
            }
            String::from_utf8(bytes)
                .map(Some)
                .map_err(|_| RecordError::NotText(name.to_owned()))
        };
        let need = |name: &str, file: Option<String>| {
            file.ok_or_else(|| RecordError::Missing(name.to_owned()))
        };
        let assessment = need(ASSESSMENT, take(ASSESSMENT)?)?;
        let mut assessment: Value =
            unambiguous::read(&assessment).map_err(|e| RecordError::NotJson(e.to_string()))?;
        let listed = ["findings", "limitations"].map(|list| assessment[list].as_array());
        if listed
            .into_iter()
            .flatten()
            .any(|listed| listed.len() > MAX_TOLD)
        {
            return Err(RecordError::TooLarge(ASSESSMENT.to_owned()));
        }
        // Checked before anything else, because a later format may store the rest in other places.
        let made_by = MadeBy::of(&assessment);
        if matches!(made_by, MadeBy::NewerFormat { .. }) {
            return Err(RecordError::Newer(made_by));
        }
        if made_by != MadeBy::ThisVersion {
            in_words_of_now(&mut assessment);
        }
        let visit = need(VISIT, take(VISIT)?)?;
        let photos = take(PHOTOS)?.unwrap_or_default();
        let taken = take(TAKEN)?.unwrap_or_default();
        let rules = take(RULES)?;
        let mut earlier_files = Vec::new();
        while let Some(file) = take(&earlier(earlier_files.len()))? {
            earlier_files.push(file);
        }
        Ok(Self {
            visit,
            assessment,
            made_by,
            photos,
            taken,
            rules,
            earlier: earlier_files,
        })
    }

    /// Id of the rule set in force, which an option may have chosen instead of the one named in the
    /// visit file.
    pub fn rules_id(&self) -> Option<&str> {
        self.assessment.pointer("/rules/id")?.as_str()
    }

    /// Recomputes the findings with the rule set that the record names, and compares them.
    ///
    /// Format, version and build are left out of the comparison; [`super::contents`] decides what a
    /// difference means for a record of another build.
    ///
    /// # Errors
    /// This version cannot recompute the record.
    pub fn recompute(&self) -> Result<Recomputed, RecordError> {
        let visit = accepted::read(&self.visit, VISIT).map_err(RecordError::Visit)?;
        let firm;
        let edition = visit.edition.as_deref();
        let rules = match &self.rules {
            Some(source) => {
                firm = rules::load_recorded(source, RULES, edition).map_err(RecordError::Rules)?;
                &firm
            }
            None => {
                let id = self.rules_id().unwrap_or(&visit.rules);
                rules::built_in_edition(id, edition)
                    .ok_or_else(|| RecordError::UnknownRules(id.to_owned()))??
            }
        };
        let assessed = |rules: &Rules| assessed(&self.earlier, rules).map_err(RecordError::Visit);
        let assessment = assess::assess(&visit, rules, &assessed(rules)?);
        let built_in = assess::by_built_in(&visit, rules, &assessment, assessed)?;
        let now = compose::json(
            &assessment,
            &visit,
            rules,
            Wording::built_in(visit.print.main_language())?,
        );
        let mut found = Found::default();
        differ(&self.assessment, &now, &mut String::new(), &mut found);
        let Found {
            differences,
            mut contradictions,
        } = found;
        contradictions.extend(outcome(&self.assessment));
        Ok(Recomputed {
            built_in,
            visit,
            rules: rules.clone(),
            assessment,
            differences,
            contradictions,
        })
    }
}

/// Whether the value at this pointer of an assessment repeats the visit file, in every build that
/// writes the formats up to [`crate::visit::FORMAT`]: the visit, its circuits and connections, and
/// their readings.
fn repeated(path: &str) -> bool {
    let parts: Vec<&str> = path.split('/').skip(1).collect();
    match parts[..] {
        ["visit", ..] | ["rules", "id"] => true,
        ["circuits", _] | ["circuits", _, "id"] => true,
        ["circuits", _, "connections", _] => true,
        ["circuits", _, "connections", _, key] => matches!(key, "id" | "place" | "leg"),
        ["circuits", _, "connections", _, "rounds", _] => true,
        ["circuits", _, "connections", _, "rounds", _, key] => {
            matches!(key, "at" | "current_a" | "air_c" | "shown_c")
        }
        _ => false,
    }
}

/// The grade that counts for a finding in a sealed assessment. Findings with a cause state it;
/// those of the first format state the rule set's grade and, separately, the inspector's.
pub fn grade_that_counts(finding: &Value) -> Option<Grade> {
    let own = finding["judgement"]["grade"].as_str();
    let own = own.filter(|_| finding["cause"].is_null());
    let word = own.or_else(|| finding["grade"].as_str())?;
    Grade::ALL.into_iter().find(|grade| grade.word() == word)
}

/// Gives an incomplete inspection the words that this version has for it. Earlier versions wrote
/// `satisfactory` and `as-usual` next to `"complete": false`.
fn in_words_of_now(assessment: &mut Value) {
    if assessment["complete"] != false {
        return;
    }
    let unsatisfactory = assess::Outcome::Unsatisfactory.word();
    if let Some(outcome) = assessment.get_mut("outcome")
        && *outcome != unsatisfactory
    {
        *outcome = Value::from(assess::INCOMPLETE);
    }
    let open: Vec<Option<String>> = assessment["limitations"]
        .as_array()
        .into_iter()
        .flatten()
        .filter(|l| l["incomplete"] == true)
        .map(|l| l["circuit"].as_str().map(str::to_owned))
        .collect();
    let rename = |charging: Option<&mut Value>| {
        if let Some(charging) = charging.filter(|c| **c == Charging::AsUsual.word()) {
            *charging = Value::from(assess::NOT_FULLY_CHECKED);
        }
    };
    rename(assessment.get_mut("charging"));
    let circuits = assessment.get_mut("circuits").and_then(Value::as_array_mut);
    for circuit in circuits.into_iter().flatten() {
        let id = circuit["id"].as_str();
        if open.iter().any(|of| of.is_none() || of.as_deref() == id) {
            rename(circuit.get_mut("charging"));
        }
    }
}

/// The outcome of a sealed assessment, if it contradicts its findings.
fn outcome(sealed: &Value) -> Option<Difference> {
    let findings = sealed["findings"].as_array();
    let worst = findings
        .into_iter()
        .flatten()
        .filter_map(grade_that_counts)
        .max();
    let complete = sealed["complete"] != false;
    let follows = assess::outcome(worst.unwrap_or(Grade::Pass));
    let follows = Value::from(assess::outcome_word(follows, complete));
    (sealed["outcome"] != follows).then(|| Difference {
        path: "/outcome".to_owned(),
        sealed: sealed["outcome"].clone(),
        now: follows,
    })
}

/// The differences between two assessments.
#[derive(Default)]
struct Found {
    differences: Vec<Difference>,
    contradictions: Vec<Difference>,
}

impl Found {
    /// Keeps a difference, unless there are enough of its kind or it is only about the program that
    /// wrote the record.
    fn add(&mut self, path: &str, sealed: &Value, now: &Value) {
        if path == "/format" || path.starts_with("/tool/") {
            return;
        }
        let difference = || Difference {
            path: path.to_owned(),
            sealed: sealed.clone(),
            now: now.clone(),
        };
        if self.differences.len() < MAX_DIFFERENCES {
            self.differences.push(difference());
        }
        if self.contradictions.len() < MAX_DIFFERENCES && repeated(path) {
            self.contradictions.push(difference());
        }
    }
}

/// Collects the differences between two JSON values, at the deepest level.
fn differ(sealed: &Value, now: &Value, path: &mut String, out: &mut Found) {
    let len = path.len();
    match (sealed, now) {
        (Value::Object(a), Value::Object(b)) => {
            for key in a.keys().chain(b.keys().filter(|k| !a.contains_key(*k))) {
                path.push('/');
                path.push_str(&key.replace('~', "~0").replace('/', "~1"));
                differ(
                    a.get(key).unwrap_or(&Value::Null),
                    b.get(key).unwrap_or(&Value::Null),
                    path,
                    out,
                );
                path.truncate(len);
            }
        }
        (Value::Array(a), Value::Array(b)) => {
            for i in 0..a.len().max(b.len()) {
                path.push_str(&format!("/{i}"));
                differ(
                    a.get(i).unwrap_or(&Value::Null),
                    b.get(i).unwrap_or(&Value::Null),
                    path,
                    out,
                );
                path.truncate(len);
            }
        }
        _ if sealed == now => {}
        _ => out.add(path, sealed, now),
    }
}

#[cfg(test)]
mod tests {
    use super::{Found, MAX_DIFFERENCES, Value, differ};
    use serde_json::json;

    #[test]
    fn differences_name_their_place() {
        let mut out = Found::default();
        differ(
            &json!({"a": [1, {"b/c": 2}], "gone": true}),
            &json!({"a": [1, {"b/c": 3}, 4]}),
            &mut String::new(),
            &mut out,
        );
        let differences: Vec<(&str, &Value, &Value)> = out
            .differences
            .iter()
            .map(|d| (d.path.as_str(), &d.sealed, &d.now))
            .collect();
        assert_eq!(
            differences,
            [
                ("/a/1/b~1c", &json!(2), &json!(3)),
                ("/a/2", &Value::Null, &json!(4)),
                ("/gone", &json!(true), &Value::Null),
            ]
        );
    }

    /// A stranger's record may differ in millions of places; contradictions after them must be
    /// found too.
    #[test]
    fn differences_are_kept_up_to_a_number_of_each_kind() {
        let mut out = Found::default();
        let many = vec![json!(0); 10 * MAX_DIFFERENCES];
        differ(
            &json!({"x": many, "visit": {"number": "1"}}),
            &json!({"visit": {"number": "2"}}),
            &mut String::new(),
            &mut out,
        );
        assert_eq!(out.differences.len(), 2);
        let none = vec![json!(1); 10 * MAX_DIFFERENCES];
        differ(
            &json!({"x": many}),
            &json!({"x": none}),
            &mut String::new(),
            &mut out,
        );
        assert_eq!(out.differences.len(), MAX_DIFFERENCES);
        let paths: Vec<&str> = out.contradictions.iter().map(|d| d.path.as_str()).collect();
        assert_eq!(paths, ["/visit/number"]);
    }
}
