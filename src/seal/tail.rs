//! The bytes of a file, from its first one: revisions in which every byte belongs to an object that their table
//! lists, to the table, or to their end (ISO 32000-1, 7.5.6).
//!
//! PDF readers skip comments and bytes that no table lists, but a program for another format may
//! read exactly these bytes. Neither is accepted in a certificate or after its seal.
//!
//! Readers also differ in which tables they accept, and rebuild the file if they do not accept one.
//! Therefore only the regular spelling is accepted, which all of them read, and no words that a
//! reader would find when rebuilding the file; see [`repair`].

use std::ops::Range;

use super::plain::shown_name;
use super::repair;
use crate::pdf::lexer::{Lexer, is_delimiter};
use crate::pdf::object::{Dict, Object};
use crate::pdf::revisions::{File, Place, Section, TableKind};
use crate::pdf::{Id, MAX_STRUCTURE_BYTES, filter};

/// Maximum length of the line ends between two parts of a revision, in bytes; other programs write a few
/// empty lines.
const MAX_GAP: usize = 8;
/// Length of a table's line (ISO 32000-1, 7.5.4).
const LINE: usize = 20;
/// Maximum length of a file identifier, in bytes; digests have at most 64.
const MAX_IDENTIFIER: usize = 64;

/// The first bytes of a certificate: the version of the format, and four bytes that mark it as
/// binary.
const HEAD: &[u8] = b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n";
/// Where a revision is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    /// Within the sealed bytes: written by the maker of the certificate.
    Sealed,
    /// After the seal: may have been written by anybody.
    Added,
}

impl Part {
    /// What is wrong with a table.
    fn table(self, what: &str) -> String {
        match self {
            Self::Sealed => format!("a table {what}"),
            Self::Added => format!("a table was added that {what}"),
        }
    }

    fn loose(self, at: usize) -> String {
        match self {
            Self::Sealed => format!("bytes belong to no object (byte {at})"),
            Self::Added => format!("bytes were added that belong to no object (byte {at})"),
        }
    }
}

/// The revisions after a seal.
#[derive(Debug, Default)]
pub(crate) struct Revisions {
    /// The end of each of them, oldest first.
    pub ends: Vec<usize>,
    /// Parts that are written in a regular way, but that this program cannot judge.
    pub unknown: Vec<String>,
}

/// The revisions after the first `from` bytes.
///
/// # Errors
/// What is not regular, as a sentence without its full stop.
pub(crate) fn revisions(file: &File<'_>, from: usize) -> Result<Revisions, String> {
    each(file, from, Part::Added)
}

/// Checks the revisions of a sealed file up to the end of its seal. A reader can show something
/// other than the objects in the tables only if it finds it in other bytes: between the objects, or
/// by rebuilding a file whose tables it does not accept.
///
/// # Errors
/// What is not regular, as a sentence without its full stop.
pub(crate) fn sealed(file: &File<'_>) -> Result<(), String> {
    if !file.bytes.starts_with(HEAD) {
        return Err("it does not begin like a certificate".to_owned());
    }
    each(file, HEAD.len(), Part::Sealed).map(|_| ())
}

fn each(file: &File<'_>, from: usize, part: Part) -> Result<Revisions, String> {
    let mut start = from;
    let mut found = Revisions::default();
    for section in file.sections.iter().rev().filter(|s| s.offset >= from) {
        let end = end_of(file.bytes, section).ok_or_else(|| part.loose(section.end))?;
        let state = file
            .bytes
            .get(..end)
            .ok_or_else(|| part.loose(section.end))
            .and_then(|bytes| File::parse(bytes).map_err(|e| e.to_string()))?;
        // The newest table of this state is the one that ends it.
        match state.sections.first() {
            Some(newest) if newest.offset == section.offset => {
                revision(&state, newest, start, part, &mut found.unknown)?;
            }
            _ => return Err(part.loose(start)),
        }
        found.ends.push(end);
        start = end;
    }
    if start == file.bytes.len() {
        Ok(found)
    } else {
        Err(part.loose(start))
    }
}

/// The end of the `%%EOF` of a section, including its end of line.
fn end_of(bytes: &[u8], section: &Section) -> Option<usize> {
    let start = gap(bytes, section.end).filter(|at| *at > section.end)?;
    let rest = line(bytes.get(start..)?.strip_prefix(b"startxref")?)?;
    let rest = line(rest.strip_prefix(section.offset.to_string().as_bytes())?)?;
    let rest = rest.strip_prefix(b"%%EOF")?;
    Some(bytes.len() - line(rest).unwrap_or(rest).len())
}

