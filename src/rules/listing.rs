//! A rule set as a list for people and programs: every threshold with its source, and the
//! differences between two sets.

use super::built_in_trees;
use super::editions;
use super::positioned::{Node, Origin, PROVENANCE, Value};
use super::rule_set::{Change, Rules};
use super::sourced::Checked;
use std::collections::BTreeMap;
use std::fmt::Write;

/// One threshold, table or check of a set in force.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    /// Dotted path.
    pub path: String,
    /// Value as text.
    pub value: String,
    /// Published source, or "common practice, no source".
    pub source: String,
    /// How far the source was checked.
    pub checked: Checked,
    /// Reasoning beyond the source.
    pub why: Option<String>,
}

/// Every threshold, table and check of the set, in the order of its file.
pub fn entries(rules: &Rules) -> Vec<Listed> {
    nodes(rules).into_iter().map(|(listed, _)| listed).collect()
}

fn nodes(rules: &Rules) -> Vec<(Listed, &Node)> {
    let mut all = Vec::new();
    let others = format!("{}.", editions::EDITIONS);
    rules.tree.walk("", &mut |path, node| {
        if path.starts_with(&others) {
            return;
        }
        let Some(source) = node.get("source").and_then(Node::text) else {
            return;
        };
        let text = |key| node.get(key).and_then(Node::text);
        let listed = Listed {
            path: path.to_owned(),
            value: node.summary(),
            source: source.to_owned(),
            checked: match (node.mark.origin, text("checked")) {
                (Origin::Firm, _) => Checked::Firm,
                (_, Some("confirmed")) => Checked::Confirmed,
                (_, Some("from-memory")) => Checked::FromMemory,
                _ => Checked::CommonPractice,
            },
            why: text("why").map(str::to_owned),
        };
        all.push((listed, node));
    });
    all
}

/// Width of a line of [`text`].
const WIDTH: usize = 96;

/// The set in force for people: head, changes, and every threshold with its source.
pub fn text(rules: &Rules) -> String {
    let mut out = format!("{}, edition {}: {}\n", rules.id, rules.edition, rules.title);
    if let Some(base) = &rules.extends {
        let _ = writeln!(out, "extends {base}");
    }
    if let Some(code) = &rules.code {
        let others = code.known.iter().filter(|e| **e != code.edition);
        let others: Vec<&str> = others.map(String::as_str).collect();
        let _ = writeln!(
            out,
            "{}, edition {}; also {}",
            code.name,
            code.edition,
            others.join(", ")
        );
    }
    if !rules.prevailing.is_empty() {
        let national = rules.prevailing.join(", ");
        let _ = writeln!(out, "national rules prevail where they differ: {national}");
    }
    if !rules.changes.is_empty() {
        out.push_str("\nchanged:\n");
        out.push_str(&changes(&rules.changes));
    }
    for (e, node) in nodes(rules) {
        out.push('\n');
        if e.path.len() + e.value.len() + 2 <= WIDTH {
            let _ = writeln!(out, "{}: {}", e.path, e.value);
        } else {
            let _ = writeln!(out, "{}:", e.path);
            rows(node, 8, &mut out);
        }
        if e.checked == Checked::CommonPractice {
            wrap(&e.source, 4, &mut out);
        } else {
            wrap(
                &format!("{} ({})", e.source, e.checked.words()),
                4,
                &mut out,
            );
        }
        if let Some(why) = &e.why {
            wrap(why, 4, &mut out);
        }
    }
    for (edition, differs) in other_editions(rules) {
        let _ = writeln!(out, "\nedition {edition} differs in:");
        out.push_str(&changes(&differs));
    }
    out
}

/// The differences between the edition in force and each other edition of a built-in set.
fn other_editions(rules: &Rules) -> Vec<(String, Vec<Change>)> {
    // Changes are relative to the edition that the set cites, not to the one in force.
    let Some(cited) = built_in_trees::tree(&rules.id) else {
        return Vec::new();
    };
    let code = rules.code.iter();
    let others = code.flat_map(|code| code.known.iter().filter(|e| **e != code.edition));
    others
        .filter_map(|edition| {
            let other = editions::in_edition(&cited, Some(edition)).ok()?;
            Some((edition.clone(), differences(&rules.tree, &other)))
        })
        .collect()
}

/// The parts of a table, one per line.
fn rows(node: &Node, indent: usize, out: &mut String) {
    let head = |out: &mut String, key: &str| {
        let _ = writeln!(out, "{:indent$}{}:", "", key.replace('_', " "));
    };
    for e in node.entries().unwrap_or_default() {
        if PROVENANCE.contains(&&*e.key) {
            continue;
        }
        match &e.node.value {
            Value::Map(entries) if entries.len() > 3 => {
                head(out, &e.key);
                rows(&e.node, indent + 4, out);
            }
            Value::List(items) if matches!(items.first(), Some(n) if n.entries().is_some()) => {
                head(out, &e.key);
                for item in items.iter() {
                    wrap(&item.summary(), indent + 4, out);
                }
            }
            _ => {
                let line = format!("{}: {}", e.key.replace('_', " "), e.node.summary());
                wrap(&line, indent, out);
            }
        }
    }
}

