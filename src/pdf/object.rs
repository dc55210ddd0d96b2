//! The eight kinds of PDF object (ISO 32000-1, 7.3), with the positions of strings and streams.

use std::ops::Range;

use super::text;

/// Number and generation of an indirect object.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Id {
    /// Object number.
    pub number: u32,
    /// Generation number; 0 in every file that is written here.
    pub generation: u16,
}

impl Id {
    /// The object with this number and generation 0.
    pub const fn new(number: u32) -> Self {
        Self {
            number,
            generation: 0,
        }
    }
}

/// One object. Numbers with a point keep their spelling, so that writing does not change them.
#[derive(Debug, Clone)]
pub enum Object {
    /// `null`.
    Null,
    /// `true` or `false`.
    Boolean(bool),
    /// A number without a point.
    Integer(i64),
    /// A number with a point, as it is spelled.
    Real(Vec<u8>),
    /// A name, without its slash and with its `#` escapes resolved.
    Name(Vec<u8>),
    /// A string.
    String(PdfString),
    /// An array.
    Array(Vec<Object>),
    /// A dictionary.
    Dictionary(Dict),
    /// A stream that was read from a file.
    Stream(Stream),
    /// A reference to an indirect object.
    Reference(Id),
}

/// A string's bytes and its range in the file, including delimiters. The range is empty for strings
/// from an object stream, which have no position in the file, and for those that were not read from
/// a file.
#[derive(Debug, Clone)]
pub struct PdfString {
    /// The bytes that it represents.
    pub bytes: Vec<u8>,
    /// Range of its source in the file.
    pub span: Range<usize>,
    /// Whether it is spelled in hexadecimal digits.
    pub hex: bool,
}

/// A stream's dictionary and the range of its bytes in the file, still encoded.
#[derive(Debug, Clone)]
pub struct Stream {
    /// Its dictionary.
    pub dict: Dict,
    /// Range of its bytes in the file.
    pub data: Range<usize>,
}

/// Entries in the order of the file; the reader has refused repeated keys.
#[derive(Debug, Clone, Default)]
pub struct Dict(pub Vec<(Vec<u8>, Object)>);

// Equal means equal in meaning: where a string is in the file does not matter.
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
    /// The value of a key.
    pub fn get(&self, key: &[u8]) -> Option<&Object> {
        self.0.iter().find(|(k, _)| k == key).map(|(_, v)| v)
    }

    /// The value of a key, mutable.
    pub fn get_mut(&mut self, key: &[u8]) -> Option<&mut Object> {
        self.0.iter_mut().find(|(k, _)| k == key).map(|(_, v)| v)
    }

    /// Sets the value of a key: in its old position, or at the end.
    pub fn set(&mut self, key: impl AsRef<[u8]>, value: impl Into<Object>) {
        let (key, value) = (key.as_ref(), value.into());
        match self.get_mut(key) {
            Some(entry) => *entry = value,
            None => self.0.push((key.to_vec(), value)),
        }
    }

    /// The value of a key, if it is an integer.
    pub fn integer(&self, key: &[u8]) -> Option<i64> {
        self.get(key)?.as_integer()
    }

    /// The value of a key, if it is a name.
    pub fn name(&self, key: &[u8]) -> Option<&[u8]> {
        self.get(key)?.as_name()
    }

    /// Whether the value of a key is this name.
    pub fn is_name(&self, key: &[u8], value: &[u8]) -> bool {
        self.name(key) == Some(value)
    }
}

impl<const N: usize> From<[(&str, Object); N]> for Dict {
    /// The keys must differ; they are not compared.
    fn from(entries: [(&str, Object); N]) -> Self {
        entries.into_iter().collect()
    }
}

impl<K: AsRef<[u8]>> FromIterator<(K, Object)> for Dict {
    /// The keys must differ; they are not compared.
    fn from_iter<I: IntoIterator<Item = (K, Object)>>(entries: I) -> Self {
        let entries = entries.into_iter();
        Dict(entries.map(|(k, v)| (k.as_ref().to_vec(), v)).collect())
    }
}

impl Object {
    /// A text string (ISO 32000-1, 7.9.2.2).
    pub fn text(text: &str) -> Self {
        Self::literal(text::encoded(text))
    }

    /// A string of these bytes, spelled between parentheses.
    pub fn literal(bytes: impl Into<Vec<u8>>) -> Self {
        Self::string(bytes.into(), false)
    }

    /// A string of these bytes, spelled in hexadecimal digits.
    pub fn hexadecimal(bytes: impl Into<Vec<u8>>) -> Self {
        Self::string(bytes.into(), true)
    }

    fn string(bytes: Vec<u8>, hex: bool) -> Self {
        let span = 0..0;
        Self::String(PdfString { bytes, span, hex })
    }

    /// Its value, if it is an integer.
    pub fn as_integer(&self) -> Option<i64> {
        match self {
            Self::Integer(value) => Some(*value),
            _ => None,
        }
    }

    /// Its characters, if it is a name.
    pub fn as_name(&self) -> Option<&[u8]> {
        match self {
            Self::Name(value) => Some(value),
            _ => None,
        }
    }

    /// The string, if it is one.
    pub fn as_string(&self) -> Option<&PdfString> {
        match self {
            Self::String(value) => Some(value),
            _ => None,
        }
    }

    /// Its items, if it is an array.
    pub fn as_array(&self) -> Option<&[Object]> {
        match self {
            Self::Array(value) => Some(value),
            _ => None,
        }
    }

    /// Its entries, if it is a dictionary.
    pub fn as_dictionary(&self) -> Option<&Dict> {
        match self {
            Self::Dictionary(value) => Some(value),
            _ => None,
        }
    }

    /// The object to which it refers, if it is a reference.
    pub fn as_reference(&self) -> Option<Id> {
        match self {
            Self::Reference(value) => Some(*value),
            _ => None,
        }
    }
}

impl From<bool> for Object {
    fn from(value: bool) -> Self {
        Self::Boolean(value)
    }
}

impl From<i32> for Object {
    fn from(value: i32) -> Self {
        Self::Integer(value.into())
    }
}

impl From<i64> for Object {
    fn from(value: i64) -> Self {
        Self::Integer(value)
    }
}

impl From<u32> for Object {
    fn from(value: u32) -> Self {
        Self::Integer(value.into())
    }
}

impl From<usize> for Object {
    fn from(value: usize) -> Self {
        Self::Integer(i64::try_from(value).unwrap_or(i64::MAX))
    }
}

impl From<f32> for Object {
    /// A number given in hundredths; whole numbers are written without a point.
    fn from(value: f32) -> Self {
        let value = (value * 100.0).round() / 100.0;
        if value.fract() == 0.0 {
            Self::Integer(value as i64)
        } else {
            Self::Real(value.to_string().into_bytes())
        }
    }
}

impl From<&str> for Object {
    /// A name; a string is made by [`Object::text`].
    fn from(name: &str) -> Self {
        Self::Name(name.as_bytes().to_vec())
    }
}

impl From<Id> for Object {
    fn from(id: Id) -> Self {
        Self::Reference(id)
    }
}

impl From<Dict> for Object {
    fn from(dict: Dict) -> Self {
        Self::Dictionary(dict)
    }
}

impl From<Vec<Object>> for Object {
    fn from(items: Vec<Object>) -> Self {
        Self::Array(items)
    }
}

impl<T: Into<Object>, const N: usize> From<[T; N]> for Object {
    fn from(items: [T; N]) -> Self {
        Self::Array(items.into_iter().map(Into::into).collect())
    }
}