/// The bytes after the line end at the beginning.
fn line(bytes: &[u8]) -> Option<&[u8]> {
    match bytes {
        [b'\r', b'\n', rest @ ..] | [b'\r' | b'\n', rest @ ..] => Some(rest),
        _ => None,
    }
}

/// The position after the line ends that begin here; `None` if they are longer than a gap may be.
fn gap(bytes: &[u8], at: usize) -> Option<usize> {
    let ends = bytes.get(at..)?.iter();
    let length = ends.take_while(|b| matches!(b, b'\r' | b'\n')).count();
    (length <= MAX_GAP).then_some(at + length)
}

fn revision(
    state: &File<'_>,
    section: &Section,
    start: usize,
    part: Part,
    unknown: &mut Vec<String>,
) -> Result<(), String> {
    let mut spans = Vec::new();
    let own = Lexer::in_file(state.bytes, section.offset)
        .object_head()
        .ok();
    let own = own.map(|id| id.number);
    let first = state.sections.len() == 1;
    for &(number, place) in &section.entries {
        match place {
            // The head of the list of free numbers, which many programs write every time.
            Place::Free if number == 0 => {}
            // A number that was never used.
            Place::Free if first => {}
            Place::Free => return Err(format!("object {number} was removed")),
            // The stream that contains it is checked like any other object.
            Place::Inside { .. } if part == Part::Sealed => {}
            Place::Inside { .. } => unknown.push(format!("object {number} in packed form")),
            Place::At { offset, .. } if offset == section.offset && own == Some(number) => {}
            Place::At { offset, .. } if !(start..section.offset).contains(&offset) => {
                return Err(format!("object {number} was moved to an older position"));
            }
            Place::At { offset, generation } => {
                let id = Id { number, generation };
                let (object, end) = state.object_at(offset, id).map_err(|e| e.to_string())?;
                let body = body(state.bytes, offset, end, number)?;
                match part {
                    Part::Sealed => {
                        holders(state, &object, number)?;
                        let body = end - body.len()..end;
                        of_certificate(state.bytes, body, &object, number)?;
                    }
                    Part::Added => {
                        let ends = 1 + usize::from(matches!(object, Object::Stream(_)));
                        harmless(body, &object, ends, &format!("object {number}"))?;
                    }
                }
                if !is_plain(state.bytes, offset, &object, part) {
                    return Err(format!("object {number} contains unused bytes"));
                }
                spans.push((offset, end));
            }
        }
    }
    if !section.plain {
        return Err(part.table(&format!("holds more ({})", section.offset)));
    }
    tables(&section.trailer, section.kind, state, section, part)?;
    regular(state, section, part)?;
    spans.push((section.offset, section.end));
    spans.sort_unstable();
    let mut at = start;
    for (from, to) in spans {
        // Each part begins on a line of its own, or it would continue the comment `%%EOF`.
        let begins = matches!(
            from.checked_sub(1).and_then(|n| state.bytes.get(n)),
            Some(b'\r' | b'\n')
        );
        if gap(state.bytes, at) != Some(from) || !begins {
            return Err(part.loose(at));
        }
        at = to;
    }
    Ok(())
}

/// Refuses a stream with objects or a table of its own that no table leads to: a reader that rebuilds the file
/// would find them.
fn holders(state: &File<'_>, object: &Object, number: u32) -> Result<(), String> {
    let Object::Stream(stream) = object else {
        return Ok(());
    };
    if stream.dict.is_name(b"Type", b"XRef") {
        return Err(format!(
            "object {number} is a table to which nothing refers"
        ));
    }
    if !stream.dict.is_name(b"Type", b"ObjStm") {
        return Ok(());
    }
    let inside = state.packed_numbers(number).map_err(|e| e.to_string())?;
    let listed = inside.iter().enumerate().all(|(index, inner)| {
        let place = Place::Inside {
            stream: number,
            index,
        };
        state.place(*inner) == place
    });
    let data = state.bytes.get(stream.data.clone()).unwrap_or_default();
    let whole = filter::whole(&stream.dict, data, MAX_STRUCTURE_BYTES).is_ok();
    if listed && whole && !inside.is_empty() {
        Ok(())
    } else {
        Err(format!(
            "object {number} contains objects that no table lists"
        ))
    }
}

