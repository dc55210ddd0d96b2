//! Problems in a file, described so that they can be fixed: where, what, and what to write instead;
//! all problems at once, in source order.

use super::source::{Excerpt, Source, Span};
use crate::quoted::shorten;

/// One problem in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// Its location; `None` for a problem with the file as a whole.
    pub place: Option<Excerpt>,
    /// What is wrong.
    pub message: String,
    /// What to write or do instead.
    pub help: String,
}

/// All problems in a file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct Diagnostics {
    /// The file's name as given by the caller.
    pub file: String,
    /// The first problems, in source order; at most 50.
    pub shown: Vec<Diagnostic>,
    /// Number of further problems.
    pub more: usize,
}

impl Diagnostic {
    /// The problem as printed, without a final newline.
    fn write(&self, file: &str, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match &self.place {
            None => writeln!(f, "{file}: {}", self.message)?,
            Some(place) => {
                writeln!(
                    f,
                    "{file}:{}:{}: {}",
                    place.line, place.column, self.message
                )?;
                let line = place.line.to_string();
                let gutter = " ".repeat(line.len());
                writeln!(f, "  {line} | {}", place.text)?;
                let (indent, marks) = (" ".repeat(place.indent), "^".repeat(place.width));
                writeln!(f, "  {gutter} | {indent}{marks}")?;
            }
        }
        write!(f, "  = {}", self.help)
    }
}

impl std::fmt::Display for Diagnostics {
    /// Every problem with its line and mark, then the number of those omitted.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (i, problem) in self.shown.iter().enumerate() {
            if i > 0 {
                f.write_str("\n\n")?;
            }
            problem.write(&self.file, f)?;
        }
        if self.more > 0 {
            write!(f, "\n\nand {} more", self.more)?;
        }
        Ok(())
    }
}

/// Problems while they are collected.
#[derive(Default)]
pub(crate) struct Problems {
    list: Vec<Problem>,
    dropped: usize,
}

struct Problem {
    span: Option<Span>,
    message: String,
    help: String,
}

/// Maximum number of problems printed in full; the rest are counted.
const SHOWN: usize = 50;

/// Maximum number of problems kept before those late in the file are dropped: a hostile file can
/// have hundreds of thousands.
const HELD: usize = 20 * SHOWN;

impl Problems {
    pub(crate) fn push(
        &mut self,
        span: Option<Span>,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.list.push(Problem {
            span,
            message: message.into(),
            help: help.into(),
        });
        if self.list.len() >= HELD {
            self.list.sort_by_key(|p| p.span);
            self.dropped += self.list.len() - SHOWN;
            self.list.truncate(SHOWN);
        }
    }

    /// Reports a duplicate key in a map; `line` is that of the first occurrence.
    pub(crate) fn push_twice(&mut self, at: Span, name: &str, line: usize) {
        self.push(
            Some(at),
            format!(
                "`{}` is repeated here; the first is in line {line}",
                shorten(name)
            ),
            "keep one of the two",
        );
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Sorts the problems and locates their lines.
    pub(crate) fn finish(mut self, file: &str, source: &Source<'_>) -> Diagnostics {
        self.list.sort_by_key(|p| p.span);
        let all = self.list.len() + self.dropped;
        self.list.truncate(SHOWN);
        let more = all - self.list.len();
        let shown = self
            .list
            .into_iter()
            .map(|p| Diagnostic {
                place: p.span.map(|span| source.excerpt(span)),
                message: p.message,
                help: p.help,
            })
            .collect();
        Diagnostics {
            file: file.to_owned(),
            shown,
            more,
        }
    }
}
