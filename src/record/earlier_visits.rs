//! The earlier visits that a visit is compared with.

use super::accepted::earlier_visit;
use super::recompute::Record;
use super::sealed_record::SealedError;
use crate::assess::Earlier;
use crate::rules::Rules;
use crate::visit::{Diagnostics, Visit};
use chrono::NaiveDate;
use std::string::FromUtf8Error;
use thiserror::Error;

/// Why an earlier visit can't be used. No message quotes the file.
#[derive(Debug, Error)]
pub enum EarlierError {
    /// Its certificate can't be relied on.
    #[error(transparent)]
    Sealed(#[from] SealedError),
    /// It is neither a certificate nor text.
    #[error("it is neither a certificate nor UTF-8 text")]
    NotText(#[from] FromUtf8Error),
    /// Its visit file has problems.
    #[error("not a visit file that this version can read ({})", counted(.0))]
    Problems(Diagnostics),
    /// Its date is later than that of the visit, or it is the visit itself.
    #[error("it is not earlier than this visit ({0})")]
    NotEarlier(NaiveDate),
}

impl EarlierError {
    /// What to do about it.
    pub const fn advice(&self) -> &'static str {
        match self {
            Self::Sealed(_) => {
                "An earlier certificate is used only if its signature is valid. Get an undamaged \
                 copy, or remove it from `earlier:`."
            }
            Self::NotText(_) => "Save it as UTF-8, or remove it from `earlier:`.",
            Self::Problems(_) => {
                "Run `warmlug check` on that file to see all problems, or remove it from `earlier:`."
            }
            Self::NotEarlier(_) => "Correct the date, or remove it from `earlier:`.",
        }
    }
}

fn counted(problems: &Diagnostics) -> String {
    let many = problems.shown.len() + problems.more;
    let first = problems.shown.first().and_then(|p| p.place.as_ref());
    let first = first.map_or_else(String::new, |p| format!(", the first in line {}", p.line));
    let problems = if many == 1 { "problem" } else { "problems" };
    format!("{many} {problems}{first}")
}

/// The text of an earlier visit's file, from that file or from a certificate whose seal is unbroken.
///
/// # Errors
/// [`EarlierError::Sealed`] and [`EarlierError::NotText`].
pub fn source(bytes: Vec<u8>) -> Result<String, EarlierError> {
    if bytes.starts_with(b"%PDF-") {
        return Ok(Record::sealed(&bytes)?.visit);
    }
    Ok(String::from_utf8(bytes)?)
}

/// The earlier visit in `source`, assessed for the comparison with `visit`. Two visits on one day
/// must have different numbers.
///
/// # Errors
/// [`EarlierError::Problems`] and [`EarlierError::NotEarlier`].
pub fn than(
    visit: &Visit,
    source: &str,
    named: &str,
    rules: &Rules,
) -> Result<Earlier, EarlierError> {
    let earlier = earlier_visit(source, named, rules).map_err(EarlierError::Problems)?;
    // Otherwise it would silently be left out of the comparison.
    let same = earlier.date == visit.date && earlier.number == visit.number;
    if earlier.date > visit.date || same {
        return Err(EarlierError::NotEarlier(visit.date));
    }
    Ok(earlier)
}
