//! `warmlug fill --all`: copies a day's sheets from phones into their visit files, and certifies
//! every visit that is complete then. An interrupted run can simply be repeated.

use super::batch::Done;
use super::bounded_read::{read_text, text};
use super::certify::Certify;
use super::error::CommandError;
use super::fill_one::{One, Sheet, sheet};
use super::find;
use super::firm;
use super::input;
use super::output;
use crate::firm::file_name::folder_name;
use crate::next::saved_page::Saved;
use crate::record::accepted;
use crate::visit::Visit;
use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// The folders of a run.
pub(super) struct Folders<'a> {
    /// Folder with the zips.
    pub(super) sheets: &'a Path,
    /// Folder with the visit files.
    pub(super) visits: &'a Path,
    /// Whether sections that a file already has are replaced.
    pub(super) replace: bool,
}

/// The result for one zip.
struct Taken {
    site: String,
    number: String,
    outcome: Outcome,
}

enum Outcome {
    /// The certificate at this path was written, or existed already.
    Certified(PathBuf, Done),
    /// The visit is in its file; what is left to do is listed.
    NotComplete(PathBuf, usize),
    /// It could not be copied.
    Refused(String),
}

/// Takes every zip of a folder.
///
/// # Errors
/// A folder cannot be read, or has no zip.
pub(super) fn run(folders: &Folders<'_>) -> Result<ExitCode, CommandError> {
    let mut zips = Vec::new();
    find::below(
        folders.sheets,
        &visible,
        &|path, kind| kind.is_file() && find::is_of_kind(path, &["zip"]),
        &mut zips,
    )?;
    if zips.is_empty() {
        return Err(CommandError::Refused(format!(
            "{}: there is no zip in this folder; copy those that the phones saved into it",
            folders.sheets.display()
        )));
    }
    let known = visits(folders.visits)?;
    let mut by_site: BTreeMap<String, Vec<(PathBuf, Taken)>> = BTreeMap::new();
    let mut refused = false;
    for zip in zips {
        let taken = take(&zip, &known, folders);
        refused |= matches!(taken.outcome, Outcome::Refused(_));
        by_site
            .entry(taken.site.clone())
            .or_default()
            .push((zip, taken));
    }
    output::print(&listing(&by_site))?;
    Ok(if refused {
        ExitCode::FAILURE
    } else {
        ExitCode::SUCCESS
    })
}

fn visible(path: &Path) -> bool {
    let name = path.file_name().map(|n| n.to_string_lossy());
    name.is_some_and(|name| !name.starts_with('.'))
}

/// The visit files below a folder, by number.
fn visits(folder: &Path) -> Result<HashMap<String, Vec<PathBuf>>, CommandError> {
    let mut files = Vec::new();
    find::below(
        folder,
        &visible,
        &|path, kind| kind.is_file() && find::is_of_kind(path, &["yaml", "yml"]),
        &mut files,
    )?;
    let mut out: HashMap<String, Vec<PathBuf>> = HashMap::new();
    for path in files {
        // Other files, such as the firm's own rules, are not visits.
        let read = read_text(&path).and_then(|source| firm::filled(source, &path));
        let visit = read
            .ok()
            .and_then(|source| accepted::read(&source, "visit").ok());
        if let Some(visit) = visit {
            out.entry(visit.number).or_default().push(path);
        }
    }
    Ok(out)
}

fn take(zip: &Path, known: &HashMap<String, Vec<PathBuf>>, folders: &Folders<'_>) -> Taken {
    let mut taken = Taken {
        site: String::new(),
        number: String::new(),
        outcome: Outcome::Refused(String::new()),
    };
    let result = (|| {
        let (visit, source, saved) = open(zip)?;
        taken.site.clone_from(&visit.site.name);
        taken.number.clone_from(&visit.number);
        let path = match known.get(&visit.number).map(Vec::as_slice) {
            Some([path]) => path.clone(),
            Some(several) => {
                let named: Vec<String> = several.iter().map(|p| p.display().to_string()).collect();
                return Err(CommandError::Refused(format!(
                    "the number {} is that of several visit files: {}; give each its own",
                    visit.number,
                    named.join(", ")
                )));
            }
            None => begun(&visit, &source, folders.visits)?,
        };
        // The zip is opened again, so that both ways of filling in a sheet use the same code.
        drop(saved);
        let one = One {
            visit: path.clone(),
            sheet: zip.to_owned(),
            output: None,
            replace: folders.replace,
            force: false,
        };
        one.fill()?;
        let loaded = input::load(&path, None)?;
        if !loaded.assessment.complete {
            let left = loaded.assessment.limitations.len();
            return Ok(Outcome::NotComplete(path, left));
        }
        let certify = Certify::as_usual(&path)?;
        let (done, target) = certify.filed(&path, true)?;
        Ok(Outcome::Certified(target, done))
    })();
    taken.outcome =
        result.unwrap_or_else(|failure: CommandError| Outcome::Refused(failure.to_string()));
    taken
}

/// The visit in a zip, its text, and the zip.
fn open(zip: &Path) -> Result<(Visit, String, Saved), CommandError> {
    let refused = |e: &dyn std::fmt::Display| CommandError::Refused(e.to_string());
    let Sheet::Zip(source) = sheet(zip)? else {
        return Err(CommandError::Refused("this is not a zip file".to_owned()));
    };
    let mut saved = Saved::open(source).map_err(|e| refused(&e))?;
    let source = saved.visit().map_err(|e| refused(&e))?;
    let visit = accepted::read(&source, "visit.yaml in the zip").map_err(|e| refused(&e))?;
    Ok((visit, source, saved))
}

/// Creates the file of a visit that exists only on the phone, in a folder named after its number.
fn begun(visit: &Visit, source: &str, visits: &Path) -> Result<PathBuf, CommandError> {
    let name: String = visit
        .number
        .chars()
        .map(|c| {
            if c.is_alphanumeric() || c == '-' {
                c
            } else {
                '-'
            }
        })
        .collect();
    let folder = visits.join(folder_name(name.trim_matches('-')));
    let path = folder.join("visit.yaml");
    std::fs::create_dir_all(&folder).map_err(|e| CommandError::writing(&folder, &e))?;
    if path.symlink_metadata().is_ok() {
        let there = text(std::fs::read(&path).unwrap_or_default(), &path)?;
        if there == source {
            return Ok(path);
        }
    }
    output::write(&path, source.as_bytes(), false)?;
    Ok(path)
}

/// The results, by site.
fn listing(by_site: &BTreeMap<String, Vec<(PathBuf, Taken)>>) -> String {
    let mut out = String::new();
    for (site, all) in by_site {
        out.push_str(if site.is_empty() {
            "no site known"
        } else {
            site
        });
        out.push('\n');
        for (zip, taken) in all {
            let what = match &taken.outcome {
                Outcome::Certified(path, Done::Written) => {
                    format!("certified: {}", path.display())
                }
                Outcome::Certified(path, Done::Unchanged) => {
                    format!("certified before: {}", path.display())
                }
                Outcome::NotComplete(path, left) => format!(
                    "not complete, {left} {} left out: warmlug check {}",
                    if *left == 1 { "thing" } else { "things" },
                    path.display()
                ),
                Outcome::Refused(why) => {
                    let why = why.replace('\n', "\n      ");
                    format!("not copied ({}): {why}", zip.display())
                }
            };
            out.push_str(&format!("  {}  {what}\n", taken.number));
        }
    }
    out
}
