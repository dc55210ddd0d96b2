//! Tokens and objects from bytes (ISO 32000-1, 7.2 and 7.3), without repair.

use super::error::PdfError;
use super::object::{Dict, Id, Object, PdfString};
use super::reader_bounds::{MAX_DEPTH, MAX_KEYS};

/// Longest white space in a plain object: the space reserved for the numbers of a `/ByteRange`.
const MAX_BLANK: usize = 96;
/// Longest number in a plain object, in characters. Readers cut longer tokens, some at 255.
const MAX_NUMBER: usize = 32;
/// Longest name in a plain object, in bytes (ISO 32000-1, annex C): readers cut longer ones.
const MAX_NAME: usize = 127;
/// Room taken at first for a name or a string, in bytes: most need no more, and a file full of
/// empty ones must not cost much.
const USUAL: usize = 16;

pub(crate) const fn is_space(byte: u8) -> bool {
    matches!(byte, 0 | 9 | 10 | 12 | 13 | 32)
}

pub(crate) const fn is_delimiter(byte: u8) -> bool {
    matches!(
        byte,
        b'(' | b')' | b'<' | b'>' | b'[' | b']' | b'{' | b'}' | b'/' | b'%'
    )
}

/// Reads forward through bytes. `base` is the offset of `bytes[0]` in the file, or `None` inside an
/// object stream, whose contents have no offsets in the file.
pub struct Lexer<'a> {
    bytes: &'a [u8],
    /// The offset of the next byte.
    pub at: usize,
    in_file: bool,
    /// A comment was skipped.
    comment: bool,
    /// The longest white space that was skipped.
    blank: usize,
    /// White space was skipped that few programs write and that not every reader recognises, or a
    /// number or name was read whose spelling not every reader understands in the same way.
    unusual: bool,
    /// A name contained an escape.
    escaped: bool,
}

impl<'a> Lexer<'a> {
    /// Reads a file from an offset.
    pub fn in_file(bytes: &'a [u8], at: usize) -> Self {
        Self {
            bytes,
            at,
            in_file: true,
            comment: false,
            blank: 0,
            unusual: false,
            escaped: false,
        }
    }

    /// Reads the decoded bytes of an object stream or a content stream from an offset on.
    pub fn in_object_stream(bytes: &'a [u8], at: usize) -> Self {
        Self {
            bytes,
            at,
            in_file: false,
            comment: false,
            blank: 0,
            unusual: false,
            escaped: false,
        }
    }

    /// A syntax error at this position.
    pub fn fail(&self, what: &'static str) -> PdfError {
        PdfError::Syntax { at: self.at, what }
    }

    /// The next byte.
    pub fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn peek_second(&self) -> Option<u8> {
        self.bytes.get(self.at + 1).copied()
    }

    /// Whether only short white space without NUL and form feed was skipped so far, and all names
    /// and numbers are spelled without escapes, signs and needless length.
    pub fn is_plain(&self) -> bool {
        self.is_regular() && !self.escaped
    }

    /// The same, but names may have escapes where they cannot be spelled without (ISO 32000-1, 7.3.5).
    pub fn is_regular(&self) -> bool {
        !self.comment && !self.unusual && self.blank <= MAX_BLANK
    }

    /// Skips white space and comments.
    pub fn skip_space(&mut self) {
        let start = self.at;
        self.skip();
        self.blank = self.blank.max(self.at - start);
    }

    fn skip(&mut self) {
        while let Some(byte) = self.peek() {
            if byte == b'%' {
                self.comment = true;
                while self.peek().is_some_and(|b| b != b'\n' && b != b'\r') {
                    self.at += 1;
                }
            } else if is_space(byte) {
                self.unusual |= matches!(byte, 0 | 12);
                self.at += 1;
            } else {
                return;
            }
        }
    }

    /// Reads `word` if it is the next whole token.
    pub fn take(&mut self, word: &[u8]) -> bool {
        let Some(rest) = self.bytes.get(self.at..) else {
            return false;
        };
        if !rest.starts_with(word) {
            return false;
        }
        match rest.get(word.len()) {
            Some(&next) if !is_space(next) && !is_delimiter(next) => false,
            _ => {
                self.at += word.len();
                true
            }
        }
    }