/// Refuses an object of a certificate that a reader could parse as several objects. Compressed data
/// and images may contain any bytes by chance, and no reader looks into them while the tables are
/// regular.
fn of_certificate(
    bytes: &[u8],
    body: Range<usize>,
    object: &Object,
    number: u32,
) -> Result<(), String> {
    let what = format!("object {number}");
    let (dict, stream) = match object {
        Object::Stream(stream) => (Some(&stream.dict), Some(stream)),
        Object::Dictionary(dict) => (Some(dict), None),
        _ => (None, None),
    };
    // A file made for viewing page by page (ISO 32000-1, annex F) has a second way to its pages.
    if dict.is_some_and(|dict| dict.get(b"Linearized").is_some()) {
        return Err(format!(
            "{what} leads to the pages by another way than the tables"
        ));
    }
    let part = |range: Range<usize>| bytes.get(range).unwrap_or_default();
    let Some(stream) = stream else {
        return harmless(part(body), object, 1, &what);
    };
    let dict = Object::Dictionary(stream.dict.clone());
    harmless(part(body.start..stream.data.start), &dict, 0, &what)?;
    harmless(part(stream.data.end..body.end), &Object::Null, 2, &what)?;
    let bare = stream.dict.get(b"Filter").is_none() && !stream.dict.is_name(b"Subtype", b"Image");
    if bare {
        harmless(part(stream.data.clone()), &Object::Null, 0, &what)?;
    }
    Ok(())
}

/// The source of an object after its head, if the head has the regular spelling.
fn body(bytes: &[u8], offset: usize, end: usize, number: u32) -> Result<&[u8], String> {
    let head = format!("{number} 0 obj");
    bytes
        .get(offset..end)
        .and_then(|source| source.strip_prefix(head.as_bytes()))
        .filter(|rest| {
            matches!(rest.first(), Some(b'\r' | b'\n' | b' '))
                || rest.first().is_some_and(|b| is_delimiter(*b))
        })
        .ok_or_else(|| format!("the head of object {number} is spelled in an unusual way"))
}

/// Refuses an object if its source or one of its strings contains what a reader that repairs broken files
/// could take for structure, or more than its own `ends`. Nothing can be found in strings of hexadecimal digits.
fn harmless(source: &[u8], object: &Object, ends: usize, what: &str) -> Result<(), String> {
    let mut found = repair::structure(source);
    if repair::ends(source) > ends {
        found = found.or(Some("endobj"));
    }
    let mut waiting = vec![object];
    while let (None, Some(object)) = (found, waiting.pop()) {
        match object {
            Object::String(string) if !string.hex => found = repair::structure(&string.bytes),
            Object::Array(items) => waiting.extend(items),
            Object::Dictionary(dict) => waiting.extend(dict.0.iter().map(|(_, value)| value)),
            Object::Stream(stream) => waiting.extend(stream.dict.0.iter().map(|(_, value)| value)),
            _ => {}
        }
    }
    match found {
        None => Ok(()),
        Some(word) => Err(format!(
            "{what} contains words that a program that repairs broken files could take for other \
             pages (“{word}”)"
        )),
    }
}

