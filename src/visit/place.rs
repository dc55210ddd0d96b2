//! The positions of a visit file's circuits and their sections in its text, so that text can be
//! inserted with all comments and the order of everything else preserved.

use super::format_version::FORM;
use crate::yaml::{Ix, NodeKind, Problems, Source, Tree};
use std::ops::Range;

/// The position of one circuit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CircuitText {
    /// Its id.
    pub id: String,
    /// Column of its keys, in bytes starting at 0.
    pub indent: usize,
    /// Offset at which the next key can be inserted: the beginning of the line after its last
    /// value.
    pub end: usize,
    /// Its keys and the lines of each.
    pub keys: Vec<(String, Range<usize>)>,
}

/// The circuits of a file; `None` if it is not YAML, or if a circuit is written in braces, where no
/// lines can be inserted.
pub fn circuits_text(text: &str) -> Option<Vec<CircuitText>> {
    let source = Source::new(text);
    let tree = Tree::read(&source, &FORM, &mut Problems::default())?;
    let circuits = tree.get(tree.root, "circuits")?;
    let NodeKind::List(items) = &tree.node(circuits).kind else {
        return None;
    };
    items.iter().map(|ix| circuit(text, &tree, *ix)).collect()
}

fn circuit(text: &str, tree: &Tree<'_>, ix: Ix) -> Option<CircuitText> {
    let NodeKind::Map(entries) = &tree.node(ix).kind else {
        return None;
    };
    let first = tree.node(entries.first()?.0).span.start as usize;
    if text[tree.node(ix).span.start as usize..].starts_with('{') {
        return None;
    }
    let id = tree.text(tree.get(ix, "id")?)?.to_owned();
    let keys = entries
        .iter()
        .filter_map(|(key, value)| {
            let start = line_start(text, tree.node(*key).span.start as usize);
            let end = line_end(text, last(text, tree, *value));
            Some((tree.text(*key)?.to_owned(), start..end))
        })
        .collect();
    Some(CircuitText {
        id,
        indent: first - line_start(text, first),
        end: line_end(text, last(text, tree, ix)),
        keys,
    })
}

/// The actual end of a value: the end of a block may include comments that follow it.
fn last(text: &str, tree: &Tree<'_>, ix: Ix) -> usize {
    let node = tree.node(ix);
    let (start, end) = (node.span.start as usize, node.span.end as usize);
    let whole = start + text.get(start..end).map_or(0, |t| t.trim_end().len());
    if text.get(start..).is_some_and(|t| t.starts_with(['{', '['])) {
        return whole;
    }
    match &node.kind {
        NodeKind::Null | NodeKind::Scalar(_) => whole,
        NodeKind::List(items) => items
            .iter()
            .map(|i| last(text, tree, *i))
            .max()
            .unwrap_or(whole),
        NodeKind::Map(entries) => entries
            .iter()
            .map(|(k, v)| last(text, tree, *k).max(last(text, tree, *v)))
            .max()
            .unwrap_or(whole),
    }
}

fn line_start(text: &str, offset: usize) -> usize {
    text[..offset].rfind('\n').map_or(0, |i| i + 1)
}

/// The beginning of the line after the one that contains an offset; the end of the text if there is
/// none.
fn line_end(text: &str, offset: usize) -> usize {
    text[offset..]
        .find('\n')
        .map_or(text.len(), |i| offset + i + 1)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::circuits_text;

    #[test]
    fn circuits_end_before_the_comments_behind_them() {
        let text = "\
circuits:
  - id: a   # the first
    charger: { x: 1,
      y: 2 }  # here
    torque:
      - { connection: b }

    # heat: later
  - id: \"b\"
    name: |
      two
      lines

# end
photos: []
";
        let found = circuits_text(text).unwrap();
        assert_eq!(found.len(), 2);
        assert_eq!((found[0].id.as_str(), found[0].indent), ("a", 4));
        assert!(text[found[0].end..].starts_with("\n    # heat: later"));
        let (key, lines) = &found[0].keys[2];
        assert_eq!(key, "torque");
        assert_eq!(
            &text[lines.clone()],
            "    torque:\n      - { connection: b }\n"
        );
        assert!(
            text[found[1].end..].starts_with("\n# end"),
            "{:?}",
            &text[found[1].end..]
        );
        assert_eq!(circuits_text("circuits: [ { id: a } ]"), None);
    }
}
