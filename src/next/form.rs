//! What was filled into the form fields of a worksheet (ISO 32000-1, 12.7).

use super::merge::Values;
use crate::pdf::text::decoded;
use crate::pdf::{Dict, File, Object, PdfError};
use std::collections::{BTreeMap, HashSet};

/// Largest sheet that is read back, bytes; ours have a few hundred thousand, a tablet's notes add
/// to that.
const MAX_BYTES: usize = 64 << 20;
/// Most fields of one sheet: those of a visit with every connection that it may have.
const MAX_FIELDS: usize = 100_000;
/// Deepest nesting of fields; ours stand side by side.
const MAX_DEPTH: usize = 8;

/// Why a sheet cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FormError {
    /// Not a PDF that can be read.
    #[error("the sheet cannot be read as a PDF ({0})")]
    Unreadable(#[from] PdfError),
    /// Larger than a sheet can be.
    #[error("the sheet has {0} bytes; at most {MAX_BYTES} are read")]
    TooLarge(usize),
    /// No fields at all: a printed and scanned sheet, or another file.
    #[error("the file has no form fields; a sheet filled in by pen is typed into the visit file")]
    NoFields,
}

/// What was filled into the fields of a sheet, by their names; empty boxes are left out.
///
/// # Errors
/// No PDF, or one without fields.
pub fn values(pdf: &[u8]) -> Result<Values, FormError> {
    if pdf.len() > MAX_BYTES {
        return Err(FormError::TooLarge(pdf.len()));
    }
    let file = File::parse_saved_elsewhere(pdf)?;
    let (_, catalog) = file.catalog()?;
    let Object::Dictionary(form) = file.value(&catalog, b"AcroForm")? else {
        return Err(FormError::NoFields);
    };
    let mut out = BTreeMap::new();
    let mut seen = HashSet::new();
    let mut waiting: Vec<(Object, String, usize)> = kids(&file, &form, b"Fields")?
        .into_iter()
        .map(|o| (o, String::new(), 0))
        .collect();
    if waiting.is_empty() {
        return Err(FormError::NoFields);
    }
    while let Some((object, prefix, depth)) = waiting.pop() {
        if let Some(id) = object.as_reference()
            && !seen.insert(id)
        {
            continue;
        }
        if depth > MAX_DEPTH || seen.len() > MAX_FIELDS {
            return Err(PdfError::Bound("its form").into());
        }
        let Object::Dictionary(field) = file.resolve(&object)? else {
            continue;
        };
        let mut name = prefix;
        if let Some(own) = string(&file, &field, b"T")? {
            if !name.is_empty() {
                name.push('.');
            }
            name.push_str(&own);
        }
        if let Some(value) = string(&file, &field, b"V")?
            && !value.trim().is_empty()
        {
            out.insert(name.clone(), value);
        }
        for kid in kids(&file, &field, b"Kids")? {
            waiting.push((kid, name.clone(), depth + 1));
        }
    }
    Ok(out)
}

fn kids(file: &File<'_>, dict: &Dict, key: &[u8]) -> Result<Vec<Object>, PdfError> {
    Ok(match file.value(dict, key)? {
        Object::Array(items) => items,
        _ => Vec::new(),
    })
}

/// A text or name in a dictionary.
fn string(file: &File<'_>, dict: &Dict, key: &[u8]) -> Result<Option<String>, PdfError> {
    Ok(match file.value(dict, key)? {
        Object::String(string) => Some(decoded(&string.bytes)),
        Object::Name(name) => Some(String::from_utf8_lossy(&name).into_owned()),
        // A choice may hold a list of the chosen ones.
        Object::Array(items) => Some(
            items
                .iter()
                .filter_map(|o| Some(decoded(&o.as_string()?.bytes)))
                .collect::<Vec<_>>()
                .join(", "),
        ),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn what_is_no_sheet_is_refused() {
        assert!(matches!(values(b"no pdf"), Err(FormError::Unreadable(_))));
    }
}
