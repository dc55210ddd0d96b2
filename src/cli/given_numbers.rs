//! Certificate numbers: each may be used only once.

use super::bounded_read;
use super::error::CommandError;
use super::register;
use super::sealed_record;
use super::target::same_file;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// The numbers in use, by certificates and by visits of this run.
#[derive(Debug, Default)]
pub(super) struct Numbers(Mutex<HashMap<String, Vec<Taken>>>);

#[derive(Debug, Clone)]
enum Taken {
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
        for (number, file) in register::numbers(paths)? {
            let by = Taken::Certificate(file.into());
            taken.entry(number).or_default().push(by);
        }
        Ok(Self(Mutex::new(taken)))
    }

    /// Reserves a number for a visit whose certificate is written to `target`.
    ///
    /// # Errors
    /// Another visit has this number.
    pub(super) fn take(
        &self,
        number: &str,
        visit: &Path,
        source: &str,
        target: &Path,
    ) -> Result<(), CommandError> {
        let mut taken = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let by = taken.entry(number.to_owned()).or_default();
        let other = by.iter().find_map(|by| match by {
            Taken::Visit(file, said) => (said != source).then(|| file.clone()),
            Taken::Certificate(file) => {
                (!same_file(file, target) && !is_of(file, source)).then(|| file.clone())
            }
        });
        if let Some(file) = other {
            return Err(CommandError::Refused(format!(
                "{}: the number {number} is already used by {}. Give this visit another number; to \
                 correct that certificate, name it under `replaces:`",
                visit.display(),
                file.display()
            )));
        }
        by.push(Taken::Visit(visit.to_owned(), source.to_owned()));
        Ok(())
    }
}

/// Whether a certificate was made from this very visit file.
fn is_of(certificate: &Path, source: &str) -> bool {
    bounded_read::read_bytes(certificate)
        .ok()
        .and_then(|bytes| sealed_record::record(&bytes).ok())
        .is_some_and(|record| record.visit == source)
}
