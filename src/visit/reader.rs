//! Shared building blocks for reading every part of the file: maps with known keys, lists, texts,
//! ids, words, dates and quantities, each checked at its position.
//!
//! A function that cannot produce its value reports the problem and returns `None`; the caller
//! continues with the rest, so that one pass finds all problems. `None` for an absent optional key
//! and `None` after a problem need not be distinguished: a file with a problem does not produce a
//! [`Visit`](super::Visit).

use super::key_table::{Key, Table};
use super::limits;
use super::surroundings::Surroundings;
use super::words::Word;
use crate::nearest::{nearest, or};
use crate::quantity::plausible::Range;
use crate::quantity::{self, ConductorSize, Kind, Quantity, QuantityError, TimeOfDay, Unit};
use crate::quoted::{is_invisible, shorten};
use crate::yaml::{Ix, NodeKind, Problems, Source, Span, Tree};
use chrono::{Datelike, NaiveDate};
use std::collections::HashMap;

/// The advice for a value outside a range that cannot be confirmed.
pub(crate) const OUT_OF_RANGE: &str = "check the value and its unit";

/// The units of bare numbers: the file's `units:` map.
#[derive(Default)]
pub(crate) struct BareUnits {
    units: [Option<Unit>; 6],
    /// Kinds whose entry in the map was wrong: their bare numbers will be right once it is
    /// corrected.
    broken: [bool; 6],
}

impl BareUnits {
    /// The kinds that can be keys of the map.
    pub(crate) const KINDS: [Kind; 6] = [
        Kind::Temperature,
        Kind::Torque,
        Kind::Length,
        Kind::Current,
        Kind::Voltage,
        Kind::ConductorSize,
    ];

    pub(crate) fn of(&self, kind: Kind) -> Option<Unit> {
        self.units[Self::index(kind)?]
    }

    fn index(kind: Kind) -> Option<usize> {
        Self::KINDS.iter().position(|k| *k == kind)
    }

    pub(crate) fn set(&mut self, kind: Kind, unit: Unit) {
        if let Some(i) = Self::index(kind) {
            self.units[i] = Some(unit);
        }
    }

    /// The entry for a kind is present but wrong.
    pub(crate) fn set_broken(&mut self, kind: Kind) {
        if let Some(i) = Self::index(kind) {
            self.broken[i] = true;
        }
    }
}

/// Whether a list or map must have entries, or may be empty and omitted instead.
#[derive(Clone, Copy)]
pub(crate) enum Need {
    Must,
    May,
}

/// Things with ids, each unique within its kind.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Ids {
    Circuit,
    /// Within one circuit.
    Place,
    /// Within one circuit.
    Connection,
    Photo,
}

/// Numbers without a unit, of one kind.
#[derive(Default)]
struct Bare {
    /// Their number.
    count: usize,
    /// The first of them in source order.
    first: Option<(Span, QuantityError)>,
}

/// A file being converted to a visit.
pub(crate) struct Reader<'a, 's> {
    pub source: &'a Source<'s>,
    pub tree: &'a Tree<'s>,
    pub around: &'a dyn Surroundings,
    pub units: BareUnits,
    /// The day of the visit, once read: no instrument can have been calibrated after it.
    pub date: Option<NaiveDate>,
    /// The site's clock, once read, if its changes are known.
    pub clock: Option<super::zone::Clock>,
    /// The legs of the circuit's supply, once read.
    pub legs: Option<Vec<String>>,
    /// Ids read so far, with their positions.
    pub ids: HashMap<(Ids, String), Ix>,
    pub problems: Problems,
    /// Numbers without a unit, by kind (in the order of [`BareUnits::KINDS`]). One line at the top
    /// of the file corrects all numbers of a kind, so they are one problem, not hundreds.
    bare: [Bare; 6],
    /// Comparisons left for finding similar names; a hostile file is not entitled to suggestions.
    suggestions: usize,
}

/// The entries of a map with known keys.
pub(crate) struct Fields {
    table: &'static Table,
    slots: Vec<Option<(Ix, Ix)>>,
}

impl Fields {
    /// The value of a key.
    pub(crate) fn get(&self, key: &str) -> Option<Ix> {
        self.entry(key).map(|(_, value)| value)
    }

