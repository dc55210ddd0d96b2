//! The record inside a certificate: the visit file, what it was compared with, and the
//! assessment as it was printed. Read back only from what a seal covers, and computed again to
//! show that the findings follow from the readings.

use crate::assess::{self, Assessment};
use crate::compose::attachments::{ASSESSMENT, PHOTOS, VISIT};
use crate::compose::{self, Wording, WordingError};
use crate::rules::{self, Rules};
use crate::seal::{Attachment, SealError, Verified};
use crate::visit::{self, Visit};
use crate::yaml::Diagnostics;
use serde_json::Value;

pub use super::accepted::{Accepted, earlier_visit};

/// Name of a firm's rules file inside a certificate.
pub const RULES: &str = "rules.yaml";

/// Name of the `i`-th earlier visit's file inside a certificate, counted from 0.
pub fn earlier(i: usize) -> String {
    format!("earlier-{}.yaml", i + 1)
}

/// Why a record cannot be read or computed again.
#[derive(Debug, thiserror::Error)]
pub enum RecordError {
    /// The attachments cannot be read.
    #[error(transparent)]
    Attachments(#[from] SealError),
    /// One of them is missing.
    #[error("the certificate carries no {0}")]
    Missing(String),
    /// One of them is not text.
    #[error("{0} inside the certificate is not UTF-8 text")]
    NotText(String),
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
    #[error("the rule set `{0}` is not one of this version's")]
    UnknownRules(String),
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
    /// Digests of the photos, one `digest  path` a line; empty when there are none.
    pub photos: String,
    /// A firm's rules file.
    pub rules: Option<String>,
    /// Files of the earlier visits, in the visit's order.
    pub earlier: Vec<String>,
}

/// A record computed again.
#[derive(Debug, Clone, PartialEq)]
pub struct Recomputed {
    /// The visit.
    pub visit: Visit,
    /// The rule set that the record names.
    pub rules: Rules,
    /// The assessment computed now.
    pub assessment: Assessment,
    /// Where the sealed assessment says otherwise: path, sealed value, value computed now.
    pub differences: Vec<Difference>,
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
    /// Reads the record out of what a seal covers.
    ///
    /// # Errors
    /// Something that every certificate carries is missing or damaged.
    pub fn read(verified: &Verified<'_>) -> Result<Self, RecordError> {
        let mut files = verified.attachments()?;
        let mut take = |name: &str| -> Result<Option<String>, RecordError> {
            let Some(i) = files.iter().position(|f| f.name == name) else {
                return Ok(None);
            };
            let Attachment { bytes, .. } = files.swap_remove(i);
            String::from_utf8(bytes)
                .map(Some)
                .map_err(|_| RecordError::NotText(name.to_owned()))
        };
        let need = |name: &str, file: Option<String>| {
            file.ok_or_else(|| RecordError::Missing(name.to_owned()))
        };
        let visit = need(VISIT, take(VISIT)?)?;
        let assessment = need(ASSESSMENT, take(ASSESSMENT)?)?;
        let photos = take(PHOTOS)?.unwrap_or_default();
        let rules = take(RULES)?;
        let mut earlier_files = Vec::new();
        while let Some(file) = take(&earlier(earlier_files.len()))? {
            earlier_files.push(file);
        }
        Ok(Self {
            visit,
            assessment: serde_json::from_str(&assessment)
                .map_err(|e| RecordError::NotJson(e.to_string()))?,
            photos,
            rules,
            earlier: earlier_files,
        })
    }

    /// Id of the rule set that was in force, which an option may have put in place of the one that
    /// the visit names.
    pub fn rules_id(&self) -> Option<&str> {
        self.assessment.pointer("/rules/id")?.as_str()
    }

    /// Computes the findings again, with the rule set that the record names, and compares.
    ///
    /// The version of the program is left out of the comparison: a later version must come to
    /// the same findings.
    ///
    /// # Errors
    /// The record cannot be computed by this version.
    pub fn recompute(&self) -> Result<Recomputed, RecordError> {
        let visit = visit::read(&self.visit, VISIT, &Accepted).map_err(RecordError::Visit)?;
        let firm;
        let rules = match &self.rules {
            Some(source) => {
                firm = rules::load(source, RULES).map_err(RecordError::Rules)?;
                &firm
            }
            None => {
                let id = self.rules_id().unwrap_or(&visit.rules);
                rules::built_in(id).ok_or_else(|| RecordError::UnknownRules(id.to_owned()))?
            }
        };
        let earlier = self
            .earlier
            .iter()
            .enumerate()
            .map(|(i, source)| earlier_visit(source, &earlier(i), rules))
            .collect::<Result<Vec<_>, _>>()
            .map_err(RecordError::Visit)?;
        let assessment = assess::assess(&visit, rules, &earlier);
        let now = compose::json(
            &assessment,
            &visit,
            rules,
            Wording::built_in(visit.print.main_language())?,
        );
        let mut differences = Vec::new();
        differ(&self.assessment, &now, &mut String::new(), &mut differences);
        differences.retain(|d| !d.path.starts_with("/tool/"));
        Ok(Recomputed {
            visit,
            rules: rules.clone(),
            assessment,
            differences,
        })
    }
}

/// Collects where two JSON values differ, deepest places first told.
fn differ(sealed: &Value, now: &Value, path: &mut String, out: &mut Vec<Difference>) {
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
        _ => out.push(Difference {
            path: path.clone(),
            sealed: sealed.clone(),
            now: now.clone(),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::{Value, differ};
    use serde_json::json;

    #[test]
    fn differences_name_their_place() {
        let mut out = Vec::new();
        differ(
            &json!({"a": [1, {"b/c": 2}], "gone": true}),
            &json!({"a": [1, {"b/c": 3}, 4]}),
            &mut String::new(),
            &mut out,
        );
        let told: Vec<(&str, &Value, &Value)> = out
            .iter()
            .map(|d| (d.path.as_str(), &d.sealed, &d.now))
            .collect();
        assert_eq!(
            told,
            [
                ("/a/1/b~1c", &json!(2), &json!(3)),
                ("/a/2", &Value::Null, &json!(4)),
                ("/gone", &json!(true), &Value::Null),
            ]
        );
    }
}
