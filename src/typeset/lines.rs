//! Breaks text into lines: where Unicode allows it (UAX #14), first fit, ragged right.
//!
//! A word is divided where its language allows it when it is wider than the whole line, or when it
//! is long and would leave much of the line empty. Where no division fits, it is broken between
//! characters.

use std::cell::OnceCell;

use unicode_linebreak::{BreakOpportunity, linebreaks};

use super::face::{CAP_HEIGHT, Faces, SOFT_HYPHEN, Weight};
use super::ink::{Mark, Owner, Shape};
use super::sheet::Style;
use super::signal;
use crate::compose::document::{Signal, Span, Text};

/// Stands for a mark in the text to break, and stays with the word that follows.
const PLACE_OF_MARK: char = '\u{A0}';
/// Size of a mark in ems of its text.
const MARK_SIZE: f32 = 0.92;
/// Width of a mark with the space after it, in ems.
const MARK_WIDTH: f32 = 1.28;
/// Width of a digit in a field, in ems: writing with a pen needs more space than print.
const WRITTEN_FIGURE: f32 = 0.6;

/// A word is divided when it would leave more than this share of the line empty,
const EMPTY: f32 = 0.3;
/// and when it is itself wider than this share of it: a short word goes to the next line.
const LONG: f32 = 0.45;
/// and neither part of it then has fewer letters: “co-rriente” in a narrow column helps nobody.
const LEAST_PART: usize = 4;
/// Letters of the shortest word that is divided.
const LETTERS: usize = 8;
/// A column should not divide words up to this width, in ems: “Bemessungsstrom” fits.
const UNDIVIDED: f32 = 8.0;

/// Slack for comparing a sum of widths with another such sum.
const ROUNDING: f32 = 0.01;

/// A line of text.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Line {
    /// From left to right.
    pub runs: Vec<Run>,
    /// Width without trailing spaces.
    pub width: f32,
    /// Whether a space or a line end of the text was dropped at its end.
    pub spaced: bool,
}

/// A run of characters of one look, a mark, or a form field.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Run {
    /// From the left end of the line.
    pub x: f32,
    /// Width.
    pub width: f32,
    /// Index of the span that it came from.
    pub span: usize,
    /// What it is.
    pub kind: RunKind,
}

/// Kind of a run.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum RunKind {
    /// Characters.
    Text(Weight, String),
    /// A mark.
    Signal(Signal),
    /// A form field, whose place is left empty.
    Field,
}

/// The text with one entry per character.
struct Flat {
    characters: String,
    /// Byte where it begins, width, span, and the mark or field that it stands for.
    cells: Vec<Cell>,
}

struct Cell {
    byte: usize,
    width: f32,
    /// Size of its type.
    size: f32,
    span: usize,
    weight: Weight,
    symbol: Option<Symbol>,
}

/// A symbol that does not consist of characters.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Symbol {
    Signal(Signal),
    Field,
}

impl Symbol {
    /// The symbol that a span begins with, and its width.
    fn of(span: &Span, style: Style) -> Option<(Symbol, f32)> {
        if let Some(field) = &span.field {
            let width = f32::from(field.figures) * WRITTEN_FIGURE * style.size;
            return Some((Symbol::Field, width));
        }
        let signal = span.signal?;
        Some((Symbol::Signal(signal), MARK_WIDTH * style.size))
    }

    const fn kind(self) -> RunKind {
        match self {
            Symbol::Signal(signal) => RunKind::Signal(signal),
            Symbol::Field => RunKind::Field,
        }
    }
}

fn flatten(faces: &Faces, text: &Text, style: Style) -> Flat {
    let length = text.0.iter().map(|part| part.text.len() + 2).sum();
    let mut flat = Flat {
        characters: String::with_capacity(length),
        cells: Vec::with_capacity(length),
    };
    for (span, part) in text.0.iter().enumerate() {
        let weight = weight(part, style);
        if let Some((symbol, width)) = Symbol::of(part, style) {
            flat.cells.push(Cell {
                byte: flat.characters.len(),
                width,
                size: style.size,
                span,
                weight,
                symbol: Some(symbol),
            });
            flat.characters.push(PLACE_OF_MARK);
        }
        for c in part.text.chars() {
            let c = without_tab(c);
            flat.cells.push(Cell {
                byte: flat.characters.len(),
                width: faces.advance(weight, c, &part.text) * style.size,
                size: style.size,
                span,
                weight,
                symbol: None,
            });
            flat.characters.push(c);
        }
    }
    flat
}

