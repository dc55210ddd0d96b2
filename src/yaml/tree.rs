//! From YAML text to a tree of values with their positions in the source.
//!
//! Numbers, dates and words remain text as written: `1/0 AWG` must not become a number,
//! `2026-10-06` must not be interpreted as a date by the parser, and an error must quote the text
//! of the file. That is why this reads the events of granit-parser instead of deserializing, which
//! also preserves duplicate keys and both ends of every value. Tags and merge keys have no meaning
//! in our files and are rejected; aliases are shared values and cost nothing.

use super::diagnostics::Problems;
use super::file_kind::Form;
use super::source::{Source, Span};
use super::syntax;
use granit_parser::{Event, Parser, ScalarStyle, options};
use std::borrow::Cow;
use std::collections::HashMap;

/// Index of a node in its tree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Ix(u32);

/// A value and its position.
pub(crate) struct Node<'s> {
    pub span: Span,
    pub kind: NodeKind<'s>,
    /// Whether a scalar is unquoted, so that it may mean a number or a truth value.
    pub plain: bool,
}

pub(crate) enum NodeKind<'s> {
    /// Nothing, `~` or `null`.
    Null,
    /// Text, with or without quotes.
    Scalar(Cow<'s, str>),
    List(Vec<Ix>),
    Map(Vec<(Ix, Ix)>),
}

/// All values of a document.
pub(crate) struct Tree<'s> {
    nodes: Vec<Node<'s>>,
    pub root: Ix,
}

impl<'s> Tree<'s> {
    /// Reads a document; `None` if a problem prevents building a tree.
    pub(crate) fn read(
        source: &Source<'s>,
        form: &Form,
        problems: &mut Problems,
    ) -> Option<Tree<'s>> {
        parse(source, form, problems)
    }

    pub(crate) fn node(&self, ix: Ix) -> &Node<'s> {
        &self.nodes[ix.0 as usize]
    }

    /// The text of a scalar.
    pub(crate) fn text(&self, ix: Ix) -> Option<&str> {
        match &self.node(ix).kind {
            NodeKind::Scalar(text) => Some(text.trim()),
            _ => None,
        }
    }

    /// The entries of a map; none if it is not a map.
    pub(crate) fn entries(&self, ix: Ix) -> &[(Ix, Ix)] {
        match &self.node(ix).kind {
            NodeKind::Map(entries) => entries,
            _ => &[],
        }
    }

    /// The items of a list; none if it is not a list.
    pub(crate) fn items(&self, ix: Ix) -> &[Ix] {
        match &self.node(ix).kind {
            NodeKind::List(items) => items,
            _ => &[],
        }
    }

    /// The value of a key in a map.
    pub(crate) fn get(&self, map: Ix, key: &str) -> Option<Ix> {
        self.entries(map)
            .iter()
            .find(|(k, _)| self.text(*k) == Some(key))
            .map(|(_, v)| *v)
    }

    /// The part of a value to mark: all of a scalar; the bracket or first key of a list or map.
    pub(crate) fn mark(&self, ix: Ix, source: &Source<'_>) -> Span {
        let node = self.node(ix);
        let bracket = Span {
            start: node.span.start,
            end: node.span.start + 1,
        };
        match &node.kind {
            NodeKind::Null | NodeKind::Scalar(_) => node.span,
            NodeKind::Map(entries) => match entries.first() {
                Some((key, _)) if source.slice(bracket) != "{" => self.mark(*key, source),
                _ => bracket,
            },
            NodeKind::List(_) => bracket,
        }
    }

    /// The entries of a map: the key's text, key and value. Each key must be a single word and
    /// unique; other entries are reported and skipped.
    pub(crate) fn keyed(
        &self,
        map: Ix,
        source: &Source<'_>,
        problems: &mut Problems,
    ) -> Vec<(&str, Ix, Ix)> {
        let mut first: HashMap<&str, Ix> = HashMap::new();
        let mut out = Vec::new();
        for (key, value) in self.entries(map) {
            let at = self.mark(*key, source);
            let Some(name) = self.text(*key) else {
                problems.push(Some(at), "a key must be a single word", "write its name");
                continue;
            };
            if let Some(first) = first.get(name) {
                let line = source.line(self.node(*first).span.start);
                problems.push_twice(at, name, line);
                continue;
            }
            first.insert(name, *key);
            out.push((name, *key, *value));
        }
        out
    }
}

