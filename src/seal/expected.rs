//! Compares a certified file with the expected one: the same file before it was signed.
//!
//! If the certified file begins with the expected bytes, only what the revision of the seal replaced is
//! compared. Otherwise every object is, streams after decompression, because another compressor may
//! have written the same.

use std::collections::{BTreeSet, HashMap};

use super::changes::labels;
use crate::pdf::object::Stream;
use crate::pdf::revisions::Place;
use crate::pdf::{Dict, File, Id, Object, PdfError, filter};

/// Maximum size of a stream after decompression, in bytes; larger ones are compared as they are.
const MAX_STREAM_BYTES: usize = 64 << 20;
/// Maximum number of differences that are named.
const MAX_NAMED: usize = 20;
/// What the dictionary of a certifying signature has.
const SEAL_KEYS: [&[u8]; 8] = [
    b"Type",
    b"Filter",
    b"SubFilter",
    b"ByteRange",
    b"Contents",
    b"M",
    b"Name",
    b"Reference",
];

/// The differences between a certified file and the expected one, apart from the seal itself; each
/// as a sentence without a full stop.
///
/// # Errors
/// One of the two files cannot be read.
pub(super) fn differences(certified: &[u8], expected: &[u8]) -> Result<Vec<String>, PdfError> {
    let (is, want) = (File::parse(certified)?, File::parse(expected)?);
    let moved = |number: u32| is.place(number) != want.place(number);
    let mut numbers: BTreeSet<u32> = is.numbers().chain(want.numbers()).collect();
    if certified.starts_with(expected) {
        numbers.retain(|&number| {
            let repacked =
                matches!(is.place(number), Place::Inside { stream, .. } if moved(stream));
            moved(number) || repacked
        });
    }
    let comparison = Comparison::new(&is, &want)?;
    let named = labels(&is);
    let mut out = comparison.trailer();
    for number in numbers {
        let Some(what) = comparison.object(number, &named)? else {
            continue;
        };
        if !out.contains(&what) {
            out.push(what);
        }
    }
    if out.len() > MAX_NAMED {
        let more = out.len() - MAX_NAMED;
        out.truncate(MAX_NAMED);
        out.push(format!("and {more} more"));
    }
    Ok(out)
}

struct Comparison<'f, 'a> {
    is: &'f File<'a>,
    want: &'f File<'a>,
    catalog: u32,
    form: Option<u32>,
    signature: Option<Id>,
}

impl<'f, 'a> Comparison<'f, 'a> {
    fn new(is: &'f File<'a>, want: &'f File<'a>) -> Result<Self, PdfError> {
        let (catalog, dict) = is.catalog()?;
        let signature = match is.value(&dict, b"Perms")? {
            Object::Dictionary(perms) if perms.0.len() == 1 => {
                perms.get(b"DocMDP").and_then(Object::as_reference)
            }
            _ => None,
        };
        let form = dict.get(b"AcroForm").and_then(Object::as_reference);
        Ok(Self {
            is,
            want,
            catalog: catalog.number,
            form: form.map(|id| id.number),
            signature,
        })
    }

