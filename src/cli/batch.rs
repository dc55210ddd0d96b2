//! Many visits in one run: finds them, processes them in parallel, reports progress and counts.

use super::bounded_read;
use super::error::CommandError;
use super::terminal;
use super::{find, workers};
use std::fs::FileType;
use std::path::{Path, PathBuf};

/// Result of one visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Done {
    /// A file was written.
    Written,
    /// The existing file has the same record and was kept.
    Unchanged,
}

/// Counts for the summary of a run.
#[derive(Debug, Default, Clone, Copy)]
struct Count {
    written: usize,
    unchanged: usize,
    failed: usize,
    worst: u8,
}

/// Runs `work` for every file, also after one has failed. Returns the worst exit code.
///
/// Progress is a bar on a terminal, and one line per file elsewhere.
pub(super) fn run(
    files: &[PathBuf],
    written: &str,
    work: impl Fn(&Path) -> Result<Done, CommandError> + Sync,
) -> u8 {
    let bar = terminal::Bar::new(files.len());
    let results = workers::map(files, |file| {
        let result = work(file);
        match &result {
            Ok(done) => bar.line(&format!(
                "{}: {}",
                file.display(),
                match done {
                    Done::Written => written,
                    Done::Unchanged => "unchanged, kept",
                }
            )),
            Err(failure) => failure.say(),
        }
        bar.step();
        result.map_err(|failure| failure.code())
    });
    bar.finish();
    let count = results.iter().fold(Count::default(), |mut count, result| {
        match result {
            Ok(Done::Written) => count.written += 1,
            Ok(Done::Unchanged) => count.unchanged += 1,
            Err(code) => {
                count.failed += 1;
                count.worst = count.worst.max(*code);
            }
        }
        count
    });
    terminal::say(&format!(
        "{} {}: {} written, {} unchanged, {} failed",
        files.len(),
        if files.len() == 1 { "visit" } else { "visits" },
        count.written,
        count.unchanged,
        count.failed
    ));
    count.worst
}

/// Whether these paths are more than one visit: several paths, or a folder.
pub(super) fn many(paths: &[PathBuf]) -> bool {
    paths.len() != 1 || paths.iter().any(|p| p.is_dir())
}

/// The visit files in `paths`; those in folders are sorted by name.
///
/// # Errors
/// A folder cannot be read, or contains no visit file.
pub(super) fn visits(paths: &[PathBuf]) -> Result<Vec<PathBuf>, CommandError> {
    let mut found = Vec::new();
    for path in paths {
        if !path.is_dir() {
            found.push(path.clone());
            continue;
        }
        let before = found.len();
        let mut files = Vec::new();
        find::below(path, &is_open, &is_yaml, &mut files)?;
        let read = workers::map(&files, |file| is_visit(file));
        for (file, is_visit) in files.into_iter().zip(read) {
            if is_visit? {
                found.push(file);
            }
        }
        if found.len() == before {
            return Err(CommandError::Refused(format!(
                "{}: no visit file in this folder (a .yaml file with a `visit:` section)",
                path.display()
            )));
        }
    }
    Ok(found)
}

fn is_yaml(path: &Path, kind: FileType) -> bool {
    kind.is_file() && find::is_of_kind(path, &["yaml", "yml"])
}

/// Whether a YAML file is a visit file: it has a `visit:` section. The same folder may contain a
/// firm's rules and other YAML files.
fn is_visit(path: &Path) -> Result<bool, CommandError> {
    let bytes = bounded_read::beginning(path)?;
    Ok(bytes
        .split(|b| *b == b'\n')
        .any(|line| line.starts_with(b"visit:")))
}

/// Hidden folders are skipped.
fn is_open(folder: &Path) -> bool {
    let name = folder.file_name().unwrap_or_default();
    !name.to_string_lossy().starts_with('.')
}