/// Refuses a table that does not have the regular spelling, or is of another kind than those of the
/// file.
fn regular(state: &File<'_>, section: &Section, part: Part) -> Result<(), String> {
    let unusual = || part.table("is spelled in an unusual way");
    let older = state.sections.get(1);
    if older.is_none() && part == Part::Added {
        return Err(unusual());
    }
    if older.is_some_and(|older| older.kind != section.kind) {
        return Err(part.table("is of another kind than the file's"));
    }
    let source = state
        .bytes
        .get(section.offset..section.end)
        .ok_or_else(unusual)?;
    let mut highest = state.numbers().max().unwrap_or(0);
    let rest = match section.kind {
        TableKind::Table => after_lines(source).ok_or_else(unusual)?,
        TableKind::Stream => {
            let id = Lexer::in_file(state.bytes, section.offset)
                .object_head()
                .map_err(|e| e.to_string())?;
            highest = highest.max(id.number);
            body(state.bytes, section.offset, section.end, id.number)?
        }
    };
    let data = section.data.clone().filter(|_| part == Part::Sealed);
    let trailer = Object::Dictionary(section.trailer.clone());
    match (data, section.kind) {
        // Compressed data: see `of_certificate`.
        (Some(data), _) => {
            let start = section.end - rest.len();
            let piece = |range: Range<usize>| state.bytes.get(range).unwrap_or_default();
            harmless(piece(start..data.start), &trailer, 0, "a table")?;
            harmless(piece(data.end..section.end), &Object::Null, 2, "a table")?;
        }
        (None, TableKind::Table) => harmless(rest, &trailer, 0, "a table that was added")?,
        (None, TableKind::Stream) => harmless(rest, &trailer, 2, "a table that was added")?,
    }
    let before = older.map_or(0, |older| older.trailer.integer(b"Size").unwrap_or(0));
    let size = (i64::from(highest) + 1).max(before);
    if section.trailer.integer(b"Size") != Some(size) {
        return Err(part.table("has a wrong /Size"));
    }
    for key in ["Size", "Prev", "Length"] {
        if let Some(value) = section.trailer.integer(key.as_bytes())
            && !is_spelled(rest, key, value)
        {
            return Err(unusual());
        }
    }
    Ok(())
}

/// What follows the lines of a classic table and the word `trailer`.
fn after_lines(source: &[u8]) -> Option<&[u8]> {
    let mut rest = line(source.strip_prefix(b"xref")?)?;
    loop {
        if let Some(rest) = rest.strip_prefix(b"trailer") {
            let dict = line(rest).or(rest.strip_prefix(b" ")).unwrap_or(rest);
            return dict.starts_with(b"<<").then_some(rest);
        }
        let (_, after) = digits(rest)?;
        let (count, after) = digits(after.strip_prefix(b" ")?)?;
        rest = line(after)?;
        for _ in 0..count {
            let (entry, after) = rest.split_at_checked(LINE)?;
            let fine = entry[..10].iter().all(u8::is_ascii_digit)
                && entry[10] == b' '
                && entry[11..16].iter().all(u8::is_ascii_digit)
                && entry[16] == b' '
                && matches!(&entry[18..], b" \n" | b" \r" | b"\r\n");
            if !fine {
                return None;
            }
            rest = after;
        }
    }
}

/// A number without leading zeros, and what follows it.
fn digits(bytes: &[u8]) -> Option<(usize, &[u8])> {
    let length = bytes.iter().take_while(|b| b.is_ascii_digit()).count();
    let (number, rest) = bytes.split_at_checked(length)?;
    let number = std::str::from_utf8(number).ok()?;
    let value: usize = number.parse().ok()?;
    (value.to_string() == number).then_some((value, rest))
}

/// Whether a key and its number are spelled without escapes, signs and zeros.
fn is_spelled(source: &[u8], key: &str, value: i64) -> bool {
    let key = format!("/{key}");
    memchr::memmem::find_iter(source, &key).any(|at| {
        let rest = &source[at + key.len()..];
        let rest = line(rest).or(rest.strip_prefix(b" ")).unwrap_or(rest);
        digits(rest).is_some_and(|(found, after)| {
            i64::try_from(found) == Ok(value)
                && matches!(after.first(), Some(b' ' | b'\r' | b'\n' | b'/' | b'>'))
        })
    })
}

/// Whether the source of an object contains nothing else: no comment and no long white space.
fn is_plain(bytes: &[u8], offset: usize, object: &Object, part: Part) -> bool {
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
    match part {
        Part::Sealed => lexer.is_regular(),
        Part::Added => lexer.is_plain(),
    }
}

/// Refuses unneeded keys in a trailer, or in the dictionary of a table that is a stream.
fn tables(
    trailer: &Dict,
    kind: TableKind,
    state: &File<'_>,
    section: &Section,
    part: Part,
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
            // Checked below.
            b"Filter" | b"DecodeParms" if stream => true,
            _ => false,
        };
        if !fine {
            let key = shown_name(key);
            return Err(match part {
                Part::Sealed => format!("the trailer has a /{key}"),
                Part::Added => format!("the trailer's /{key} was added"),
            });
        }
    }
    if let Some(data) = &section.data {
        let data = state.bytes.get(data.clone()).unwrap_or_default();
        filter::whole(trailer, data, MAX_STRUCTURE_BYTES)
            .map_err(|e| part.table(&format!("holds more ({e})")))?;
    }
    Ok(())
}
