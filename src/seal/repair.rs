//! Words that a reader that repairs broken files would take for the structure of a file.
//!
//! Such a reader ignores the tables, looks for `12 0 obj` and `trailer` in all bytes, and shows
//! what the last of them define. An attacker who makes it reject the tables could show other pages,
//! by putting these words into a value that a seal permits, such as an extension of a certificate
//! or a reason. How readers repair files is not standardized (common practice, no source), so this
//! search accepts every spelling that one of them might: numbers with a sign or a point, any white
//! space, comments in between.

use crate::pdf::lexer::is_delimiter;

/// Words that begin a part of a file's structure. Some readers use the last two numbers before
/// `obj`, whatever is in between.
const WORDS: [&[u8]; 4] = [b"trailer", b"startxref", b"xref", b"obj"];

/// Words that end a part, after which a reader looks for the next one.
const ENDS: [&[u8]; 2] = [b"endstream", b"endobj"];

/// Bytes that at least one reader treats as white space: control characters, and beyond ASCII those
/// that single readers skip (PDFium skips 0x80 and 0xFF; observed).
const fn is_space(byte: u8) -> bool {
    byte <= b' ' || byte >= 0x7F
}

/// The number of words in these bytes that end a part of a file.
pub(crate) fn ends(bytes: &[u8]) -> usize {
    let count = |word: &&[u8]| memchr::memmem::find_iter(bytes, *word).count();
    ENDS.iter().map(count).sum()
}

/// The first word in these bytes that could be taken for structure.
pub(crate) fn structure(bytes: &[u8]) -> Option<&'static str> {
    find(bytes).or_else(|| bytes.contains(&b'%').then(|| find(&uncommented(bytes)))?)
}

fn find(bytes: &[u8]) -> Option<&'static str> {
    for word in WORDS {
        for at in memchr::memmem::find_iter(bytes, word) {
            let ends = |byte: Option<&u8>| byte.is_none_or(|b| is_space(*b) || is_delimiter(*b));
            let before = at.checked_sub(1).and_then(|at| bytes.get(at));
            if ends(before) && ends(bytes.get(at + word.len())) {
                return std::str::from_utf8(word).ok();
            }
        }
    }
    memchr::memmem::find_iter(bytes, b"obj")
        .any(|at| follows_numbers(&bytes[..at]))
        .then_some("obj")
}

/// Whether bytes end with two numbers. What follows `obj` does not matter, because some readers do not
/// require the word to end there.
fn follows_numbers(bytes: &[u8]) -> bool {
    let is_number: fn(u8) -> bool = |b| matches!(b, b'0'..=b'9' | b'+' | b'-' | b'.');
    let without = |bytes: &[u8], part: fn(u8) -> bool| {
        let length = bytes.iter().rev().take_while(|b| part(**b)).count();
        bytes.len() - length
    };
    let generation_end = without(bytes, is_space);
    let generation = without(&bytes[..generation_end], is_number);
    let number_end = without(&bytes[..generation], is_space);
    let has_digit = |part: &[u8]| part.iter().any(u8::is_ascii_digit);
    let number_start = without(&bytes[..number_end], is_number);
    number_end < generation
        && has_digit(&bytes[generation..generation_end])
        && has_digit(&bytes[number_start..number_end])
}

/// The bytes with comments replaced by spaces.
fn uncommented(bytes: &[u8]) -> Vec<u8> {
    let mut comment = false;
    bytes
        .iter()
        .map(|&byte| {
            comment = (comment || byte == b'%') && !matches!(byte, b'\r' | b'\n');
            if comment { b' ' } else { byte }
        })
        .collect()
}
