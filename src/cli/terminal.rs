//! The terminal: messages, progress, width and colour.

use crate::visit::Grade;
use indicatif::{ProgressBar, ProgressStyle};
use std::io::{IsTerminal, Write};
use std::sync::Mutex;

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
