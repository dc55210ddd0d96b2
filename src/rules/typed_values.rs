//! Reads typed values from the tree and collects all problems.
//!
//! A function that reads a value returns `None` after it has reported a problem. The caller then
//! continues with the next value, so that the author of the file sees all problems at once.

use super::number::{Kind, kind_of};
use super::positioned::{Entry, Mark, Node, Origin, Value};
use super::sourced::{Bands, Checked, Edge, Provenance, Sourced};
use crate::nearest::{nearest, or};
use crate::quantity::ConductorSize;
use crate::visit::Grade;
use crate::yaml;
use std::cell::{Cell, RefCell};

/// Collects problems.
pub(super) struct Problems {
    list: RefCell<yaml::Problems>,
    /// Comparisons left for finding nearest names.
    suggestions: Cell<usize>,
}

impl Problems {
    pub(super) fn new(list: yaml::Problems) -> Self {
        Self {
            list: RefCell::new(list),
            suggestions: Cell::new(20_000),
        }
    }

    /// Reports a problem; `what` completes the path to a sentence.
    fn report(&self, mark: Mark, path: Path, what: String, hint: String) {
        let message = match path {
            Path::Root => format!("this file {what}"),
            Path::Key(..) => format!("{path} {what}"),
        };
        self.list.borrow_mut().push(mark.span, message, hint);
    }

    /// The collected problems.
    pub(super) fn take(self) -> yaml::Problems {
        self.list.into_inner()
    }
}

/// Dotted path of a value: a chain through the callers, formatted only for a problem.
#[derive(Clone, Copy)]
pub(super) enum Path<'a> {
    Root,
    Key(&'a Path<'a>, &'a str),
}

impl std::fmt::Display for Path<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Path::Root => Ok(()),
            Path::Key(Path::Root, key) => f.write_str(key),
            Path::Key(parent, key) => write!(f, "{parent}.{key}"),
        }
    }
}

/// A value at its path.
#[derive(Clone, Copy)]
pub(super) struct At<'a> {
    pub(super) node: &'a Node,
    pub(super) path: Path<'a>,
    pub(super) problems: &'a Problems,
}

