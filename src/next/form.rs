//! The fields of a worksheet: boxes of a typeset sheet made into form fields, and what was filled
//! into them read back (ISO 32000-1, 12.7).

use super::merge::Values;
use crate::compose::worksheet::Field;
use crate::pdf::text::decoded;
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, StringFormat, dictionary};
use std::collections::{BTreeMap, HashMap, HashSet};

/// Largest sheet that is read back, bytes; ours have a few hundred thousand, a tablet's notes add
/// to that.
const MAX_BYTES: usize = 64 << 20;
/// Most fields of one sheet: those of a visit with every connection that it may have.
const MAX_FIELDS: usize = 100_000;
/// Deepest nesting of fields; ours stand side by side.
const MAX_DEPTH: usize = 8;
/// Room around a line's box, points.
const PAD: f32 = 1.5;
/// Height of one line of the sheet, points: the leading of its tables.
const LINE: f32 = 10.5;
/// Size of what is typed, points.
const SIZE: u8 = 9;

/// Why a sheet cannot be made or read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FormError {
    /// Not a PDF that can be read.
    #[error("the sheet cannot be read as a PDF ({0})")]
    Unreadable(String),
    /// Larger than a sheet can be.
    #[error("the sheet has {0} bytes; at most {MAX_BYTES} are read")]
    TooLarge(usize),
    /// No fields at all: a printed and scanned sheet, or another file.
    #[error("the file has no form fields; a sheet filled in by pen is typed into the visit file")]
    NoFields,
    /// The typeface cannot be embedded.
    #[error("the typeface cannot be embedded ({0}); this is a fault of warmlug, please report it")]
    Face(String),
}

fn unreadable(e: &dyn std::fmt::Display) -> FormError {
    FormError::Unreadable(e.to_string())
}

/// Makes the boxes of a typeset sheet into fields.
///
/// # Errors
/// The sheet is none that was typeset here.
pub fn with_fields(pdf: &[u8]) -> Result<Vec<u8>, FormError> {
    let mut document = Document::load_mem(pdf).map_err(|e| unreadable(&e))?;
    let boxes: Vec<(ObjectId, Field)> = document
        .objects
        .iter()
        .filter_map(|(id, object)| Some((*id, field_of(object)?)))
        .collect();
    let face = face(&mut document)?;
    let mut looks: HashMap<(i64, i64), ObjectId> = HashMap::new();
    let pages: HashMap<ObjectId, ObjectId> = document
        .get_pages()
        .into_values()
        .flat_map(|page| {
            let list = document
                .get_dictionary(page)
                .and_then(|d| d.get(b"Annots"))
                .and_then(Object::as_array)
                .cloned()
                .unwrap_or_default();
            list.into_iter()
                .filter_map(move |a| Some((a.as_reference().ok()?, page)))
        })
        .collect();
    let mut fields = Vec::with_capacity(boxes.len());
    for (id, field) in &boxes {
        let Some([x0, y0, x1, y1]) = rect(&document, *id) else {
            continue;
        };
        let rect = [
            x0 - PAD,
            y0 - PAD - LINE * f32::from(field.lines.saturating_sub(1)),
            x1 + PAD,
            y1 + PAD,
        ];
        let (width, height) = (rect[2] - rect[0], rect[3] - rect[1]);
        let key = ((width * 100.0) as i64, (height * 100.0) as i64);
        let look = *looks
            .entry(key)
            .or_insert_with(|| document.add_object(empty_box(width, height)));
        let Ok(dict) = document.get_dictionary_mut(*id) else {
            continue;
        };
        let parent = dict.get(b"StructParent").cloned().unwrap_or(Object::Null);
        let mut widget = dictionary! {
            "Type" => "Annot",
            "Subtype" => "Widget",
            "FT" => "Tx",
            "T" => text(&field.name),
            "TU" => text(&field.tip),
            "Rect" => Object::Array(rect.iter().map(|v| Object::Real(*v)).collect()),
            "F" => 4, // print
            "DA" => Object::String(format!("/F1 {SIZE} Tf 0 g").into_bytes(), StringFormat::Literal),
            "MK" => dictionary! {
                "BC" => vec![Object::Real(0.42)],
                "BG" => vec![Object::Integer(1)],
            },
            "BS" => dictionary! { "W" => Object::Real(0.75), "S" => "S" },
            "AP" => dictionary! { "N" => look },
            "StructParent" => parent,
        };
        if let Some(page) = pages.get(id) {
            widget.set("P", *page);
        }
        if !field.choices.is_empty() {
            widget.set("FT", "Ch");
            // A list to choose from in which other words may be typed (table 230: bits 18, 19).
            widget.set("Ff", (1 << 17) | (1 << 18));
            let choices = field.choices.iter().map(|c| text(c)).collect();
            widget.set("Opt", Object::Array(choices));
        }
        *dict = widget;
        fields.push(Object::Reference(*id));
    }
    retag(&mut document, &boxes);
    let form = dictionary! {
        "Fields" => fields,
        "DR" => dictionary! { "Font" => dictionary! { "F1" => face } },
        "DA" => Object::String(format!("/F1 {SIZE} Tf 0 g").into_bytes(), StringFormat::Literal),
    };
    document
        .catalog_mut()
        .map_err(|e| unreadable(&e))?
        .set("AcroForm", form);
    let mut out = Vec::new();
    document.save_to(&mut out).map_err(|e| unreadable(&e))?;
    Ok(out)
}

