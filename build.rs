//! Turns the wordings under `templates/wording/` and the rule sets under `templates/rules/` into
//! tables that the program reads without any parsing at its start (reading the YAML takes a
//! millisecond a language and two to three a rule set).

#[allow(dead_code)] // the program uses the rest
#[path = "src/compose/wording/file.rs"]
mod file;
#[allow(dead_code)]
#[path = "src/rules/tree.rs"]
mod tree;

use std::error::Error;
use std::fmt::Write;
use std::path::{Path, PathBuf};

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo::rerun-if-changed=templates/wording");
    println!("cargo::rerun-if-changed=src/compose/wording/file.rs");

    let mut files: Vec<PathBuf> = std::fs::read_dir("templates/wording")?
        .map(|entry| Ok(entry?.path()))
        .collect::<Result<_, std::io::Error>>()?;
    files.retain(|path| path.extension().is_some_and(|e| e == "yaml"));
    files.sort();

    let mut code = String::from("pub(super) static BUILT_IN: &[Wording] = &[\n");
    for path in &files {
        println!("cargo::rerun-if-changed={}", path.display());
        let language = path
            .file_stem()
            .and_then(|s| s.to_str())
            .ok_or("a wording’s file name is its language code")?;
        let source = std::fs::read_to_string(path)?;
        let entries = file::read(&source).map_err(|e| format!("{}: {e}", path.display()))?;
        let strings = file::Strings::of(&entries)?;
        writeln!(
            code,
            "Wording {{ language: Cow::Borrowed({language:?}), strings: Strings {{ \
                text: Cow::Borrowed({:?}), places: Cow::Borrowed(&{:?}) }} }},",
            strings.text, strings.places
        )?;
    }
    code.push_str("];\n");

    let out = std::env::var_os("OUT_DIR").ok_or("cargo sets OUT_DIR")?;
    std::fs::write(Path::new(&out).join("wordings.rs"), code)?;
    std::fs::write(Path::new(&out).join("rules.rs"), rules()?)?;
    Ok(())
}

/// The rule sets as constant trees: every list and map a static of its own, children first.
fn rules() -> Result<String, Box<dyn Error>> {
    println!("cargo::rerun-if-changed=templates/rules");
    println!("cargo::rerun-if-changed=src/rules/tree.rs");

    let mut files: Vec<PathBuf> = std::fs::read_dir("templates/rules")?
        .map(|entry| Ok(entry?.path()))
        .collect::<Result<_, std::io::Error>>()?;
    files.retain(|path| path.extension().is_some_and(|e| e == "yaml"));
    files.sort();

    let mut code = String::new();
    let mut sets = Vec::new();
    let mut count = 0;
    for path in &files {
        println!("cargo::rerun-if-changed={}", path.display());
        let id = path
            .file_stem()
            .and_then(|s| s.to_str())
            .ok_or("a rule set’s file name is its id")?;
        let source = std::fs::read_to_string(path)?;
        let tree = tree::Node::parse(&source, tree::Origin::BuiltIn).map_err(|e| {
            let (line, column) = (e.mark.line, e.mark.column);
            format!("{}:{line}:{column}: this file {}", path.display(), e.what)
        })?;
        let root = constant(&tree, &mut code, &mut count)?;
        sets.push(format!("({id:?}, {root})"));
    }
    writeln!(
        code,
        "pub(in crate::rules) static SETS: [(&str, Node); {}] = [{}];",
        sets.len(),
        sets.join(", ")
    )?;
    Ok(code)
}

/// The expression of a node; what it refers to is written to `code`.
fn constant(
    node: &tree::Node,
    code: &mut String,
    count: &mut usize,
) -> Result<String, std::fmt::Error> {
    use tree::Value;
    let (function, kind, items) = match &node.value {
        Value::Null => return Ok("null()".to_owned()),
        Value::Bool(b) => return Ok(format!("flag({b})")),
        Value::Number(n) => return Ok(format!("number({n:?})")),
        Value::Text(t) => return Ok(format!("text({t:?})")),
        Value::List(nodes) => {
            let items: Result<Vec<_>, _> = nodes.iter().map(|n| constant(n, code, count)).collect();
            ("list", "Node", items?)
        }
        Value::Map(entries) => {
            let item = |e: &tree::Entry| {
                let node = constant(&e.node, code, count)?;
                Ok(format!("entry({:?}, {node})", e.key))
            };
            let items: Result<Vec<_>, std::fmt::Error> = entries.iter().map(item).collect();
            ("map", "Entry", items?)
        }
    };
    *count += 1;
    let (name, length) = (format!("N{count}"), items.len());
    let items = items.join(", ");
    writeln!(code, "static {name}: [{kind}; {length}] = [{items}];")?;
    Ok(format!("{function}(&{name})"))
}