impl At<'_> {
    pub(super) fn report(&self, what: impl Into<String>, hint: impl Into<String>) {
        self.problems
            .report(self.node.mark, self.path, what.into(), hint.into());
    }

    pub(super) fn number(&self, kind: Kind) -> Option<f64> {
        match kind.parse(self.node) {
            Ok(n) => Some(n),
            Err(what) => {
                self.report(what, format!("write it like `{}`", kind.example));
                None
            }
        }
    }

    /// A number without unit in a table, where 1 means `unit`. If `unit` is `None`, that was
    /// reported already.
    pub(super) fn table_number(&self, kind: Kind, unit: Option<f64>) -> Option<f64> {
        match kind.parse_in_table(self.node, unit?) {
            Ok(n) => Some(n),
            Err(what) => {
                self.report(what, "write the number as the table prints it");
                None
            }
        }
    }

    /// A cell that may be empty (`null`).
    pub(super) fn cell<T>(&self, f: impl FnOnce(&Self) -> Option<T>) -> Option<Option<T>> {
        match self.node.value {
            Value::Null => Some(None),
            _ => f(self).map(Some),
        }
    }

    pub(super) fn size(&self) -> Option<ConductorSize> {
        size(self.node.text().unwrap_or_default(), |what, hint| {
            self.report(what, hint);
        })
    }

    /// A map with conductor sizes as keys, by increasing size.
    pub(super) fn by_size<T>(
        &self,
        mut f: impl FnMut(At) -> Option<T>,
    ) -> Option<Vec<(ConductorSize, T)>> {
        let m = self.map()?;
        let rows = m.each(|key, a| {
            let size = size(key, |what, hint| a.report(what, hint));
            let value = f(a);
            Some((size?, value?))
        })?;
        if rows.is_empty() {
            self.report("is empty", "write at least one size");
            return None;
        }
        let area = |(s, _): &(ConductorSize, T)| s.square_millimetres();
        if rows.windows(2).any(|w| area(&w[0]) >= area(&w[1])) {
            self.report(
                "has sizes out of order",
                "write the sizes from the smallest conductor to the largest",
            );
            return None;
        }
        Some(rows)
    }

    /// A list that must have `len` items.
    pub(super) fn row<T>(&self, len: usize, f: impl FnMut(At) -> Option<T>) -> Option<Vec<T>> {
        let row = self.list(f)?;
        if row.len() == len {
            return Some(row);
        }
        self.report(
            format!("has {} values", row.len()),
            format!("write {len}, one for each column"),
        );
        None
    }

    /// Reports values that do not strictly ascend (or, with `falling`, descend).
    pub(super) fn ordered(
        &self,
        values: impl IntoIterator<Item = f64>,
        falling: bool,
        hint: &str,
    ) -> Option<()> {
        let mut last = None;
        for (i, v) in values.into_iter().enumerate() {
            if last.is_some_and(|l| if falling { v >= l } else { v <= l }) {
                self.report(format!("has its value {} out of order", i + 1), hint);
                return None;
            }
            last = Some(v);
        }
        Some(())
    }

    /// A whole number.
    pub(super) fn whole(&self, kind: Kind) -> Option<u32> {
        let n = self.number(kind)?;
        if n.fract() != 0.0 {
            self.report(
                format!("is {n}, not a whole number"),
                format!("write it like `{}`", kind.example),
            );
            return None;
        }
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // ranges are small
        Some(n as u32)
    }

    pub(super) fn text(&self) -> Option<String> {
        match &self.node.value {
            Value::Text(t) if !t.trim().is_empty() => Some(t.trim().to_owned()),
            Value::Text(_) | Value::Null => {
                self.report("is empty", "write some text");
                None
            }
            _ => {
                self.report(
                    format!("is {}, not text", kind_of(self.node)),
                    "put it in quotes",
                );
                None
            }
        }
    }

    pub(super) fn word<T: Copy>(&self, words: &[(&str, T)]) -> Option<T> {
        let found = self.node.text().unwrap_or_default();
        let hit = words.iter().find(|(w, _)| *w == found);
        if hit.is_none() {
            let list: Vec<_> = words.iter().map(|(w, _)| *w).collect();
            self.report(
                format!("is {}", self.node.summary()),
                format!("write one of: {}", list.join(", ")),
            );
        }
        hit.map(|(_, v)| *v)
    }

    pub(super) fn grade(&self) -> Option<Grade> {
        self.word(&Grade::ALL.map(|g| (g.word(), g)))
    }

    pub(super) fn list<T>(&self, mut f: impl FnMut(At) -> Option<T>) -> Option<Vec<T>> {
        let Value::List(items) = &self.node.value else {
            self.report(
                format!("is {}, not a list", kind_of(self.node)),
                "write a list like [a, b]",
            );
            return None;
        };
        let read: Vec<_> = items
            .iter()
            .map(|node| {
                f(At {
                    node,
                    path: self.path,
                    problems: self.problems,
                })
            })
            .collect();
        read.into_iter().collect()
    }

    /// Opens a map.
    pub(super) fn map(&self) -> Option<MapReader<'_>> {
        let Some(entries) = self.node.entries() else {
            self.report(
                format!("is {}", kind_of(self.node)),
                "a threshold is written with its source: { value: …, source: … }",
            );
            return None;
        };
        Some(MapReader {
            entries,
            at: *self,
            used: entries.iter().map(|_| Cell::new(false)).collect(),
            asked: RefCell::default(),
        })
    }

    /// A value with its source.
    pub(super) fn sourced<T>(&self, f: impl FnOnce(At) -> Option<T>) -> Option<Sourced<T>> {
        let map = self.map()?;
        let value = map.read("value", f);
        let provenance = map.provenance();
        map.finish();
        Some(provenance?.of(value?))
    }

    /// Bands of one kind of value. Edges are `from` (the edge belongs to the band), `over` (it does
    /// not) or, for values that are dangerous when small, `under`; `under` edges are stored
    /// negated.
    pub(super) fn bands(&self, kind: Kind) -> Option<Bands> {
        let map = self.map()?;
        let below = map.read("mildest", |a| a.grade());
        let edges = map.read("edges", |a| {
            a.list(|edge| {
                let m = edge.map()?;
                let grade = m.read("grade", |a| a.grade());
                let mut at = None;
                for (key, sign, inclusive) in [
                    ("from", 1.0, true),
                    ("over", 1.0, false),
                    ("under", -1.0, false),
                ] {
                    if let Some(x) = m.optional(key, |a| a.number(kind)) {
                        at = Some((sign * x, inclusive, key == "under"));
                    }
                }
                m.finish();
                if at.is_none() {
                    edge.report(
                        "has no edge",
                        "write { from: 4 K, grade: watch }, or over: or under: instead of from:",
                    );
                }
                let (at, inclusive, under) = at?;
                Some((
                    Edge {
                        at,
                        inclusive,
                        grade: grade?,
                    },
                    under,
                ))
            })
        });
        let provenance = map.provenance();
        map.finish();
        let (below, edges, p) = (below?, edges?, provenance?);
        if edges.is_empty() {
            self.report("has no edges", "write at least one edge");
            return None;
        }
        if edges.iter().any(|(_, under)| *under) && edges.iter().any(|(_, under)| !*under) {
            self.report(
                "mixes under: with from: or over:",
                "use under: in every edge or in none",
            );
            return None;
        }
        let edges: Vec<Edge> = edges.into_iter().map(|(e, _)| e).collect();
        let mut last = (f64::NEG_INFINITY, below);
        for e in &edges {
            if e.at <= last.0 {
                self.report(
                    "has edges out of order",
                    "write the edges from the mildest to the worst, each at another value",
                );
                return None;
            }
            if e.grade < last.1 {
                self.report(
                    format!(
                        "gives the grade {} after {}: a worse value would get a milder grade",
                        e.grade.word(),
                        last.1.word()
                    ),
                    "write grades that never get milder: pass, note, watch, repair, stop",
                );
                return None;
            }
            last = (e.at, e.grade);
        }
        Some(Bands {
            source: p.source,
            checked: p.checked,
            reasoning: p.why.unwrap_or_default(),
            below,
            edges,
        })
    }
}

