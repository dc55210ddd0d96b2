//! What is wrong with a file, told so that it can be put right: where, what, and what to write
//! instead; all problems at once, in the order of the source.

use super::source::{Excerpt, Source, Span, is_invisible};

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
    /// The first problems, in the order of the source; at most 50.
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
pub(crate) struct Problems {
    list: Vec<Problem>,
    dropped: usize,
}

struct Problem {
    span: Option<Span>,
    message: String,
    help: String,
}

/// Problems printed in full; the rest is counted.
const SHOWN: usize = 50;

/// Problems held before those late in the file are dropped: a hostile file has hundreds of
/// thousands.
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

    /// Reports a key that a map has twice; `line` is that of the first.
    pub(crate) fn push_twice(&mut self, at: Span, name: &str, line: usize) {
        self.push(
            Some(at),
            format!(
                "`{}` stands here a second time; the first is in line {line}",
                shorten(name)
            ),
            "keep one of the two",
        );
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Puts them in order and finds their lines.
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

/// Characters of a text that a message quotes.
const QUOTED: usize = 40;

/// A text as a message quotes it: without control characters, cut when long.
pub(crate) fn shorten(text: &str) -> String {
    let mut out: String = text
        .chars()
        .take(QUOTED)
        .map(|c| {
            if c.is_control() || is_invisible(c) {
                char::REPLACEMENT_CHARACTER
            } else {
                c
            }
        })
        .collect();
    if text.chars().nth(QUOTED).is_some() {
        out.push('…');
    }
    out
}
