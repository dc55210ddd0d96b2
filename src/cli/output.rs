//! Standard output and the terminal: width, colour, tables of text.

use super::error::CommandError;
use crate::disk::{DiskError, Existing, Readers, whole_file};
use crate::visit::Grade;
use indicatif::{ProgressBar, ProgressStyle};
use std::io::{IsTerminal, Write};
use std::path::Path;
use std::sync::Mutex;

/// Prints a result to standard output.
pub(super) fn print(text: &str) -> Result<(), CommandError> {
    print_bytes(text.as_bytes())
}

/// Writes bytes to standard output.
pub(super) fn print_bytes(bytes: &[u8]) -> Result<(), CommandError> {
    let mut out = std::io::stdout().lock();
    out.write_all(bytes)
        .and_then(|()| out.flush())
        .map_err(|e| CommandError::writing(Path::new("standard output"), &e))
}

/// Writes a file to standard output. A closed pipe is an error, because the file is incomplete.
pub(super) fn print_file(bytes: &[u8]) -> Result<(), CommandError> {
    print_bytes(bytes).map_err(|failure| match failure {
        CommandError::ClosedPipe => CommandError::CutOff,
        other => other,
    })
}

/// Writes a complete file or nothing.
pub(super) fn write(path: &Path, bytes: &[u8], force: bool) -> Result<(), CommandError> {
    let existing = if force {
        Existing::Replace
    } else {
        Existing::Keep
    };
    folder_exists(path)?;
    super::target::not_a_folder(path)?;
    whole_file(path, bytes, existing, Readers::AsUsual).map_err(|error| match error {
        DiskError::Permission { .. } => {
            CommandError::System(format!("{error}, or choose another folder with -o"))
        }
        other => other.into(),
    })
}

/// Refuses a file whose folder does not exist. The folder is not created, because its name may be
/// misspelled.
pub(super) fn folder_exists(path: &Path) -> Result<(), CommandError> {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() && !folder.exists() => {
            Err(CommandError::System(format!(
                "{} can't be written: the folder {} does not exist. Create it first, or choose \
                 another folder",
                path.display(),
                folder.display()
            )))
        }
        _ => Ok(()),
    }
}

/// Prints a message to standard error, above the progress bar if one is shown.
pub(super) fn say(text: &str) {
    // If standard error is closed, there is nowhere left to report it.
    let write = || drop(writeln!(std::io::stderr(), "{text}"));
    match SHOWN.lock().as_deref() {
        Ok(Some(bar)) => bar.suspend(write),
        _ => write(),
    }
}

/// The progress bar on the terminal, which messages must not interrupt.
static SHOWN: Mutex<Option<ProgressBar>> = Mutex::new(None);

/// Progress of a run over many files: a bar on a terminal, one line per file elsewhere.
pub(super) struct Bar {
    bar: Option<ProgressBar>,
}

impl Bar {
    /// A bar for this number of files.
    pub(super) fn new(files: usize) -> Self {
        let bar = std::io::stderr().is_terminal().then(|| {
            let bar = ProgressBar::new(files as u64);
            if let Ok(style) = ProgressStyle::with_template("{wide_bar} {pos}/{len}, {eta} left") {
                bar.set_style(style);
            }
            bar
        });
        if let Ok(mut shown) = SHOWN.lock() {
            shown.clone_from(&bar);
        }
        Self { bar }
    }

    /// Prints the line of a finished file if no bar is shown.
    pub(super) fn line(&self, text: &str) {
        if self.bar.is_none() {
            say(text);
        }
    }

    /// Counts one more file as done.
    pub(super) fn step(&self) {
        if let Some(bar) = &self.bar {
            bar.inc(1);
        }
    }

    /// Removes the bar.
    pub(super) fn finish(self) {
        if let Ok(mut shown) = SHOWN.lock() {
            *shown = None;
        }
        if let Some(bar) = self.bar {
            bar.finish_and_clear();
        }
    }
}

/// Whether to print colours: standard output is a terminal, and `NO_COLOR` is unset or empty.
pub(super) fn colour() -> bool {
    std::io::stdout().is_terminal()
        && std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty())
        && std::env::var_os("TERM").is_none_or(|t| t != "dumb")
}

/// A grade's word, coloured on a terminal. The word alone carries the meaning.
pub(super) fn grade(grade: Grade, width: usize, colour: bool) -> String {
    let word = format!("{:<width$}", grade.word());
    let code = match grade {
        Grade::Pass => "32",
        Grade::Note => "34",
        Grade::Watch => "33",
        Grade::Repair => "35",
        Grade::Stop => "1;31",
    };
    if colour {
        format!("\u{1b}[{code}m{word}\u{1b}[0m")
    } else {
        word
    }
}

/// Width at which text is wrapped, in characters.
pub(super) const WIDTH: usize = 96;

/// Wraps text at a width, and indents every line after the first.
pub(super) fn wrap(text: &str, width: usize, indent: usize) -> String {
    let mut out = String::with_capacity(text.len() + 16);
    let mut column = indent;
    for word in text.split(' ') {
        let n = word.chars().count();
        if column > indent && column + 1 + n > width {
            out.push('\n');
            out.extend(std::iter::repeat_n(' ', indent));
            column = indent;
        } else if column > indent {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += n;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::wrap;

    #[test]
    fn wraps_at_the_width_and_indents() {
        assert_eq!(wrap("one two three", 9, 2), "one two\n  three");
        assert_eq!(wrap("one", 2, 0), "one");
    }
}