/// Reads a map key by key and reports unknown keys at the end.
pub(super) struct MapReader<'a> {
    entries: &'a [Entry],
    at: At<'a>,
    used: Vec<Cell<bool>>,
    asked: RefCell<Vec<&'static str>>,
}

impl<'a> MapReader<'a> {
    /// Reports a problem of one key.
    fn report(&self, mark: Mark, key: &str, what: impl Into<String>, hint: impl Into<String>) {
        let path = Path::Key(&self.at.path, key);
        let problems = self.at.problems;
        problems.report(mark, path, what.into(), hint.into());
    }

    fn find(&self, key: &'static str) -> Option<&'a Entry> {
        self.asked.borrow_mut().push(key);
        let i = self.entries.iter().position(|e| e.key == key)?;
        self.used[i].set(true);
        Some(&self.entries[i])
    }

    /// A required key.
    pub(super) fn read<T>(&self, key: &'static str, f: impl FnOnce(At) -> Option<T>) -> Option<T> {
        match self.find(key) {
            Some(e) => f(At {
                node: &e.node,
                path: Path::Key(&self.at.path, key),
                problems: self.at.problems,
            }),
            None => {
                let section = matches!(self.at.path, Path::Root | Path::Key(Path::Root, _));
                let hint = match key {
                    "source" => "write source: with the standard, edition and clause, or \
                                 `common practice, no source`"
                        .to_owned(),
                    _ if section => format!(
                        "write {key}:, or `extends: us` at the head of the file to keep \
                         what the file does not name"
                    ),
                    _ => format!("write {key}:"),
                };
                self.report(self.at.node.mark, key, "is missing", hint);
                None
            }
        }
    }

    /// Reports a problem of a key that has been read.
    pub(super) fn tell_of(&self, key: &str, what: impl Into<String>, hint: impl Into<String>) {
        let mark = self.entries.iter().find(|e| e.key == key).map(|e| e.mark);
        self.report(mark.unwrap_or(self.at.node.mark), key, what, hint);
    }

    /// A key that may be absent.
    pub(super) fn optional<T>(
        &self,
        key: &'static str,
        f: impl FnOnce(At) -> Option<T>,
    ) -> Option<T> {
        let e = self.find(key)?;
        f(At {
            node: &e.node,
            path: Path::Key(&self.at.path, key),
            problems: self.at.problems,
        })
    }

    /// The unit of a table's numbers, as a factor to the stored unit.
    pub(super) fn unit(&self, units: &[(&str, f64)]) -> Option<f64> {
        self.read("unit", |a| a.word(units))
    }

    /// Every entry that was not read yet, for maps whose keys are data.
    pub(super) fn each<T>(&self, mut f: impl FnMut(&str, At) -> Option<T>) -> Option<Vec<T>> {
        let mut all = Some(Vec::with_capacity(self.entries.len()));
        for (e, used) in self.entries.iter().zip(&self.used) {
            if used.replace(true) {
                continue;
            }
            let read = f(
                &e.key,
                At {
                    node: &e.node,
                    path: Path::Key(&self.at.path, &e.key),
                    problems: self.at.problems,
                },
            );
            match (&mut all, read) {
                (Some(all), Some(v)) => all.push(v),
                (_, None) => all = None,
                (None, _) => {}
            }
        }
        all
    }

    /// `source`, `checked` and `why`. In a reader's own file every value is the firm's.
    pub(super) fn provenance(&self) -> Option<Provenance> {
        let firm = self.at.node.mark.origin == Origin::Firm;
        let source = self.read("source", |a| a.text());
        let why = self.optional("why", |a| a.text());
        let checked = if firm {
            if let Some(e) = self.find("checked") {
                self.report(
                    e.mark,
                    "checked",
                    "does not belong in a file of your own",
                    "leave it out: the certificate marks these values as changed by the firm",
                );
            }
            Some(Checked::Firm)
        } else {
            self.read("checked", |a| {
                a.word(&[
                    ("confirmed", Checked::Confirmed),
                    ("from-memory", Checked::FromMemory),
                    ("common-practice", Checked::CommonPractice),
                ])
            })
        };
        if checked == Some(Checked::CommonPractice) && why.is_none() {
            self.at.report(
                "is based on common practice without a reason",
                "write why: with the reasoning",
            );
            return None;
        }
        Some(Provenance {
            source: source?,
            checked: checked?,
            why,
        })
    }

    /// Reports every key that was not read, with the nearest known one.
    pub(super) fn finish(self) {
        for (e, used) in self.entries.iter().zip(&self.used) {
            if used.get() {
                continue;
            }
            let mut left = self.at.problems.suggestions.get();
            let asked = self.asked.borrow();
            let near = nearest(&e.key, asked.iter().copied(), &mut left);
            self.at.problems.suggestions.set(left);
            let hint = match near.as_slice() {
                [] => "take it out".to_owned(),
                near => format!("did you mean {}?", or(near.iter().copied(), 3)),
            };
            self.report(e.mark, &e.key, "is not known here", hint);
        }
    }
}

fn size(text: &str, report: impl FnOnce(String, String)) -> Option<ConductorSize> {
    // The form used in the built-in tables, checked first because searching all spellings takes
    // longer.
    let gauge = text.strip_suffix(" AWG").and_then(|n| n.parse().ok());
    if let Some(n) = gauge.filter(|n| ConductorSize::AWG.contains(n)) {
        return Some(ConductorSize::Awg(n));
    }
    match ConductorSize::parse(text, None) {
        Ok(size) => Some(size),
        Err(e) => {
            report(format!("is wrong: {e}"), e.advice());
            None
        }
    }
}
