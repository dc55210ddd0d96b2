//! Files that a visit file names: a firm's rules and earlier visits.
//!
//! A visit file may come from a stranger. A path in it may therefore lead only to regular files with
//! an expected extension, a rules file must be inside the visit's folder, and messages never quote
//! the content of another file.

use super::bounded_read::{read_bytes, read_text, text};
use super::error::CommandError;
use super::find;
use super::firm;
use super::folders::folder_of;
use super::ordinary::ordinary_file;
use super::sealed_record::record;
use super::visit_problems::misnamed;
use crate::assess::Earlier;
use crate::record::recompute::earlier_visit;
use crate::rules::Rules;
use crate::visit::{Diagnostics, Naming, Visit};
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

/// The earlier visits that the visit at `path`, whose text is `source`, is compared with: their texts
/// and their assessments.
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
            .and_then(|text| earlier(&text, named, rules, visit).map(|visit| (text, visit)))
            .map_err(|why| misnamed(why, source, path, Naming::Earlier(i)))?;
        told.push(visit);
        sources.push(text);
    }
    Ok((sources, told))
}

/// Reads the visit file of an earlier visit: the file itself, or the record inside a certificate with
/// a valid signature.
fn earlier_source(named: &str, visit: &Path) -> Result<String, CommandError> {
    let path = folder_of(visit).join(named);
    ordinary(&path, named, &EARLIER)?;
    let bytes = read_bytes(&path)?;
    if !bytes.starts_with(b"%PDF-") {
        return firm::filled(text(bytes, &path)?, &path);
    }
    let record = record(&bytes).map_err(|why| {
        CommandError::Refused(format!(
            "{}: {why}\nAn earlier certificate is used only if its signature is valid. Get an \
             undamaged copy, or remove it from `earlier:`.",
            path.display()
        ))
    })?;
    Ok(record.visit)
}

/// The earlier visit in `source`, for comparison with a visit. Two visits on one day are told apart by
/// their numbers.
fn earlier(
    source: &str,
    named: &str,
    rules: &Rules,
    visit: &Visit,
) -> Result<Earlier, CommandError> {
    let earlier =
        earlier_visit(source, named, rules).map_err(|problems| refused(named, &problems))?;
    // Otherwise it would silently be left out of the comparison.
    let same = earlier.date == visit.date && earlier.number == visit.number;
    if earlier.date > visit.date || same {
        return Err(CommandError::Refused(format!(
            "earlier visit {named}: it is not earlier than this visit ({}).\nCorrect the \
             date, or remove it from `earlier:`.",
            visit.date
        )));
    }
    Ok(earlier)
}

/// The error for an earlier visit with problems, without quoting its lines.
fn refused(named: &str, problems: &Diagnostics) -> CommandError {
    let many = problems.shown.len() + problems.more;
    let first = problems
        .shown
        .first()
        .and_then(|p| p.place.as_ref())
        .map_or_else(String::new, |p| format!(", the first in line {}", p.line));
    CommandError::Refused(format!(
        "earlier visit {named}: not a visit file that this version can read ({many} {}{first}).\n\
         Run `warmlug check` on that file to see all problems, or remove it from `earlier:`.",
        if many == 1 { "problem" } else { "problems" }
    ))
}

/// Refuses anything but a regular file with an expected extension.
pub(super) fn ordinary(path: &Path, named: &str, kinds: &[&str]) -> Result<(), CommandError> {
    if !find::is_of_kind(path, kinds) {
        let names: Vec<String> = kinds.iter().map(|k| format!(".{k}")).collect();
        return Err(CommandError::Refused(format!(
            "`{named}`: the name of this file must end in {}",
            names.join(" or ")
        )));
    }
    ordinary_file(path)
}
