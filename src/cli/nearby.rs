//! Files that a visit file names: a firm's rules and earlier visits.
//!
//! A visit file may come from a stranger, so a path in it leads to ordinary files of the wanted
//! kind only, a rules file lies in the visit's folder, and nothing of what another file says is
//! repeated in a message.

use super::error::CommandError;
use super::find;
use super::input::{folder_of, misnamed, read_bytes, read_text, text};
use crate::assess::Earlier;
use crate::record::recompute::earlier_visit;
use crate::rules::Rules;
use crate::visit::{Diagnostics, Naming, Visit};
use chrono::NaiveDate;
use std::path::{Path, PathBuf};

/// Ends of the names of files that an earlier visit can be read from.
const EARLIER: [&str; 3] = ["pdf", "yaml", "yml"];
/// Ends of the names of rules files.
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
            "rules `{named}`: this file lies outside the visit’s folder.\nPut a copy beside the \
             visit file and name that, or give the file yourself with --rules."
        )));
    }
    let source = read_text(&path)?;
    Ok((path, source))
}

/// The visits that the visit at `path`, whose text is `source`, is to be compared with: their
/// sources, and what they tell.
pub(super) fn compared(
    visit: &Visit,
    source: &str,
    path: &Path,
    rules: &Rules,
) -> Result<(Vec<String>, Vec<Earlier>), CommandError> {
    let mut sources = Vec::with_capacity(visit.earlier.len());
    let mut told = Vec::with_capacity(visit.earlier.len());
    for (i, named) in visit.earlier.iter().enumerate() {
        let (text, visit) = earlier_source(named, path)
            .and_then(|text| earlier(&text, named, rules, visit.date).map(|visit| (text, visit)))
            .map_err(|why| misnamed(why, source, path, Naming::Earlier(i)))?;
        told.push(visit);
        sources.push(text);
    }
    Ok((sources, told))
}

/// Reads the visit file of an earlier visit: the file itself, or the record inside a certificate
/// whose signature holds.
fn earlier_source(named: &str, visit: &Path) -> Result<String, CommandError> {
    let path = folder_of(visit).join(named);
    ordinary(&path, named, &EARLIER)?;
    let bytes = read_bytes(&path)?;
    if !bytes.starts_with(b"%PDF-") {
        return text(bytes, &path);
    }
    let record = super::verify::record(&bytes).map_err(|why| {
        CommandError::Refused(format!(
            "{}: {why}\nAn earlier certificate is compared with only when its signature holds. \
             Get a good copy, or take it out of `earlier:`.",
            path.display()
        ))
    })?;
    Ok(record.visit)
}

/// The earlier visit that `source` tells of, to be compared with the visit of the day `visited`.
fn earlier(
    source: &str,
    named: &str,
    rules: &Rules,
    visited: NaiveDate,
) -> Result<Earlier, CommandError> {
    let earlier =
        earlier_visit(source, named, rules).map_err(|problems| refused(named, &problems))?;
    // It would be left out of the comparison without a word.
    if earlier.date >= visited {
        return Err(CommandError::Refused(format!(
            "earlier visit {named}: it is not earlier than this visit ({visited}).\nName one of a \
             day before, put the date right, or take it out of `earlier:`."
        )));
    }
    Ok(earlier)
}

/// An earlier visit that is refused, without repeating its lines.
fn refused(named: &str, problems: &Diagnostics) -> CommandError {
    let many = problems.shown.len() + problems.more;
    let first = problems
        .shown
        .first()
        .and_then(|p| p.place.as_ref())
        .map_or_else(String::new, |p| format!(", the first in line {}", p.line));
    CommandError::Refused(format!(
        "earlier visit {named}: not a visit file that this version takes ({many} {}{first}).\n\
         `warmlug check` on that file tells them all; or take it out of `earlier:`.",
        if many == 1 { "problem" } else { "problems" }
    ))
}

/// Refuses what is no ordinary file, or not of the wanted kind.
fn ordinary(path: &Path, named: &str, kinds: &[&str]) -> Result<(), CommandError> {
    if !find::is_of_kind(path, kinds) {
        let names: Vec<String> = kinds.iter().map(|k| format!(".{k}")).collect();
        return Err(CommandError::Refused(format!(
            "`{named}`: the name of this file must end in {}",
            names.join(" or ")
        )));
    }
    ordinary_file(path)
}

/// Refuses what is no ordinary file, itself or where its link leads.
pub(super) fn ordinary_file(path: &Path) -> Result<(), CommandError> {
    let about = path
        .metadata()
        .map_err(|e| CommandError::reading(path, &e))?;
    // A pipe or a device would be waited for, perhaps for ever.
    if !about.is_file() {
        return Err(CommandError::Refused(format!(
            "{}: this is not an ordinary file",
            path.display()
        )));
    }
    Ok(())
}
