//! The text of a file and positions in it: from byte offsets to line and column, and to the line
//! itself in a form that a terminal can show.

use crate::quoted::is_invisible;
use unicode_width::UnicodeWidthChar;

/// Columns of a source line shown; longer lines are clipped around the caret.
const SHOWN: usize = 96;

/// Columns kept in front of the caret in a clipped line.
const BEFORE: usize = 40;

/// Width of a tab in columns.
const TAB: usize = 4;

/// A range of bytes in the source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Span {
    pub start: u32,
    pub end: u32,
}

impl Span {
    pub(crate) fn at(offset: usize) -> Self {
        Self::range(offset, offset)
    }

    pub(crate) fn range(start: usize, end: usize) -> Self {
        // Files have at most `limits::FILE_BYTES` bytes, far below the range of `u32`.
        let clamp = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Self {
            start: clamp(start),
            end: clamp(end),
        }
    }
}

/// The location of a problem, ready for display.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Excerpt {
    /// Line, starting at 1.
    pub line: usize,
    /// Column in characters, starting at 1.
    pub column: usize,
    /// The source line, with tabs and control characters replaced, clipped with `…` if long.
    pub text: String,
    /// Terminal columns before the marked part of `text`.
    pub indent: usize,
    /// Terminal columns of the marked part; at least one.
    pub width: usize,
}

/// A file's text with the offsets of its lines.
pub(crate) struct Source<'s> {
    pub text: &'s str,
    /// Byte offsets at which lines begin; `\n`, `\r\n` and a lone `\r` end a line, as in YAML.
    lines: Vec<usize>,
}

impl<'s> Source<'s> {
    pub(crate) fn new(text: &'s str) -> Self {
        let bytes = text.as_bytes();
        // A byte-order mark is not part of the first line.
        let mut lines = vec![if text.starts_with('\u{feff}') { 3 } else { 0 }];
        for (i, b) in bytes.iter().enumerate() {
            if *b == b'\n' || (*b == b'\r' && bytes.get(i + 1) != Some(&b'\n')) {
                lines.push(i + 1);
            }
        }
        Self { text, lines }
    }

    /// The text of a span; empty if it is out of range or splits a character.
    pub(crate) fn slice(&self, span: Span) -> &'s str {
        self.text
            .get(span.start as usize..span.end as usize)
            .unwrap_or("")
    }

    /// Index of the line that contains an offset.
    fn line_index(&self, offset: usize) -> usize {
        self.lines
            .partition_point(|start| *start <= offset)
            .saturating_sub(1)
    }

    /// Line number of an offset, starting at 1.
    pub(crate) fn line(&self, offset: u32) -> usize {
        self.line_index(offset as usize) + 1
    }

    /// Line, column and the line's text around a span.
    pub(crate) fn excerpt(&self, span: Span) -> Excerpt {
        let mut start = (span.start as usize).min(self.text.len());
        while !self.text.is_char_boundary(start) {
            start -= 1;
        }
        let index = self.line_index(start);
        let begin = self.lines.get(index).copied().unwrap_or(0).min(start);
        let end = self
            .lines
            .get(index + 1)
            .copied()
            .unwrap_or(self.text.len());
        let line = self
            .text
            .get(begin..end)
            .unwrap_or("")
            .trim_end_matches(['\n', '\r']);
        let mark_from = start - begin;
        let mark_to = (span.end as usize).saturating_sub(begin).min(line.len());

        // Cells: the terminal representation of each character.
        let mut text = String::new();
        let (mut column, mut indent, mut width, mut at) = (1, 0, 0, 0);
        for (i, c) in line.char_indices() {
            let cell = Cell::of(c);
            if i < mark_from {
                column += 1;
                indent += cell.width;
            } else if i < mark_to {
                width += cell.width;
            }
            text.push_str(cell.text(c, &mut [0; 4]));
            at += cell.width;
        }
        if mark_from >= line.len() {
            indent = at;
        }
        let width = width.max(1);
        let (text, indent, width) = clip(&text, at, indent, width);
        Excerpt {
            line: index + 1,
            column,
            text,
            indent,
            width,
        }
    }
}

/// The terminal representation of a character.
struct Cell {
    width: usize,
    shown: Option<&'static str>,
}