/// Measures a text on one line and reports each run: where it begins, its width, the index of its
/// span, and the text or mark that it is. Gives the width without trailing spaces, or nothing
/// where a line ends within the text or it is wider than the width given.
fn on_one_line<'t>(
    faces: &Faces,
    text: &'t Text,
    style: Style,
    width: f32,
    mut tell: impl FnMut(f32, f32, usize, Piece<'t>),
) -> Option<f32> {
    let room = width + ROUNDING;
    let ink = |span: &'t Span| span.text.trim_end_matches(is_blank);
    let last = text
        .0
        .iter()
        .rposition(|s| s.signal.is_some() || s.field.is_some() || !ink(s).is_empty());
    let mut x = 0.0;
    for (index, span) in text.0.iter().enumerate().take(last.map_or(0, |i| i + 1)) {
        if let Some((symbol, width)) = Symbol::of(span, style) {
            tell(x, width, index, Piece::Symbol(symbol));
            x += width;
        }
        let words = if Some(index) == last {
            ink(span)
        } else {
            &span.text
        };
        if words.is_empty() {
            continue;
        }
        let weight = weight(span, style);
        let mut width = 0.0;
        for character in words.chars() {
            if ends_line(character) {
                return None;
            }
            let character = without_tab(character);
            width += faces.advance(weight, character, &span.text) * style.size;
        }
        if x + width > room {
            return None;
        }
        tell(x, width, index, Piece::Text(weight, words));
        x += width;
    }
    (x <= room).then_some(x)
}

/// The parts of a line while it is measured.
enum Piece<'t> {
    Text(Weight, &'t str),
    Symbol(Symbol),
}

fn weight(span: &Span, style: Style) -> Weight {
    if span.strong {
        Weight::Strong
    } else {
        style.weight
    }
}

/// A tab is printed as a space.
const fn without_tab(character: char) -> char {
    if character == '\t' { ' ' } else { character }
}

const fn is_blank(character: char) -> bool {
    matches!(character, ' ' | '\t')
}

/// Breaks a text for a width. A line always gets at least one character, however narrow it is.
pub(super) fn break_lines(faces: &Faces, text: &Text, style: Style, width: f32) -> Vec<Line> {
    // Most texts fit on one line, and need no search for break opportunities.
    let mut runs = Vec::with_capacity(text.0.len());
    let one = on_one_line(faces, text, style, width, |x, width, span, piece| {
        let kind = match piece {
            Piece::Text(weight, words) => RunKind::Text(weight, words.replace('\t', " ")),
            Piece::Symbol(symbol) => symbol.kind(),
        };
        runs.push(Run {
            x,
            width,
            span,
            kind,
        });
    });
    match one {
        Some(width) => vec![Line {
            runs,
            width,
            spaced: false,
        }],
        None => several_lines(faces, text, style, width),
    }
}

fn several_lines(faces: &Faces, text: &Text, style: Style, width: f32) -> Vec<Line> {
    let room = width + ROUNDING;
    let flat = flatten(faces, text, style);
    let bytes = flat.characters.as_bytes();
    let is_space = |i: usize| {
        flat.cells[i].symbol.is_none()
            && matches!(bytes.get(flat.cells[i].byte), Some(b' ' | b'\n' | b'\r'))
    };
    let mut lines = Vec::new();
    let mut start = 0; // first cell of the line
    let mut used = 0.0; // width from start to the word
    let mut word = 0; // first cell of the word
    for (byte, opportunity) in linebreaks(&flat.characters) {
        let next = flat.cells.partition_point(|c| c.byte < byte);
        let mut ink_end = next;
        while ink_end > word && is_space(ink_end - 1) {
            ink_end -= 1;
        }
        // Divisions are determined only for the few words that do not fit.
        let divisions = OnceCell::new();
        // The rest of the word, after parts of it went to lines.
        let mut from = word;
        loop {
            let ink: f32 = flat.cells[from..ink_end].iter().map(|c| c.width).sum();
            if used + ink <= room {
                used += ink;
                break;
            }
            let empty = from > start && room - used > EMPTY * width && ink > LONG * width;
            let part = match (ink > room, empty) {
                (true, _) => 1,
                (false, true) => LEAST_PART,
                (false, false) => usize::MAX,
            };
            let divisions = (part < usize::MAX)
                .then(|| divisions.get_or_init(|| Divisions::of(faces, &flat, word..ink_end)));
            let fits =
                divisions.and_then(|d| Some((d, d.last_that_fits(&flat, from, room - used)?)));
            if let Some((divisions, at)) =
                fits.filter(|(_, at)| at - from >= part && ink_end - at >= part)
            {
                let mut divided = line(&flat, start, at, &is_space);
                divisions.mark(&mut divided, &flat, at);
                lines.push(divided);
                start = at;
            } else if from > start {
                lines.push(line(&flat, start, from, &is_space));
                start = from;
            } else {
                // Wider than a whole line and not to be divided: break between characters.
                for i in from..ink_end {
                    if used + flat.cells[i].width > room && i > start {
                        lines.push(line(&flat, start, i, &is_space));
                        start = i;
                        used = 0.0;
                    }
                    used += flat.cells[i].width;
                }
                break;
            }
            from = start;
            used = 0.0;
        }
        used += flat.cells[ink_end..next]
            .iter()
            .map(|c| c.width)
            .sum::<f32>();
        word = next;
        if opportunity == BreakOpportunity::Mandatory {
            lines.push(line(&flat, start, next, &is_space));
            start = next;
            used = 0.0;
        }
    }
    // A text that ends with a line end has no empty last line.
    if start < flat.cells.len() || lines.is_empty() {
        lines.push(line(&flat, start, flat.cells.len(), &is_space));
    }
    lines
}

