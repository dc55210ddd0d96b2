//! Many visits in one run: finds them, works on all processors, tells how far it is, counts.

use super::error::CommandError;
use super::{find, input, output, parallel};
use std::fs::FileType;
use std::path::{Path, PathBuf};

/// What became of one visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Done {
    /// A file was written.
    Written,
    /// The file there is of the same record; it was left.
    Unchanged,
}

/// What is said of a run's file, for the summary.
#[derive(Debug, Default, Clone, Copy)]
struct Count {
    written: usize,
    unchanged: usize,
    failed: usize,
    worst: u8,
}

/// Does `work` to every file; one that fails never stops the others. Gives the worst exit code.
///
/// On a terminal a bar shows how far the run is; elsewhere each file has its line.
pub(super) fn run(
    files: &[PathBuf],
    written: &str,
    work: impl Fn(&Path) -> Result<Done, CommandError> + Sync,
) -> u8 {
    let bar = output::Bar::new(files.len());
    let results = parallel::map(files, |file| {
        let result = work(file);
        match &result {
            Ok(done) => bar.line(&format!(
                "{}: {}",
                file.display(),
                match done {
                    Done::Written => written,
                    Done::Unchanged => "unchanged, left as it is",
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
    output::say(&format!(
        "{} {}: {} written, {} unchanged, {} not",
        files.len(),
        if files.len() == 1 { "visit" } else { "visits" },
        count.written,
        count.unchanged,
        count.failed
    ));
    count.worst
}

/// Whether these paths ask for a run over many: several, or a folder.
pub(super) fn many(paths: &[PathBuf]) -> bool {
    paths.len() != 1 || paths.iter().any(|p| p.is_dir())
}

/// The visit files that are meant, those in folders in the order of names.
///
/// # Errors
/// A folder cannot be read, or has no visit file.
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
        let read = parallel::map(&files, |file| is_visit(file));
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

/// Whether a YAML file is a visit file by its `visit:` section; a firm's rules and other YAML files
/// lie beside them.
fn is_visit(path: &Path) -> Result<bool, CommandError> {
    let bytes = input::beginning(path)?;
    Ok(bytes
        .split(|b| *b == b'\n')
        .any(|line| line.starts_with(b"visit:")))
}

/// Hidden folders are not looked into.
fn is_open(folder: &Path) -> bool {
    let name = folder.file_name().unwrap_or_default();
    !name.to_string_lossy().starts_with('.')
}
