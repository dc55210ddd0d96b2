//! What was put behind a file, byte by byte: revisions in which every byte belongs to an object
//! that their table lists, to the table, or to their end (ISO 32000-1, 7.5.6).
//!
//! Readers skip what no table lists, and comments; another program may take just these for a file
//! of its own kind. So behind a seal there is neither.

use super::plain::shown_name;
use crate::pdf::lexer::{Lexer, is_space};
use crate::pdf::object::{Dict, Object};
use crate::pdf::reader::{File, Place, Section, TableKind};
use crate::pdf::{Id, MAX_STRUCTURE_BYTES, filter};

/// Longest white space between two parts of a revision; other programs leave a few empty lines.
const MAX_GAP: usize = 8;
/// Longest file identifier; digests have 64 bytes at most.
const MAX_IDENTIFIER: usize = 64;

/// Where each revision behind the first `from` bytes ends, oldest first; or what there is that
/// belongs to none, as the end of a sentence.
pub(crate) fn ends(file: &File<'_>, from: usize) -> Result<Vec<usize>, String> {
    let mut start = from;
    let mut ends = Vec::new();
    for section in file.sections.iter().rev().filter(|s| s.offset >= from) {
        let end = end_of(file.bytes, section).ok_or_else(|| loose(section.end))?;
        let state = file
            .bytes
            .get(..end)
            .ok_or_else(|| loose(section.end))
            .and_then(|bytes| File::parse(bytes).map_err(|e| e.to_string()))?;
        // The newest table of this state is the one that ends it.
        match state.sections.first() {
            Some(newest) if newest.offset == section.offset => {
                revision(&state, newest, start)?;
            }
            _ => return Err(loose(start)),
        }
        ends.push(end);
        start = end;
    }
    if start == file.bytes.len() {
        Ok(ends)
    } else {
        Err(loose(start))
    }
}

fn loose(at: usize) -> String {
    format!("bytes were added that belong to no object (byte {at})")
}

/// Where the `%%EOF` of a section ends, its end of line included.
fn end_of(bytes: &[u8], section: &Section) -> Option<usize> {
    let mut at = blank(bytes, section.end)?;
    let mut word = |text: &[u8]| {
        bytes.get(at..)?.strip_prefix(text)?;
        at = blank(bytes, at + text.len())?;
        Some(())
    };
    word(b"startxref")?;
    word(section.offset.to_string().as_bytes())?;
    let end = at + b"%%EOF".len();
    if bytes.get(at..end) != Some(b"%%EOF") {
        return None;
    }
    Some(match bytes.get(end..)? {
        [b'\r', b'\n', ..] => end + 2,
        [b'\r' | b'\n', ..] => end + 1,
        _ => end,
    })
}

/// Where white space ends that begins here; none when there is more than a gap has.
fn blank(bytes: &[u8], at: usize) -> Option<usize> {
    let length = bytes
        .get(at..)?
        .iter()
        .take_while(|b| is_space(**b))
        .count();
    (length <= MAX_GAP).then_some(at + length)
}

fn revision(state: &File<'_>, section: &Section, start: usize) -> Result<(), String> {
    let mut spans = Vec::new();
    for &(number, place) in &section.entries {
        match place {
            // The head of the list of free numbers, which many programs write every time.
            Place::Free if number == 0 => {}
            Place::Free => return Err(format!("object {number} was taken away")),
            Place::Inside { .. } => {
                return Err(format!("object {number} was added in packed form"));
            }
            Place::At { offset, .. } if offset == section.offset => {}
            Place::At { offset, .. } if !(start..section.offset).contains(&offset) => {
                return Err(format!("object {number} was given an older place"));
            }
            Place::At { offset, generation } => {
                let id = Id { number, generation };
                let (object, end) = state.object_at(offset, id).map_err(|e| e.to_string())?;
                if !is_plain(state.bytes, offset, &object) {
                    return Err(format!("object {number} holds bytes that mean nothing"));
                }
                spans.push((offset, end));
            }
        }
    }
    if !section.plain {
        return Err(format!(
            "a table was added that holds more ({})",
            section.offset
        ));
    }
    tables(&section.trailer, section.kind, state, section)?;
    spans.push((section.offset, section.end));
    spans.sort_unstable();
    let mut at = start;
    for (from, to) in spans {
        if blank(state.bytes, at) != Some(from) {
            return Err(loose(at));
        }
        at = to;
    }
    Ok(())
}

/// Whether an object's source is itself and nothing beside: no comment, no long white space.
fn is_plain(bytes: &[u8], offset: usize, object: &Object) -> bool {
    let mut lexer = Lexer::in_file(bytes, offset);
    if lexer.object_head().is_err() || lexer.object().is_err() {
        return false;
    }
    if let Object::Stream(stream) = object {
        lexer.skip_space();
        lexer.at = stream.data.end;
        lexer.skip_space();
        lexer.take(b"endstream");
    }
    lexer.skip_space();
    lexer.is_plain()
}

/// Whether a trailer, or the dictionary of a table that is a stream, holds what it must alone.
fn tables(
    trailer: &Dict,
    kind: TableKind,
    state: &File<'_>,
    section: &Section,
) -> Result<(), String> {
    let numbers = |value: &Object| {
        value
            .as_array()
            .is_some_and(|items| items.iter().all(|n| n.as_integer().is_some()))
    };
    let stream = kind == TableKind::Stream;
    for (key, value) in &trailer.0 {
        let fine = match key.as_slice() {
            b"Size" | b"Prev" => value.as_integer().is_some(),
            b"Root" | b"Info" => value.as_reference().is_some(),
            b"ID" => value.as_array().is_some_and(|pair| {
                pair.len() == 2
                    && pair.iter().all(|one| {
                        one.as_string()
                            .is_some_and(|s| s.bytes.len() <= MAX_IDENTIFIER)
                    })
            }),
            b"Type" if stream => value.as_name() == Some(b"XRef"),
            b"Length" if stream => value.as_integer().is_some(),
            b"W" | b"Index" if stream => numbers(value),
            // Looked at below.
            b"Filter" | b"DecodeParms" if stream => true,
            _ => false,
        };
        if !fine {
            let key = shown_name(key);
            return Err(format!("the trailer's /{key} was added"));
        }
    }
    if let Some(data) = &section.data {
        let data = state.bytes.get(data.clone()).unwrap_or_default();
        filter::whole(trailer, data, MAX_STRUCTURE_BYTES)
            .map_err(|e| format!("a table was added that holds more ({e})"))?;
    }
    Ok(())
}
