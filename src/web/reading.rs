//! Reading a visit from the files that were selected on the page.

use super::error::WebError;
use crate::assess::{self, Earlier};
use crate::certify::{InFolder, Loaded, RulesInForce};
use crate::next::last::Last;
use crate::photo::{ChosenFiles, Folder};
use crate::record::{accepted, earlier_visits};
use crate::rules::{self, Rules};
use crate::visit::{self, Visit};
use chrono::NaiveDate;
use std::sync::Arc;

/// Reads, checks and assesses a visit with the files that it names.
///
/// # Errors
/// The problems in the files, or a file that is missing.
pub(super) fn loaded(
    source: String,
    name: &str,
    files: &Arc<ChosenFiles>,
    today: NaiveDate,
) -> Result<Loaded, WebError> {
    let source = super::firm::filled(source, files)?;
    let folder = Folder::in_memory(Arc::clone(files));
    let folder_today = InFolder {
        folder: &folder,
        today,
    };
    let visit = visit::read(&source, name, &folder_today)?;
    if let Some(named) = files.ambiguous(visit.files().chain([&visit.rules])) {
        return Err(WebError::Missing(named.to_owned()));
    }
    let rules = rules_of(&visit, files)?;
    let earlier = visit.earlier.iter();
    let earlier = earlier.map(|named| earlier_than(&visit, named, files, rules.get()));
    let earlier = earlier.collect::<Result<_, _>>()?;
    Ok(Loaded::new(source, visit, folder, rules, earlier))
}

fn rules_of(visit: &Visit, files: &ChosenFiles) -> Result<RulesInForce, WebError> {
    let edition = visit.edition.as_deref();
    if let Some(rules) = rules::built_in_edition(&visit.rules, edition) {
        return Ok(RulesInForce::BuiltIn(rules?));
    }
    let bytes = file(&visit.rules, files)?.to_vec();
    let source = String::from_utf8(bytes).map_err(|_| WebError::NotText(visit.rules.clone()))?;
    Ok(RulesInForce::of_file(source, &visit.rules, edition)?)
}

fn file<'a>(named: &str, files: &'a ChosenFiles) -> Result<&'a [u8], WebError> {
    let missing = || WebError::Missing(named.to_owned());
    files.get(named).ok_or_else(missing)
}

/// The text and the assessment of an earlier visit.
fn earlier_than(
    visit: &Visit,
    named: &str,
    files: &ChosenFiles,
    rules: &Rules,
) -> Result<(String, Earlier), WebError> {
    let refused = |why| WebError::earlier(named, why);
    let source = earlier_visits::source(file(named, files)?.to_vec()).map_err(refused)?;
    let earlier = earlier_visits::than(visit, &source, named, rules).map_err(refused)?;
    Ok((source, earlier))
}

/// The newest of the earlier visits: from a certificate as it was assessed there, from a visit file
/// compared with the earlier visits that are older.
///
/// # Errors
/// It can't be assessed again.
pub(super) fn last(loaded: &Loaded, files: &ChosenFiles) -> Result<Option<Last>, WebError> {
    let newest = loaded.newest_earlier();
    let newest = newest.and_then(|i| Some((loaded.visit.earlier.get(i)?, loaded.earlier.get(i)?)));
    let Some((named, source)) = newest else {
        return Ok(None);
    };
    let bytes = file(named, files)?;
    if bytes.starts_with(b"%PDF-") {
        return Ok(Some(last_of(named, bytes)?));
    }
    let visit = accepted::read(source, named)?;
    let rules = rules_of(&visit, files)?.into_rules();
    let mut older = loaded.compared.clone();
    older.retain(|earlier| earlier.date < visit.date);
    let assessment = assess::assess(&visit, &rules, &older);
    Ok(Some(Last {
        visit,
        assessment,
        rules,
        carried: Vec::new(),
    }))
}

/// The visit of a certificate.
///
/// # Errors
/// The certificate can't be relied on.
pub(super) fn last_of(name: &str, pdf: &[u8]) -> Result<Last, WebError> {
    Last::of_certificate(pdf).map_err(|why| WebError::earlier(name, why.into()))
}
