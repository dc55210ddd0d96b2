//! A wording as a file: nested YAML maps of strings, read into dotted keys.

use crate::yaml::{Form, Ix, NodeKind, Problems, Source, Span, Tree};
use std::borrow::Cow;

/// Limits of a wording for the YAML reader; the English one has 70 kB and 4 levels. Authors'
/// choice.
const FORM: Form = Form {
    name: "wording",
    about: "language",
    bytes: 1024 * 1024,
    too_large: "keep to the strings that the program uses",
    nesting: 16,
    usual_nesting: "five",
    values: 100_000,
    aliases: 0,
    empty: "copy the English wording and translate it",
};

/// A dotted key, its string, and the position of the key.
pub(super) type Entry = (String, String, Span);

/// Reads a wording's file into its dotted keys and strings, sorted by key. Anything
/// else is reported and skipped.
pub(super) fn read(source: &Source<'_>, problems: &mut Problems) -> Vec<Entry> {
    let mut entries = Vec::new();
    if let Some(tree) = Tree::read(source, &FORM, problems) {
        flatten("", tree.root, &tree, source, problems, &mut entries);
    }
    entries.sort();
    entries
}

fn flatten(
    path: &str,
    map: Ix,
    tree: &Tree<'_>,
    source: &Source<'_>,
    problems: &mut Problems,
    into: &mut Vec<Entry>,
) {
    if !matches!(tree.node(map).kind, NodeKind::Map(_)) {
        problems.push(
            Some(tree.mark(map, source)),
            "further keys belong here",
            "write keys with strings, indented alike",
        );
    }
    for (key, at, value) in tree.keyed(map, source, problems) {
        let path = format!("{path}{key}");
        match &tree.node(value).kind {
            NodeKind::Scalar(text) => {
                into.push((path, text.clone().into_owned(), tree.mark(at, source)));
            }
            NodeKind::Map(_) => {
                flatten(&format!("{path}."), value, tree, source, problems, into);
            }
            NodeKind::Null | NodeKind::List(_) => problems.push(
                Some(tree.mark(at, source)),
                format!("“{path}” has neither a string nor further keys"),
                "write the string in quotes",
            ),
        }
    }
}

/// Keys and strings written one after the other in one text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Strings {
    /// Each key and its string.
    pub text: Cow<'static, str>,
    /// Sorted by key: the offset of the key, of its string, and of the end of the string.
    pub places: Cow<'static, [[u32; 3]]>,
}

impl Strings {
    /// Of keys and strings that are sorted by key.
    pub(super) fn of(entries: &[Entry]) -> Strings {
        // A file has at most `FORM.bytes`.
        let here = |text: &String| u32::try_from(text.len()).unwrap_or(u32::MAX);
        let mut text = String::new();
        let mut places = Vec::with_capacity(entries.len());
        for (key, string, _) in entries {
            let start = here(&text);
            text.push_str(key);
            let middle = here(&text);
            text.push_str(string);
            places.push([start, middle, here(&text)]);
        }
        Strings {
            text: Cow::Owned(text),
            places: Cow::Owned(places),
        }
    }

    /// Each key and its string, sorted by key.
    pub(super) fn entries(&self) -> impl Iterator<Item = (&str, &str)> {
        self.places
            .iter()
            .map(|[start, middle, end]| (self.part(*start, *middle), self.part(*middle, *end)))
    }

    /// The string of a key.
    pub(super) fn find(&self, key: &str) -> Option<&str> {
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

/// The places of keys and strings of these lengths, one after the other.
#[allow(clippy::cast_possible_truncation)] // the wordings compiled in are far shorter
pub(super) const fn places<const N: usize>(lengths: &[(usize, usize)]) -> [[u32; 3]; N] {
    let (mut places, mut i, mut at) = ([[0; 3]; N], 0, 0);
    while i < N {
        let (middle, end) = (at + lengths[i].0, at + lengths[i].0 + lengths[i].1);
        places[i] = [at as u32, middle as u32, end as u32];
        at = end;
        i += 1;
    }
    places
}
