//! A rules file as a tree that remembers where each value stands.
//!
//! Rule sets are read in two steps, tree first and types second, because a firm's file is laid
//! over a built-in one key by key, every difference is listed by its path, and all problems of a
//! file are told at once; a typed reader alone gives up at the first.

use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};
use serde_saphyr::Spanned;
use std::borrow::Cow;
use std::fmt;

/// Deepest nesting taken; the built-in sets need 7.
const MAX_DEPTH: usize = 16;

/// Keys that say where a value comes from. A map that has `source` is one threshold: it is
/// replaced as a whole, never merged, so that no value can inherit a source it was not taken
/// from.
pub(super) const PROVENANCE: [&str; 3] = ["source", "checked", "why"];

/// Which file a node stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Origin {
    /// A set compiled into the program.
    #[default]
    BuiltIn,
    /// A file of the reader's own.
    Firm,
}

/// Position of a node, both from 1; 0 where there is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Mark {
    pub(crate) origin: Origin,
    pub(crate) line: u32,
    pub(crate) column: u32,
}

/// One value of the tree with its position.
#[derive(Debug, Clone, Default)]
pub(crate) struct Node {
    pub(crate) mark: Mark,
    pub(crate) value: Value,
}

/// Two nodes are equal when they say the same, wherever they stand.
impl PartialEq for Node {
    fn eq(&self, other: &Self) -> bool {
        self.value == other.value
    }
}

/// What a node holds.
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

/// Why a text is no tree.
#[derive(Debug)]
pub(crate) struct Unreadable {
    pub(crate) mark: Mark,
    /// What is wrong; completes "this file".
    pub(crate) what: String,
    /// What to do.
    pub(crate) hint: &'static str,
}

impl Unreadable {
    fn of(e: &serde_saphyr::Error, origin: Origin) -> Self {
        let mark = Mark {
            origin,
            ..e.location().as_ref().map(mark).unwrap_or_default()
        };
        let e = e.without_snippet();
        if let serde_saphyr::Error::DuplicateMappingKey { key, .. } = e {
            let key = key.as_deref().unwrap_or("a key");
            return Unreadable {
                mark,
                what: format!("has the key `{key}` twice"),
                hint: "keep one of the two",
            };
        }
        // The position stands in the mark.
        let text = e.to_string();
        let end = text.rfind(" at line ").unwrap_or(text.len());
        Unreadable {
            mark,
            what: format!("is no rules file: {}", &text[..end]),
            hint: "check the indentation and the quotes around this place",
        }
    }
}

impl Node {
    /// Parses one file.
    ///
    /// # Errors
    /// The text is no YAML, or no YAML that a rule set needs.
    pub(crate) fn parse(source: &str, origin: Origin) -> Result<Node, Unreadable> {
        let options = serde_saphyr::options! {
            strict_booleans: true,
            with_snippet: false,
            budget: serde_saphyr::budget! {
                max_depth: MAX_DEPTH,
                max_aliases: 0,
                max_anchors: 0,
                max_merge_keys: 0,
                max_documents: 1,
            },
        };
        let mut node: Node = serde_saphyr::from_str_with_options(source, options)
            .map_err(|e| Unreadable::of(&e, origin))?;
        if origin != Origin::BuiltIn {
            node.set_origin(origin);
        }
        Ok(node)
    }

    fn set_origin(&mut self, origin: Origin) {
        self.mark.origin = origin;
        match &mut self.value {
            Value::List(items) => items.to_mut().iter_mut().for_each(|n| n.set_origin(origin)),
            Value::Map(entries) => {
                for e in entries.to_mut() {
                    e.mark.origin = origin;
                    e.node.set_origin(origin);
                }
            }
            _ => {}
        }
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

    /// Lays `over` on this tree: what it names is replaced, the rest stays.
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

    /// The node as one line of text, without what says where it comes from.
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

impl<'de> Deserialize<'de> for Node {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let spanned = Spanned::<Value>::deserialize(deserializer)?;
        Ok(Node {
            mark: mark(&spanned.referenced),
            value: spanned.value,
        })
    }
}

fn mark(at: &serde_saphyr::Location) -> Mark {
    Mark {
        origin: Origin::BuiltIn,
        line: u32::try_from(at.line()).unwrap_or(0),
        column: u32::try_from(at.column()).unwrap_or(0),
    }
}

impl<'de> Deserialize<'de> for Value {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(ValueVisitor)
    }
}

struct ValueVisitor;

impl<'de> Visitor<'de> for ValueVisitor {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("a value, a list or a map")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, v: bool) -> Result<Value, E> {
        Ok(Value::Bool(v))
    }

    #[allow(clippy::cast_precision_loss)] // no rule has numbers beyond 2^53
    fn visit_i64<E>(self, v: i64) -> Result<Value, E> {
        Ok(Value::Number(v as f64))
    }

    #[allow(clippy::cast_precision_loss)] // as above
    fn visit_u64<E>(self, v: u64) -> Result<Value, E> {
        Ok(Value::Number(v as f64))
    }

    fn visit_f64<E>(self, v: f64) -> Result<Value, E> {
        Ok(Value::Number(v))
    }

    fn visit_str<E>(self, v: &str) -> Result<Value, E> {
        Ok(Value::Text(Cow::Owned(v.to_owned())))
    }

    fn visit_string<E>(self, v: String) -> Result<Value, E> {
        Ok(Value::Text(Cow::Owned(v)))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Value, A::Error> {
        let mut items = Vec::with_capacity(seq.size_hint().unwrap_or(0).min(64));
        while let Some(item) = seq.next_element()? {
            items.push(item);
        }
        Ok(Value::List(Cow::Owned(items)))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Value, A::Error> {
        let mut entries = Vec::new();
        while let Some(key) = map.next_key::<Spanned<String>>()? {
            entries.push(Entry {
                mark: mark(&key.referenced),
                key: Cow::Owned(key.value),
                node: map.next_value()?,
            });
        }
        Ok(Value::Map(Cow::Owned(entries)))
    }
}

/// The mark of what stands in no file.
const NOWHERE: Mark = Mark {
    origin: Origin::BuiltIn,
    line: 0,
    column: 0,
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