    /// A run of at most ten digits.
    pub fn unsigned(&mut self) -> Result<u64, PdfError> {
        let mut value = 0_u64;
        let mut digits = 0;
        while let Some(byte @ b'0'..=b'9') = self.peek() {
            value = value * 10 + u64::from(byte - b'0');
            digits += 1;
            if digits > 10 {
                return Err(self.fail("a number with more than ten digits"));
            }
            self.at += 1;
        }
        if digits == 0 {
            return Err(self.fail("a number was expected"));
        }
        Ok(value)
    }

    /// The head of an indirect object, `12 0 obj`.
    pub fn object_head(&mut self) -> Result<Id, PdfError> {
        let number = self.unsigned()?;
        let first = self.at;
        self.skip_space();
        let second = self.at;
        let generation = self.unsigned()?;
        let end = self.at;
        self.skip_space();
        if second == first || self.at == end || !self.take(b"obj") {
            return Err(self.fail("no object begins where the table says"));
        }
        match (u32::try_from(number), u16::try_from(generation)) {
            (Ok(number), Ok(generation)) => Ok(Id { number, generation }),
            _ => Err(self.fail("an object number out of range")),
        }
    }

    /// Reads an object; a stream is read as its dictionary.
    ///
    /// # Errors
    /// Anything that is not spelled according to ISO 32000-1, 7.3.
    pub fn object(&mut self) -> Result<Object, PdfError> {
        self.nested(0)
    }

