//! The rule sets compiled into the program, as constant trees. Reading their YAML at every start
//! would take longer than everything else for a small visit (2.5 ms for the `us` set).

use super::built_in_trees::SETS;
use super::editions::{self, EditionError};
use super::load::typed;
use super::rule_set::Rules;
use super::starter_values::Starter;
use std::sync::{Mutex, OnceLock, PoisonError};

/// A set compiled into the program, converted to types once at first use; `None` for an unknown id.
pub fn get(id: &str) -> Option<&'static Rules> {
    static TYPED: [OnceLock<Option<Rules>>; SETS.len()] = [const { OnceLock::new() }; SETS.len()];
    let i = SETS.iter().position(|(known, _)| *known == id)?;
    // Tests ensure that every set can be converted.
    TYPED[i].get_or_init(|| typed(&SETS[i].1).ok()).as_ref()
}

/// A set compiled into the program, with the usual facts of a circuit under it; `None` for an unknown id.
pub fn with_starter(id: &str) -> Option<(&'static Rules, &'static Starter)> {
    let rules = get(id)?;
    Some((rules, rules.starter.as_ref()?))
}

/// A set compiled into the program, in an edition of its code; `None` for an unknown id.
///
/// # Errors
/// The set does not have the edition.
pub fn in_edition(id: &str, edition: Option<&str>) -> Option<Result<&'static Rules, EditionError>> {
    static OTHERS: Mutex<Vec<(&str, &'static Rules)>> = Mutex::new(Vec::new());
    let cited = get(id)?;
    let in_force = |rules: &Rules| rules.code.as_ref().map(|code| code.edition.clone());
    if edition.is_none() || in_force(cited).as_deref() == edition {
        return Some(Ok(cited));
    }
    let (id, tree) = SETS.iter().find(|(known, _)| *known == id)?;
    let mut others = OTHERS.lock().unwrap_or_else(PoisonError::into_inner);
    let made = others
        .iter()
        .find(|(known, rules)| known == id && in_force(rules).as_deref() == edition);
    if let Some((_, rules)) = made {
        return Some(Ok(rules));
    }
    let tree = match editions::in_edition(tree, edition) {
        Ok(tree) => tree,
        Err(why) => return Some(Err(why)),
    };
    // Tests ensure that every edition can be converted. There are only a few, so they are kept
    // until the program ends.
    let rules: &'static Rules = Box::leak(Box::new(typed(&tree).ok()?));
    others.push((id, rules));
    Some(Ok(rules))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)] // tests may panic
mod tests {
    use super::SETS;
    use crate::generated;
    use crate::rules::load::typed;
    use crate::rules::positioned::{Node, Origin, Value};
    use crate::yaml::{Problems, Source};
    use std::fmt::Write;

    /// A set's tree from its YAML, so that a problem in it is reported with its position.
    fn tree(id: &str, text: &str) -> Node {
        let (source, mut problems) = (Source::new(text), Problems::default());
        let name = format!("{id}.yaml");
        let tree = Node::read(&source, Origin::BuiltIn, &mut problems);
        assert!(problems.is_empty(), "{}", problems.finish(&name, &source));
        let tree = tree.unwrap();
        let rules = typed(&tree).unwrap_or_else(|e| panic!("{}", e.finish(&name, &source)));
        assert_eq!(rules.id, id);
        tree
    }

    /// A tree in the syntax of the macro `node`.
    fn write(node: &Node, indent: usize, out: &mut String) {
        match &node.value {
            Value::Null => out.push_str("null"),
            Value::Bool(b) => write!(out, "{b}").unwrap(),
            Value::Number(n) => write!(out, "({n:?})").unwrap(),
            Value::Text(t) => write!(out, "{t:?}").unwrap(),
            Value::List(items) => {
                out.push('[');
                for (i, item) in items.iter().enumerate() {
                    out.push_str(if i > 0 { " " } else { "" });
                    write(item, indent, out);
                }
                out.push(']');
            }
            Value::Map(entries) => {
                out.push_str("{\n");
                for entry in entries.iter() {
                    write!(out, "{:indent$}{:?}: ", "", entry.key).unwrap();
                    write(&entry.node, indent + 1, out);
                    out.push('\n');
                }
                write!(out, "{:1$}}}", "", indent.saturating_sub(1)).unwrap();
            }
        }
    }

    #[test]
    fn compiled_in_rules_are_current() {
        let mut made = String::from(generated::HEAD);
        made.push_str("sets! {\n");
        for (id, text) in generated::yaml_files("templates/rules") {
            write!(made, "{id:?} ").unwrap();
            write(&tree(&id, &text), 1, &mut made);
            made.push('\n');
        }
        made.push_str("}\n");
        generated::assert_current("templates/rules/built_in.rs", &made);
    }

    /// Every edition of a set can be converted, cites itself, and differs from the others.
    #[test]
    fn every_edition_is_complete() {
        for (id, _) in SETS {
            let Some(code) = &super::get(id).unwrap().code else {
                let none = super::in_edition(id, Some("2020")).unwrap().unwrap_err();
                assert_eq!(
                    none.to_string(),
                    format!(
                        "the rule set `{id}` has no editions to choose from\nremove `edition:`"
                    )
                );
                continue;
            };
            assert!(code.known.len() > 1, "{id}");
            for edition in &code.known {
                let rules = super::in_edition(id, Some(edition)).unwrap().unwrap();
                assert_eq!(&rules.code.as_ref().unwrap().edition, edition);
                assert_eq!(rules.code.as_ref().unwrap().known, code.known);
                assert!(rules.title.contains(edition.as_str()), "{}", rules.title);
                for other in code.known.iter().filter(|other| *other != edition) {
                    let cited = format!("{} ({other})", code.name);
                    for listed in crate::rules::listing::entries(rules) {
                        assert!(!listed.source.contains(&cited), "{edition}: {listed:?}");
                    }
                }
            }
            let unknown = super::in_edition(id, Some("1999")).unwrap().unwrap_err();
            assert!(
                unknown.to_string().ends_with(&code.known.join(", ")),
                "{unknown}"
            );
        }
    }

    #[test]
    fn yaml_has_no_problems_and_is_what_was_compiled_in() {
        let files = generated::yaml_files("templates/rules");
        assert_eq!(files.len(), SETS.len());
        for ((id, text), (known, compiled)) in files.iter().zip(SETS) {
            assert_eq!(id, known);
            assert!(
                tree(id, text) == *compiled,
                "{id} is not what was compiled in"
            );
        }
    }
}
