//! From a path on the command line to an assessed visit: reads files and passes them to the stages.

use super::error::CommandError;
use super::{nearby, output};
use crate::assess::{self, Assessment, Earlier};
use crate::compose::attachments::digest_line;
use crate::compose::{Images, Wording};
use crate::photo::{Detail, Folder, Original, Placement, PreparedImage, Subject};
use crate::rules::{self, Rules};
use crate::typeset::{Printed, printed_width_mm};
use crate::visit::{self, ImageError, ImageFacts, Naming, Surroundings, Visit};
use chrono::NaiveDate;
use std::io::Read;
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

/// Reports a refused file at the place where the visit file names it. Further lines of the failure
/// say what to do.
pub(super) fn misnamed(
    why: CommandError,
    source: &str,
    path: &Path,
    naming: Naming,
) -> CommandError {
    let CommandError::Refused(text) = why else {
        return why;
    };
    let (message, help) = text.split_once('\n').unwrap_or((
        text.as_str(),
        "correct the name, or remove it from this file",
    ));
    let message = message.trim_end_matches('.').to_owned();
    let mut help = help.trim_end_matches('.').to_owned();
    if let Some(first) = help.get_mut(..1) {
        first.make_ascii_lowercase();
    }
    refused(visit::misnamed(source, &name(path), naming, message, help))
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
    // The certificate shows photos one below the other.
    let alone = visit.photos.len() == 1;
    Ok(Images {
        photos: visit
            .photos
            .iter()
            .map(|p| prepare(&p.file, Printed::Photo { alone }, Subject::Photo))
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

/// Prints the problems of a visit file and returns the failure that ends the command.
pub(super) fn refused(problems: visit::Diagnostics) -> CommandError {
    output::say(problems.to_string().trim_end());
    CommandError::Said(1)
}

fn name(path: &Path) -> String {
    if is_stream(path) {
        "standard input".to_owned()
    } else {
        path.display().to_string()
    }
}

fn is_stream(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// The folder of a file; the current folder for a bare file name and for standard input.
pub(super) fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// Reads a file or standard input of at most [`MAX_INPUT_BYTES`].
pub(super) fn read_bytes(path: &Path) -> Result<Vec<u8>, CommandError> {
    read_most(path, MAX_INPUT_BYTES)
}

/// Reads a file or standard input of at most `most` bytes.
fn read_most(path: &Path, most: u64) -> Result<Vec<u8>, CommandError> {
    let outcome = if is_stream(path) {
        read_within(std::io::stdin().lock(), 0, most + 1)
    } else {
        read_file(path, most + 1)
    };
    let bytes = outcome.map_err(|e| CommandError::reading(path, &e))?;
    if bytes.len() as u64 > most {
        return Err(CommandError::Refused(format!(
            "{}: larger than {} MiB, the limit for such a file",
            name(path),
            most >> 20
        )));
    }
    Ok(bytes)
}

/// Like [`read_within`], in one read if the file's length is known.
fn read_file(path: &Path, most: u64) -> std::io::Result<Vec<u8>> {
    let file = std::fs::File::open(path)?;
    let length = file.metadata()?.len();
    read_within(file, length, most)
}

/// Reads to the end, or at most `most` bytes, and never allocates more than that: a buffer that
/// doubles when it is full would request up to twice the limit.
fn read_within(mut from: impl Read, expected: u64, most: u64) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    // One byte more, so that the end is found without another allocation.
    let mut step = match expected {
        0 => 1 << 16, // not known
        length => length.saturating_add(1),
    };
    loop {
        step = step.min(most - bytes.len() as u64);
        bytes.try_reserve_exact(usize::try_from(step).unwrap_or(usize::MAX))?;
        let read = (&mut from).take(step).read_to_end(&mut bytes)? as u64;
        if read < step || bytes.len() as u64 == most {
            return Ok(bytes);
        }
        step = bytes.len() as u64;
    }
}

/// Largest file read into memory. Chosen so that a certificate with 200 photos fits.
const MAX_INPUT_BYTES: u64 = 512 << 20;

/// The beginning of a file, up to the maximum length of a visit file.
pub(super) fn beginning(path: &Path) -> Result<Vec<u8>, CommandError> {
    read_file(path, visit::limits::FILE_BYTES as u64).map_err(|e| CommandError::reading(path, &e))
}

/// Reads a visit file, a rules file or another text file.
pub(super) fn read_text(path: &Path) -> Result<String, CommandError> {
    text(read_most(path, visit::limits::FILE_BYTES as u64)?, path)
}

pub(super) fn text(bytes: Vec<u8>, path: &Path) -> Result<String, CommandError> {
    String::from_utf8(bytes).map_err(|e| {
        let line = 1 + e.as_bytes()[..e.utf8_error().valid_up_to()]
            .iter()
            .filter(|b| **b == b'\n')
            .count();
        CommandError::Refused(format!(
            "{}: line {line} is not UTF-8 text; save the file as UTF-8",
            name(path)
        ))
    })
}
