//! A wording as a file: YAML maps with strings at their ends, read into dotted keys. The build
//! script reads the built-in wordings with this same code.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::num::TryFromIntError;

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

/// Keys and strings written one behind the other in one text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Strings {
    /// Each key and its string.
    pub text: Cow<'static, str>,
    /// Sorted by key: where the key begins, where its string does, where that ends.
    pub places: Cow<'static, [[u32; 3]]>,
}

impl Strings {
    /// Of keys and strings that are sorted by key.
    ///
    /// # Errors
    /// They come to 4 GiB or more.
    pub fn of(entries: &[(String, String)]) -> Result<Strings, TryFromIntError> {
        let mut text = String::new();
        let mut places = Vec::with_capacity(entries.len());
        for (key, string) in entries {
            let start = u32::try_from(text.len())?;
            text.push_str(key);
            let middle = u32::try_from(text.len())?;
            text.push_str(string);
            places.push([start, middle, u32::try_from(text.len())?]);
        }
        Ok(Strings {
            text: Cow::Owned(text),
            places: Cow::Owned(places),
        })
    }

    /// Each key and its string, sorted by key.
    pub fn entries(&self) -> impl Iterator<Item = (&str, &str)> {
        self.places
            .iter()
            .map(|[start, middle, end]| (self.part(*start, *middle), self.part(*middle, *end)))
    }

    /// The string of a key.
    pub fn find(&self, key: &str) -> Option<&str> {
        let compare = |place: &[u32; 3]| self.part(place[0], place[1]).cmp(key);
        let at = self.places.binary_search_by(compare).ok()?;
        self.places
            .get(at)
            .map(|[_, middle, end]| self.part(*middle, *end))
    }

    fn part(&self, start: u32, end: u32) -> &str {
        self.text
            .get(start as usize..end as usize)
            .unwrap_or_default()
    }
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
