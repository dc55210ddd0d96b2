//! From a path on the command line to an assessed visit: reads files and passes them to the stages.

use super::bounded_read::{is_stream, name, read_text};
use super::error::CommandError;
use super::firm;
use super::folders::folder_of;
use super::nearby;
use super::visit_problems::{misnamed, refused};
use crate::assess;
use crate::certify::{Loaded, RulesInForce};
use crate::compose::Wording;
use crate::photo::Folder;
use crate::rules;
use crate::visit::{self, ImageError, ImageFacts, Naming, Surroundings, Visit};
use chrono::NaiveDate;
use std::path::{Path, PathBuf};

/// The files of a visit: the visit file at `path` and those that it names.
pub(super) fn files_of(visit: &Visit, path: &Path) -> Vec<PathBuf> {
    let folder = folder_of(path);
    let inspector = &visit.inspector;
    let images = visit.photos.iter().map(|p| &p.file);
    let images = images.chain(&inspector.logo);
    let images = images.chain(&inspector.signature_image);
    let rules = Some(&visit.rules).filter(|named| rules::built_in(named).is_none());
    let named = images.chain(&visit.earlier).chain(rules);
    let mut files: Vec<PathBuf> = named.map(|name| folder.join(name)).collect();
    if !is_stream(path) {
        files.push(path.to_owned());
    }
    files
}

/// The rules in the text of a rules file.
fn rules_in(source: String, path: &Path) -> Result<RulesInForce, CommandError> {
    let rules =
        rules::load(&source, &name(path)).map_err(|e| CommandError::Refused(e.to_string()))?;
    Ok(RulesInForce::File {
        rules: Box::new(rules),
        source,
    })
}

/// The environment of a visit file on disk.
struct OnDisk<'a> {
    folder: &'a Folder,
    today: NaiveDate,
}

impl Surroundings for OnDisk<'_> {
    fn today(&self) -> NaiveDate {
        self.today
    }
    fn image(&self, path: &str) -> Result<ImageFacts, ImageError> {
        self.folder.image(path)
    }
    fn prints(&self, c: char) -> bool {
        crate::typeset::prints(c)
    }
}

/// Reads, checks and assesses a visit. Problems in the file are printed.
pub(super) fn load(path: &Path, rules: Option<&str>) -> Result<Loaded, CommandError> {
    let source = firm::visit_text(path)?;
    let base = folder_of(path);
    let folder = Folder::new(&base).map_err(|e| CommandError::reading(&base, &e))?;
    let around = OnDisk {
        folder: &folder,
        today: chrono::Local::now().date_naive(),
    };
    let visit = visit::read(&source, &name(path), &around).map_err(refused)?;
    let rules = match rules {
        Some(named) => rules_named(named)?,
        None => rules_of(&visit, &source, path)?,
    };
    let (earlier, compared) = nearby::compared(&visit, &source, path, rules.get())?;
    let assessment = assess::assess(&visit, rules.get(), &compared);
    Ok(Loaded {
        source,
        visit,
        folder,
        rules,
        earlier,
        compared,
        assessment,
    })
}

/// The rule set named by an option: built in, or a file.
pub(super) fn rules_named(named: &str) -> Result<RulesInForce, CommandError> {
    if let Some(rules) = rules::built_in(named) {
        return Ok(RulesInForce::BuiltIn(rules));
    }
    let path = Path::new(named);
    let source = read_text(path).map_err(|e| no_rules(named, e))?;
    rules_in(source, path)
}

/// The rule set named by the visit file at `path`, whose text is `source`: built in, or a file in its
/// folder.
pub(super) fn rules_of(
    visit: &Visit,
    source: &str,
    path: &Path,
) -> Result<RulesInForce, CommandError> {
    if let Some(rules) = rules::built_in(&visit.rules) {
        return Ok(RulesInForce::BuiltIn(rules));
    }
    let (file, text) = nearby::rules_file(&visit.rules, path)
        .map_err(|e| misnamed(no_rules(&visit.rules, e), source, path, Naming::Rules))?;
    rules_in(text, &file)
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