    /// An operator of a content stream or a map of characters, if one is next.
    pub fn operator(&mut self) -> Option<&'a [u8]> {
        let rest = self.bytes.get(self.at..)?;
        let first = *rest.first()?;
        if !(first.is_ascii_alphabetic() || matches!(first, b'\'' | b'"')) {
            return None;
        }
        let length = rest
            .iter()
            .position(|&b| is_space(b) || is_delimiter(b))
            .unwrap_or(rest.len());
        let word = &rest[..length];
        if matches!(word, b"true" | b"false" | b"null") {
            return None;
        }
        self.at += length;
        Some(word)
    }

    fn nested(&mut self, depth: usize) -> Result<Object, PdfError> {
        if depth > MAX_DEPTH {
            return Err(PdfError::Bound("nesting"));
        }
        self.skip_space();
        let start = self.at;
        match self.peek() {
            None => Err(self.fail("the file ends inside an object")),
            Some(b'/') => Ok(Object::Name(self.name()?)),
            Some(b'(') => {
                let bytes = self.literal()?;
                Ok(self.string(bytes, start, false))
            }
            Some(b'<') if self.peek_second() == Some(b'<') => {
                Ok(Object::Dictionary(self.dictionary(depth)?))
            }
            Some(b'<') => {
                let bytes = self.hexadecimal()?;
                Ok(self.string(bytes, start, true))
            }
            Some(b'[') => {
                self.at += 1;
                let mut items = Vec::new();
                loop {
                    self.skip_space();
                    if self.peek() == Some(b']') {
                        self.at += 1;
                        return Ok(Object::Array(items));
                    }
                    items.push(self.nested(depth + 1)?);
                }
            }
            Some(b'0'..=b'9' | b'+' | b'-' | b'.') => self.number(),
            Some(_) if self.take(b"true") => Ok(Object::Boolean(true)),
            Some(_) if self.take(b"false") => Ok(Object::Boolean(false)),
            Some(_) if self.take(b"null") => Ok(Object::Null),
            Some(_) => Err(self.fail("no PDF object begins like this")),
        }
    }

    fn string(&self, bytes: Vec<u8>, start: usize, hex: bool) -> Object {
        let span = if self.in_file { start..self.at } else { 0..0 };
        Object::String(PdfString { bytes, span, hex })
    }

    fn dictionary(&mut self, depth: usize) -> Result<Dict, PdfError> {
        self.at += 2;
        let mut dict = Dict::default();
        loop {
            self.skip_space();
            match self.peek() {
                Some(b'>') if self.peek_second() == Some(b'>') => {
                    self.at += 2;
                    let mut keys: Vec<&[u8]> = dict.0.iter().map(|(k, _)| k.as_slice()).collect();
                    keys.sort_unstable();
                    if keys.windows(2).any(|pair| pair[0] == pair[1]) {
                        return Err(self.fail("the same key twice in one dictionary"));
                    }
                    return Ok(dict);
                }
                Some(b'/') => {
                    if dict.0.len() == MAX_KEYS {
                        return Err(PdfError::Bound("a dictionary"));
                    }
                    let key = self.name()?;
                    let value = self.nested(depth + 1)?;
                    dict.0.push((key, value));
                }
                _ => return Err(self.fail("a dictionary's key was expected")),
            }
        }
    }

    fn name(&mut self) -> Result<Vec<u8>, PdfError> {
        self.at += 1;
        let mut name = Vec::with_capacity(USUAL);
        while let Some(byte) = self.peek() {
            if is_space(byte) || is_delimiter(byte) {
                break;
            }
            self.at += 1;
            if byte == b'#' {
                let digits = (self.peek(), self.peek_second());
                let pair = (digits.0.and_then(hex_value), digits.1.and_then(hex_value));
                let (Some(high), Some(low)) = pair else {
                    return Err(self.fail("a # in a name without its two digits"));
                };
                let escaped = high << 4 | low;
                let needless =
                    escaped.is_ascii_graphic() && escaped != b'#' && !is_delimiter(escaped);
                let small = |digit: Option<u8>| digit.is_some_and(|d| d.is_ascii_lowercase());
                self.unusual |= needless || small(digits.0) || small(digits.1);
                self.escaped = true;
                name.push(escaped);
                self.at += 2;
            } else {
                self.unusual |= !byte.is_ascii_graphic();
                name.push(byte);
            }
        }
        self.unusual |= name.is_empty() || name.len() > MAX_NAME;
        Ok(name)
    }

    fn number(&mut self) -> Result<Object, PdfError> {
        let start = self.at;
        while self
            .peek()
            .is_some_and(|b| b.is_ascii_digit() || matches!(b, b'+' | b'-' | b'.'))
        {
            self.at += 1;
        }
        let spelling = &self.bytes[start..self.at];
        self.unusual |= spelling.len() > MAX_NUMBER || spelling.starts_with(b"+");
        let unsigned = spelling
            .strip_prefix(b"+")
            .or(spelling.strip_prefix(b"-"))
            .unwrap_or(spelling);
        let points = unsigned.iter().filter(|&&b| b == b'.').count();
        let digits = unsigned.iter().filter(|b| b.is_ascii_digit()).count();
        // A token ends only before white space or a delimiter (7.2.2): `0R` is not a number
        // followed by a word.
        let ends = self.peek().is_none_or(|b| is_space(b) || is_delimiter(b));
        if !ends || points > 1 || digits == 0 || points + digits != unsigned.len() {
            return Err(PdfError::Syntax {
                at: start,
                what: "a malformed number",
            });
        }
        if points == 1 {
            return Ok(Object::Real(spelling.to_vec()));
        }
        let value = std::str::from_utf8(spelling)
            .ok()
            .and_then(|s| s.parse::<i64>().ok())
            .ok_or(PdfError::Syntax {
                at: start,
                what: "a number out of range",
            })?;
        // `12 0 R` begins like a number; look ahead and come back if it is one.
        if spelling == unsigned
            && let Some(id) = self.reference(value)
        {
            // Readers disagree about other spellings, and may then show another object.
            let regular = format!("{} {} R", id.number, id.generation);
            self.unusual |= self.bytes.get(start..self.at) != Some(regular.as_bytes());
            return Ok(Object::Reference(id));
        }
        Ok(Object::Integer(value))
    }

    fn reference(&mut self, number: i64) -> Option<Id> {
        let kept = (self.at, self.blank, self.comment, self.unusual);
        let id = self.generation_and_r().and_then(|generation| {
            Some(Id {
                number: u32::try_from(number).ok()?,
                generation: u16::try_from(generation).ok()?,
            })
        });
        if id.is_none() {
            // The skipped bytes are read, and judged, again.
            (self.at, self.blank, self.comment, self.unusual) = kept;
        }
        id
    }

    /// The rest of a reference behind its number: white space, the generation, white space, `R`.
    fn generation_and_r(&mut self) -> Option<u64> {
        let number = self.at;
        self.skip_space();
        let start = self.at;
        let generation = self.unsigned().ok()?;
        let end = self.at;
        self.skip_space();
        (start > number && self.at > end && self.take(b"R")).then_some(generation)
    }

    fn hexadecimal(&mut self) -> Result<Vec<u8>, PdfError> {
        self.at += 1;
        let mut bytes = Vec::new();
        let mut half = None;
        let mut blank = 0;
        loop {
            let Some(byte) = self.peek() else {
                return Err(self.fail("the file ends inside a string"));
            };
            self.at += 1;
            if byte == b'>' {
                // An odd last digit counts as if a zero followed (7.3.4.3).
                self.unusual |= half.is_some();
                bytes.extend(half.map(|high: u8| high << 4));
                return Ok(bytes);
            }
            if is_space(byte) {
                blank += 1;
                self.unusual |= matches!(byte, 0 | 12) || blank > MAX_BLANK;
                continue;
            }
            let Some(digit) = hex_value(byte) else {
                self.at -= 1;
                return Err(self.fail("a hexadecimal string with another character in it"));
            };
            half = match half {
                None => Some(digit),
                Some(high) => {
                    bytes.push(high << 4 | digit);
                    None
                }
            };
        }
    }

    fn literal(&mut self) -> Result<Vec<u8>, PdfError> {
        self.at += 1;
        let mut bytes = Vec::with_capacity(USUAL);
        let mut open = 1_usize;
        loop {
            let Some(byte) = self.peek() else {
                return Err(self.fail("the file ends inside a string"));
            };
            self.at += 1;
            match byte {
                b'(' => {
                    open += 1;
                    bytes.push(byte);
                }
                b')' => {
                    open -= 1;
                    if open == 0 {
                        return Ok(bytes);
                    }
                    bytes.push(byte);
                }
                b'\\' => self.escape(&mut bytes),
                b'\r' => {
                    self.unusual = true;
                    if self.peek() == Some(b'\n') {
                        self.at += 1;
                    }
                    bytes.push(b'\n');
                }
                _ => bytes.push(byte),
            }
        }
    }

    fn escape(&mut self, bytes: &mut Vec<u8>) {
        let Some(byte) = self.peek() else { return };
        self.at += 1;
        match byte {
            b'n' => bytes.push(b'\n'),
            b'r' => bytes.push(b'\r'),
            b't' => bytes.push(b'\t'),
            b'b' => bytes.push(8),
            b'f' => bytes.push(12),
            // A string that continues on the next line can be filled with any number of such line
            // ends.
            b'\r' => {
                self.unusual = true;
                if self.peek() == Some(b'\n') {
                    self.at += 1;
                }
            }
            b'\n' => self.unusual = true,
            b'0'..=b'7' => {
                let mut value = u32::from(byte - b'0');
                for _ in 0..2 {
                    let Some(digit @ b'0'..=b'7') = self.peek() else {
                        break;
                    };
                    value = value * 8 + u32::from(digit - b'0');
                    self.at += 1;
                }
                // High-order overflow is ignored (7.3.4.2), but not by all readers.
                self.unusual |= value > 0xFF;
                bytes.push((value & 0xFF) as u8);
            }
            other => bytes.push(other),
        }
    }
}

pub(crate) const fn hex_value(byte: u8) -> Option<u8> {
    match byte {
        b'0'..=b'9' => Some(byte - b'0'),
        b'a'..=b'f' => Some(byte - b'a' + 10),
        b'A'..=b'F' => Some(byte - b'A' + 10),
        _ => None,
    }
}
