//! Files that a visit file names: a firm's rules and earlier visits.
//!
//! A visit file may come from a stranger. A path in it may therefore lead only to regular files with
//! an expected extension, a rules file must be inside the visit's folder, and messages never quote
//! the content of another file.

use super::bounded_read::{not_text, read_bytes, read_text};
use super::error::CommandError;
use super::firm;
use super::folders::folder_of;
use super::ordinary::ordinary;
use super::visit_problems::misnamed;
use crate::assess::Earlier;
use crate::record::earlier_visits::{self, EarlierError};
use crate::rules::Rules;
use crate::visit::{Naming, Visit};
use std::path::{Path, PathBuf};

/// Extensions of files that an earlier visit can be read from.
const EARLIER: [&str; 3] = ["pdf", "yaml", "yml"];
/// Extensions of rules files.
const RULES: [&str; 2] = ["yaml", "yml"];

/// Reads the rules file that the visit at `visit` names.
pub(super) fn rules_file(named: &str, visit: &Path) -> Result<(PathBuf, String), CommandError> {
    let folder = folder_of(visit);
    let path = folder.join(named);
    ordinary(&path, named, &RULES)?;
    let inside = |path: &Path| {
        path.canonicalize()
            .map_err(|e| CommandError::reading(path, &e))
    };
    if !inside(&path)?.starts_with(inside(&folder)?) {
        return Err(CommandError::Refused(format!(
            "rules `{named}`: this file is outside the visit’s folder.\nPut a copy next to the \
             visit file and name that, or specify the file with --rules."
        )));
    }
    let source = read_text(&path)?;
    Ok((path, source))
}

/// The earlier visits that the visit at `path`, whose text is `source`, is compared with: the text and
/// the assessment of each.
pub(super) fn compared(
    visit: &Visit,
    source: &str,
    path: &Path,
    rules: &Rules,
) -> Result<Vec<(String, Earlier)>, CommandError> {
    let earlier = visit.earlier.iter().enumerate();
    earlier
        .map(|(i, named)| {
            one(visit, named, path, rules)
                .map_err(|why| misnamed(why, source, path, Naming::Earlier(i)))
        })
        .collect()
}

/// An earlier visit that the visit at `visit_path` names.
fn one(
    visit: &Visit,
    named: &str,
    visit_path: &Path,
    rules: &Rules,
) -> Result<(String, Earlier), CommandError> {
    let path = folder_of(visit_path).join(named);
    ordinary(&path, named, &EARLIER)?;
    let refused = |why: EarlierError| match &why {
        EarlierError::NotText(error) => not_text(error, &path),
        EarlierError::Sealed(_) => {
            CommandError::Refused(format!("{}: {why}\n{}", path.display(), why.advice()))
        }
        EarlierError::Problems(_) | EarlierError::NotEarlier(_) => {
            CommandError::Refused(format!("earlier visit {named}: {why}.\n{}", why.advice()))
        }
    };
    let bytes = read_bytes(&path)?;
    let sealed = bytes.starts_with(b"%PDF-");
    let text = earlier_visits::source(bytes).map_err(refused)?;
    let text = match sealed {
        true => text,
        false => firm::filled(text, &path)?,
    };
    let earlier = earlier_visits::than(visit, &text, named, rules).map_err(refused)?;
    Ok((text, earlier))
}
