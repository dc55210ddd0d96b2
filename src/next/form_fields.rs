//! Values of the filled-in form fields of a worksheet (ISO 32000-1, 12.7).

use super::merge::Values;
use crate::pdf::text::decoded;
use crate::pdf::{Dict, File, Object, PdfError};
use std::collections::{BTreeMap, HashSet};

/// Largest sheet that is read back, bytes; our sheets have a few hundred thousand, plus a tablet's
/// annotations.
const MAX_BYTES: usize = 64 << 20;
/// Maximum number of fields of one sheet: those of a visit with the maximum number of connections.
const MAX_FIELDS: usize = 100_000;
/// Maximum nesting of fields; ours are not nested.
const MAX_DEPTH: usize = 8;

/// Why a sheet cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FormError {
    /// Not a readable PDF.
    #[error("the sheet cannot be read as a PDF ({0})")]
    Unreadable(#[from] PdfError),
    /// Too large for a sheet.
    #[error("the sheet has {0} bytes; at most {MAX_BYTES} are read")]
    TooLarge(usize),
    /// Without fields: a printed and scanned sheet, or another file.
    #[error("the file has no form fields; a sheet filled in by pen is typed into the visit file")]
    NoFields,
}

/// The values of the fields of a sheet, by field name; empty fields are omitted.
///
/// # Errors
/// The file is not a PDF, or has no fields.
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
        // A choice field may contain a list of the selected values.
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
