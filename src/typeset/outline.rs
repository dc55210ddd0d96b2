//! Writes the outline (ISO 32000-1, 12.3.3): the title and the sections side by side, the parts
//! of a section below it, everything open.

use crate::pdf::{Dict, Id, Object, Writer};

use super::destination::destination;
use super::paint::Bookmark;

/// Writes the outline; nothing if there is no heading.
pub(super) fn write(file: &mut Writer<'_>, bookmarks: &[Bookmark], pages: &[Id]) -> Option<Id> {
    if bookmarks.is_empty() {
        return None;
    }
    let root = file.reserve();
    let ids: Vec<Id> = bookmarks.iter().map(|_| file.reserve()).collect();
    let at = |i: usize| ids.get(i).copied().unwrap_or(root);
    // The beginning of each section; a part before any section counts as one.
    let tops: Vec<usize> = bookmarks
        .iter()
        .enumerate()
        .filter(|(i, b)| b.level <= 2 || *i == 0)
        .map(|(i, _)| i)
        .collect();
    for (n, &top) in tops.iter().enumerate() {
        let end = tops.get(n + 1).copied().unwrap_or(bookmarks.len());
        let before = n.checked_sub(1).and_then(|b| tops.get(b)).map(|b| at(*b));
        let after = tops.get(n + 1).map(|a| at(*a));
        let mut dict = item(bookmarks, top, pages, root, before, after);
        if end > top + 1 {
            dict.set("First", at(top + 1));
            dict.set("Last", at(end - 1));
            dict.set("Count", i64::try_from(end - top - 1).unwrap_or(0));
        }
        file.put(at(top), dict);
        for part in top + 1..end {
            let before = (part > top + 1).then(|| at(part - 1));
            let after = (part + 1 < end).then(|| at(part + 1));
            file.put(
                at(part),
                item(bookmarks, part, pages, at(top), before, after),
            );
        }
    }
    let mut dict = Dict::from([("Type", "Outlines".into())]);
    if let (Some(first), Some(last)) = (tops.first(), tops.last()) {
        dict.set("First", at(*first));
        dict.set("Last", at(*last));
    }
    dict.set("Count", i64::try_from(bookmarks.len()).unwrap_or(0));
    file.put(root, dict);
    Some(root)
}

fn item(
    bookmarks: &[Bookmark],
    index: usize,
    pages: &[Id],
    parent: Id,
    before: Option<Id>,
    after: Option<Id>,
) -> Dict {
    let mut dict = Dict::default();
    if let Some(bookmark) = bookmarks.get(index) {
        dict.set("Title", Object::text(&bookmark.text));
        dict.set("Dest", destination(pages, bookmark.place));
    }
    dict.set("Parent", parent);
    if let Some(before) = before {
        dict.set("Prev", before);
    }
    if let Some(after) = after {
        dict.set("Next", after);
    }
    dict
}
