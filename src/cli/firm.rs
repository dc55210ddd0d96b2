//! The firm's file for the commands: finding it, naming it in messages, and completing visits from
//! it.

use super::bounded_read::read_text;
use super::error::CommandError;
use super::folders::folder_of;
use super::ordinary::ordinary;
use super::terminal;
use crate::firm::copied::References;
use crate::firm::lookup::{self, Found};
use crate::firm::{FirmError, State};
use crate::seal::Identity;
use chrono::{DateTime, FixedOffset};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

impl From<FirmError> for CommandError {
    fn from(error: FirmError) -> Self {
        match error {
            FirmError::Read { path, source } => CommandError::reading(&path, &source),
            FirmError::Disk(error) => error.into(),
            other => CommandError::Refused(other.to_string()),
        }
    }
}

/// The files already named in this run.
static NAMED: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());

/// Says once in a run that a firm's file is used.
pub(super) fn say_used(found: &Found) {
    let mut named = NAMED.lock().unwrap_or_else(PoisonError::into_inner);
    if named.insert(found.path.clone()) {
        terminal::say(&format!("{}: firm file used", found.path.display()));
    }
}

/// The text of a visit file, completed from the firm's file.
pub(super) fn visit_text(path: &Path) -> Result<String, CommandError> {
    let source = read_text(path)?;
    filled(source, path)
}

/// The text of the visit file at `path`, completed from the firm's file.
pub(super) fn filled(source: String, path: &Path) -> Result<String, CommandError> {
    let references = References::of(&source);
    let Some(what) = references.first() else {
        return Ok(source);
    };
    let folder = folder_of(path);
    let refused = |e: FirmError| CommandError::Refused(format!("{}: {e}", path.display()));
    let Some(found) = of_visit(&folder, references.file.as_deref())? else {
        return Err(refused(FirmError::NoFile { what, folder }));
    };
    let text = references.filled(&source, &found.firm).map_err(refused)?;
    say_used(&found);
    Ok(text)
}

/// The firm's file for a visit in `folder` that names this one, if there is any.
///
/// A visit may come from a stranger, so the problems of a file that it names are not quoted.
pub(super) fn of_visit(folder: &Path, named: Option<&str>) -> Result<Option<Found>, CommandError> {
    let Some(named) = named else {
        return Ok(lookup::find(folder, None)?);
    };
    let path = folder.join(named);
    if path.exists() {
        ordinary(&path, named, &["yaml", "yml"])?;
    }
    lookup::find(folder, Some(named)).map_err(|error| match error {
        FirmError::Problems(problems) => CommandError::Refused(format!(
            "{}: not a firm file that this version can read ({} in all); put the file in the \
             configuration folder or above the visit to see what is wrong, or correct `firm:`",
            path.display(),
            match problems.shown.len() + problems.more {
                1 => "one problem".to_owned(),
                n => format!("{n} problems"),
            }
        )),
        other => other.into(),
    })
}

/// Refuses a key that, according to the firm's file, does not sign for this person on this day.
pub(super) fn signs_for(
    found: &Found,
    identity: &Identity,
    name: &str,
    at: DateTime<FixedOffset>,
) -> Result<(), CommandError> {
    let file = found.path.display();
    let print = identity.fingerprint();
    let refuse = |why: String| Err(CommandError::Refused(format!("{file}: {why}")));
    let Some((technician, key)) = found.firm.key(&print) else {
        return refuse(format!(
            "the key {print} is not listed for {name}; sign with a listed key, or add this \
             fingerprint under `keys:` of the technician"
        ));
    };
    if technician.name != name {
        return refuse(format!(
            "the key {print} signs for {}, and the inspector of this visit is {name}",
            technician.name
        ));
    }
    match key.state(at.to_utc().date_naive()) {
        State::Valid => Ok(()),
        State::NotYet(from) => refuse(format!("the key {print} signs only from {from}")),
        State::Revoked(on, because) => refuse(format!(
            "the key {print} was revoked on {on}{}; sign with another key of {name}",
            because.map_or_else(String::new, |why| format!(" ({why})"))
        )),
    }
}
