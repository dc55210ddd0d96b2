//! From a path on the command line to an assessed visit: reads files and passes them to the stages.

use super::bounded_read::{is_stream, name, read_text};
use super::error::CommandError;
use super::folders::folder_of;
use super::nearby;
use super::visit_problems::{misnamed, refused};
use crate::assess::{self, Assessment, Earlier};
use crate::compose::attachments::digest_line;
use crate::compose::document::Columns;
use crate::compose::{Images, Wording};
use crate::photo::{Detail, Folder, Original, Placement, PreparedImage, Subject};
use crate::rules::{self, Rules};
use crate::typeset::{Printed, printed_width_mm};
use crate::visit::{self, ImageError, ImageFacts, Naming, Surroundings, Visit};
use chrono::NaiveDate;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A visit that has been read, checked and assessed.
pub(super) struct Loaded {
    /// The text of the file.
    pub source: String,
    /// The parsed visit.
    pub visit: Visit,
    /// Its folder, with the images that were read.
    pub folder: Folder,
    /// Rule set in force.
    pub rules: RulesInForce,
    /// Texts of the earlier visits, in the order of the visit file.
    pub earlier: Vec<String>,
    /// The earlier visits, assessed.
    pub compared: Vec<Earlier>,
    /// The findings.
    pub assessment: Assessment,
}

impl Loaded {
    /// An image of the visit, as it was when it was first read.
    pub fn original(&self, file: &str) -> Result<Arc<Original>, CommandError> {
        self.folder
            .original(file)
            .map_err(|problem| CommandError::Refused(format!("{file} {problem}")))
    }
}

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

/// A rule set: built in, or from a firm's file.
pub(super) enum RulesInForce {
    /// Compiled into the program.
    BuiltIn(&'static Rules),
    /// From a file.
    File {
        /// The rules.
        rules: Box<Rules>,
        /// The text of the file, which the certificate embeds.
        source: String,
    },
}

impl RulesInForce {
    /// Parses the text of a rules file.
    fn from_file(source: String, path: &Path) -> Result<Self, CommandError> {
        let rules =
            rules::load(&source, &name(path)).map_err(|e| CommandError::Refused(e.to_string()))?;
        Ok(RulesInForce::File {
            rules: Box::new(rules),
            source,
        })
    }

    /// The rules, owned.
    pub fn into_rules(self) -> Rules {
        match self {
            RulesInForce::BuiltIn(rules) => rules.clone(),
            RulesInForce::File { rules, .. } => *rules,
        }
    }

    /// The rules.
    pub fn get(&self) -> &Rules {
        match self {
            RulesInForce::BuiltIn(rules) => rules,
            RulesInForce::File { rules, .. } => rules,
        }
    }
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
    let source = read_text(path)?;
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
    RulesInForce::from_file(source, path)
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
    RulesInForce::from_file(text, &file)
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

/// The images of a visit, ready for embedding, with photos at this level of detail.
pub(super) fn images(loaded: &Loaded, detail: Detail) -> Result<Images, CommandError> {
    let Loaded { visit, folder, .. } = loaded;
    let prepare = |path: &str, printed, subject| -> Result<PreparedImage, CommandError> {
        let prepared = folder.image(path).and_then(|facts| {
            let width_mm = printed_width_mm(printed, visit.print.paper, facts.width, facts.height);
            let placement = Placement {
                width_mm,
                detail: match subject {
                    Subject::Photo => detail,
                    Subject::LineArt => Detail::Print,
                },
                subject,
            };
            folder.prepare(path, placement)
        });
        prepared.map_err(|problem| CommandError::Refused(format!("{path} {problem}")))
    };
    let line_art = |path: &Option<String>, printed| {
        path.as_deref()
            .map(|p| prepare(p, printed, Subject::LineArt))
            .transpose()
    };
    let abreast = Columns::of_largest_photos(visit.photos.len(), visit.print.appendix);
    Ok(Images {
        photos: visit
            .photos
            .iter()
            .map(|p| prepare(&p.file, Printed::Photo { abreast }, Subject::Photo))
            .collect::<Result<_, _>>()?,
        logo: line_art(&visit.inspector.logo, Printed::Logo)?,
        signature: line_art(&visit.inspector.signature_image, Printed::Signature)?,
    })
}

/// Digests of the photos, as embedded in a certificate.
pub(super) fn photo_digests(loaded: &Loaded) -> Result<String, CommandError> {
    let mut text = String::new();
    for photo in &loaded.visit.photos {
        let original = loaded.original(&photo.file)?;
        text.push_str(&digest_line(&original.sha256(), &photo.file));
    }
    Ok(text)
}