/// Where a word may be divided.
struct Divisions {
    /// Cells that may be the first on the next line, ascending.
    at: Vec<usize>,
    /// Width of the hyphen in each weight.
    hyphen: [f32; 2],
}

impl Divisions {
    /// Finds the divisions in the cells of one word. Only runs of letters of a language are
    /// divided, not digits, signs or words in capitals.
    fn of(faces: &Faces, flat: &Flat, word: std::ops::Range<usize>) -> Divisions {
        let mut divisions = Divisions {
            at: Vec::new(),
            hyphen: [0.0; 2],
        };
        let Some(language) = faces.language().filter(|_| word.len() >= LETTERS) else {
            return divisions;
        };
        let cells = &flat.cells[word.clone()];
        let is_letter = |c: &Cell| {
            c.symbol.is_none()
                && flat.characters[c.byte..]
                    .chars()
                    .next()
                    .is_some_and(char::is_alphabetic)
        };
        for run in cells.chunk_by(|a, b| is_letter(a) == is_letter(b)) {
            let (Some(first), true) = (run.first(), run.len() >= LETTERS) else {
                continue;
            };
            if !is_letter(first) {
                continue;
            }
            let index = flat.cells.partition_point(|c| c.byte < first.byte);
            let end = flat
                .cells
                .get(index + run.len())
                .map_or(flat.characters.len(), |c| c.byte);
            let letters = &flat.characters[first.byte..end];
            if letters.chars().skip(1).any(char::is_uppercase) {
                continue;
            }
            for division in language.divisions(letters) {
                let byte = first.byte + division;
                let at = flat.cells.partition_point(|c| c.byte < byte);
                divisions.at.push(at);
            }
        }
        if let Some(size) = cells.first().map(|c| c.size) {
            divisions.hyphen =
                [Weight::Regular, Weight::Strong].map(|w| faces.advance(w, SOFT_HYPHEN, "") * size);
        }
        divisions
    }

    /// Width of the hyphen behind the cell before a division.
    fn hyphen(&self, flat: &Flat, at: usize) -> f32 {
        match flat.cells.get(at.wrapping_sub(1)).map(|c| c.weight) {
            Some(Weight::Strong) => self.hyphen[1],
            _ => self.hyphen[0],
        }
    }

    /// The last division behind a cell whose first part fits.
    fn last_that_fits(&self, flat: &Flat, from: usize, room: f32) -> Option<usize> {
        self.at
            .iter()
            .copied()
            .filter(|at| *at > from)
            .take_while(|at| {
                let part: f32 = flat.cells[from..*at].iter().map(|c| c.width).sum();
                part + self.hyphen(flat, *at) <= room
            })
            .last()
    }

    /// Puts the hyphen at the end of a line that was divided.
    fn mark(&self, line: &mut Line, flat: &Flat, at: usize) {
        let width = self.hyphen(flat, at);
        if let Some(run) = line.runs.last_mut()
            && let RunKind::Text(_, text) = &mut run.kind
        {
            text.push(SOFT_HYPHEN);
            run.width += width;
            line.width += width;
        }
    }

