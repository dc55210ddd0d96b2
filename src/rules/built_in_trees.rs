//! The trees of the rule sets compiled into the program.

use super::positioned::{Entry, Node, entry, list, map, null, number, text};

/// Generates [`SETS`] from ids and trees, which are written like JSON with numbers in parentheses.
macro_rules! sets {
    ($($id:literal $tree:tt)*) => {
        /// Id and tree of every file under `templates/rules/`, sorted by id.
        #[allow(clippy::approx_constant)] // a resistance of 3.14 is no π
        pub(super) static SETS: &[(&str, Node)] = &[$(($id, node!($tree))),*];
    };
}

/// The constant expression of a tree.
macro_rules! node {
    (null) => { null() };
    (true) => { super::positioned::flag(true) };
    (false) => { super::positioned::flag(false) };
    (($number:expr)) => { number($number) };
    ($text:literal) => { text($text) };
    ([$($item:tt)*]) => { list({ const ITEMS: &[Node] = &[$(node!($item)),*]; ITEMS }) };
    ({$($key:literal: $value:tt)*}) => {
        map({ const ENTRIES: &[Entry] = &[$(entry($key, node!($value))),*]; ENTRIES })
    };
}

include!("../../templates/rules/built_in.rs");

/// Ids of the sets compiled into the program.
pub fn ids() -> impl Iterator<Item = &'static str> {
    SETS.iter().map(|(id, _)| *id)
}

/// The tree of a set.
pub(super) fn tree(id: &str) -> Option<Node> {
    let (_, tree) = SETS.iter().find(|(known, _)| *known == id)?;
    Some(tree.clone())
}