/// A list or map whose end has not been reached.
struct Open {
    node: Ix,
    anchor: usize,
    /// In a map, the key whose value comes next.
    key: Option<Ix>,
}

/// Parses one document; `None` if a problem prevents building a tree.
fn parse<'s>(source: &Source<'s>, form: &Form, problems: &mut Problems) -> Option<Tree<'s>> {
    if source.text.len() > form.bytes {
        problems.push(
            None,
            format!(
                "the file has {} bytes; a {} may have {}",
                source.text.len(),
                form.name,
                form.bytes
            ),
            form.too_large,
        );
        return None;
    }
    let options = options! {
        flow_nesting_limit: form.nesting,
        block_nesting_limit: form.nesting,
    };
    let mut builder = Builder {
        form,
        nodes: Vec::new(),
        open: Vec::new(),
        root: None,
        anchors: HashMap::new(),
        repeated: 0,
        aliases: 0,
    };
    for event in Parser::new_from_str_with_options(source.text, options) {
        let (event, span) = match event {
            Ok(pair) => pair,
            Err(error) => {
                syntax::report(&error, form, source, problems);
                return None;
            }
        };
        let offset = |m: granit_parser::Marker| m.byte_offset().unwrap_or(0);
        let at = Span::range(offset(span.start), offset(span.end));
        let sound = match event {
            Event::DocumentStart(..) if builder.root.is_some() => {
                problems.push(
                    Some(Span::range(offset(span.start), offset(span.start) + 3)),
                    "a second document begins here",
                    format!(
                        "put each {} into a file of its own, or delete the line `---`",
                        form.about
                    ),
                );
                return None;
            }
            Event::Scalar(text, style, anchor, tag) => {
                let null = style == ScalarStyle::Plain
                    && (at.start == at.end || matches!(&*text, "~" | "null" | "Null" | "NULL"));
                let node = Node {
                    span: at,
                    kind: if null {
                        NodeKind::Null
                    } else {
                        NodeKind::Scalar(text)
                    },
                    plain: style == ScalarStyle::Plain,
                };
                refuse_tag(tag.is_some(), &span, at, form, source, problems)
                    && builder.add(node, anchor, problems)
            }
            Event::SequenceStart(_, anchor, tag) => {
                let node = Node {
                    span: at,
                    kind: NodeKind::List(Vec::new()),
                    plain: false,
                };
                refuse_tag(tag.is_some(), &span, at, form, source, problems)
                    && builder.begin(node, anchor, problems)
            }
            Event::MappingStart(_, anchor, tag) => {
                let node = Node {
                    span: at,
                    kind: NodeKind::Map(Vec::new()),
                    plain: false,
                };
                refuse_tag(tag.is_some(), &span, at, form, source, problems)
                    && builder.begin(node, anchor, problems)
            }
            Event::SequenceEnd | Event::MappingEnd => {
                builder.end(at);
                true
            }
            Event::Alias(anchor) => builder.alias(anchor, at, problems),
            _ => true,
        };
        if !sound {
            return None;
        }
    }
    match builder.root {
        Some(root) => Some(Tree {
            nodes: builder.nodes,
            root,
        }),
        None => {
            problems.push(None, "the file is empty", form.empty);
            None
        }
    }
}

/// Rejects a tag such as `!!str`; returns true if there is none.
fn refuse_tag(
    tagged: bool,
    span: &granit_parser::Span,
    at: Span,
    form: &Form,
    source: &Source<'_>,
    problems: &mut Problems,
) -> bool {
    if !tagged {
        return true;
    }
    let tag = span.tag_span();
    let place = tag
        .and_then(|t| Some(Span::range(t.start.byte_offset()?, t.end.byte_offset()?)))
        .unwrap_or(at);
    let shown: String = source.slice(place).chars().take(40).collect();
    problems.push(
        Some(place),
        format!(
            "`{shown}` is a YAML tag, which has no meaning in a {}",
            form.name
        ),
        "delete the tag and keep the value; put the value in quotes if it begins with `!`",
    );
    false
}