    fn trailer(&self) -> Vec<String> {
        let first = |file: &File<'_>| match file.trailer().get(b"ID") {
            Some(Object::Array(pair)) => pair.first().cloned(),
            _ => None,
        };
        let same = [b"Root".as_slice(), b"Info"]
            .iter()
            .all(|key| self.is.trailer().get(key) == self.want.trailer().get(key));
        let same = same && first(self.is) == first(self.want);
        let what = "the trailer of the file is not the expected one".to_owned();
        (!same).then_some(what).into_iter().collect()
    }

    /// The differences in one object.
    fn object(
        &self,
        number: u32,
        named: &HashMap<u32, String>,
    ) -> Result<Option<String>, PdfError> {
        let (is, want) = (read(self.is, number)?, read(self.want, number)?);
        let verb = match (&is, &want) {
            (None, None) => return Ok(None),
            (Some(is), None) if self.is_seal(number, is) => return Ok(None),
            (Some(is), Some(want)) => {
                if self.same(number, is, want) {
                    return Ok(None);
                }
                "is not what this version writes from this record"
            }
            (Some(_), None) => "is not part of what this version writes from this record",
            (None, Some(_)) => "is missing",
        };
        let kind = || is.as_ref().or(want.as_ref()).and_then(kind);
        let what = named.get(&number).cloned().or_else(kind);
        let what = what.unwrap_or_else(|| format!("object {number}"));
        Ok(Some(format!("{what} {verb}")))
    }

    /// Whether it is the dictionary of the seal, with nothing else in it.
    fn is_seal(&self, number: u32, object: &Object) -> bool {
        self.signature.is_some_and(|id| id.number == number)
            && matches!(object, Object::Dictionary(dict)
                if dict.0.iter().all(|(key, _)| SEAL_KEYS.contains(&key.as_slice())))
    }

    /// Whether two objects are the same, except for what the seal sets.
    fn same(&self, number: u32, is: &Object, want: &Object) -> bool {
        match (is, want) {
            (Object::Stream(is), Object::Stream(want)) => self.same_stream(is, want),
            (Object::Dictionary(is), Object::Dictionary(want)) => {
                let mut is = is.clone();
                if number == self.catalog {
                    forgive(&mut is, want, b"Perms");
                    if let (Some(Object::Dictionary(form)), Some(Object::Dictionary(before))) =
                        (is.get_mut(b"AcroForm"), want.get(b"AcroForm"))
                    {
                        signed(form, before);
                    }
                } else if self.form == Some(number) {
                    signed(&mut is, want);
                } else if is.is_name(b"FT", b"Sig")
                    && is.get(b"V").and_then(Object::as_reference) == self.signature
                {
                    forgive(&mut is, want, b"V");
                }
                is == *want
            }
            _ => is == want,
        }
    }

    fn same_stream(&self, is: &Stream, want: &Stream) -> bool {
        let data = |file: &File<'a>, stream: &Stream| file.bytes.get(stream.data.clone());
        let (Some(data_is), Some(data_want)) = (data(self.is, is), data(self.want, want)) else {
            return false;
        };
        if is.dict == want.dict && data_is == data_want {
            return true;
        }
        let bare = |dict: &Dict| {
            let mut dict = dict.clone();
            dict.0.retain(|(key, _)| {
                !matches!(key.as_slice(), b"Length" | b"Filter" | b"DecodeParms")
            });
            dict
        };
        let decoded = |dict: &Dict, data| filter::whole(dict, data, MAX_STREAM_BYTES).ok();
        bare(&is.dict) == bare(&want.dict)
            && decoded(&is.dict, data_is)
                .is_some_and(|is| Some(is) == decoded(&want.dict, data_want))
    }
}

/// An object of the file; `None` if it has none of this number, or if that is a cross-reference table or
/// a stream of packed objects, which are compared one by one.
fn read(file: &File<'_>, number: u32) -> Result<Option<Object>, PdfError> {
    let generation = match file.place(number) {
        Place::Free => return Ok(None),
        Place::At { generation, .. } => generation,
        Place::Inside { .. } => 0,
    };
    let object = file.object(Id { number, generation })?;
    let nothing = matches!(object, Object::Null) || is_table(&object);
    Ok((!nothing).then_some(object))
}

/// Sets a key to the value that it had before.
fn forgive(is: &mut Dict, before: &Dict, key: &[u8]) {
    match before.get(key) {
        Some(value) => is.set(key, value.clone()),
        None => is.0.retain(|(other, _)| other != key),
    }
}

/// Ignores the flags that a signature sets in the form.
fn signed(form: &mut Dict, before: &Dict) {
    if form.integer(b"SigFlags") == Some(3) {
        forgive(form, before, b"SigFlags");
    }
}

/// Whether it is a stream with a cross-reference table or packed objects.
fn is_table(object: &Object) -> bool {
    matches!(object, Object::Stream(stream)
        if stream.dict.is_name(b"Type", b"XRef") || stream.dict.is_name(b"Type", b"ObjStm"))
}

/// What an object is, in plain words, if that can be seen from it.
fn kind(object: &Object) -> Option<String> {
    let dict = match object {
        Object::Dictionary(dict) => dict,
        Object::Stream(stream) => &stream.dict,
        _ => return None,
    };
    let what = match (dict.name(b"Type"), dict.name(b"Subtype")) {
        (Some(b"Font" | b"FontDescriptor"), _) => "a font",
        (_, Some(b"CIDFontType0C" | b"Type1C" | b"OpenType")) => "a font",
        _ if dict.get(b"Length1").is_some() => "a font",
        (Some(b"StructElem" | b"StructTreeRoot"), _) => "the structure for screen readers",
        // An element of the structure need not name its type (ISO 32000-1, table 323).
        (None, None) if dict.get(b"S").is_some() && dict.get(b"P").is_some() => {
            "the structure for screen readers"
        }
        (Some(b"Page"), _) => "a page",
        (Some(b"XObject"), Some(b"Image")) => "an image",
        (Some(b"Annot"), _) => "an annotation",
        (Some(b"Filespec" | b"EmbeddedFile"), _) => "an attached file",
        (Some(b"Catalog"), _) => "the catalogue",
        _ => return None,
    };
    Some(what.to_owned())
}
