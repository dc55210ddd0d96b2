//! Writes values as PDF spells them (ISO 32000-1, 7.3).

use std::io::Write;

use super::lexer::is_delimiter;
use super::object::{Dict, Id, Object};

/// Writes a whole number.
pub(crate) fn int_to(out: &mut Vec<u8>, value: usize) {
    let mut digits = [0_u8; 20];
    let mut at = digits.len();
    let mut rest = value;
    loop {
        at -= 1;
        digits[at] = b'0' + u8::try_from(rest % 10).unwrap_or(0);
        rest /= 10;
        if rest == 0 {
            break;
        }
    }
    out.extend_from_slice(&digits[at..]);
}

/// Writes a decimal number given as an integer: 1250 with two decimals is 12.5.
pub(crate) fn decimal_to(out: &mut Vec<u8>, value: i32, decimals: u32) {
    if value < 0 {
        out.push(b'-');
    }
    let value = value.unsigned_abs();
    let mut unit = 10_u32.pow(decimals);
    let (whole, mut rest) = (value / unit, value % unit);
    if whole > 0 || rest == 0 {
        int_to(out, whole as usize);
    }
    if rest > 0 {
        out.push(b'.');
    }
    while rest > 0 {
        unit /= 10;
        out.push(b'0' + u8::try_from(rest / unit).unwrap_or(0));
        rest %= unit;
    }
}

/// A length in tenths of a point: finer than the dots of a printer.
pub(crate) fn tenths(value: f32) -> i32 {
    (value * 10.0).round() as i32
}

/// A length in hundredths of a point.
pub(crate) fn hundredths(value: f32) -> i32 {
    (value * 100.0).round() as i32
}

/// Writes a reference.
pub(crate) fn reference_to(out: &mut Vec<u8>, id: Id) {
    int_to(out, id.number as usize);
    out.push(b' ');
    int_to(out, usize::from(id.generation));
    out.extend_from_slice(b" R");
}

/// Spelling of values, which does not change their meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Spelling {
    /// A space only where a key and its value would otherwise run together; used in whole files.
    Short,
    /// A space after every key, and lower-case hexadecimal digits; used in updates, whose bytes do
    /// not change between versions of the program.
    Spaced,
    /// Like `Spaced`, with every string in hexadecimal digits; used for additions after a seal, in
    /// which a reader that scans the file must not find words.
    Digits,
}

impl Object {
    /// Writes the object. Of a stream, only the dictionary is written; the caller writes the bytes
    /// after it.
    pub fn write(&self, out: &mut Vec<u8>) {
        self.spell(out, Spelling::Short);
    }

    pub(crate) fn spell(&self, out: &mut Vec<u8>, spelling: Spelling) {
        match self {
            Object::Null => out.extend_from_slice(b"null"),
            Object::Boolean(true) => out.extend_from_slice(b"true"),
            Object::Boolean(false) => out.extend_from_slice(b"false"),
            Object::Integer(value) => {
                if *value < 0 {
                    out.push(b'-');
                }
                int_to(
                    out,
                    usize::try_from(value.unsigned_abs()).unwrap_or(usize::MAX),
                );
            }
            Object::Real(source) => out.extend_from_slice(source),
            Object::Name(name) => name_to(out, name),
            Object::String(string) if string.hex || spelling == Spelling::Digits => {
                hexadecimal_to(out, &string.bytes, spelling);
            }
            Object::String(string) => literal_to(out, &string.bytes),
            Object::Array(items) => {
                out.push(b'[');
                for (i, item) in items.iter().enumerate() {
                    if i > 0 {
                        out.push(b' ');
                    }
                    item.spell(out, spelling);
                }
                out.push(b']');
            }
            Object::Dictionary(dict) => dict.spell(out, spelling),
            Object::Stream(stream) => stream.dict.spell(out, spelling),
            Object::Reference(id) => reference_to(out, *id),
        }
    }
}

impl Dict {
    /// Writes the dictionary.
    pub fn write(&self, out: &mut Vec<u8>) {
        self.spell(out, Spelling::Short);
    }

    pub(crate) fn spell(&self, out: &mut Vec<u8>, spelling: Spelling) {
        out.extend_from_slice(b"<<");
        for (key, value) in &self.0 {
            name_to(out, key);
            let apart = matches!(
                value,
                Object::Name(_) | Object::String(_) | Object::Array(_) | Object::Dictionary(_)
            );
            if !apart || spelling != Spelling::Short {
                out.push(b' ');
            }
            value.spell(out, spelling);
        }
        out.extend_from_slice(b">>");
    }
}

/// Writes a name; an irregular character is written as a number (ISO 32000-1, 7.3.5).
pub(crate) fn name_to(out: &mut Vec<u8>, name: &[u8]) {
    out.push(b'/');
    for &byte in name {
        if byte.is_ascii_graphic() && byte != b'#' && !is_delimiter(byte) {
            out.push(byte);
        } else {
            // Writing to memory does not fail.
            let _ = write!(out, "#{byte:02X}");
        }
    }
}

/// Writes a literal string. Parentheses, backslashes and carriage returns are escaped; readers
/// would turn the latter into line feeds (ISO 32000-1, 7.3.4.2).
pub(crate) fn literal_to(out: &mut Vec<u8>, bytes: &[u8]) {
    out.push(b'(');
    for &byte in bytes {
        match byte {
            b'(' | b')' | b'\\' => out.extend_from_slice(&[b'\\', byte]),
            b'\r' => out.extend_from_slice(b"\\r"),
            _ => out.push(byte),
        }
    }
    out.push(b')');
}

fn hexadecimal_to(out: &mut Vec<u8>, bytes: &[u8], spelling: Spelling) {
    let digits = match spelling {
        Spelling::Short => b"0123456789ABCDEF",
        Spelling::Spaced | Spelling::Digits => b"0123456789abcdef",
    };
    out.push(b'<');
    for byte in bytes {
        out.push(digits[usize::from(byte >> 4)]);
        out.push(digits[usize::from(byte & 15)]);
    }
    out.push(b'>');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_written_short() {
        for (value, decimals, text) in [
            (0, 2, "0"),
            (1250, 2, "12.5"),
            (-305, 2, "-3.05"),
            (800, 2, "8"),
            (10, 2, ".1"),
            (-1, 1, "-.1"),
            (1, 3, ".001"),
            (1000, 3, "1"),
            (i32::MIN, 1, "-214748364.8"),
        ] {
            let mut out = Vec::new();
            decimal_to(&mut out, value, decimals);
            assert_eq!(String::from_utf8_lossy(&out), text);
        }
    }
}
