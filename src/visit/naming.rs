//! Where a visit file names another file, for problems that show only when that one is opened.

use super::diagnostics::{Diagnostics, Problems};
use super::source::{Source, Span};
use super::yaml::{self, Ix, NodeKind, Tree};

/// What a visit file names another file for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Naming {
    /// Its rules, under `visit: rules:`.
    Rules,
    /// The earlier visit of this place in `earlier:`, from 0.
    Earlier(usize),
}

/// A problem of the file that is named there: `message` says what is wrong, `help` what to write.
pub fn misnamed(
    source: &str,
    name: &str,
    naming: Naming,
    message: String,
    help: String,
) -> Diagnostics {
    let source = Source::new(source);
    // The file was sound when it was read.
    let span = yaml::parse(&source, &mut Problems::default()).and_then(|tree| at(&tree, naming));
    let mut problems = Problems::default();
    problems.push(span, message, help);
    problems.finish(name, &source)
}

fn at(tree: &Tree<'_>, naming: Naming) -> Option<Span> {
    let ix = match naming {
        Naming::Rules => under(tree, under(tree, tree.root, "visit")?, "rules")?,
        Naming::Earlier(i) => match &tree.node(under(tree, tree.root, "earlier")?).kind {
            NodeKind::List(items) => *items.get(i)?,
            _ => return None,
        },
    };
    Some(tree.node(ix).span)
}

/// The value of a key of a map.
fn under(tree: &Tree<'_>, map: Ix, key: &str) -> Option<Ix> {
    let NodeKind::Map(entries) = &tree.node(map).kind else {
        return None;
    };
    entries
        .iter()
        .find_map(|(k, value)| match &tree.node(*k).kind {
            NodeKind::Scalar(text) if text.trim() == key => Some(*value),
            _ => None,
        })
}