/// Differences for people, one per paragraph.
pub fn changes(changes: &[Change]) -> String {
    let mut out = String::new();
    for c in changes {
        wrap(&format!("{}: {} → {}", c.path, c.was, c.is), 0, &mut out);
    }
    out
}

/// Wraps a paragraph at spaces; lines after the first are indented further.
fn wrap(paragraph: &str, indent: usize, out: &mut String) {
    let mut column = indent;
    let _ = write!(out, "{:indent$}", "");
    for (i, word) in paragraph.split_whitespace().enumerate() {
        let length = word.chars().count();
        if i > 0 && column + 1 + length > WIDTH {
            let deeper = if indent == 0 { 4 } else { indent };
            let _ = write!(out, "\n{:deeper$}", "");
            column = deeper;
        } else if i > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out.push('\n');
}

/// The set in force for programs: id, edition, title, prevailing, extends, changes, and the rules as in
/// their file.
pub fn json(rules: &Rules) -> serde_json::Value {
    let mut rest = serde_json::Map::new();
    for e in rules.tree.entries().unwrap_or_default() {
        if !HEAD.contains(&&*e.key) {
            rest.insert(e.key.to_string(), value(&e.node));
        }
    }
    serde_json::json!({
        "id": rules.id,
        "edition": rules.edition,
        "title": rules.title,
        "code": rules.code,
        "editions": other_editions(rules).into_iter().collect::<BTreeMap<_, _>>(),
        "prevailing": rules.prevailing,
        "extends": rules.extends,
        "changes": rules.changes,
        "rules": rest,
    })
}

fn value(node: &Node) -> serde_json::Value {
    match &node.value {
        Value::Null => serde_json::Value::Null,
        Value::Bool(b) => (*b).into(),
        // 2 rather than 2.0, as in the file.
        #[allow(clippy::cast_possible_truncation)] // checked by the comparison
        Value::Number(n) if n.fract() == 0.0 && n.abs() < 1e15 => (*n as i64).into(),
        Value::Number(n) => (*n).into(),
        Value::Text(t) => (&**t).into(),
        Value::List(items) => items.iter().map(value).collect(),
        Value::Map(entries) => {
            let mut map: serde_json::Map<_, _> = entries
                .iter()
                .map(|e| (e.key.to_string(), value(&e.node)))
                .collect();
            if node.is_threshold() && node.mark.origin == Origin::Firm {
                map.insert("checked".to_owned(), "firm".into());
            }
            map.into()
        }
    }
}

/// Keys at the head of a file, which are no thresholds.
const HEAD: [&str; 7] = [
    "id",
    "edition",
    "title",
    "prevailing",
    "extends",
    editions::CODE,
    editions::EDITIONS,
];

/// The differences of `is` from `was`: thresholds and single rows of tables in the order of `is`,
/// then those missing in `is`.
pub fn diff(was: &Rules, is: &Rules) -> Vec<Change> {
    differences(&was.tree, &is.tree)
}

pub(super) fn differences(was: &Node, is: &Node) -> Vec<Change> {
    let mut changes = Vec::new();
    compare("", Some(was), Some(is), &mut changes);
    changes
}

/// Keys of a map whose parts are listed one by one; a single value, or bands, are one line.
fn parts(node: &Node) -> Option<Vec<&str>> {
    if node.get("value").is_some() || node.get("edges").is_some() {
        return None;
    }
    let keys = node.entries()?.iter().map(|e| &*e.key);
    Some(keys.filter(|k| !PROVENANCE.contains(k)).collect())
}

fn compare(path: &str, was: Option<&Node>, is: Option<&Node>, changes: &mut Vec<Change>) {
    if was == is || HEAD.contains(&path) {
        return;
    }
    if let (Some(old), Some(new)) = (was.and_then(parts), is.and_then(parts)) {
        let before = changes.len();
        let gone = old.into_iter().filter(|k| !new.contains(k));
        for key in new.iter().copied().chain(gone) {
            let below = if path.is_empty() {
                key.to_owned()
            } else {
                format!("{path}.{key}")
            };
            let (a, b) = (was.and_then(|n| n.get(key)), is.and_then(|n| n.get(key)));
            compare(&below, a, b, changes);
        }
        let threshold = was.is_some_and(Node::is_threshold);
        if changes.len() > before || !threshold {
            return;
        }
    }
    let text = |n: Option<&Node>| n.map_or_else(|| "absent".to_owned(), Node::summary);
    let (mut a, mut b) = (text(was), text(is));
    if a == b {
        // The value is the same, but its source or reasoning differs.
        let source = |n: Option<&Node>| {
            let source = n.and_then(|n| n.get("source")).and_then(Node::text);
            source.unwrap_or("no source").to_owned()
        };
        a = format!("source: {}", source(was));
        b = format!("source: {}", source(is));
        if a == b {
            return;
        }
    }
    changes.push(Change {
        path: path.to_owned(),
        was: a,
        is: b,
    });
}
