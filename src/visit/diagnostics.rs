//! What is wrong with a file, told so that it can be put right: where, what, and what to write
//! instead; all problems at once, in the order of the source.

use super::limits;
use super::source::{Excerpt, Source, Span};

/// One problem of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// Where it stands; `None` for a problem of the file as a whole.
    pub place: Option<Excerpt>,
    /// What is wrong.
    pub message: String,
    /// What to write or do instead.
    pub help: String,
}

/// All problems of a file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct Diagnostics {
    /// The file's name as the reader gave it.
    pub file: String,
    /// The first problems, in the order of the source; at most [`limits::PROBLEMS_SHOWN`].
    pub shown: Vec<Diagnostic>,
    /// How many there are besides.
    pub more: usize,
}

impl Diagnostic {
    /// The problem as it is printed, without a final newline.
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
    /// Every problem with its line and mark, then the count of those left out.
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

/// Problems while they are gathered.
#[derive(Default)]
pub(super) struct Problems {
    list: Vec<Problem>,
    dropped: usize,
}

struct Problem {
    span: Option<Span>,
    message: String,
    help: String,
}

/// Problems held before those late in the file are dropped: a hostile file has hundreds of
/// thousands.
const HELD: usize = 20 * limits::PROBLEMS_SHOWN;

impl Problems {
    pub(super) fn push(&mut self, span: Option<Span>, message: String, help: String) {
        self.list.push(Problem {
            span,
            message,
            help,
        });
        if self.list.len() >= HELD {
            self.list.sort_by_key(|p| p.span);
            self.dropped += self.list.len() - limits::PROBLEMS_SHOWN;
            self.list.truncate(limits::PROBLEMS_SHOWN);
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Puts them in order and finds their lines.
    pub(super) fn finish(mut self, file: &str, source: &Source<'_>) -> Diagnostics {
        self.list.sort_by_key(|p| p.span);
        let all = self.list.len() + self.dropped;
        self.list.truncate(limits::PROBLEMS_SHOWN);
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