struct Builder<'f, 's> {
    form: &'f Form,
    nodes: Vec<Node<'s>>,
    open: Vec<Open>,
    root: Option<Ix>,
    /// Anchored nodes; `None` while the node is incomplete.
    anchors: HashMap<usize, Option<Ix>>,
    /// Number of values repeated by aliases.
    repeated: usize,
    aliases: usize,
}

impl<'s> Builder<'_, 's> {
    fn add(&mut self, node: Node<'s>, anchor: usize, problems: &mut Problems) -> bool {
        let Some(ix) = self.store(node, problems) else {
            return false;
        };
        if anchor > 0 {
            self.anchors.insert(anchor, Some(ix));
        }
        self.place(ix);
        true
    }

    fn store(&mut self, node: Node<'s>, problems: &mut Problems) -> Option<Ix> {
        if self.nodes.len() >= self.form.values {
            too_many_values(node.span, self.form, problems);
            return None;
        }
        let ix = Ix(u32::try_from(self.nodes.len()).ok()?);
        self.nodes.push(node);
        Some(ix)
    }

    /// Adds a new node to the innermost open list or map.
    fn place(&mut self, ix: Ix) {
        let Some(open) = self.open.last_mut() else {
            self.root.get_or_insert(ix);
            return;
        };
        match &mut self.nodes[open.node.0 as usize].kind {
            NodeKind::List(items) => items.push(ix),
            NodeKind::Map(entries) => match open.key.take() {
                Some(key) => entries.push((key, ix)),
                None => open.key = Some(ix),
            },
            NodeKind::Null | NodeKind::Scalar(_) => {}
        }
    }

    fn begin(&mut self, node: Node<'s>, anchor: usize, problems: &mut Problems) -> bool {
        let Some(ix) = self.store(node, problems) else {
            return false;
        };
        if anchor > 0 {
            self.anchors.insert(anchor, None);
        }
        self.place(ix);
        self.open.push(Open {
            node: ix,
            anchor,
            key: None,
        });
        true
    }

    fn end(&mut self, at: Span) {
        let Some(open) = self.open.pop() else { return };
        let node = &mut self.nodes[open.node.0 as usize];
        node.span.end = at.end.max(node.span.start);
        if open.anchor > 0 {
            self.anchors.insert(open.anchor, Some(open.node));
        }
    }

    fn alias(&mut self, anchor: usize, at: Span, problems: &mut Problems) -> bool {
        self.aliases += 1;
        if self.aliases > self.form.aliases {
            problems.push(
                Some(at),
                format!(
                    "this is alias {} of the file; at most {} are allowed",
                    self.aliases, self.form.aliases
                ),
                "write the value itself instead of an alias (`*name`)",
            );
            return false;
        }
        let Some(Some(target)) = self.anchors.get(&anchor).copied() else {
            problems.push(
                Some(at),
                "this alias is inside the value that it names",
                "write the value itself instead of an alias (`*name`)",
            );
            return false;
        };
        self.repeated = self.repeated.saturating_add(self.weight(target));
        if self.nodes.len().saturating_add(self.repeated) > self.form.values {
            too_many_values(at, self.form, problems);
            return false;
        }
        self.place(target);
        true
    }

    /// Number of values under a node, counting those behind aliases each time; stops counting at
    /// the limit, so that the work is bounded too.
    fn weight(&self, ix: Ix) -> usize {
        let mut count = 0;
        let mut stack = vec![ix];
        while let Some(ix) = stack.pop() {
            count += 1;
            if count > self.form.values {
                break;
            }
            match &self.nodes[ix.0 as usize].kind {
                NodeKind::List(items) => stack.extend(items),
                NodeKind::Map(entries) => stack.extend(entries.iter().flat_map(|(k, v)| [k, v])),
                NodeKind::Null | NodeKind::Scalar(_) => {}
            }
        }
        count
    }
}

fn too_many_values(at: Span, form: &Form, problems: &mut Problems) {
    problems.push(
        Some(at),
        format!(
            "here the file reaches {} values, counting aliases each time; no more are allowed",
            form.values
        ),
        format!("split the {} into several files", form.about),
    );
}