/// The field that a link stands for.
fn field_of(object: &Object) -> Option<Field> {
    let dict = object.as_dict().ok()?;
    if dict.get(b"Subtype").and_then(Object::as_name).ok()? != b"Link" {
        return None;
    }
    let action = dict.get(b"A").and_then(Object::as_dict).ok()?;
    let uri = action.get(b"URI").and_then(Object::as_str).ok()?;
    Field::of_target(std::str::from_utf8(uri).ok()?)
}

fn rect(document: &Document, id: ObjectId) -> Option<[f32; 4]> {
    let list = document.get_dictionary(id).ok()?.get(b"Rect").ok()?;
    let mut numbers = list.as_array().ok()?.iter().map(|n| n.as_float().ok());
    let mut next = || numbers.next().flatten();
    Some([next()?, next()?, next()?, next()?])
}

/// Structure elements that hold such a link hold a form field now.
fn retag(document: &mut Document, boxes: &[(ObjectId, Field)]) {
    let made: HashMap<ObjectId, &Field> = boxes.iter().map(|(id, f)| (*id, f)).collect();
    for object in document.objects.values_mut() {
        let Ok(dict) = object.as_dict_mut() else {
            continue;
        };
        if !dict
            .get(b"S")
            .and_then(Object::as_name)
            .is_ok_and(|n| n == b"Link")
        {
            continue;
        }
        let holds = |kid: &Object| {
            let of = kid.as_dict().ok()?.get(b"Obj").ok()?;
            made.get(&of.as_reference().ok()?).copied()
        };
        let field = match dict.get(b"K") {
            Ok(Object::Array(kids)) => kids.iter().find_map(holds),
            Ok(kid) => holds(kid),
            Err(_) => None,
        };
        if let Some(field) = field {
            let tip = text(&field.tip);
            dict.set("S", "Form");
            dict.set("Alt", tip);
        }
    }
}

/// An empty box.
fn empty_box(width: f32, height: f32) -> Stream {
    let content = format!(
        "q 1 g 0.42 G 0.75 w 0.38 0.38 {:.2} {:.2} re B Q /Tx BMC EMC",
        width - 0.75,
        height - 0.75
    );
    Stream::new(
        dictionary! {
            "Type" => "XObject",
            "Subtype" => "Form",
            "BBox" => vec![0.into(), 0.into(), Object::Real(width), Object::Real(height)],
            "Resources" => dictionary! {},
        },
        content.into_bytes(),
    )
}

/// The typeface as a simple font in the Windows encoding, whole, since nobody knows yet what will
/// be typed (ISO 32000-1, 9.6.3).
fn face(document: &mut Document) -> Result<ObjectId, FormError> {
    let bytes = crate::typeset::regular();
    let face = ttf_parser::Face::parse(bytes, 0).map_err(|e| FormError::Face(e.to_string()))?;
    let scale = 1000.0 / f32::from(face.units_per_em());
    let scaled = |v: i16| (f32::from(v) * scale).round() as i64;
    let widths: Vec<Object> = (32..=255_u8)
        .map(|code| {
            let glyph = windows(code).and_then(|c| face.glyph_index(c));
            let advance = glyph.and_then(|g| face.glyph_hor_advance(g)).unwrap_or(0);
            Object::Integer((f32::from(advance) * scale).round() as i64)
        })
        .collect();
    let mut program = Stream::new(
        dictionary! { "Length1" => i64::try_from(bytes.len()).unwrap_or(i64::MAX) },
        bytes.to_vec(),
    );
    program
        .compress()
        .map_err(|e| FormError::Face(e.to_string()))?;
    let program = document.add_object(program);
    let bounds = face.global_bounding_box();
    let descriptor = document.add_object(dictionary! {
        "Type" => "FontDescriptor",
        "FontName" => "WarmlugSans-Regular",
        "Flags" => 32, // characters of the Latin set only (table 123)
        "FontBBox" => [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max]
            .map(|v| Object::Integer(scaled(v)))
            .to_vec(),
        "ItalicAngle" => 0,
        "Ascent" => scaled(face.ascender()),
        "Descent" => scaled(face.descender()),
        "CapHeight" => scaled(face.capital_height().unwrap_or(face.ascender())),
        "StemV" => 80,
        "FontFile2" => program,
    });
    Ok(document.add_object(dictionary! {
        "Type" => "Font",
        "Subtype" => "TrueType",
        "BaseFont" => "WarmlugSans-Regular",
        "Encoding" => "WinAnsiEncoding",
        "FirstChar" => 32,
        "LastChar" => 255,
        "Widths" => widths,
        "FontDescriptor" => descriptor,
    }))
}

