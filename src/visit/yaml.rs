//! From YAML text to a tree of values with their places in the source.
//!
//! Numbers, dates and words stay text as written: `1/0 AWG` must not become a number, nor
//! `2026-10-06` a date of somebody else's making, and an error must quote what stands in the
//! file. So this reads the events of serde-saphyr's parser rather than deserializing, which
//! also keeps duplicate keys and both ends of every value. Tags and merge keys have no meaning
//! in a visit file and are refused; aliases are shared values and cost nothing.

use super::diagnostics::Problems;
use super::limits;
use super::source::{Source, Span};
use super::syntax;
use serde_saphyr::granit_parser::{Event, Parser, ScalarStyle, options};
use std::borrow::Cow;
use std::collections::HashMap;

/// Index of a node in its tree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Ix(u32);

/// A value and where it stands.
pub(super) struct Node<'s> {
    pub span: Span,
    pub kind: NodeKind<'s>,
}

pub(super) enum NodeKind<'s> {
    /// Nothing written, `~` or `null`.
    Null,
    /// Text, with or without quotes.
    Scalar(Cow<'s, str>),
    List(Vec<Ix>),
    Map(Vec<(Ix, Ix)>),
}

/// All values of a document.
pub(super) struct Tree<'s> {
    nodes: Vec<Node<'s>>,
    pub root: Ix,
}

impl<'s> Tree<'s> {
    pub(super) fn node(&self, ix: Ix) -> &Node<'s> {
        &self.nodes[ix.0 as usize]
    }
}

/// A list or map whose end has not been seen.
struct Open {
    node: Ix,
    anchor: usize,
    /// The key that waits for its value, in a map.
    key: Option<Ix>,
}

/// Parses one document; `None` when a problem was found that leaves no tree.
pub(super) fn parse<'s>(source: &Source<'s>, problems: &mut Problems) -> Option<Tree<'s>> {
    let options = options! {
        emit_comments: false,
        flow_nesting_limit: limits::NESTING,
        block_nesting_limit: limits::NESTING,
    };
    let mut builder = Builder {
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
                syntax::report(&error, source, problems);
                return None;
            }
        };
        let offset = |m: serde_saphyr::granit_parser::Marker| m.byte_offset().unwrap_or(0);
        let at = Span::range(offset(span.start), offset(span.end));
        let sound = match event {
            Event::DocumentStart(..) if builder.root.is_some() => {
                problems.push(
                    Some(Span::range(offset(span.start), offset(span.start) + 3)),
                    "a second document begins here".into(),
                    "put each visit into a file of its own, or take the line `---` away".into(),
                );
                return None;
            }
            Event::Scalar(text, style, anchor, tag) => {
                let null = style == ScalarStyle::Plain
                    && (at.start == at.end || matches!(&*text, "~" | "null" | "Null" | "NULL"));
                let kind = if null {
                    NodeKind::Null
                } else {
                    NodeKind::Scalar(text)
                };
                refuse_tag(tag.is_some(), &span, at, source, problems)
                    && builder.add(Node { span: at, kind }, anchor, problems)
            }
            Event::SequenceStart(_, anchor, tag) => {
                let node = Node {
                    span: at,
                    kind: NodeKind::List(Vec::new()),
                };
                refuse_tag(tag.is_some(), &span, at, source, problems)
                    && builder.begin(node, anchor, problems)
            }
            Event::MappingStart(_, anchor, tag) => {
                let node = Node {
                    span: at,
                    kind: NodeKind::Map(Vec::new()),
                };
                refuse_tag(tag.is_some(), &span, at, source, problems)
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
            problems.push(
                None,
                "the file is empty".into(),
                "begin with a starter file: `warmlug new` writes one".into(),
            );
            None
        }
    }
}

/// Refuses a tag such as `!!str`; true when there is none.
fn refuse_tag(
    tagged: bool,
    span: &serde_saphyr::granit_parser::Span,
    at: Span,
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
        format!("`{shown}` is a YAML tag, which has no meaning in a visit file"),
        "take the tag away and keep the value; put the value in quotes if it begins with `!`"
            .into(),
    );
    false
}

struct Builder<'s> {
    nodes: Vec<Node<'s>>,
    open: Vec<Open>,
    root: Option<Ix>,
    /// Anchored nodes; `None` while the node is still open.
    anchors: HashMap<usize, Option<Ix>>,
    /// Values that aliases repeat.
    repeated: usize,
    aliases: usize,
}

impl<'s> Builder<'s> {
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
        if self.nodes.len() >= limits::VALUES {
            too_many_values(node.span, problems);
            return None;
        }
        let ix = Ix(u32::try_from(self.nodes.len()).ok()?);
        self.nodes.push(node);
        Some(ix)
    }

    /// Hangs a finished or begun node into the innermost open list or map.
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
        if self.aliases > limits::ALIASES {
            problems.push(
                Some(at),
                format!(
                    "this is alias {} of the file; at most {} are taken",
                    self.aliases,
                    limits::ALIASES
                ),
                "write the value itself instead of an alias (`*name`)".into(),
            );
            return false;
        }
        let Some(Some(target)) = self.anchors.get(&anchor).copied() else {
            problems.push(
                Some(at),
                "this alias stands inside the value that it names".into(),
                "write the value itself instead of an alias (`*name`)".into(),
            );
            return false;
        };
        self.repeated = self.repeated.saturating_add(self.weight(target));
        if self.nodes.len().saturating_add(self.repeated) > limits::VALUES {
            too_many_values(at, problems);
            return false;
        }
        self.place(target);
        true
    }

    /// Values under a node, those behind aliases counted each time; stops counting at the
    /// limit, so that the work is bounded as well.
    fn weight(&self, ix: Ix) -> usize {
        let mut count = 0;
        let mut stack = vec![ix];
        while let Some(ix) = stack.pop() {
            count += 1;
            if count > limits::VALUES {
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

fn too_many_values(at: Span, problems: &mut Problems) {
    problems.push(
        Some(at),
        format!(
            "here the file reaches {} values, aliases counted each time; no more are taken",
            limits::VALUES
        ),
        "split the visit into several files".into(),
    );
}
