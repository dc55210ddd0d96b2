//! The identifiers of a PDF file (ISO 32000-1, 14.4).

use crate::pdf::{File, Object};

/// The identifiers of a file; empty if it has none.
pub(crate) fn identifiers(file: &File<'_>) -> [Vec<u8>; 2] {
    let one = |n: usize| match file.trailer().get(b"ID") {
        Some(Object::Array(pair)) => pair
            .get(n)
            .and_then(Object::as_string)
            .map_or_else(Vec::new, |s| s.bytes.clone()),
        _ => Vec::new(),
    };
    [one(0), one(1)]
}
