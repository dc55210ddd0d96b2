//! Makes the constant trees from the YAML, and checks that they are the YAML's.

use super::SETS;
use crate::rules::error::RulesError;
use crate::rules::load::typed;
use crate::rules::tree::{Entry, Node, Origin, Value};
use std::fmt::Write;
use std::path::PathBuf;

fn yaml(id: &str) -> (PathBuf, String) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("templates/rules")
        .join(format!("{id}.yaml"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    (path, text)
}

/// Rust source of a tree: lists and maps as statics of their own, children first.
fn source(id: &str, tree: &Node) -> String {
    let mut out = format!(
        "// Made from templates/rules/{id}.yaml; see the module above for the command.\n\n\
         use crate::rules::tree::*;\n\n"
    );
    let mut count = 0;
    let root = expression(tree, &mut out, &mut count);
    let _ = writeln!(out, "pub(super) static TREE: Node = {root};");
    out
}

fn expression(node: &Node, out: &mut String, count: &mut usize) -> String {
    match &node.value {
        Value::Null => "null()".to_owned(),
        Value::Bool(b) => format!("flag({b})"),
        Value::Number(n) => format!("number({n:?})"),
        Value::Text(t) => format!("text({t:?})"),
        Value::List(nodes) => {
            let items = nodes.iter().map(|n| expression(n, out, count)).collect();
            format!("list(&{})", named(items, "Node", out, count))
        }
        Value::Map(entries) => {
            let item =
                |e: &Entry| format!("entry({:?}, {})", e.key, expression(&e.node, out, count));
            let items = entries.iter().map(item).collect();
            format!("map(&{})", named(items, "Entry", out, count))
        }
    }
}

/// Writes a static of its own and gives its name.
fn named(items: Vec<String>, kind: &str, out: &mut String, count: &mut usize) -> String {
    *count += 1;
    let name = format!("N{count}");
    let _ = writeln!(
        out,
        "static {name}: [{kind}; {}] = [{}];",
        items.len(),
        items.join(", ")
    );
    name
}

#[test]
fn trees_are_those_of_the_yaml() {
    for (id, compiled) in SETS {
        let (path, text) = yaml(id);
        let tree = Node::parse(&text, &path.display().to_string(), Origin::BuiltIn)
            .unwrap_or_else(|e| panic!("{e}"));
        if std::env::var_os("UPDATE_RULES").is_some() {
            let made = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
                .join("src/rules/built_in")
                .join(format!("{id}.rs"));
            std::fs::write(&made, source(id, &tree)).unwrap_or_else(|e| panic!("{e}"));
            continue;
        }
        assert!(
            &tree == compiled,
            "{} is newer than its tree: UPDATE_RULES=1 cargo test --lib rules::built_in",
            path.display()
        );
    }
}

/// Loads the YAML itself, so that a problem in it is told with its position.
#[test]
fn yaml_has_no_problems() {
    for (id, _) in SETS {
        let (path, text) = yaml(id);
        let name = path.display().to_string();
        let tree = Node::parse(&text, &name, Origin::BuiltIn).unwrap_or_else(|e| panic!("{e}"));
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
        assert_eq!(rules.id, id);
    }
}
