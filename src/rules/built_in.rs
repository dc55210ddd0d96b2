//! The rule sets compiled into the program.
//!
//! The build script turns their YAML into constant trees, because parsing it at every start would
//! take longer than all else that a small visit needs (2.5 ms for the `us` set).

use super::load::typed;
use super::rule_set::Rules;
use super::tree::Node;
use std::sync::OnceLock;

/// The trees, and `SETS`: id and tree of every file under `templates/rules/`.
#[allow(clippy::approx_constant, clippy::unreadable_literal)] // a resistance of 3.14 is no π
mod made {
    use crate::rules::tree::*;
    include!(concat!(env!("OUT_DIR"), "/rules.rs"));
}
use made::SETS;

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
            let rules = typed(&SETS[i].1).ok()?;
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
    Some(tree.clone())
}

#[cfg(test)]
mod tests {
    use super::SETS;
    use crate::rules::error::RulesError;
    use crate::rules::load::typed;
    use crate::rules::tree::{Node, Origin};

    /// Loads the YAML itself, so that a problem in it is told with its position, and compares
    /// what it says with what was compiled in.
    #[test]
    fn yaml_has_no_problems_and_is_what_was_compiled_in() {
        assert!(!SETS.is_empty());
        for (id, compiled) in &SETS {
            let name = format!("{}/templates/rules/{id}.yaml", env!("CARGO_MANIFEST_DIR"));
            let text = std::fs::read_to_string(&name).unwrap_or_else(|e| panic!("{name}: {e}"));
            let tree = Node::parse(&text, Origin::BuiltIn).unwrap_or_else(|e| panic!("{e:?}"));
            assert!(tree == *compiled, "{name} is not what was compiled in");
            let rules = typed(&tree).unwrap_or_else(|problems| {
                panic!(
                    "{}",
                    RulesError::Problems {
                        name,
                        problems,
                        source_text: text
                    }
                )
            });
            assert_eq!(rules.id, *id);
        }
    }
}
