//! The place where a visit file refers to another file, for problems found when that file is
//! opened.

use super::format_version::FORM;
use crate::yaml::{Diagnostics, Problems, Source, Span, Tree};

/// Why a visit file refers to another file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Naming {
    /// Its rules, under `visit: rules:`.
    Rules,
    /// The edition of their code, under `visit: edition:`.
    Edition,
    /// The earlier visit at this index in `earlier:`, starting at 0.
    Earlier(usize),
}

/// A problem with the referenced file: `message` says what is wrong, `help` what to write.
pub fn misnamed(
    source: &str,
    name: &str,
    naming: Naming,
    message: String,
    help: String,
) -> Diagnostics {
    let source = Source::new(source);
    // The file was valid when it was read.
    let tree = Tree::read(&source, &FORM, &mut Problems::default());
    let span = tree.and_then(|tree| at(&tree, naming));
    let mut problems = Problems::default();
    problems.push(span, message, help);
    problems.finish(name, &source)
}

fn at(tree: &Tree<'_>, naming: Naming) -> Option<Span> {
    let ix = match naming {
        Naming::Rules => tree.get(tree.get(tree.root, "visit")?, "rules")?,
        Naming::Edition => tree.get(tree.get(tree.root, "visit")?, "edition")?,
        Naming::Earlier(i) => *tree.items(tree.get(tree.root, "earlier")?).get(i)?,
    };
    Some(tree.node(ix).span)
}
