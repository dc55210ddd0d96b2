//! A rules file as a tree that remembers where each value is.
//!
//! Rule sets are read in two steps, first to a tree and then to types: a firm's file is merged into
//! a built-in one key by key, every difference is listed by its path, and all problems of a file
//! are reported at once, while a typed reader alone would stop at the first.

use crate::yaml::{self, Form, Ix, NodeKind, Problems, Source, Span};
use std::borrow::Cow;

/// Limits of a rules file for the YAML reader. The size is twenty times that of the largest
/// built-in set, which is nested seven levels deep; authors' choice.
pub(super) const FORM: Form = Form {
    name: "rules file",
    about: "rule set",
    bytes: 512 * 1024,
    too_large: "keep to the values that you change: with `extends: us`, the rest stays",
    nesting: 16,
    usual_nesting: "seven",
    values: 100_000,
    aliases: 0,
    empty: "write `extends: us`, an `id:`, and the values that you change",
};

/// Keys that describe the source of a value. A map with `source` is one threshold: it is replaced
/// as a whole and never merged, so that no value can inherit the source of another.
pub(super) const PROVENANCE: [&str; 3] = ["source", "checked", "why"];

/// Which file a node is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Origin {
    /// A set compiled into the program.
    #[default]
    BuiltIn,
    /// A file of the reader's own.
    Firm,
}

/// Origin and position of a node.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Mark {
    pub(crate) origin: Origin,
    /// Its position in the text that was read; `None` for a compiled-in set.
    pub(crate) span: Option<Span>,
}

/// One value of the tree with its position.
#[derive(Debug, Clone, Default)]
pub(crate) struct Node {
    pub(crate) mark: Mark,
    pub(crate) value: Value,
}

/// Two nodes are equal if their contents are equal, regardless of their positions.
impl PartialEq for Node {
    fn eq(&self, other: &Self) -> bool {
        self.value == other.value
    }
}

