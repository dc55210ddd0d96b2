//! Checks that later additions to a sealed file leave earlier additions unchanged.
//!
//! Compared only with the certified state, an update that renames the field of a countersignature,
//! or removes the countersignature from the form while its bytes stay in the file, adds nothing
//! that the seal forbids. Therefore each state is also compared with the one before it.

use std::collections::{BTreeMap, HashSet};

use super::changes::{Touch, short, touched};
use super::error::SealError;
use super::signature_fields::{Field, Form};
use crate::pdf::revisions::Place;
use crate::pdf::{Dict, File, Id, Object, PdfError, text};

/// The lists of a DSS dictionary (ETSI EN 319 142-1, 5.4.2.2).
const LISTS: [&[u8]; 3] = [b"Certs", b"CRLs", b"OCSPs"];

/// The additions that a later state of a certified file undoes, as sentences without a full stop.
pub(crate) fn undone(
    certified: &File<'_>,
    before: &File<'_>,
    now: &File<'_>,
) -> Result<Vec<String>, PdfError> {
    let mut undone = Vec::new();
    let touched = touched(before, now);
    let fields = fields(before)?;
    for field in fields.iter().filter(|field| field.signed) {
        if let Some(what) = changed(field, &touched) {
            let name = short(&text::decoded(&field.name));
            undone.push(format!(
                "the {what} “{name}” was replaced after it was signed"
            ));
        }
    }
    if !form_fields(now)?.starts_with(&form_fields(before)?) {
        undone.push("a signature was removed from the form".to_owned());
    }
    let pages: HashSet<Id> = fields
        .iter()
        .filter_map(|field| field.dict.get(b"P")?.as_reference())
        .collect();
    for page in pages {
        if !annotations(now, page)?.starts_with(&annotations(before, page)?) {
            undone.push("a signature was removed from its page".to_owned());
        }
    }
    for list in LISTS {
        let kept: HashSet<Id> = validation_data(now, list)?.into_iter().collect();
        if !validation_data(before, list)?
            .iter()
            .all(|id| kept.contains(id))
        {
            undone.push("validation data was removed".to_owned());
        }
    }
    if undone.is_empty() {
        let growing: HashSet<u32> = &growing(before)? & &growing(now)?;
        for (number, touch) in touched {
            // A change of a certified object was judged already.
            let added = certified.place(number) == Place::Free;
            if added && touch != Touch::New && !growing.contains(&number) {
                undone.push(format!(
                    "object {number}, which had been added, was changed"
                ));
            }
        }
    }
    Ok(undone)
}

/// The change to a signed field, which contains the signature and its name.
fn changed(field: &Field, touched: &BTreeMap<u32, Touch>) -> Option<&'static str> {
    let signature = field.dict.get(b"V").and_then(Object::as_reference);
    if touched.contains_key(&field.id.number) {
        Some("field")
    } else if signature.is_some_and(|id| touched.contains_key(&id.number)) {
        Some("signature in the field")
    } else {
        None
    }
}

fn fields(file: &File<'_>) -> Result<Vec<Field>, PdfError> {
    match Form::read(file) {
        Ok(form) => Ok(form.fields),
        Err(SealError::Pdf(e)) => Err(e),
        Err(_) => Err(PdfError::Bound("fields")),
    }
}

/// A dictionary of the catalogue; empty if there is none.
fn in_catalog(file: &File<'_>, key: &[u8]) -> Result<Dict, PdfError> {
    match file.value(&file.catalog()?.1, key)? {
        Object::Dictionary(dict) => Ok(dict),
        _ => Ok(Dict::default()),
    }
}

fn list(file: &File<'_>, dict: &Dict, key: &[u8]) -> Result<Vec<Object>, PdfError> {
    match file.value(dict, key)? {
        Object::Array(items) => Ok(items),
        _ => Ok(Vec::new()),
    }
}

fn form_fields(file: &File<'_>) -> Result<Vec<Object>, PdfError> {
    list(file, &in_catalog(file, b"AcroForm")?, b"Fields")
}

fn annotations(file: &File<'_>, page: Id) -> Result<Vec<Object>, PdfError> {
    match file.object(page)? {
        Object::Dictionary(page) => list(file, &page, b"Annots"),
        _ => Ok(Vec::new()),
    }
}

fn validation_data(file: &File<'_>, key: &[u8]) -> Result<Vec<Id>, PdfError> {
    let list = list(file, &in_catalog(file, b"DSS")?, key)?;
    Ok(list.iter().filter_map(Object::as_reference).collect())
}

/// The numbers of objects that may be written again because something is added to them: the form, lists
/// of fields and annotations, and the dictionaries and lists of validation data, with tables.
fn growing(file: &File<'_>) -> Result<HashSet<u32>, PdfError> {
    let mut growing = HashSet::new();
    let mut add = |dict: &Dict, key: &[u8]| {
        growing.extend(
            dict.get(key)
                .and_then(Object::as_reference)
                .map(|id| id.number),
        );
    };
    let (_, catalog) = file.catalog()?;
    add(&catalog, b"AcroForm");
    add(&catalog, b"DSS");
    add(&in_catalog(file, b"AcroForm")?, b"Fields");
    for field in fields(file)? {
        if let Some(page) = field.dict.get(b"P").and_then(Object::as_reference)
            && let Object::Dictionary(page) = file.object(page)?
        {
            add(&page, b"Annots");
        }
    }
    let store = in_catalog(file, b"DSS")?;
    for key in LISTS.into_iter().chain([&b"VRI"[..]]) {
        add(&store, key);
    }
    if let Object::Dictionary(entries) = file.value(&store, b"VRI")? {
        for (key, _) in &entries.0 {
            add(&entries, key);
            if let Object::Dictionary(entry) = file.value(&entries, key)? {
                for key in [b"Cert".as_slice(), b"CRL", b"OCSP"] {
                    add(&entry, key);
                }
            }
        }
    }
    let tables: HashSet<usize> = file.sections.iter().map(|s| s.offset).collect();
    growing.extend(file.numbers().filter(|number| {
        matches!(file.place(*number), Place::At { offset, .. } if tables.contains(&offset))
    }));
    Ok(growing)
}
