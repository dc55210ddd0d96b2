//! The eight kinds of PDF object (ISO 32000-1, 7.3), with the places of strings and streams kept.

use std::ops::Range;

/// Number and generation of an indirect object.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(crate) struct Id {
    pub number: u32,
    pub generation: u16,
}

impl Id {
    pub const fn new(number: u32) -> Self {
        Self {
            number,
            generation: 0,
        }
    }
}

/// One object. Numbers with a point keep their spelling, so that writing changes nothing.
#[derive(Debug, Clone)]
pub(crate) enum Object {
    Null,
    Boolean(bool),
    Integer(i64),
    Real(Vec<u8>),
    Name(Vec<u8>),
    String(PdfString),
    Array(Vec<Object>),
    Dictionary(Dict),
    Stream(Stream),
    Reference(Id),
}

/// A string's bytes and the range it takes in the file, delimiters included. The range is
/// empty for strings out of an object stream, which have no place of their own in the file.
#[derive(Debug, Clone)]
pub(crate) struct PdfString {
    pub bytes: Vec<u8>,
    pub span: Range<usize>,
    pub hex: bool,
}

/// A stream's dictionary and the range of its bytes in the file, still encoded.
#[derive(Debug, Clone)]
pub(crate) struct Stream {
    pub dict: Dict,
    pub data: Range<usize>,
}

/// Entries in the order of the file; the reader has refused repeated keys.
#[derive(Debug, Clone, Default)]
pub(crate) struct Dict(pub Vec<(Vec<u8>, Object)>);

// Equal means equal in meaning: where a string stands in the file does not count.
impl PartialEq for Object {
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Null, Self::Null) => true,
            (Self::Boolean(a), Self::Boolean(b)) => a == b,
            (Self::Integer(a), Self::Integer(b)) => a == b,
            (Self::Real(a), Self::Real(b)) | (Self::Name(a), Self::Name(b)) => a == b,
            (Self::String(a), Self::String(b)) => a.bytes == b.bytes,
            (Self::Array(a), Self::Array(b)) => a == b,
            (Self::Dictionary(a), Self::Dictionary(b)) => a == b,
            (Self::Reference(a), Self::Reference(b)) => a == b,
            // Streams compare by their bytes, which only the file has.
            _ => false,
        }
    }
}

impl PartialEq for Dict {
    fn eq(&self, other: &Self) -> bool {
        self.0.len() == other.0.len()
            && self
                .0
                .iter()
                .all(|(key, value)| other.get(key).is_some_and(|o| o == value))
    }
}

impl Dict {
    pub fn get(&self, key: &[u8]) -> Option<&Object> {
        self.0.iter().find(|(k, _)| k == key).map(|(_, v)| v)
    }

    pub fn set(&mut self, key: &[u8], value: Object) {
        match self.0.iter_mut().find(|(k, _)| k == key) {
            Some(entry) => entry.1 = value,
            None => self.0.push((key.to_vec(), value)),
        }
    }

    pub fn integer(&self, key: &[u8]) -> Option<i64> {
        self.get(key)?.as_integer()
    }

    pub fn name(&self, key: &[u8]) -> Option<&[u8]> {
        self.get(key)?.as_name()
    }

    pub fn is_name(&self, key: &[u8], value: &[u8]) -> bool {
        self.name(key) == Some(value)
    }
}

impl Object {
    pub fn name_of(value: &[u8]) -> Self {
        Self::Name(value.to_vec())
    }

    pub fn text(value: &[u8]) -> Self {
        Self::String(PdfString {
            bytes: value.to_vec(),
            span: 0..0,
            hex: false,
        })
    }

    pub fn as_integer(&self) -> Option<i64> {
        match self {
            Self::Integer(value) => Some(*value),
            _ => None,
        }
    }

    pub fn as_name(&self) -> Option<&[u8]> {
        match self {
            Self::Name(value) => Some(value),
            _ => None,
        }
    }

    pub fn as_string(&self) -> Option<&PdfString> {
        match self {
            Self::String(value) => Some(value),
            _ => None,
        }
    }

    pub fn as_array(&self) -> Option<&[Object]> {
        match self {
            Self::Array(value) => Some(value),
            _ => None,
        }
    }

    pub fn as_reference(&self) -> Option<Id> {
        match self {
            Self::Reference(value) => Some(*value),
            _ => None,
        }
    }

    /// Appends the object as PDF source. A stream is written as its dictionary alone: its bytes
    /// are the file's, and no update of ours rewrites one.
    pub fn write(&self, out: &mut Vec<u8>) {
        match self {
            Self::Null => out.extend_from_slice(b"null"),
            Self::Boolean(value) => {
                out.extend_from_slice(if *value { b"true" } else { b"false" });
            }
            Self::Integer(value) => out.extend_from_slice(value.to_string().as_bytes()),
            Self::Real(spelling) => out.extend_from_slice(spelling),
            Self::Name(name) => write_name(name, out),
            Self::String(string) => write_string(string, out),
            Self::Array(items) => {
                out.push(b'[');
                for (n, item) in items.iter().enumerate() {
                    if n > 0 {
                        out.push(b' ');
                    }
                    item.write(out);
                }
                out.push(b']');
            }
            Self::Dictionary(dict) => dict.write(out),
            Self::Stream(stream) => stream.dict.write(out),
            Self::Reference(id) => {
                out.extend_from_slice(format!("{} {} R", id.number, id.generation).as_bytes());
            }
        }
    }
}

impl Dict {
    pub fn write(&self, out: &mut Vec<u8>) {
        out.extend_from_slice(b"<<");
        for (key, value) in &self.0 {
            write_name(key, out);
            out.push(b' ');
            value.write(out);
        }
        out.extend_from_slice(b">>");
    }
}

fn write_name(name: &[u8], out: &mut Vec<u8>) {
    out.push(b'/');
    for &byte in name {
        if byte == b'#' || !byte.is_ascii_graphic() || super::lexer::is_delimiter(byte) {
            out.extend_from_slice(format!("#{byte:02X}").as_bytes());
        } else {
            out.push(byte);
        }
    }
}

fn write_string(string: &PdfString, out: &mut Vec<u8>) {
    if string.hex {
        out.push(b'<');
        for byte in &string.bytes {
            out.extend_from_slice(format!("{byte:02x}").as_bytes());
        }
        out.push(b'>');
        return;
    }
    out.push(b'(');
    for &byte in &string.bytes {
        match byte {
            b'(' | b')' | b'\\' => out.extend_from_slice(&[b'\\', byte]),
            // A bare carriage return inside a string would be read as a line feed.
            b'\r' => out.extend_from_slice(b"\\r"),
            _ => out.push(byte),
        }
    }
    out.push(b')');
}