impl Cell {
    fn of(c: char) -> Self {
        match c {
            '\t' => Cell {
                width: TAB,
                shown: Some("    "),
            },
            c if c.is_control() || is_invisible(c) => Cell {
                width: 1,
                shown: Some("\u{fffd}"),
            },
            c => Cell {
                width: c.width().unwrap_or(0),
                shown: None,
            },
        }
    }

    fn text<'b>(&self, c: char, buffer: &'b mut [u8; 4]) -> &'b str {
        match self.shown {
            Some(s) => s,
            None => c.encode_utf8(buffer),
        }
    }
}

/// Clips a long line to the part around the mark.
fn clip(text: &str, total: usize, indent: usize, width: usize) -> (String, usize, usize) {
    if total <= SHOWN {
        return (text.to_owned(), indent, width);
    }
    // Move the left edge so that the line fills the available width.
    let left = indent
        .saturating_sub(BEFORE)
        .min(total.saturating_sub(SHOWN));
    let right = left + SHOWN;
    let mut out = String::new();
    let (mut at, mut first) = (0, None);
    for c in text.chars() {
        let w = c.width().unwrap_or(0);
        if at >= left && at + w <= right {
            first.get_or_insert(at);
            out.push(c);
        }
        at += w;
    }
    let first = first.unwrap_or(left);
    let mut indent = indent.saturating_sub(first);
    if left > 0 {
        out.insert(0, '…');
        indent += 1;
    }
    if total > right {
        out.push('…');
    }
    (out, indent, width.min(SHOWN.saturating_sub(indent).max(1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mark(text: &str, part: &str) -> String {
        let start = text.find(part).unwrap_or(text.len());
        let e = Source::new(text).excerpt(Span::range(start, start + part.len()));
        format!(
            "{}:{}\n{}\n{}{}",
            e.line,
            e.column,
            e.text,
            " ".repeat(e.indent),
            "^".repeat(e.width)
        )
    }

    #[test]
    fn marks_stand_under_what_they_mark() {
        assert_eq!(mark("a: 1\nb: 22\n", "22"), "2:4\nb: 22\n   ^^");
        assert_eq!(mark("a:\tx\n", "x"), "1:4\na:    x\n      ^");
        assert_eq!(mark("a: 漢字 x\n", "x"), "1:7\na: 漢字 x\n        ^");
        assert_eq!(mark("a: 漢字 x\n", "漢字"), "1:4\na: 漢字 x\n   ^^^^");
        assert_eq!(mark("é: °F\n", "°F"), "1:4\né: °F\n   ^^");
        assert_eq!(mark("\u{feff}a: 1\n", "1"), "1:4\na: 1\n   ^");
    }

    #[test]
    fn every_kind_of_line_end_counts() {
        assert_eq!(mark("a\r\nb\r\nc", "c"), "3:1\nc\n^");
        assert_eq!(mark("a\rb\rc", "c"), "3:1\nc\n^");
        assert_eq!(mark("a\n\nc", "c"), "3:1\nc\n^");
    }

    #[test]
    fn a_mark_past_the_end_stands_behind_the_line() {
        let source = Source::new("ab\n");
        let e = source.excerpt(Span::at(2));
        assert_eq!((e.line, e.column, e.indent, e.width), (1, 3, 2, 1));
        let e = source.excerpt(Span::at(99));
        assert_eq!((e.line, e.column), (2, 1));
    }

    #[test]
    fn a_mark_over_several_lines_ends_with_the_first() {
        assert_eq!(mark("a: b\n  c\n", "b\n  c"), "1:4\na: b\n   ^");
    }

    #[test]
    fn long_lines_are_clipped_around_the_mark() {
        let long = format!("{}MARK{}", "x".repeat(300), "y".repeat(300));
        let shown = mark(&long, "MARK");
        let mut lines = shown.lines().skip(1);
        let (text, caret) = (lines.next().unwrap_or(""), lines.next().unwrap_or(""));
        assert!(text.starts_with('…') && text.ends_with('…'));
        assert_eq!(text.chars().count(), SHOWN + 2);
        assert_eq!(
            text.find("MARK").map(|i| text[..i].chars().count()),
            caret.find('^')
        );
        assert_eq!(caret.trim_start(), "^^^^");
    }

    #[test]
    fn control_and_bidirectional_characters_are_shown_as_replaced() {
        assert_eq!(
            mark("a: \u{202e}b\u{7}c\n", "c"),
            "1:7\na: \u{fffd}b\u{fffd}c\n      ^"
        );
    }
}
