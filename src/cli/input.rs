//! From a path on the command line to an assessed visit: reads files and passes them to the stages.

use super::bounded_read::{is_stream, name, read_text};
use super::error::CommandError;
use super::firm;
use super::folders::folder_of;
use super::nearby;
use super::visit_problems::{misnamed, refused};
use crate::certify::{InFolder, Loaded, RulesInForce};
use crate::compose::Wording;
use crate::photo::Folder;
use crate::rules;
use crate::visit::{self, Naming, Visit};
use std::path::{Path, PathBuf};

/// The files of a visit: the visit file at `path` and those that it names.
pub(super) fn files_of(visit: &Visit, path: &Path) -> Vec<PathBuf> {
    let folder = folder_of(path);
    let rules = Some(&visit.rules).filter(|named| rules::built_in(named).is_none());
    let named = visit.files().chain(rules);
    let mut files: Vec<PathBuf> = named.map(|name| folder.join(name)).collect();
    if !is_stream(path) {
        files.push(path.to_owned());
    }
    files
}

/// The rules in the text of a rules file.
fn rules_in(
    source: String,
    path: &Path,
    edition: Option<&str>,
) -> Result<RulesInForce, CommandError> {
    RulesInForce::of_file(source, &name(path), edition)
        .map_err(|e| CommandError::Refused(e.to_string()))
}

/// Reads, checks and assesses a visit. Problems in the file are printed.
pub(super) fn load(path: &Path, rules: Option<&str>) -> Result<Loaded, CommandError> {
    let source = firm::visit_text(path)?;
    let base = folder_of(path);
    let folder = Folder::new(&base).map_err(|e| CommandError::reading(&base, &e))?;
    let around = InFolder {
        folder: &folder,
        today: chrono::Local::now().date_naive(),
    };
    let visit = visit::read(&source, &name(path), &around).map_err(refused)?;
    let rules = match rules {
        Some(named) => rules_named(named, visit.edition.as_deref())?,
        None => rules_of(&visit, &source, path)?,
    };
    let earlier = nearby::compared(&visit, &source, path, rules.get())?;
    Ok(Loaded::new(source, visit, folder, rules, earlier))
}

/// The rule set named by an option: built in, or a file; in an edition of its code.
pub(super) fn rules_named(
    named: &str,
    edition: Option<&str>,
) -> Result<RulesInForce, CommandError> {
    if let Some(rules) = rules::built_in_edition(named, edition) {
        let rules = rules.map_err(|e| CommandError::Refused(e.to_string()))?;
        return Ok(RulesInForce::BuiltIn(rules));
    }
    let path = Path::new(named);
    let source = read_text(path).map_err(|e| no_rules(named, e))?;
    rules_in(source, path, edition)
}

/// The rule set named by the visit file at `path`, whose text is `source`: built in, or a file in its
/// folder.
pub(super) fn rules_of(
    visit: &Visit,
    source: &str,
    path: &Path,
) -> Result<RulesInForce, CommandError> {
    let edition = visit.edition.as_deref();
    if let Some(rules) = rules::built_in_edition(&visit.rules, edition) {
        let rules = rules.map_err(|e| {
            let why = CommandError::Refused(e.to_string());
            misnamed(why, source, path, Naming::Edition)
        })?;
        return Ok(RulesInForce::BuiltIn(rules));
    }
    let (file, text) = nearby::rules_file(&visit.rules, path)
        .map_err(|e| misnamed(no_rules(&visit.rules, e), source, path, Naming::Rules))?;
    rules_in(text, &file, edition)
}

/// Adds the valid choices to the error for a missing rules file.
fn no_rules(named: &str, why: CommandError) -> CommandError {
    match why {
        CommandError::Refused(why) if !why.contains('\n') => CommandError::Refused(format!(
            "rules `{named}`: not a built-in rule set, and not a usable file: {why}\n\
             Write {}, or name a .yaml file with a firm's own rules",
            rules::built_in_ids().collect::<Vec<_>>().join(" or ")
        )),
        other => other,
    }
}

/// The wording in the visit's main language.
pub(super) fn wording(visit: &Visit) -> Result<&'static Wording, CommandError> {
    Wording::built_in(visit.print.main_language()).map_err(|e| CommandError::Refused(e.to_string()))
}
