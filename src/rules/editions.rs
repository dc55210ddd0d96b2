//! Editions of the code that a rule set can be read in.
//!
//! A rule set cites one edition, that of `code:`. Under `editions:`, it lists what differs in each
//! other edition. Everything else is cited as the same clause of the edition in force.

use super::positioned::{Entry, Mark, Node, Value};
use std::borrow::Cow;

/// An edition that a rule set does not have.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EditionError {
    /// The rule set has other editions.
    #[error("the rule set `{rules}` has no edition `{asked}` of {code}\nwrite one of: {known}")]
    Unknown {
        /// Id of the rule set.
        rules: String,
        /// Name of the code.
        code: String,
        /// The edition asked for.
        asked: String,
        /// The editions that it has.
        known: String,
    },
    /// The rule set has no editions.
    #[error("the rule set `{rules}` has no editions to choose from\nremove `edition:`")]
    None {
        /// Id of the rule set.
        rules: String,
    },
}

/// Key of the code and the edition that a rule set cites.
pub(super) const CODE: &str = "code";
/// Key of the other editions.
pub(super) const EDITIONS: &str = "editions";

/// The tree of a rule set in an edition; unchanged if none is given.
///
/// # Errors
/// The rule set does not have the edition.
pub(super) fn in_edition(tree: &Node, edition: Option<&str>) -> Result<Node, EditionError> {
    let Some(asked) = edition else {
        return Ok(tree.clone());
    };
    let text = |node: &Node, key: &str| node.get(key).and_then(Node::text).map(str::to_owned);
    let rules = text(tree, "id").unwrap_or_default();
    let Some(code) = tree.get(CODE) else {
        return Err(EditionError::None { rules });
    };
    let name = text(code, "name").unwrap_or_default();
    let cited = text(code, "edition").unwrap_or_default();
    if asked == cited {
        return Ok(tree.clone());
    }
    let Some(other) = tree.get(EDITIONS).and_then(|all| all.get(asked)) else {
        return Err(EditionError::Unknown {
            rules,
            code: name,
            asked: asked.to_owned(),
            known: known(tree).join(", "),
        });
    };
    let mut out = tree.clone();
    let unchanged = text(other, "unchanged");
    let stays = unchanged.as_deref() == Some("confirmed");
    recite(
        &mut out,
        &format!("{name} ({cited})"),
        &format!("{name} ({asked})"),
        stays,
    );
    if let Some(changes) = other.get("changes") {
        out.overlay(changes.clone());
    }
    let set = |node: &mut Node, key: &str, value: &str| {
        if let Value::Map(entries) = &mut node.value
            && let Some(entry) = entries.to_mut().iter_mut().find(|e| e.key == key)
        {
            entry.node.value = Value::Text(Cow::Owned(value.to_owned()));
        }
    };
    if let Some(title) = text(other, "title") {
        set(&mut out, "title", &title);
    }
    // The edition that the set cites is now one of the others.
    let cited_title = text(tree, "title").unwrap_or_default();
    if let Value::Map(entries) = &mut out.value
        && let Some(others) = entries.to_mut().iter_mut().find(|e| e.key == EDITIONS)
        && let Value::Map(others) = &mut others.node.value
    {
        others.to_mut().push(unchanged_edition(cited, cited_title));
    }
    if let Value::Map(entries) = &mut out.value
        && let Some(code) = entries.to_mut().iter_mut().find(|e| e.key == CODE)
    {
        set(&mut code.node, "edition", asked);
    }
    Ok(out)
}

/// An edition without changes, so that the list of editions stays complete.
fn unchanged_edition(edition: String, title: String) -> Entry {
    let plain = |value: Value| Node {
        value,
        ..Node::default()
    };
    let of = |key: &'static str, value: Value| Entry {
        key: Cow::Borrowed(key),
        mark: Mark::default(),
        node: plain(value),
    };
    Entry {
        key: Cow::Owned(edition),
        mark: Mark::default(),
        node: plain(Value::Map(Cow::Owned(vec![
            of("title", Value::Text(Cow::Owned(title))),
            of("unchanged", Value::Text(Cow::Borrowed("confirmed"))),
            of("changes", Value::Map(Cow::Borrowed(&[]))),
        ]))),
    }
}

/// The editions of a rule set: the one that it cites, and those for which it has changes,
/// ascending.
pub(super) fn known(tree: &Node) -> Vec<String> {
    let cited = tree.get(CODE).and_then(|code| code.get("edition")?.text());
    let others = tree.get(EDITIONS).and_then(Node::entries);
    let others = others.unwrap_or_default().iter().map(|e| &*e.key);
    let mut all: Vec<String> = cited.into_iter().chain(others).map(str::to_owned).collect();
    all.sort();
    all.dedup();
    all
}

/// The titles of a rule set in all its editions.
pub(super) fn titles(tree: &Node) -> Vec<&str> {
    let others = tree.get(EDITIONS).and_then(Node::entries);
    let others = others.unwrap_or_default().iter().map(|e| &e.node);
    std::iter::once(tree)
        .chain(others)
        .filter_map(|node| node.get("title")?.text())
        .collect()
}

/// Changes every citation to another edition. Values that were not compared with that edition are
/// marked as from memory.
fn recite(node: &mut Node, from: &str, to: &str, confirmed_stays: bool) {
    match &mut node.value {
        Value::List(items) => {
            for item in items.to_mut() {
                recite(item, from, to, confirmed_stays);
            }
        }
        Value::Map(entries) => {
            let entries = entries.to_mut();
            let mut recited = false;
            for Entry { key, node, .. } in entries.iter_mut() {
                match &mut node.value {
                    Value::Text(text) if key == "source" && text.contains(from) => {
                        *text = Cow::Owned(text.replace(from, to));
                        recited = true;
                    }
                    _ if key == EDITIONS => {}
                    _ => recite(node, from, to, confirmed_stays),
                }
            }
            if recited && !confirmed_stays {
                let checked = entries.iter_mut().find(|e| e.key == "checked");
                if let Some(checked) = checked
                    && checked.node.text() == Some("confirmed")
                {
                    checked.node.value = Value::Text(Cow::Borrowed("from-memory"));
                }
            }
        }
        _ => {}
    }
}
