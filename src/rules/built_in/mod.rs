//! The rule sets compiled into the program.
//!
//! Their YAML is turned into constant trees before compiling, because parsing it takes longer
//! than everything else that a small visit needs (2.5 ms against a whole certificate's 8 ms).
//! The trees are committed; a test tells when they are older than the YAML. They are made anew by
//!
//! ```text
//! UPDATE_RULES=1 cargo test --lib rules::built_in
//! ```

#[rustfmt::skip]
#[allow(clippy::approx_constant)] // a resistance of 3.14 is no π
mod us;

use super::load::typed;
use super::model::Rules;
use super::tree::Node;
use std::sync::OnceLock;

/// Id and tree of every set.
static SETS: [(&str, &Node); 1] = [("us", &us::TREE)];

/// Ids of the sets compiled into the program.
pub fn ids() -> impl Iterator<Item = &'static str> {
    SETS.iter().map(|(id, _)| *id)
}

/// A set compiled into the program, typed once at first use; `None` for an unknown id.
pub fn get(id: &str) -> Option<&'static Rules> {
    static TYPED: [OnceLock<Option<Rules>>; SETS.len()] = [const { OnceLock::new() }; SETS.len()];
    let i = SETS.iter().position(|(known, _)| *known == id)?;
    // A set that can't be typed is caught by the tests; it can't reach a release.
    TYPED[i]
        .get_or_init(|| {
            let rules = typed(SETS[i].1).ok()?;
            Some(Rules {
                tree: SETS[i].1.clone(),
                ..rules
            })
        })
        .as_ref()
}

/// The tree of a set.
pub(super) fn tree(id: &str) -> Option<Node> {
    let (_, tree) = SETS.iter().find(|(known, _)| *known == id)?;
    Some((*tree).clone())
}

#[cfg(test)]
mod make;
