//! The signature fields of a form.

use super::error::SealError;
use crate::pdf::{Dict, File, Id, Object};

/// Maximum number of fields that are examined.
const MAX_FIELDS: usize = 1_000;

/// The parts of the interactive form that signing needs.
pub(crate) struct Form {
    /// Number of the form's object; `None` if it is a direct object in the catalogue.
    pub id: Option<Id>,
    pub dict: Dict,
    pub fields: Vec<Field>,
}

/// One terminal field.
pub(crate) struct Field {
    pub id: Id,
    pub dict: Dict,
    pub name: Vec<u8>,
    pub is_signature: bool,
    pub signed: bool,
}

impl Form {
    pub fn read(file: &File<'_>) -> Result<Self, SealError> {
        let (_, catalog) = file.catalog()?;
        let entry = catalog.get(b"AcroForm");
        let id = entry.and_then(Object::as_reference);
        let dict = match entry.map(|o| file.resolve(o)).transpose()? {
            None | Some(Object::Null) => Dict::default(),
            Some(Object::Dictionary(dict)) => dict,
            Some(_) => return Err(unfit("its form is not a dictionary")),
        };
        let mut fields = Vec::new();
        let mut waiting: Vec<(Object, Vec<u8>, bool, usize)> = Vec::new();
        if let Object::Array(items) = file.value(&dict, b"Fields")? {
            waiting.extend(items.into_iter().rev().map(|o| (o, Vec::new(), false, 0)));
        }
        let mut seen = std::collections::HashSet::new();
        let mut looked_at = 0;
        while let Some((object, prefix, inherited, depth)) = waiting.pop() {
            let Some(id) = object.as_reference() else {
                return Err(unfit("a form field is not an object of its own"));
            };
            if !seen.insert(id) || seen.len() > MAX_FIELDS || depth > 8 {
                return Err(unfit("its form has too many fields, or one inside itself"));
            }
            let Object::Dictionary(field) = file.object(id)? else {
                return Err(unfit("a form field is not a dictionary"));
            };
            let mut name = prefix;
            if let Object::String(own) = file.value(&field, b"T")? {
                if !name.is_empty() {
                    name.push(b'.');
                }
                name.extend_from_slice(&own.bytes);
            }
            let is_signature = match file.value(&field, b"FT")? {
                Object::Name(kind) => kind == b"Sig",
                _ => inherited,
            };
            // Children with a name are fields; those without are this field's widgets.
            let kids = match file.value(&field, b"Kids")? {
                Object::Array(kids) => kids,
                _ => Vec::new(),
            };
            looked_at += kids.len();
            if looked_at > MAX_FIELDS {
                return Err(unfit("its form has too many fields, or one inside itself"));
            }
            let mut has_children = false;
            for kid in kids.iter().rev() {
                if let Object::Dictionary(child) = file.resolve(kid)?
                    && child.get(b"T").is_some()
                {
                    has_children = true;
                    waiting.push((kid.clone(), name.clone(), is_signature, depth + 1));
                }
            }
            if !has_children {
                let signed = !matches!(file.value(&field, b"V")?, Object::Null);
                fields.push(Field {
                    id,
                    dict: field,
                    name,
                    is_signature,
                    signed,
                });
            }
        }
        Ok(Self { id, dict, fields })
    }
}

pub(crate) fn unfit(what: &str) -> SealError {
    SealError::Unfit(what.to_owned())
}