/// Codes 0x80 to 0x9F of the Windows encoding (ISO 32000-1, table D.2).
const WINDOWS: [char; 32] = [
    '€', '\0', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\0', 'Ž', '\0', '\0', '‘',
    '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\0', 'ž', 'Ÿ',
];

/// The character of a code in the Windows encoding.
fn windows(code: u8) -> Option<char> {
    match code {
        0x80..=0x9F => WINDOWS
            .get(usize::from(code - 0x80))
            .copied()
            .filter(|c| *c != '\0'),
        _ => Some(char::from(code)),
    }
}

/// A text string (ISO 32000-1, 7.9.2.2).
fn text(text: &str) -> Object {
    if text.bytes().all(|b| (0x20..0x7F).contains(&b)) {
        return Object::String(text.as_bytes().to_vec(), StringFormat::Literal);
    }
    let mut bytes = vec![0xFE, 0xFF];
    bytes.extend(text.encode_utf16().flat_map(u16::to_be_bytes));
    Object::String(bytes, StringFormat::Hexadecimal)
}

/// What was filled into the fields of a sheet, by their names; empty boxes are left out.
///
/// # Errors
/// No PDF, or one without fields.
pub fn values(pdf: &[u8]) -> Result<Values, FormError> {
    if pdf.len() > MAX_BYTES {
        return Err(FormError::TooLarge(pdf.len()));
    }
    let document = Document::load_mem(pdf).map_err(|e| unreadable(&e))?;
    let catalog = document.catalog().map_err(|e| unreadable(&e))?;
    let form = catalog
        .get(b"AcroForm")
        .and_then(|o| document.dereference(o))
        .ok()
        .and_then(|(_, o)| o.as_dict().ok())
        .ok_or(FormError::NoFields)?;
    let mut out = BTreeMap::new();
    let mut seen = HashSet::new();
    let mut waiting: Vec<(Object, String, usize)> = kids(&document, form, b"Fields")
        .into_iter()
        .map(|o| (o, String::new(), 0))
        .collect();
    if waiting.is_empty() {
        return Err(FormError::NoFields);
    }
    while let Some((object, prefix, depth)) = waiting.pop() {
        if let Ok(id) = object.as_reference()
            && !seen.insert(id)
        {
            continue;
        }
        if depth > MAX_DEPTH || seen.len() > MAX_FIELDS {
            return Err(FormError::Unreadable(
                "more fields than any sheet".to_owned(),
            ));
        }
        let Ok((_, Object::Dictionary(field))) = document.dereference(&object) else {
            continue;
        };
        let mut name = prefix;
        if let Some(own) = string(&document, field, b"T") {
            if !name.is_empty() {
                name.push('.');
            }
            name.push_str(&own);
        }
        if let Some(value) = string(&document, field, b"V")
            && !value.trim().is_empty()
        {
            out.insert(name.clone(), value);
        }
        for kid in kids(&document, field, b"Kids") {
            waiting.push((kid, name.clone(), depth + 1));
        }
    }
    Ok(out)
}

fn kids(document: &Document, dict: &Dictionary, key: &[u8]) -> Vec<Object> {
    dict.get(key)
        .and_then(|o| document.dereference(o))
        .ok()
        .and_then(|(_, o)| o.as_array().ok().cloned())
        .unwrap_or_default()
}

/// A text or name in a dictionary.
fn string(document: &Document, dict: &Dictionary, key: &[u8]) -> Option<String> {
    match document.dereference(dict.get(key).ok()?).ok()?.1 {
        Object::String(bytes, _) => Some(decoded(bytes)),
        Object::Name(name) => Some(String::from_utf8_lossy(name).into_owned()),
        // A choice may hold a list of the chosen ones.
        Object::Array(items) => Some(
            items
                .iter()
                .filter_map(|o| Some(decoded(o.as_str().ok()?)))
                .collect::<Vec<_>>()
                .join(", "),
        ),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn text_strings_are_read_in_every_encoding() {
        assert_eq!(decoded(b"82 \xB0F"), "82 °F");
        assert_eq!(decoded(b"\xEF\xBB\xBF82 \xC2\xB0F"), "82 °F");
        let Object::String(bytes, _) = text("82 °F ✓") else {
            panic!("a string")
        };
        assert_eq!(decoded(&bytes), "82 °F ✓");
    }

    #[test]
    fn what_is_no_sheet_is_refused() {
        assert!(matches!(values(b"no pdf"), Err(FormError::Unreadable(_))));
        assert!(with_fields(b"no pdf").is_err());
    }
}
