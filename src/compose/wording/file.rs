//! A wording as a file: YAML maps with strings at their ends, read into dotted keys. The build
//! script reads the built-in wordings with this same code.

use std::collections::BTreeMap;

/// Reads a wording's file into its dotted keys and strings, sorted by key.
///
/// # Errors
/// What the file has that is not of that form, with its position.
pub fn read(source: &str) -> Result<Vec<(String, String)>, serde_saphyr::Error> {
    let tree: BTreeMap<String, Node> = serde_saphyr::from_str(source)?;
    let mut entries = Vec::new();
    for (key, node) in tree {
        flatten(key, node, &mut entries);
    }
    entries.sort();
    Ok(entries)
}

/// A node of the file: a string or a map of nodes. Read by hand rather than as an untagged enum,
/// so that a key such as `y` stays a string and an error keeps its position.
enum Node {
    Text(String),
    Map(BTreeMap<String, Node>),
}

impl<'de> serde::Deserialize<'de> for Node {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visitor;
        impl<'de> serde::de::Visitor<'de> for Visitor {
            type Value = Node;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a string or further keys")
            }
            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Node, E> {
                Ok(Node::Text(text.to_owned()))
            }
            fn visit_string<E: serde::de::Error>(self, text: String) -> Result<Node, E> {
                Ok(Node::Text(text))
            }
            fn visit_map<M: serde::de::MapAccess<'de>>(self, mut map: M) -> Result<Node, M::Error> {
                let mut nodes = BTreeMap::new();
                while let Some((key, node)) = map.next_entry()? {
                    nodes.insert(key, node);
                }
                Ok(Node::Map(nodes))
            }
        }
        deserializer.deserialize_any(Visitor)
    }
}

fn flatten(path: String, node: Node, into: &mut Vec<(String, String)>) {
    match node {
        Node::Text(text) => into.push((path, text)),
        Node::Map(map) => {
            for (key, node) in map {
                flatten(format!("{path}.{key}"), node, into);
            }
        }
    }
}