/// What a node contains.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) enum Value {
    #[default]
    Null,
    Bool(bool),
    Number(f64),
    Text(Cow<'static, str>),
    List(Cow<'static, [Node]>),
    Map(Cow<'static, [Entry]>),
}

/// One key of a map.
#[derive(Debug, Clone)]
pub(crate) struct Entry {
    pub(crate) key: Cow<'static, str>,
    pub(crate) mark: Mark,
    pub(crate) node: Node,
}

impl PartialEq for Entry {
    fn eq(&self, other: &Self) -> bool {
        self.key == other.key && self.node == other.node
    }
}

impl Node {
    /// Reads one file; `None` after a problem.
    pub(crate) fn read(
        source: &Source<'_>,
        origin: Origin,
        problems: &mut Problems,
    ) -> Option<Node> {
        let tree = yaml::Tree::read(source, &FORM, problems)?;
        Some(
            Reading {
                source,
                tree: &tree,
                origin,
                problems,
            }
            .node(tree.root),
        )
    }

    /// The entries of a map.
    pub(crate) fn entries(&self) -> Option<&[Entry]> {
        match &self.value {
            Value::Map(entries) => Some(entries),
            _ => None,
        }
    }

    /// The node under a key of a map.
    pub(crate) fn get(&self, key: &str) -> Option<&Node> {
        self.entries()?
            .iter()
            .find(|e| e.key == key)
            .map(|e| &e.node)
    }

    /// The text of a scalar string.
    pub(crate) fn text(&self) -> Option<&str> {
        match &self.value {
            Value::Text(t) => Some(t),
            _ => None,
        }
    }

    /// Whether this map is one threshold: a value with its source.
    pub(crate) fn is_threshold(&self) -> bool {
        self.get("source").is_some()
    }

    /// Merges `over` into this tree: values in `over` replace those of the tree, the rest is
    /// unchanged.
    pub(crate) fn overlay(&mut self, over: Node) {
        let threshold = self.is_threshold();
        match (&mut self.value, over.value) {
            (Value::Map(entries), Value::Map(new)) if !threshold => {
                let entries = entries.to_mut();
                for e in new.into_owned() {
                    match entries.iter_mut().find(|old| old.key == e.key) {
                        Some(old) => {
                            old.mark = e.mark;
                            old.node.overlay(e.node);
                        }
                        None => entries.push(e),
                    }
                }
            }
            (slot, value) => {
                *slot = value;
                self.mark = over.mark;
            }
        }
    }

    /// Walks the thresholds and the plain values in the file's order: dotted path and node.
    pub(crate) fn walk<'a>(&'a self, path: &str, f: &mut impl FnMut(&str, &'a Node)) {
        match self.entries() {
            Some(entries) if !self.is_threshold() => {
                for e in entries {
                    let below = if path.is_empty() {
                        e.key.to_string()
                    } else {
                        format!("{path}.{}", e.key)
                    };
                    e.node.walk(&below, f);
                }
            }
            _ => f(path, self),
        }
    }

    /// The node as one line of text, without the keys that describe its source.
    pub(crate) fn summary(&self) -> String {
        if let Some(value) = self.get("value") {
            let others: Vec<_> = self
                .entries()
                .unwrap_or_default()
                .iter()
                .filter(|e| e.key != "value" && !PROVENANCE.contains(&&*e.key))
                .collect();
            if others.is_empty() {
                return value.summary();
            }
        }
        if let (Some(mildest), Some(Value::List(edges))) =
            (self.get("mildest"), self.get("edges").map(|e| &e.value))
        {
            let mut out = mildest.summary();
            for edge in edges.iter() {
                let grade = edge.get("grade").map(Node::summary).unwrap_or_default();
                for e in edge.entries().unwrap_or_default() {
                    if e.key != "grade" {
                        // `, from 4 K watch`
                        out += &format!(", {} {} {grade}", e.key, e.node.summary());
                    }
                }
            }
            return out;
        }
        match &self.value {
            Value::Null => "–".to_owned(),
            Value::Bool(b) => b.to_string(),
            Value::Number(n) => n.to_string(),
            Value::Text(t) => t.to_string(),
            Value::List(items) => {
                let item = |n: &Node| match n.value {
                    Value::Map(_) => format!("({})", n.summary()),
                    _ => n.summary(),
                };
                let items: Vec<_> = items.iter().map(item).collect();
                items.join(", ")
            }
            Value::Map(entries) => {
                let items: Vec<_> = entries
                    .iter()
                    .filter(|e| !PROVENANCE.contains(&&*e.key))
                    .map(|e| match &e.node.value {
                        Value::List(_) | Value::Map(_) => {
                            format!("{} [{}]", e.key.replace('_', " "), e.node.summary())
                        }
                        _ => format!("{} {}", e.key.replace('_', " "), e.node.summary()),
                    })
                    .collect();
                items.join("; ")
            }
        }
    }
}

/// A YAML tree that is converted to nodes.
struct Reading<'a, 's> {
    source: &'a Source<'s>,
    tree: &'a yaml::Tree<'s>,
    origin: Origin,
    problems: &'a mut Problems,
}

impl Reading<'_, '_> {
    fn mark(&self, ix: Ix) -> Mark {
        Mark {
            origin: self.origin,
            span: Some(self.tree.mark(ix, self.source)),
        }
    }

    fn node(&mut self, ix: Ix) -> Node {
        let (tree, mark) = (self.tree, self.mark(ix));
        let node = tree.node(ix);
        let value = match &node.kind {
            NodeKind::Null => Value::Null,
            NodeKind::Scalar(text) if node.plain => plain(text),
            NodeKind::Scalar(text) => Value::Text(Cow::Owned(text.clone().into_owned())),
            NodeKind::List(items) => {
                Value::List(Cow::Owned(items.iter().map(|ix| self.node(*ix)).collect()))
            }
            NodeKind::Map(_) => {
                let entries = tree.keyed(ix, self.source, self.problems).into_iter();
                let entry = |(key, at, value): (&str, Ix, Ix)| Entry {
                    key: Cow::Owned(key.to_owned()),
                    mark: self.mark(at),
                    node: self.node(value),
                };
                Value::Map(Cow::Owned(entries.map(entry).collect()))
            }
        };
        Node { mark, value }
    }
}

/// An unquoted value: a truth value, a decimal number, or otherwise text.
fn plain(text: &str) -> Value {
    let number = text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.'))
        && text
            .bytes()
            .all(|b| b.is_ascii_digit() || b"+-.eE".contains(&b));
    match text {
        "true" => Value::Bool(true),
        "false" => Value::Bool(false),
        _ => match text.parse() {
            Ok(n) if number => Value::Number(n),
            _ => Value::Text(Cow::Owned(text.to_owned())),
        },
    }
}

/// The mark of a node that is not in a file.
const NOWHERE: Mark = Mark {
    origin: Origin::BuiltIn,
    span: None,
};

/// Constant nodes, for the sets compiled into the program.
const fn of(value: Value) -> Node {
    Node {
        mark: NOWHERE,
        value,
    }
}

#[allow(dead_code)] // a set need not have every kind of value
pub(super) const fn null() -> Node {
    of(Value::Null)
}

#[allow(dead_code)] // as above
pub(super) const fn flag(b: bool) -> Node {
    of(Value::Bool(b))
}

pub(super) const fn number(n: f64) -> Node {
    of(Value::Number(n))
}

pub(super) const fn text(t: &'static str) -> Node {
    of(Value::Text(Cow::Borrowed(t)))
}

pub(super) const fn list(items: &'static [Node]) -> Node {
    of(Value::List(Cow::Borrowed(items)))
}

pub(super) const fn map(entries: &'static [Entry]) -> Node {
    of(Value::Map(Cow::Borrowed(entries)))
}

pub(super) const fn entry(key: &'static str, node: Node) -> Entry {
    Entry {
        key: Cow::Borrowed(key),
        mark: NOWHERE,
        node,
    }
}
