//! Writes values as PDF spells them (ISO 32000-1, 7.3).

use std::io::Write;

use lopdf::{Dictionary, Object, ObjectId, StringFormat};

/// Writes a whole number.
pub(super) fn int_to(out: &mut Vec<u8>, value: usize) {
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

/// Writes a decimal number given in its last place: 1250 with two decimals is 12.5.
pub(super) fn decimal_to(out: &mut Vec<u8>, value: i32, decimals: u32) {
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
pub(super) fn tenths(value: f32) -> i32 {
    (value * 10.0).round() as i32
}

/// A length in hundredths of a point.
pub(super) fn hundredths(value: f32) -> i32 {
    (value * 100.0).round() as i32
}

/// Writes a reference.
pub(super) fn reference_to(out: &mut Vec<u8>, id: ObjectId) {
    int_to(out, id.0 as usize);
    out.extend_from_slice(b" 0 R");
}

/// Writes an object (ISO 32000-1, 7.3).
pub(super) fn object_to(out: &mut Vec<u8>, object: &Object) {
    match object {
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
        Object::Real(value) => {
            // Writing to memory does not fail.
            let _ = write!(out, "{value}");
        }
        Object::Name(name) => name_to(out, name),
        Object::String(text, format) => string_to(out, text, *format),
        Object::Array(items) => {
            out.push(b'[');
            for (i, item) in items.iter().enumerate() {
                if i > 0 {
                    out.push(b' ');
                }
                object_to(out, item);
            }
            out.push(b']');
        }
        Object::Dictionary(dict) => dictionary_to(out, dict),
        Object::Reference(id) => reference_to(out, *id),
        // Streams are objects of their own here; see [`File::stream`].
        Object::Stream(stream) => dictionary_to(out, &stream.dict),
    }
}

pub(super) fn dictionary_to(out: &mut Vec<u8>, dict: &Dictionary) {
    out.extend_from_slice(b"<<");
    for (key, value) in dict {
        name_to(out, key);
        if !matches!(
            value,
            Object::Name(_) | Object::String(..) | Object::Array(_) | Object::Dictionary(_)
        ) {
            out.push(b' ');
        }
        object_to(out, value);
    }
    out.extend_from_slice(b">>");
}

/// Writes a name; what is no regular character goes as a number (ISO 32000-1, 7.3.5).
pub(super) fn name_to(out: &mut Vec<u8>, name: &[u8]) {
    out.push(b'/');
    for &byte in name {
        if byte.is_ascii_graphic() && !b"()<>[]{}/%#".contains(&byte) {
            out.push(byte);
        } else {
            // Writing to memory does not fail.
            let _ = write!(out, "#{byte:02X}");
        }
    }
}

/// Writes a string; a literal one with every bracket and backslash escaped, and carriage returns,
/// which readers turn into line feeds (ISO 32000-1, 7.3.4.2).
pub(super) fn string_to(out: &mut Vec<u8>, text: &[u8], format: StringFormat) {
    match format {
        StringFormat::Literal => {
            out.push(b'(');
            for &byte in text {
                match byte {
                    b'(' | b')' | b'\\' => out.extend_from_slice(&[b'\\', byte]),
                    b'\r' => out.extend_from_slice(b"\\r"),
                    _ => out.push(byte),
                }
            }
            out.push(b')');
        }
        StringFormat::Hexadecimal => {
            const DIGITS: &[u8; 16] = b"0123456789ABCDEF";
            out.push(b'<');
            for byte in text {
                out.push(DIGITS[usize::from(byte >> 4)]);
                out.push(DIGITS[usize::from(byte & 15)]);
            }
            out.push(b'>');
        }
    }
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
