//! The rule sets compiled into the program, as constant trees: reading their YAML at every start
//! would take longer than all else that a small visit needs (2.5 ms for the `us` set).

use super::built_in_trees::SETS;
use super::load::typed;
use super::rule_set::Rules;
use super::starter_values::Starter;
use std::sync::OnceLock;

/// A set compiled into the program, typed once at first use; `None` for an unknown id.
pub fn get(id: &str) -> Option<&'static Rules> {
    static TYPED: [OnceLock<Option<Rules>>; SETS.len()] = [const { OnceLock::new() }; SETS.len()];
    let i = SETS.iter().position(|(known, _)| *known == id)?;
    // A set that can't be typed is caught by the tests; it can't reach a release.
    TYPED[i].get_or_init(|| typed(&SETS[i].1).ok()).as_ref()
}

/// A set compiled into the program with the usual facts of a circuit under it; `None` for an unknown id.
pub fn with_starter(id: &str) -> Option<(&'static Rules, &'static Starter)> {
    let rules = get(id)?;
    Some((rules, rules.starter.as_ref()?))
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

    /// A tree as the macro `node` reads it.
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
