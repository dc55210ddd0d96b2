//! What can be wrong with a rules file, in words for the person who wrote it.

use super::tree::{Mark, Origin};
use std::fmt;

/// Most problems told at once; the rest is counted.
const MAX_TOLD: usize = 50;

/// Why a rules file was not taken.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RulesError {
    /// The file is larger than any rule set can be.
    #[error("{name}: has {bytes} bytes; a rules file has at most {limit}")]
    TooLarge {
        /// Name of the file.
        name: String,
        /// Its size.
        bytes: usize,
        /// The bound.
        limit: usize,
    },
    /// One or more places are wrong.
    #[error("{}", told(name, problems, source_text))]
    Problems {
        /// Name of the file.
        name: String,
        /// All of them, in the file's order.
        problems: Vec<Problem>,
        /// Text of the file, for quoting.
        source_text: String,
    },
}

/// One wrong place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    pub(super) mark: Mark,
    pub(super) path: String,
    pub(super) what: String,
    pub(super) hint: String,
}

impl Problem {
    /// Line, from 1; 0 when the place is not in the file itself.
    pub fn line(&self) -> u32 {
        self.mark.line
    }
    /// Column, from 1; 0 when the place is not in the file itself.
    pub fn column(&self) -> u32 {
        self.mark.column
    }
    /// Dotted path of the threshold, empty for the file as a whole.
    pub fn path(&self) -> &str {
        &self.path
    }
    /// What is wrong; completes the path or the file's name to a sentence.
    pub fn what(&self) -> &str {
        &self.what
    }
    /// What to write instead.
    pub fn hint(&self) -> &str {
        &self.hint
    }
}

/// All problems, each with position, quoted line, caret and what to write.
fn told(name: &str, problems: &[Problem], source: &str) -> impl fmt::Display {
    use std::fmt::Write;
    let mut out = String::new();
    for (i, p) in problems.iter().take(MAX_TOLD).enumerate() {
        if i > 0 {
            out.push('\n');
        }
        let subject = if p.path.is_empty() {
            "this file"
        } else {
            &p.path
        };
        // Writing to a String does not fail.
        let _ = match (p.mark.origin, p.mark.line) {
            (_, 0) => write!(out, "{name}: {subject} {}", p.what),
            (Origin::Firm | Origin::BuiltIn, line) => {
                write!(out, "{name}:{line}:{}: {subject} {}", p.mark.column, p.what)
            }
        };
        let line = usize::try_from(p.mark.line)
            .ok()
            .and_then(|n| n.checked_sub(1))
            .and_then(|n| source.lines().nth(n));
        if let Some(line) = line {
            let before: String = line
                .chars()
                .take(p.mark.column.saturating_sub(1) as usize)
                .map(|c| if c == '\t' { '\t' } else { ' ' })
                .collect();
            let _ = write!(out, "\n  | {line}\n  | {before}^");
        }
        let _ = write!(out, "\n  = {}", p.hint);
    }
    if problems.len() > MAX_TOLD {
        let _ = write!(out, "\nand {} more", problems.len() - MAX_TOLD);
    }
    out
}