    /// Width of the widest part if a word is divided into parts that fit into a width as far as
    /// possible.
    fn widest_part(&self, flat: &Flat, word: std::ops::Range<usize>, within: f32) -> f32 {
        let mut widest = 0.0_f32;
        let mut from = word.start;
        loop {
            let rest: f32 = flat.cells[from..word.end].iter().map(|c| c.width).sum();
            // The longest part that fits, otherwise the shortest.
            let at = self
                .last_that_fits(flat, from, within)
                .or_else(|| self.at.iter().copied().find(|at| *at > from));
            match at {
                Some(at) if rest > within => {
                    let part: f32 = flat.cells[from..at].iter().map(|c| c.width).sum();
                    widest = widest.max(part + self.hyphen(flat, at));
                    from = at;
                }
                _ => return widest.max(rest),
            }
        }
    }
}

/// Whether a line ends after a character in any case (UAX #14, LB4 and LB5).
fn ends_line(character: char) -> bool {
    matches!(
        character,
        '\n' | '\u{B}' | '\u{C}' | '\r' | '\u{85}' | '\u{2028}' | '\u{2029}'
    )
}

fn line(flat: &Flat, start: usize, mut end: usize, is_space: &impl Fn(usize) -> bool) -> Line {
    let last = end;
    while end > start && is_space(end - 1) {
        end -= 1;
    }
    let mut made = Line {
        spaced: end < last,
        ..Line::default()
    };
    let mut at = start;
    while let Some(first) = flat.cells[..end].get(at) {
        // Characters of one span and weight make one run; a mark is a run of its own.
        let mut next = at + 1;
        let mut width = first.width;
        let kind = if let Some(symbol) = first.symbol {
            symbol.kind()
        } else {
            let alike =
                |c: &Cell| c.symbol.is_none() && c.span == first.span && c.weight == first.weight;
            while let Some(cell) = flat.cells[..end].get(next).filter(|c| alike(c)) {
                width += cell.width;
                next += 1;
            }
            let stop = flat
                .cells
                .get(next)
                .map_or(flat.characters.len(), |c| c.byte);
            RunKind::Text(first.weight, flat.characters[first.byte..stop].to_owned())
        };
        made.runs.push(Run {
            x: made.width,
            width,
            span: first.span,
            kind,
        });
        made.width += width;
        at = next;
    }
    made
}

/// Width of a text on one line.
pub(super) fn natural_width(faces: &Faces, text: &Text, style: Style) -> f32 {
    on_one_line(faces, text, style, f32::MAX, |_, _, _, _| {}).unwrap_or_else(|| {
        let lines = several_lines(faces, text, style, f32::MAX);
        lines.iter().map(|l| l.width).fold(0.0, f32::max)
    })
}

/// As much of a text as has room on one line, with an ellipsis for the rest.
pub(super) fn shortened(text: &str, room: f32, width: &impl Fn(&str) -> f32) -> String {
    if width(text) <= room {
        return text.to_owned();
    }
    let mut end = text.len();
    while let Some((at, _)) = text.get(..end).and_then(|t| t.char_indices().next_back()) {
        end = at;
        let short = format!("{}…", text.get(..end).unwrap_or_default().trim_end());
        if width(&short) <= room {
            return short;
        }
    }
    String::new()
}

/// Width of the widest unbreakable part of a text: its widest word, where a very long word counts
/// as divided.
pub(super) fn least_width(faces: &Faces, text: &Text, style: Style) -> f32 {
    let flat = flatten(faces, text, style);
    let bytes = flat.characters.as_bytes();
    let mut widest = 0.0_f32;
    let mut word = 0;
    for (byte, _) in linebreaks(&flat.characters) {
        let next = flat.cells.partition_point(|c| c.byte < byte);
        let mut end = next;
        while end > word
            && flat.cells[end - 1].symbol.is_none()
            && matches!(bytes.get(flat.cells[end - 1].byte), Some(b' ' | b'\n'))
        {
            end -= 1;
        }
        let mut ink: f32 = flat.cells[word..end].iter().map(|c| c.width).sum();
        let undivided = UNDIVIDED * style.size;
        if ink > undivided {
            ink = Divisions::of(faces, &flat, word..end).widest_part(&flat, word..end, undivided);
        }
        widest = widest.max(ink);
        word = next;
    }
    widest
}