    fn entry(&self, key: &str) -> Option<(Ix, Ix)> {
        let i = self.table.keys.iter().position(|k| k.name == key);
        debug_assert!(
            i.is_some(),
            "`{key}` is not in the table of {}",
            self.table.what
        );
        self.slots.get(i?).copied().flatten()
    }
}

impl<'a, 's> Reader<'a, 's> {
    pub(crate) fn new(
        source: &'a Source<'s>,
        tree: &'a Tree<'s>,
        around: &'a dyn Surroundings,
        problems: Problems,
    ) -> Self {
        Self {
            source,
            tree,
            around,
            units: BareUnits::default(),
            date: None,
            clock: None,
            legs: None,
            ids: HashMap::new(),
            problems,
            bare: Default::default(),
            suggestions: 20_000,
        }
    }

    /// Reports a problem.
    pub(crate) fn problem(
        &mut self,
        at: Span,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.problems.push(Some(at), message, help);
    }

    /// The part of a value to mark.
    pub(crate) fn mark(&self, ix: Ix) -> Span {
        self.tree.mark(ix, self.source)
    }

    /// The line in which a value begins, starting at 1.
    pub(crate) fn line(&self, ix: Ix) -> usize {
        self.source.line(self.tree.node(ix).span.start)
    }

    /// The text of a scalar; no problem is reported if it is not one.
    pub(crate) fn peek(&self, ix: Ix) -> Option<&'a str> {
        self.tree.text(ix)
    }

    /// Describes what a value is.
    fn shape(&self, ix: Ix) -> &'static str {
        match &self.tree.node(ix).kind {
            NodeKind::Null => "nothing",
            NodeKind::Scalar(_) => "a single value",
            NodeKind::List(_) => "a list",
            NodeKind::Map(_) => "a map of keys",
        }
    }

    // ---- maps and lists -----------------------------------------------------------------

    /// Reads a map with the keys of `table`; missing keys are reported at `blame`, the key whose
    /// value is the map.
    pub(crate) fn fields(
        &mut self,
        ix: Ix,
        table: &'static Table,
        blame: Option<Span>,
    ) -> Option<Fields> {
        let NodeKind::Map(entries) = &self.tree.node(ix).kind else {
            let (at, shape) = (self.mark(ix), self.shape(ix));
            let example: Vec<String> = table
                .keys
                .iter()
                .filter(|k| k.required)
                .chain(table.keys.iter().filter(|k| !k.required))
                .take(2)
                .map(|k| format!("{}: {}", k.name, k.example))
                .collect();
            self.problem(
                at,
                format!("{} is a map of keys, and this is {shape}", table.what),
                format!("write it like `{{ {} }}`", example.join(", ")),
            );
            return None;
        };
        if entries.is_empty() && !table.keys.iter().any(|k| k.required) {
            let at = self.tree.node(ix).span;
            let names = or(table.keys.iter().map(|k| k.name), usize::MAX);
            self.problem(
                at,
                format!("nothing is specified for {}", table.what),
                format!("write {names}, or delete the key"),
            );
            return None;
        }
        let mut slots = vec![None; table.keys.len()];
        let mut merged = false;
        // Keys that misspelt ones were meant to be are not reported as missing as well.
        let mut meant: Vec<&str> = Vec::new();
        for (i, (key, value)) in entries.iter().enumerate() {
            let at = self.mark(*key);
            let Some(name) = self.peek(*key) else {
                self.problem(at, "a key must be a single word", key_help(table));
                continue;
            };
            let Some(slot) = table.keys.iter().position(|k| k.name == name) else {
                let before = i.checked_sub(1).and_then(|i| self.peek(entries[i].1));
                merged |= name == "<<";
                meant.extend(self.unknown_key(at, name, *value, before, table));
                continue;
            };
            if let Some((first, _)) = slots[slot] {
                self.twice(at, name, first);
                continue;
            }
            slots[slot] = Some((*key, *value));
        }
        let blame = blame.unwrap_or_else(|| self.mark(ix));
        let fields = Fields { table, slots };
        for (key, slot) in table.keys.iter().zip(&fields.slots) {
            match slot {
                None if key.required && !merged && !meant.contains(&key.name) => {
                    self.missing(blame, key, table);
                }
                Some((k, v)) if matches!(self.tree.node(*v).kind, NodeKind::Null) => {
                    self.nothing_written(*k, key);
                }
                _ => {}
            }
        }
        // A key without a value has been reported; the field's reader treats it as absent.
        let mut fields = fields;
        for slot in &mut fields.slots {
            if slot.is_some_and(|(_, v)| matches!(self.tree.node(v).kind, NodeKind::Null)) {
                *slot = None;
            }
        }
        Some(fields)
    }

    /// Reports a key that is not in the table; returns the keys that may have been meant.
    fn unknown_key(
        &mut self,
        at: Span,
        name: &str,
        value: Ix,
        before: Option<&str>,
        table: &'static Table,
    ) -> Vec<&'static str> {
        if name == "<<" {
            self.problem(
                at,
                "merge keys (`<<`) are not supported in a visit file",
                "write the keys themselves",
            );
            return Vec::new();
        }
        if self.decimal_comma(at, name, value, before) {
            return Vec::new();
        }
        let null = matches!(self.tree.node(value).kind, NodeKind::Null);
        // `{ air:61 }`: YAML reads it as one word.
        if let (true, Some((key, rest))) = (null, name.split_once(':'))
            && let Some(known) = table.keys.iter().find(|k| k.name == key)
        {
            self.problem(
                at,
                format!("a space is missing after `{key}:`"),
                format!("write `{key}: {}`", shorten(rest)),
            );
            return vec![known.name];
        }
        let near = self.nearest_of(name, table.keys.iter().map(|k| k.name));
        let now =
            super::upgrade::renamed(name).filter(|now| table.keys.iter().any(|k| k.name == *now));
        let help = match now {
            Some(now) => format!("write `{now}`; `warmlug upgrade` does this for you"),
            None if near.is_empty() => key_help(table),
            None => format!("did you mean {}?", or(near.iter().copied(), 3)),
        };
        let name = shorten(name);
        self.problem(at, format!("`{name}` is not a key of {}", table.what), help);
        near
    }

    /// Reports a decimal comma inside braces, which YAML interprets as the end of the entry: `{
    /// air: 32,8 °C }` becomes the value `32` and a key `8 °C` without a value.
    fn decimal_comma(&mut self, at: Span, name: &str, value: Ix, before: Option<&str>) -> bool {
        let unit = name.trim_start_matches(|c: char| c.is_ascii_digit());
        let number = matches!(self.tree.node(value).kind, NodeKind::Null)
            && unit.len() < name.len()
            && (unit.trim().is_empty() || Unit::of_any_kind(unit).is_some());
        let Some(before) = before.filter(|b| number && b.ends_with(|c: char| c.is_ascii_digit()))
        else {
            return false;
        };
        let (before, name) = (shorten(before), shorten(name));
        self.problem(
            at,
            format!("`{before},{name}` has a comma in its number"),
            format!("write a decimal point: {before}.{name}"),
        );
        true
    }

    pub(crate) fn twice(&mut self, at: Span, name: &str, first: Ix) {
        let line = self.line(first);
        self.problems.push_twice(at, name, line);
    }

    fn missing(&mut self, blame: Span, key: &Key, table: &'static Table) {
        self.problem(
            blame,
            format!("`{}` is missing from {}", key.name, table.what),
            format!("add `{}: {}` ({})", key.name, key.example, lower(key.about)),
        );
    }

    /// A key with nothing after its colon.
    fn nothing_written(&mut self, key: Ix, known: &Key) {
        let at = self.mark(key);
        // YAML places an absent value at the end of its key.
        let after = at.end as usize;
        let rest = self
            .source
            .text
            .get(after..)
            .unwrap_or("")
            .trim_start_matches([' ', '\t', ':']);
        if rest.starts_with('#') {
            let line = rest.lines().next().unwrap_or("");
            let comment: String = line.chars().take(24).collect();
            self.problem(
                at,
                format!(
                    "nothing is written after `{}:`, since `#` begins a comment",
                    known.name
                ),
                format!(
                    "put the value in quotes: `{}: \"{}\"`",
                    known.name,
                    comment.trim_end()
                ),
            );
            return;
        }
        self.problem(
            at,
            format!("nothing is written after `{}:`", known.name),
            if known.required {
                format!(
                    "write `{}: {}` ({})",
                    known.name,
                    known.example,
                    lower(known.about)
                )
            } else {
                format!(
                    "write `{}: {}`, or delete the line",
                    known.name, known.example
                )
            },
        );
    }

    /// A non-empty map whose keys are chosen by the writer: each key unique, each with a value.
    pub(crate) fn named(
        &mut self,
        ix: Ix,
        what: &str,
        need: Need,
    ) -> Option<Vec<(&'a str, Ix, Ix)>> {
        let NodeKind::Map(entries) = &self.tree.node(ix).kind else {
            let (at, shape) = (self.mark(ix), self.shape(ix));
            self.problem(
                at,
                format!("a map with an entry for each {what} belongs here, and this is {shape}"),
                format!("write `{{ <{what}>: ..., <{what}>: ... }}`"),
            );
            return None;
        };
        if entries.is_empty() {
            self.empty(ix, what, need);
            return None;
        }
        let mut seen: HashMap<&str, Ix> = HashMap::with_capacity(entries.len());
        let mut out = Vec::with_capacity(entries.len());
        for (i, (key, value)) in entries.iter().enumerate() {
            let at = self.mark(*key);
            let Some(name) = self.peek(*key).filter(|n| !n.is_empty()) else {
                self.problem(
                    at,
                    format!("the key of a {what} must be a single word"),
                    "write its id",
                );
                continue;
            };
            let before = i.checked_sub(1).and_then(|i| self.peek(entries[i].1));
            if self.decimal_comma(at, name, *value, before) {
                continue;
            }
            if let Some(first) = seen.get(name) {
                self.twice(at, name, *first);
                continue;
            }
            seen.insert(name, *key);
            if matches!(self.tree.node(*value).kind, NodeKind::Null) {
                let name = shorten(name);
                self.problem(
                    at,
                    format!("nothing is written after `{name}:`"),
                    "write the value, or delete the entry",
                );
                continue;
            }
            out.push((name, *key, *value));
        }
        Some(out)
    }

    /// A list with at least one and at most `most` items.
    pub(crate) fn list(&mut self, ix: Ix, what: &str, most: usize, need: Need) -> Option<&'a [Ix]> {
        let NodeKind::List(items) = &self.tree.node(ix).kind else {
            let (at, shape) = (self.mark(ix), self.shape(ix));
            self.problem(
                at,
                format!("a list of {what}s belongs here, and this is {shape}"),
                format!("begin each {what} with `- ` on a line of its own, or write `[ ... ]`"),
            );
            return None;
        };
        if items.is_empty() {
            self.empty(ix, what, need);
            return None;
        }
        if let Some(first_over) = items.get(most) {
            let at = self.mark(*first_over);
            self.problem(
                at,
                format!(
                    "this is {what} {} of {}; at most {most} are allowed",
                    most + 1,
                    items.len()
                ),
                "split the visit into several files",
            );
            return Some(&items[..most]);
        }
        Some(items)
    }

    fn empty(&mut self, ix: Ix, what: &str, need: Need) {
        let at = self.tree.node(ix).span;
        let help = match need {
            Need::Must => format!("write at least one {what}"),
            Need::May => format!("write at least one {what}, or delete the key"),
        };
        self.problem(at, format!("there is no {what} in here"), help);
    }

    // ---- scalars ------------------------------------------------------------------------

    /// The text of a scalar.
    pub(crate) fn scalar(&mut self, ix: Ix, wanted: &str) -> Option<&'a str> {
        let text = self.peek(ix);
        if text.is_none() {
            let (at, shape) = (self.mark(ix), self.shape(ix));
            self.problem(
                at,
                format!("{wanted} belongs here, and this is {shape}"),
                "write a single value; put it in quotes if it contains brackets or `: `",
            );
        }
        text
    }

    /// One line of printable text.
    pub(crate) fn text(&mut self, ix: Ix, most: usize) -> Option<String> {
        self.printed(ix, most, false)
    }

    /// Printable text of several lines.
    pub(crate) fn lines(&mut self, ix: Ix, most: usize) -> Option<String> {
        self.printed(ix, most, true)
    }

    fn printed(&mut self, ix: Ix, most: usize, lines: bool) -> Option<String> {
        let text = self.scalar(ix, "a text")?;
        let at = self.mark(ix);
        if text.is_empty() {
            self.problem(at, "this text is empty", "write it");
            return None;
        }
        // Bytes first: rejecting a huge text does not require counting its characters.
        if text.len() > most && text.chars().nth(most).is_some() {
            let count = text.chars().count();
            self.problem(
                at,
                format!("this text has {count} characters; at most {most} are printed here"),
                "shorten it, and put what is left into `remarks`",
            );
            return None;
        }
        for c in text.chars() {
            let fine = match c {
                ' '..='~' => true,
                '\n' => lines,
                c if c.is_control() || is_invisible(c) => false,
                c => self.around.prints(c),
            };
            if !fine {
                self.unprintable(ix, c);
                return None;
            }
        }
        Some(text.to_owned())
    }

    /// Reports a character that cannot be printed, at its own position if that can be determined.
    fn unprintable(&mut self, ix: Ix, c: char) {
        let span = self.tree.node(ix).span;
        let at = match self.source.slice(span).find(c) {
            Some(i) => {
                let start = span.start as usize + i;
                Span::range(start, start + c.len_utf8())
            }
            None => self.mark(ix),
        };
        let code = format!("U+{:04X}", u32::from(c));
        if c == '\n' || c == '\r' {
            self.problem(
                self.mark(ix),
                "this text has several lines",
                "write it on one line",
            );
        } else if c == '\t' {
            self.problem(at, "this text contains a tab", "write spaces instead");
        } else if c.is_control() || is_invisible(c) {
            self.problem(
                at,
                format!("this text contains an invisible control character ({code})"),
                "delete it; it is safest to type the text again",
            );
        } else {
            self.problem(
                at,
                format!("the certificate's font has no `{c}` ({code})"),
                "write it in Latin, Greek or Cyrillic letters",
            );
        }
    }

    /// An id: letters, digits, hyphen, underscore and point, beginning with a letter or digit.
    pub(crate) fn id(&mut self, ix: Ix) -> Option<String> {
        let text = self.scalar(ix, "an id")?;
        self.id_text(ix, text)
    }

    /// The same for a key in a map.
    pub(crate) fn id_text(&mut self, ix: Ix, text: &str) -> Option<String> {
        let at = self.mark(ix);
        if text.chars().nth(limits::ID).is_some() {
            let count = text.chars().count();
            self.problem(
                at,
                format!(
                    "this id has {count} characters; at most {} are allowed",
                    limits::ID
                ),
                "choose a shorter id; the full name goes into `name`",
            );
            return None;
        }
        let sound = text.starts_with(char::is_alphanumeric)
            && text
                .chars()
                .all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.'));
        if !sound {
            let text = shorten(text);
            self.problem(
                at,
                format!("`{text}` cannot be an id"),
                "use letters, digits and hyphens, such as `breaker-L1`; the full name goes into \
                 `name`",
            );
            return None;
        }
        if let Some(c) = text
            .chars()
            .find(|c| !c.is_ascii() && !self.around.prints(*c))
        {
            self.unprintable(ix, c);
            return None;
        }
        Some(text.to_owned())
    }

    /// An id that is unique within its kind.
    pub(crate) fn unique(&mut self, ix: Ix, kind: Ids) -> Option<String> {
        let id = self.id(ix)?;
        if let Some(first) = self.ids.get(&(kind, id.clone())) {
            let line = self.line(*first);
            self.problem(
                self.mark(ix),
                format!("the id `{id}` is already used in line {line}"),
                "give each its own id",
            );
            return Some(id);
        }
        self.ids.insert((kind, id.clone()), ix);
        Some(id)
    }

    /// A leg of the supply, or N, G or PE, referred to at `ix`.
    pub(crate) fn leg(&mut self, ix: Ix, name: &str) -> Option<String> {
        const ALWAYS: [&str; 3] = ["N", "G", "PE"];
        let legs = self.legs.as_ref()?;
        if ALWAYS.contains(&name) || legs.iter().any(|l| l == name) {
            return Some(name.to_owned());
        }
        let others = ALWAYS.iter().filter(|n| !legs.iter().any(|l| l == *n));
        let known = legs.iter().map(String::as_str).chain(others.copied());
        let help = format!("write {}", or(known, 9));
        self.problem(
            self.mark(ix),
            format!("the supply has no leg `{}`", shorten(name)),
            help,
        );
        None
    }

    /// One of the words of a choice.
    pub(crate) fn word<W: Word>(&mut self, ix: Ix, what: &str) -> Option<W> {
        let text = self.scalar(ix, what)?;
        if let Some(value) = W::of(text) {
            return Some(value);
        }
        let at = self.mark(ix);
        let lower = text.to_lowercase().replace([' ', '_'], "-");
        let help = match W::of(&lower) {
            Some(_) => format!("write `{lower}`"),
            None => {
                let words = or(W::TABLE.iter().map(|(w, _)| *w), usize::MAX);
                match self.nearest(text, W::TABLE.iter().map(|(w, _)| *w)) {
                    Some(near) => format!("did you mean {near}? The words are {words}"),
                    None => format!("write {words}"),
                }
            }
        };
        self.problem(at, format!("`{}` is not {what}", shorten(text)), help);
        None
    }

    /// `yes` or `no`.
    pub(crate) fn flag(&mut self, ix: Ix) -> Option<bool> {
        let text = self.scalar(ix, "yes or no")?;
        let value = bool::of(&text.to_ascii_lowercase());
        if value.is_none() {
            let at = self.mark(ix);
            self.problem(
                at,
                format!("`{}` is neither yes nor no", shorten(text)),
                "write yes or no",
            );
        }
        value
    }

    /// A whole number within a range.
    pub(crate) fn whole(&mut self, ix: Ix, what: &str, least: u16, most: u16) -> Option<u16> {
        let text = self.scalar(ix, what)?;
        let value = text
            .parse()
            .ok()
            .filter(|n| (least..=most).contains(n) && !text.starts_with('+'));
        if value.is_none() {
            let at = self.mark(ix);
            self.problem(
                at,
                format!("`{}` is not {what}", shorten(text)),
                format!("write a whole number from {least} to {most}"),
            );
        }
        value
    }

    /// A date.
    pub(crate) fn date(&mut self, ix: Ix) -> Option<NaiveDate> {
        let text = self.scalar(ix, "a date")?;
        let at = self.mark(ix);
        let mut parts = text.split('-').map(|p| {
            p.bytes()
                .all(|b| b.is_ascii_digit())
                .then(|| p.parse::<u32>().ok())
                .flatten()
        });
        let date = (text.len() == 10)
            .then(|| {
                let (y, m, d) = (parts.next()??, parts.next()??, parts.next()??);
                let year = i32::try_from(y).ok()?;
                Some((
                    text.as_bytes().get(4) == Some(&b'-'),
                    NaiveDate::from_ymd_opt(year, m, d),
                ))
            })
            .flatten();
        match date {
            Some((true, Some(date))) if date.year() >= 2000 => return Some(date),
            Some((true, Some(date))) => self.problem(
                at,
                format!("the year {} is long before any charger", date.year()),
                "write the year with four digits, such as 2026-10-06",
            ),
            Some((true, None)) => self.problem(
                at,
                format!("`{text}` is not in the calendar"),
                "write year, month and day, such as 2026-10-06",
            ),
            _ => self.problem(
                at,
                format!("`{}` is not a date as it is written here", shorten(text)),
                "write year, month and day, such as 2026-10-06",
            ),
        }
        None
    }

    /// A time of day.
    pub(crate) fn time(&mut self, ix: Ix) -> Option<TimeOfDay> {
        let text = self.scalar(ix, "a time of day")?;
        match text.parse() {
            Ok(time) => Some(time),
            Err(error) => {
                self.bad_quantity(ix, &error);
                None
            }
        }
    }

    // ---- quantities ---------------------------------------------------------------------

    /// A quantity within a plausible range.
    pub(crate) fn quantity<Q: Quantity>(&mut self, ix: Ix, range: &Range<Q>) -> Option<Q> {
        self.quantity_or_insist(ix, range, false, "")
    }

    /// The same, but values outside a range that is not firm are accepted if `confirmed`; `how`
    /// says how to confirm.
    pub(crate) fn quantity_or_insist<Q: Quantity>(
        &mut self,
        ix: Ix,
        range: &Range<Q>,
        confirmed: bool,
        how: &str,
    ) -> Option<Q> {
        let text = self.scalar(ix, Q::KIND.words())?;
        let (value, unit) = match quantity::parse_with_unit::<Q>(text, self.units.of(Q::KIND)) {
            Ok(pair) => pair,
            Err(error) => {
                self.bad_quantity(ix, &error);
                return None;
            }
        };
        if let Err(outside) = range.check(value, unit)
            && (range.firm || !confirmed)
        {
            let at = self.mark(ix);
            if range.firm {
                self.problem(at, outside.to_string(), OUT_OF_RANGE);
            } else {
                self.problem(
                    at,
                    outside.to_string(),
                    format!("is this right? Correct the value, or {how}"),
                );
            }
            return None;
        }
        Some(value)
    }

    /// A conductor size.
    pub(crate) fn size(&mut self, ix: Ix) -> Option<ConductorSize> {
        let text = self.scalar(ix, Kind::ConductorSize.words())?;
        match ConductorSize::parse(text, self.units.of(Kind::ConductorSize)) {
            Ok(size) => Some(size),
            Err(error) => {
                self.bad_quantity(ix, &error);
                None
            }
        }
    }

    pub(crate) fn bad_quantity(&mut self, ix: Ix, error: &QuantityError) {
        let at = self.mark(ix);
        if let QuantityError::NoUnit { kind, .. } = error
            && let Some(i) = BareUnits::index(*kind)
        {
            let bare = &mut self.bare[i];
            bare.count += 1;
            if bare.first.as_ref().is_none_or(|(first, _)| at < *first) {
                bare.first = Some((at, error.clone()));
            }
            return;
        }
        self.problem(at, error.to_string(), error.advice());
    }

    /// Reports the numbers without a unit; true if there are any, reported or not.
    pub(crate) fn bare_numbers(&mut self) -> bool {
        let mut any = false;
        for (i, bare) in std::mem::take(&mut self.bare).into_iter().enumerate() {
            let Some((at, error)) = bare.first else {
                continue;
            };
            any = true;
            if self.units.broken[i] {
                continue;
            }
            let what = BareUnits::KINDS[i].words().trim_start_matches("a ");
            let message = match bare.count {
                1 => error.to_string(),
                2 => format!("{error}, nor has another {what} in this file"),
                n => format!("{error}, nor have {} other {what}s in this file", n - 1),
            };
            self.problem(at, message, error.advice());
        }
        any
    }

    // ---- names --------------------------------------------------------------------------

    /// The known names most similar to an unknown one, as advice.
    pub(crate) fn nearest<'n>(
        &mut self,
        name: &str,
        known: impl Iterator<Item = &'n str>,
    ) -> Option<String> {
        let near = self.nearest_of(name, known);
        (!near.is_empty()).then(|| or(near.into_iter(), 3))
    }

    /// The known names most similar to an unknown one; none if all differ too much.
    fn nearest_of<'n>(&mut self, name: &str, known: impl Iterator<Item = &'n str>) -> Vec<&'n str> {
        nearest(name, known, &mut self.suggestions)
    }

    /// Reports a reference to something that is not in the file.
    pub(crate) fn unknown_name<'n>(
        &mut self,
        at: Span,
        what: &str,
        name: &str,
        known: impl Iterator<Item = &'n str> + Clone,
    ) {
        let help = match self.nearest(name, known.clone()) {
            Some(near) => format!("did you mean {near}?"),
            None if known.clone().next().is_none() => {
                format!("describe the {what} in this file first")
            }
            None => format!("this file has {}", or(known, 8).replace(" or ", " and ")),
        };
        let name = shorten(name);
        self.problem(
            at,
            format!("no {what} in this file has the id `{name}`"),
            help,
        );
    }
}

/// The keys of a table, as advice.
fn key_help(table: &'static Table) -> String {
    format!(
        "its keys are {}",
        or(table.keys.iter().map(|k| k.name), usize::MAX).replace(" or ", " and ")
    )
}

/// A text with its first letter in lower case, unless it is an abbreviation.
fn lower(sentence: &str) -> String {
    let mut chars = sentence.chars();
    match (chars.next(), chars.next()) {
        (Some(a), Some(b)) if a.is_uppercase() && !b.is_uppercase() => {
            a.to_lowercase().chain(sentence.chars().skip(1)).collect()
        }
        _ => sentence.to_owned(),
    }
}
