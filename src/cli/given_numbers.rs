//! Certificate numbers: each may be used only once by a firm.

use super::bounded_read;
use super::error::CommandError;
use super::register;
use super::target::same_file;
use crate::lookalike::folded;
use crate::record::recompute::Record;
use crate::visit::Visit;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// The numbers in use, by certificates and by visits of this run.
#[derive(Debug, Default)]
pub(super) struct Numbers(Mutex<HashMap<String, Vec<Taken>>>);

/// A number in use, and by which firm, if that is known.
#[derive(Debug, Clone)]
struct Taken {
    firm: Option<String>,
    by: By,
}

#[derive(Debug, Clone)]
enum By {
    /// By a certificate in the register.
    Certificate(PathBuf),
    /// By a visit of this run: its file and the text of it.
    Visit(PathBuf, String),
}

impl Numbers {
    /// The numbers of the certificates in a register: files, folders, lists in JSON lines.
    ///
    /// # Errors
    /// A file cannot be read.
    pub(super) fn of(paths: &[PathBuf]) -> Result<Self, CommandError> {
        let mut taken: HashMap<String, Vec<Taken>> = HashMap::new();
        for used in register::numbers(paths)? {
            let entry = Taken {
                firm: used.firm.as_deref().map(folded),
                by: By::Certificate(used.file.into()),
            };
            taken.entry(used.number).or_default().push(entry);
        }
        Ok(Self(Mutex::new(taken)))
    }

    /// Reserves the number of a visit whose certificate is written to `target`. Another firm may use the
    /// same one.
    ///
    /// # Errors
    /// Another visit of the firm has this number.
    pub(super) fn take(
        &self,
        visit: &Visit,
        path: &Path,
        source: &str,
        target: &Path,
    ) -> Result<(), CommandError> {
        let (number, inspector) = (&visit.number, &visit.inspector);
        let firm = folded(inspector.firm.as_ref().unwrap_or(&inspector.name));
        let mut taken = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let entries = taken.entry(number.clone()).or_default();
        let own = entries
            .iter()
            .filter(|t| t.firm.as_ref().is_none_or(|other| *other == firm));
        let other = own.map(|t| &t.by).find_map(|by| match by {
            By::Visit(file, said) => (said != source).then(|| file.clone()),
            By::Certificate(file) => {
                (!same_file(file, target) && !is_of(file, source)).then(|| file.clone())
            }
        });
        if let Some(file) = other {
            return Err(CommandError::Refused(format!(
                "{}: the number {number} is already used by {}. Give this visit another number; to \
                 correct that certificate, name it under `replaces:`",
                path.display(),
                file.display()
            )));
        }
        entries.push(Taken {
            firm: Some(firm),
            by: By::Visit(path.to_owned(), source.to_owned()),
        });
        Ok(())
    }
}

/// Whether a certificate was made from this very visit file.
fn is_of(certificate: &Path, source: &str) -> bool {
    bounded_read::read_bytes(certificate)
        .ok()
        .and_then(|bytes| Record::sealed(&bytes).ok())
        .is_some_and(|record| record.visit == source)
}