/// Draws a line with its base line at `y`. `owner` gives the node of a span. The space at which the
/// line was broken is drawn too, so that extracted text has a word break there (ISO 32000-1,
/// 14.8.2.5).
pub(super) fn draw(
    marks: &mut Vec<Mark>,
    line: Line,
    x: f32,
    y: f32,
    style: Style,
    owner: &impl Fn(usize) -> Owner,
) {
    let mut line = line;
    if line.spaced
        && let Some(Run {
            kind: RunKind::Text(_, text),
            ..
        }) = line.runs.last_mut()
    {
        text.push(' ');
    }
    for run in line.runs {
        match run.kind {
            RunKind::Text(weight, text) => marks.push(Mark {
                owner: owner(run.span),
                shape: Shape::Text {
                    x: x + run.x,
                    y,
                    weight,
                    size: style.size,
                    colour: style.colour,
                    text,
                },
            }),
            // The word beside it says the same.
            RunKind::Signal(signal) => {
                let size = MARK_SIZE * style.size;
                let middle = y - CAP_HEIGHT * style.size / 2.0;
                signal::draw(
                    marks,
                    Owner::Artifact,
                    signal,
                    x + run.x + size / 2.0,
                    middle,
                    size,
                );
            }
            RunKind::Field => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::typeset::sheet::BODY;

    fn broken(text: &str, width: f32) -> Vec<String> {
        let faces = Faces::new().unwrap();
        break_lines(&faces, &Text::plain(text), BODY, width)
            .iter()
            .map(|l| {
                let line: String = l
                    .runs
                    .iter()
                    .map(|r| match &r.kind {
                        RunKind::Text(_, t) => t.clone(),
                        RunKind::Signal(_) | RunKind::Field => "*".into(),
                    })
                    .collect();
                assert!(
                    l.width <= width + 0.02 || line.chars().count() == 1,
                    "{line}"
                );
                line
            })
            .collect()
    }

    #[test]
    fn lines_break_at_spaces_and_after_hyphens() {
        assert_eq!(
            broken("Breaker terminals, garage panel", 100.0),
            ["Breaker terminals,", "garage panel"]
        );
        assert_eq!(broken("breaker-terminals", 50.0), ["breaker-", "terminals"]);
    }

    /// Lines of a text in a language, soft hyphens shown as `-`.
    fn divided(language: &str, text: &str, width: f32) -> Vec<String> {
        let faces = Faces::new().unwrap();
        faces.set_language(language);
        break_lines(&faces, &Text::plain(text), BODY, width)
            .iter()
            .map(|line| {
                assert!(line.width <= width + 0.02, "{line:?}");
                let text = |run: &Run| match &run.kind {
                    RunKind::Text(_, text) => text.replace(SOFT_HYPHEN, "-"),
                    RunKind::Signal(_) | RunKind::Field => String::new(),
                };
                line.runs.iter().map(text).collect()
            })
            .collect()
    }

    #[test]
    fn a_word_wider_than_the_line_is_divided_as_its_language_divides_it() {
        assert_eq!(
            divided("de", "Fehlerstrom-Schutzeinrichtung", 65.0),
            ["Fehlerstrom-", "Schutzeinrich-", "tung"]
        );
        assert_eq!(divided("fr", "différentiel", 40.0), ["différen-", "tiel"]);
        assert_eq!(divided("es", "interruptor", 40.0), ["interrup-", "tor"]);
        assert_eq!(divided("en", "connection", 40.0), ["connec-", "tion"]);
        // However long it is.
        let long = divided("de", &"donaudampfschifffahrt".repeat(40), 100.0);
        assert!(long.len() > 20 && long.iter().rev().skip(1).all(|l| l.ends_with('-')));
        // Digits, words in capitals and text without a language are not.
        for text in ["IEC60364722EDITION", "L1L2L3L1L2L3L1"] {
            assert!(
                divided("de", text, 50.0).iter().all(|l| !l.ends_with('-')),
                "{text}"
            );
        }
        assert!(divided("tlh", "Fehlerstromschutz", 60.0)[0].ends_with(|c| c != '-'));
    }

    #[test]
    fn a_long_word_that_leaves_much_of_a_line_empty_is_divided_a_short_one_not() {
        assert_eq!(
            divided("de", "Die Spannungsfreiheit", 75.0),
            ["Die Spannungs-", "freiheit"]
        );
        assert_eq!(divided("de", "Die Leitung", 38.0), ["Die", "Leitung"]);
        assert_eq!(divided("es", "A corriente", 40.0), ["A", "corriente"]);
    }

    #[test]
    fn a_column_need_not_be_as_wide_as_a_very_long_word() {
        let faces = Faces::new().unwrap();
        let word = Text::plain("Fehlerstromschutzeinrichtung");
        let whole = least_width(&faces, &word, BODY);
        faces.set_language("de");
        let least = least_width(&faces, &word, BODY);
        assert!(
            least <= UNDIVIDED * BODY.size && least < 0.7 * whole,
            "{least} {whole}"
        );
        assert!(break_lines(&faces, &word, BODY, least).len() >= 2);
        let short = Text::plain("Leitungen");
        assert_eq!(
            break_lines(&faces, &short, BODY, least_width(&faces, &short, BODY)).len(),
            1
        );
    }

    #[test]
    fn no_head_of_a_column_asks_for_a_wide_column_in_any_language() {
        let faces = Faces::new().unwrap();
        let head = crate::typeset::sheet::SMALL.strong();
        for wording in crate::visit::LANGUAGES.map(crate::compose::Wording::built_in) {
            let wording = wording.unwrap();
            faces.set_language(wording.language());
            let heads = wording
                .entries()
                .filter(|(key, _)| key.starts_with("column."));
            for (key, text) in heads {
                let least = least_width(&faces, &Text::plain(text), head);
                assert!(
                    least <= UNDIVIDED * head.size,
                    "{} {key}: {least}",
                    wording.language()
                );
            }
        }
    }

    #[test]
    fn the_space_at_a_line_s_end_is_drawn() {
        let faces = Faces::new().unwrap();
        for (text, drawn) in [
            (
                "Breaker terminals, garage panel",
                vec!["Breaker terminals, ", "garage panel"],
            ),
            ("breaker-terminals", vec!["breaker-", "terminals"]),
            ("one\ntwo", vec!["one ", "two"]),
            ("one", vec!["one"]),
        ] {
            let mut marks = Vec::new();
            let width = if text.starts_with('B') { 100.0 } else { 50.0 };
            for line in break_lines(&faces, &Text::plain(text), BODY, width) {
                draw(&mut marks, line, 0.0, 0.0, BODY, &|_| Owner::Artifact);
            }
            let texts: Vec<String> = marks
                .into_iter()
                .filter_map(|mark| match mark.shape {
                    Shape::Text { text, .. } => Some(text),
                    _ => None,
                })
                .collect();
            assert_eq!(texts, drawn);
        }
    }

    #[test]
    fn a_no_break_space_holds() {
        assert_eq!(
            broken("at the terminals 91\u{A0}°F", 80.0),
            ["at the terminals", "91\u{A0}°F"]
        );
    }

    #[test]
    fn a_line_end_in_the_text_breaks_and_a_last_one_adds_nothing() {
        assert_eq!(broken("one\ntwo\n", 100.0), ["one", "two"]);
        assert_eq!(broken("", 100.0), [""]);
        assert_eq!(broken("one\n\ntwo", 100.0), ["one", "", "two"]);
    }

    #[test]
    fn a_word_wider_than_the_line_breaks_between_characters() {
        let lines = broken(&"W".repeat(40), 60.0);
        assert!(lines.len() >= 5);
        assert_eq!(lines.concat(), "W".repeat(40));
        // Too narrow even for one character: one a line, and an end.
        assert_eq!(broken("abc", 1.0), ["a", "b", "c"]);
    }

    #[test]
    fn a_text_of_its_own_natural_width_stays_on_one_line() {
        let faces = Faces::new().unwrap();
        for text in ["repair", "0.10 + 0.20 = 0.30", "Ångström Łukasz · 45 in·lb"] {
            let text = Text::plain(text);
            let width = natural_width(&faces, &text, BODY);
            assert_eq!(break_lines(&faces, &text, BODY, width).len(), 1);
        }
    }

    #[test]
    fn a_mark_stays_with_its_word() {
        let faces = Faces::new().unwrap();
        let text = Text::plain("the grade is ").then(Text::marked(Signal::Danger, "stop"));
        let one = natural_width(&faces, &text, BODY);
        let lines = break_lines(&faces, &text, BODY, one - 1.0);
        assert_eq!(lines.len(), 2);
        assert_eq!(lines[1].runs[0].kind, RunKind::Signal(Signal::Danger));
    }
}
