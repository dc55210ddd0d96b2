//! Labels for the panel, made of what a certificate says.

use super::extracted;
use super::made_by::MadeBy;
use super::recompute::{Difference, Record, RecordError};
use super::rendered;
use crate::compose::label::{LABEL, LabelOf, labels};
use crate::compose::{ComposeError, Speaker, Wording, WordingError};
use crate::seal::report::Report;
use crate::seal::{Verified, attachment};
use crate::typeset::{self, TypesetError};

/// Why no label can be made of a certificate.
#[derive(Debug, thiserror::Error)]
pub enum LabelError {
    /// It is an extract or an index, without a record.
    #[error("this is {0}, without a record; make the label from the whole certificate")]
    NoRecord(&'static str),
    /// Its record cannot be read or recomputed.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// The result printed on it is not what this version computes.
    #[error(
        "{made_by} made this certificate, and this version comes to another result ({what}), so the \
         label would contradict page 1; make the label with that version"
    )]
    OtherResult {
        /// Which version made it.
        made_by: String,
        /// What differs, as a JSON pointer.
        what: String,
    },
    /// Its findings do not follow from its record.
    #[error("its findings do not follow from its record ({0}), so no label is made of it")]
    Contradicts(String),
    /// The seal states no time or signer.
    #[error("its seal states no time of signing, which the label would have to name")]
    NoTime,
    /// It has no circuit with the wanted id.
    #[error("it has no circuit `{wanted}`; it has {has}")]
    NoCircuit {
        /// The id asked for.
        wanted: String,
        /// The ids that there are.
        has: String,
    },
    /// The words cannot be found.
    #[error(transparent)]
    Wording(#[from] WordingError),
    /// The label cannot be composed.
    #[error(transparent)]
    Compose(#[from] ComposeError),
    /// The label cannot be set.
    #[error(transparent)]
    Typeset(#[from] TypesetError),
}

/// Labels of a certificate as an unsigned PDF, one a page: of the circuit with this id, or of all.
///
/// # Errors
/// See [`LabelError`].
pub fn label(
    report: &Report<'_>,
    verified: &Verified<'_>,
    circuit: Option<&str>,
) -> Result<Vec<u8>, LabelError> {
    if extracted::whole(verified).is_some() {
        return Err(LabelError::NoRecord("page 1 alone"));
    }
    if extracted::index(verified).is_some() {
        return Err(LabelError::NoRecord("an index of certificates"));
    }
    let record = Record::read(verified)?;
    let again = record.recompute()?;
    if let Some(first) = again.contradictions.first() {
        return Err(LabelError::Contradicts(first.path.clone()));
    }
    let own = record.made_by == MadeBy::ThisVersion;
    let mut different = again.differences.iter();
    if let Some(other) = different.find(|d| own || printed(d)) {
        return Err(match own {
            true => LabelError::Contradicts(other.path.clone()),
            false => LabelError::OtherResult {
                made_by: record.made_by.words(),
                what: other.path.clone(),
            },
        });
    }
    let visit = &again.visit;
    if let Some(wanted) = circuit
        && !visit.circuits.iter().any(|c| c.id == wanted)
    {
        let has: Vec<&str> = visit.circuits.iter().map(|c| c.id.as_str()).collect();
        return Err(LabelError::NoCircuit {
            wanted: wanted.to_owned(),
            has: has.join(", "),
        });
    }
    let seal = report.certification().and_then(rendered::seal_facts);
    let seal = seal.ok_or(LabelError::NoTime)?;
    let wording = Wording::built_in(visit.print.main_language())?;
    let speaker = Speaker::new(visit, &again.assessment, &again.rules, wording);
    let own_rules = !again.built_in.is_empty();
    let document = labels(
        &speaker,
        record.visit.as_bytes(),
        &seal,
        verified.digests().sha256,
        own_rules,
        circuit,
    )?;
    Ok(typeset::render(&document)?)
}

/// What an unsigned file is a label of, by its own word; nothing if it is none.
pub fn label_of(pdf: &[u8]) -> Option<LabelOf> {
    let files = attachment::read(pdf).ok()?;
    let [file] = &files[..] else { return None };
    let file = Some(file).filter(|file| file.name == LABEL)?;
    serde_json::from_slice(&file.bytes).ok()
}

/// Whether a label prints what differs here.
fn printed(difference: &Difference) -> bool {
    let parts: Vec<&str> = difference.path.split('/').skip(1).collect();
    match parts[..] {
        ["outcome" | "complete" | "charging" | "charging_limit_a" | "next_due"] => true,
        ["findings" | "limitations" | "circuits" | "mended"] => true,
        ["findings" | "limitations" | "circuits" | "mended", _] => true,
        ["findings", _, key] => matches!(key, "grade" | "circuit" | "charging"),
        ["limitations", _, key] => matches!(key, "id" | "circuit" | "incomplete"),
        ["mended", _, key] => matches!(key, "circuit" | "proved"),
        ["circuits", _, key] => {
            matches!(key, "id" | "charging" | "charging_limit_a" | "next_due")
        }
        _ => false,
    }
}
