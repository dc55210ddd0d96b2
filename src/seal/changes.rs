//! Changes to a certified file, and whether its seal permits them.
//!
//! The later state is compared with the certified one, object by object. Only listed differences are
//! permitted: signature fields that receive their signature, new invisible signature fields, their
//! entries in the form and on a page, and validation data (DSS), each with the keys that it needs and
//! no others. Everything else is reported as not permitted, even if ISO 32000-1 would allow it with
//! P = 2: a certificate has no form to fill in, and the published attacks on certified files ("evil
//! annotation", "sneaky signature") all use additions that look harmless. A new signature field must
//! therefore be invisible, and an existing one keeps its rectangle. What another program draws into the
//! frame of an existing one when it signs there can't be judged.

use std::collections::{BTreeMap, HashMap, HashSet};

use super::dates::is_date;
use super::evidence::{self, Evidence, Piece};
use super::field_names;
use super::plain::{inside_quotes, is_plain, shown};
use super::saved_metadata;
use super::signature_dictionary::{MAX_CHARACTERS, OWN_KIND, foreign_kind, is_document_stamp};
use super::signature_fields::Form;
use crate::lookalike::{folded, forms};
use crate::pdf::object::Stream;
use crate::pdf::revisions::Place;
use crate::pdf::{Dict, File, Id, Object, PdfError, filter, text};

/// Maximum number of unpermitted changes listed in a report.
const MAX_NAMED: usize = 20;
/// Maximum number of certificates, lists or responses in validation data.
const MAX_EVIDENCE: usize = 64;
/// Maximum size of validation data, in bytes.
const MAX_STORE_BYTES: usize = 4 << 20;
/// Maximum size of metadata, in bytes; a certificate's has about 2,500.
const MAX_METADATA_BYTES: usize = 1 << 20;
/// Maximum number of objects of an appearance that another program gave to a field; those of common ones
/// have about ten.
const MAX_LOOKS: usize = 64;
/// What names an entry of the VRI dictionary.
const SHA_1_DIGITS: usize = 40;

/// The result of one comparison.
#[derive(Debug, Default, PartialEq, Eq)]
pub(crate) struct Difference {
    pub permitted: Vec<String>,
    pub refused: Vec<String>,
    /// Additions that another program may have made in good faith and that this one does not know.
    pub unknown: Vec<String>,
}

/// Where in a file sound validation data begins, and of which kind it is.
pub(crate) type Judged = HashSet<(usize, Evidence)>;

/// Compares a later state of a file with its certified state.
///
/// `open` is the result of [`left_open`] for the certified state. `judged` keeps the validation
/// data that was found to be sound in an earlier state of the same file.
pub(crate) fn compare(
    certified: &File<'_>,
    later: &File<'_>,
    open: &HashSet<u32>,
    judged: &mut Judged,
) -> Result<Difference, PdfError> {
    let mut comparison = Comparison {
        certified,
        later,
        touched: touched(certified, later),
        judged,
        accounted: HashSet::new(),
        permitted: Vec::new(),
        refused: Vec::new(),
        unknown: Vec::new(),
        unnamed: 0,
    };
    comparison.trailer();
    if comparison
        .touched
        .keys()
        .any(|number| open.contains(number))
    {
        comparison.refuse("an object was added to which the certified file refers");
    }
    comparison.catalog()?;
    comparison.bookkeeping()?;
    comparison.tables()?;
    comparison.rest()?;
    let mut refused = comparison.refused;
    if comparison.unnamed > 0 {
        refused.push(format!("and {} more", comparison.unnamed));
    }
    Ok(Difference {
        permitted: comparison.permitted,
        refused,
        unknown: comparison.unknown,
    })
}

/// Numbers to which a certified file refers although it has no such objects. An object added later
/// under such a number would become part of the object with the reference. This reads every object,
/// so it is done only once.
pub(crate) fn left_open(certified: &File<'_>) -> Result<HashSet<u32>, PdfError> {
    let mut open = HashSet::new();
    for number in certified.numbers() {
        let id = match certified.place(number) {
            Place::Free => continue,
            Place::At { generation, .. } => Id { number, generation },
            Place::Inside { .. } => Id::new(number),
        };
        let mut waiting = vec![certified.object(id)?];
        while let Some(object) = waiting.pop() {
            match object {
                Object::Reference(id) if certified.place(id.number) == Place::Free => {
                    open.insert(id.number);
                }
                Object::Array(items) => waiting.extend(items),
                Object::Dictionary(dict) | Object::Stream(Stream { dict, .. }) => {
                    waiting.extend(dict.0.into_iter().map(|(_, value)| value));
                }
                _ => {}
            }
        }
    }
    Ok(open)
}

/// Numbers of objects that are new, missing or at another position, in order.
pub(crate) fn touched(certified: &File<'_>, later: &File<'_>) -> BTreeMap<u32, Touch> {
    let mut out = BTreeMap::new();
    let moved = |number: u32| later.place(number) != certified.place(number);
    for number in later.numbers() {
        let (before, now) = (certified.place(number), later.place(number));
        // An object may keep its position although the stream that contains it was replaced.
        let repacked = matches!(now, Place::Inside { stream, .. } if moved(stream));
        if before == now && !repacked {
            continue;
        }
        let touch = match (before, now) {
            (Place::Free, Place::Free) => continue,
            (Place::Free, _) => Touch::New,
            (_, Place::Free) => Touch::Gone,
            _ => Touch::Changed,
        };
        out.insert(number, touch);
    }
    out
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Touch {
    New,
    Changed,
    Gone,
}

struct Comparison<'c, 'a> {
    certified: &'c File<'a>,
    later: &'c File<'a>,
    touched: BTreeMap<u32, Touch>,
    judged: &'c mut Judged,
    accounted: HashSet<u32>,
    permitted: Vec<String>,
    refused: Vec<String>,
    unknown: Vec<String>,
    unnamed: usize,
}

impl Comparison<'_, '_> {
    fn refuse(&mut self, what: impl Into<String>) {
        let what = what.into();
        if self.refused.contains(&what) {
            return;
        }
        if self.refused.len() == MAX_NAMED {
            self.unnamed += 1;
        } else {
            self.refused.push(what);
        }
    }

    fn not_known(&mut self, what: String) {
        if self.unknown.len() < MAX_NAMED && !self.unknown.contains(&what) {
            self.unknown.push(what);
        }
    }

    /// The trailer may only gain a larger size and another second identifier.
    fn trailer(&mut self) {
        let first = |file: &File<'_>| match file.trailer().get(b"ID") {
            Some(Object::Array(pair)) => pair.first().cloned(),
            _ => None,
        };
        for key in [b"Root".as_slice(), b"Info"] {
            if self.later.trailer().get(key) != self.certified.trailer().get(key) {
                self.refuse("the catalogue or the document information was replaced");
            }
        }
        if first(self.later) != first(self.certified) {
            self.refuse("the file's identifier was replaced");
        }
    }

    fn catalog(&mut self) -> Result<(), PdfError> {
        let (id, before) = self.certified.catalog()?;
        let (later_id, now) = self.later.catalog()?;
        if id != later_id {
            return Ok(()); // refused with the trailer
        }
        for (key, value) in differing(&before, &now) {
            match key.as_slice() {
                // Both are compared below.
                b"AcroForm" => {
                    let was = before.get(b"AcroForm").and_then(Object::as_reference);
                    let is = value.as_ref().and_then(Object::as_reference);
                    if was.is_some() && was != is {
                        self.refuse("the form was replaced");
                    }
                    if let (None, Some(id)) = (was, is) {
                        self.account(id);
                    }
                }
                b"DSS" => {}
                // ISO 32000-1, table 28: programs name the version of the format that they write.
                b"Version" if before.get(b"Version").is_none() && is_version(value.as_ref()) => {
                    self.not_known("an entry /Version in the catalogue".to_owned());
                }
                // ISO 32000-1, 7.12: which extensions of the format a program used.
                b"Extensions"
                    if before.get(b"Extensions").is_none()
                        && value.as_ref().is_some_and(|value| is_passive(value, 0)) =>
                {
                    self.not_known("an entry /Extensions in the catalogue".to_owned());
                }
                other => self.refuse(format!("the catalogue's /{} was changed", printable(other))),
            }
        }
        self.accounted.insert(id.number);
        self.form(&before, &now)?;
        self.validation_data(&before, &now)
    }

    fn form(&mut self, before: &Dict, now: &Dict) -> Result<(), PdfError> {
        let form = |file: &File<'_>, catalog: &Dict| match file.value(catalog, b"AcroForm")? {
            Object::Dictionary(dict) => Ok(dict),
            _ => Ok(Dict::default()),
        };
        let was = form(self.certified, before)?;
        let is = form(self.later, now)?;
        self.same_part(before, now, b"AcroForm");
        for (key, value) in differing(&was, &is) {
            let fine = match key.as_slice() {
                b"Fields" => true,
                b"SigFlags" => value.as_ref().and_then(Object::as_integer) == Some(3),
                _ => false,
            };
            if !fine {
                self.refuse(format!("the form's /{} was changed", printable(&key)));
            }
        }
        let list = |file: &File<'_>, form: &Dict| match file.value(form, b"Fields")? {
            Object::Array(fields) => Ok(fields),
            _ => Ok(Vec::new()),
        };
        let fields_before = list(self.certified, &was)?;
        let fields_now = list(self.later, &is)?;
        self.same_part(&was, &is, b"Fields");
        if !fields_now.starts_with(&fields_before) {
            self.refuse("fields of the form were removed or reordered");
            return Ok(());
        }
        let (kept, new) = fields_now.split_at(fields_before.len());
        let known = Form::read(self.certified).map(|form| form.fields);
        let mut names: HashSet<String> = known
            .unwrap_or_default()
            .iter()
            .flat_map(|field| forms(&text::decoded(&field.name)))
            .collect();
        for field in kept {
            if let Some(id) = field.as_reference() {
                self.kept_field(id)?;
            }
        }
        for field in new {
            match field.as_reference() {
                Some(id) => self.new_field(id, &mut names)?,
                None => self.refuse("a field was added to the form inside the form itself"),
            }
        }
        Ok(())
    }

    /// An existing field: it may have received a signature. Its appearance was sealed.
    fn kept_field(&mut self, id: Id) -> Result<(), PdfError> {
        if self.touched.get(&id.number) != Some(&Touch::Changed) {
            return Ok(());
        }
        let (Object::Dictionary(before), Object::Dictionary(now)) =
            (self.certified.object(id)?, self.later.object(id)?)
        else {
            return Ok(()); // refused with the rest
        };
        let name = short(&name_of(self.later, &now));
        let unsigned = matches!(self.certified.value(&before, b"V")?, Object::Null);
        if !before.is_name(b"FT", b"Sig") || !unsigned {
            self.refuse(format!("the field “{name}” was changed"));
            return Ok(());
        }
        let signed = now.get(b"V").is_some();
        for (key, value) in differing(&before, &now) {
            match (key.as_slice(), value) {
                (b"V", _) => {}
                // Other programs draw their own text into the frame when they sign.
                (b"AP", Some(looks)) if signed => match self.looks(&looks) {
                    Ok(()) => self.not_known(format!("another look of the field “{name}”")),
                    Err(why) => self.refuse(format!("the look of the field “{name}” {why}")),
                },
                _ => self.refuse(format!(
                    "the /{} of the field “{name}” was changed",
                    printable(&key)
                )),
            }
        }
        self.accounted.insert(id.number);
        self.signature(&now, &name)
    }

    /// The appearance that another program gave to a field when it signed there. A reader shows it within
    /// the field's rectangle (ISO 32000-1, 12.5.5), which was sealed, but what it shows there is not judged.
    /// It must consist of new objects that do nothing but draw.
    fn looks(&mut self, appearance: &Object) -> Result<(), String> {
        let Object::Dictionary(appearance) = self.added(appearance)? else {
            return Err("is none".to_owned());
        };
        let [(key, normal @ Object::Reference(_))] = appearance.0.as_slice() else {
            return Err("is more than one".to_owned());
        };
        let form = match self.added(normal)? {
            Object::Stream(stream) if key == b"N" => stream.dict,
            _ => return Err("is none".to_owned()),
        };
        if !form.is_name(b"Subtype", b"Form") || form.get(b"BBox").is_none() {
            return Err("has no bounds".to_owned());
        }
        let mut seen: HashSet<u32> = normal
            .as_reference()
            .map(|id| id.number)
            .into_iter()
            .collect();
        let mut waiting = vec![Object::Dictionary(form)];
        while let Some(object) = waiting.pop() {
            match object {
                Object::Reference(id) if seen.insert(id.number) => {
                    if seen.len() > MAX_LOOKS {
                        return Err("is made of more objects than any".to_owned());
                    }
                    waiting.push(self.added(&Object::Reference(id))?);
                }
                Object::Array(items) => waiting.extend(items),
                Object::Dictionary(dict) | Object::Stream(Stream { dict, .. }) => {
                    if !only_draws(&dict) {
                        return Err("does more than draw".to_owned());
                    }
                    waiting.extend(dict.0.into_iter().map(|(_, value)| value));
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// A new field: it must be a signature field, signed and invisible.
    fn new_field(&mut self, id: Id, names: &mut HashSet<String>) -> Result<(), PdfError> {
        let Object::Dictionary(field) = self.later.object(id)? else {
            self.refuse("something was added to the fields that is not a field");
            return Ok(());
        };
        let own_name = name_of(self.later, &field);
        let name = short(&own_name);
        if self.touched.get(&id.number) != Some(&Touch::New)
            || !field.is_name(b"FT", b"Sig")
            || field.get(b"Kids").is_some()
            || field.get(b"Parent").is_some()
        {
            self.refuse(format!("a form field “{name}” was added"));
            return Ok(());
        }
        if !invisible(self.later, &field)? {
            self.refuse(format!(
                "a visible signature field “{name}” was laid over a page"
            ));
            return Ok(());
        }
        if matches!(self.later.value(&field, b"V")?, Object::Null) {
            self.refuse(format!("an empty signature field “{name}” was added"));
            return Ok(());
        }
        // Results are reported by field name, so names must be unique.
        if own_name.chars().count() > MAX_CHARACTERS {
            self.refuse(format!(
                "a signature field was added with a name of more than {MAX_CHARACTERS} characters"
            ));
        }
        if folded(&own_name).is_empty() {
            self.refuse("a signature field without a name was added");
        } else if !is_plain(&own_name) {
            self.refuse(format!(
                "a signature field “{name}” was added whose name hides or reorders its letters"
            ));
        } else if forms(&own_name).iter().any(|form| names.contains(form)) {
            self.refuse(format!(
                "a second signature field of the name “{name}” was added"
            ));
        }
        names.extend(forms(&own_name));
        for (key, value) in &field.0 {
            let fine = match key.as_slice() {
                b"Type" => value.as_name() == Some(b"Annot"),
                b"Subtype" => value.as_name() == Some(b"Widget"),
                b"T" => value.as_string().is_some(),
                b"F" | b"Ff" => value.as_integer().is_some(),
                b"P" | b"V" => value.as_reference().is_some(),
                b"AP" => self.shows_nothing(value),
                b"FT" | b"Rect" => true,
                // Its name once more says nothing new.
                b"TU"
                    if value
                        .as_string()
                        .is_some_and(|s| text::decoded(&s.bytes) == own_name) =>
                {
                    true
                }
                b"TU" if is_passive(value, 0) && value.as_string().is_some() => {
                    self.not_known(format!("a description of the field “{name}”"));
                    true
                }
                _ => false,
            };
            if !fine {
                self.refuse(format!(
                    "the field “{name}” was added with a /{} that no signature needs",
                    printable(key)
                ));
            }
        }
        self.accounted.insert(id.number);
        self.signature(&field, &name)?;
        self.on_page(&field, id)
    }

    /// Whether it is an empty appearance, which some programs give to invisible fields.
    fn shows_nothing(&mut self, appearance: &Object) -> bool {
        let Object::Dictionary(appearance) = appearance else {
            return false;
        };
        let form = match appearance.0.as_slice() {
            [] => return true,
            [(key, form @ Object::Reference(_))] if key == b"N" => form,
            _ => return false,
        };
        let Ok(Object::Stream(stream)) = self.added(form) else {
            return false;
        };
        stream.data.is_empty()
            && stream
                .dict
                .0
                .iter()
                .all(|(key, value)| match key.as_slice() {
                    b"Type" => value.as_name() == Some(b"XObject"),
                    b"Subtype" => value.as_name() == Some(b"Form"),
                    b"BBox" => no_area(value),
                    b"FormType" | b"Length" => value.as_integer().is_some(),
                    _ => false,
                })
    }

    fn signature(&mut self, field: &Dict, name: &str) -> Result<(), PdfError> {
        let Some(id) = field.get(b"V").and_then(Object::as_reference) else {
            if field.get(b"V").is_some() {
                self.refuse(format!(
                    "the signature of “{name}” is not an object of its own"
                ));
            }
            return Ok(());
        };
        if self.touched.get(&id.number) != Some(&Touch::New) {
            self.refuse(format!(
                "the field “{name}” was given an older object as its signature"
            ));
            return Ok(());
        }
        let Object::Dictionary(signature) = self.later.object(id)? else {
            self.refuse(format!("the signature of “{name}” is not a dictionary"));
            return Ok(());
        };
        let foreign = foreign_kind(&signature);
        let is_foreign = foreign.is_some();
        let is_stamp = is_document_stamp(&signature);
        for (key, value) in &signature.0 {
            let fine = match key.as_slice() {
                b"Type" => is_stamp || value.as_name() == Some(b"Sig"),
                b"SubFilter" => is_foreign || is_stamp || value.as_name() == Some(OWN_KIND),
                // A time-stamp must not appear to say more than the authority says (EN 319 142-1,
                // 5.4.3).
                b"Name" | b"Location" | b"Reason" | b"ContactInfo" if is_stamp => false,
                b"V" if is_stamp => value.as_integer() == Some(0),
                b"Prop_Build" if is_passive(value, 0) => {
                    self.not_known(format!("an entry /Prop_Build in the signature of “{name}”"));
                    true
                }
                b"Filter" => value.as_name() == Some(b"Adobe.PPKLite"),
                b"Contents" | b"M" | b"Name" | b"Location" | b"Reason" | b"ContactInfo" => {
                    if let Some(string) = value.as_string()
                        && key != b"Contents"
                        && text::decoded(&string.bytes).chars().count() > MAX_CHARACTERS
                    {
                        self.refuse(format!(
                            "the signature of “{name}” has a /{} of more than {MAX_CHARACTERS} \
                             characters",
                            printable(key)
                        ));
                    }
                    value.as_string().is_some()
                }
                b"ByteRange" => value
                    .as_array()
                    .is_some_and(|range| range.iter().all(|n| n.as_integer().is_some())),
                // Reported below.
                b"Reference" => true,
                _ => false,
            };
            if !fine {
                let kind = if is_stamp { "time-stamp" } else { "signature" };
                self.refuse(format!(
                    "the {kind} of “{name}” has a /{} that no {kind} needs",
                    printable(key)
                ));
            }
        }
        // A second certification could allow more than the first.
        if signature.get(b"Reference").is_some() {
            self.refuse(format!("the signature of “{name}” changes the permissions"));
        }
        if !self.accounted.insert(id.number) {
            self.refuse(format!(
                "the signature of “{name}” is also another field's signature"
            ));
        }
        if let Some(kind) = foreign {
            self.not_known(format!(
                "a signature of the kind {kind} in the field “{name}”"
            ));
        }
        let what = if is_stamp {
            "a time-stamp"
        } else {
            "a signature"
        };
        self.permitted
            .push(format!("{what} in {}", field_names::in_words(name)));
        Ok(())
    }

    /// A new field may be added to the annotations of its page.
    fn on_page(&mut self, field: &Dict, id: Id) -> Result<(), PdfError> {
        let Some(page_id) = field.get(b"P").and_then(Object::as_reference) else {
            return Ok(());
        };
        let (Object::Dictionary(before), Object::Dictionary(now)) =
            (self.certified.object(page_id)?, self.later.object(page_id)?)
        else {
            return Ok(());
        };
        if !before.is_name(b"Type", b"Page") {
            return Ok(());
        }
        if differing(&before, &now)
            .iter()
            .any(|(key, _)| key != b"Annots")
        {
            return Ok(()); // refused with the rest
        }
        let list = |file: &File<'_>, page: &Dict| match file.value(page, b"Annots")? {
            Object::Array(items) => Ok(items),
            _ => Ok(Vec::new()),
        };
        let was = list(self.certified, &before)?;
        let is = list(self.later, &now)?;
        let mut seen: HashSet<Id> = was.iter().filter_map(Object::as_reference).collect();
        let only_fields = is.starts_with(&was)
            && is[was.len()..].iter().all(|added| {
                added.as_reference().is_some_and(|added| {
                    seen.insert(added) && (added == id || self.is_new_invisible_signature(added))
                })
            });
        if only_fields {
            self.accounted.insert(page_id.number);
            self.same_part(&before, &now, b"Annots");
        }
        Ok(())
    }

    fn is_new_invisible_signature(&self, id: Id) -> bool {
        self.touched.get(&id.number) == Some(&Touch::New)
            && matches!(self.later.object(id), Ok(Object::Dictionary(field))
                if field.is_name(b"FT", b"Sig") && invisible(self.later, &field) == Ok(true))
    }

    /// Certificates and revocation data for checking the signatures later (DSS).
    fn validation_data(&mut self, before: &Dict, now: &Dict) -> Result<(), PdfError> {
        let was = self.certified.value(before, b"DSS")?;
        let is = self.later.value(now, b"DSS")?;
        if now.get(b"DSS") == before.get(b"DSS") && was == is {
            return Ok(());
        }
        match (&was, &is) {
            (_, Object::Null) => self.refuse("validation data was removed"),
            // Certificates are sealed without validation data; if it was sealed, it must not
            // change.
            (Object::Null, Object::Dictionary(_)) => {
                let mut left = MAX_STORE_BYTES;
                match self.store(now.get(b"DSS"), &mut left) {
                    Ok(()) if left == MAX_STORE_BYTES => {
                        self.refuse("the validation data is empty")
                    }
                    Ok(()) => self.permitted.push("validation data".to_owned()),
                    Err(why) => self.refuse(format!("the validation data {why}")),
                }
            }
            _ => self.refuse("the validation data was replaced"),
        }
        Ok(())
    }

    /// A DSS dictionary (ETSI EN 319 142-1, 5.4.2.2): only certificates, revocation lists and
    /// responses. It is not signed, so anything else could have arbitrary content.
    fn store(&mut self, store: Option<&Object>, left: &mut usize) -> Result<(), String> {
        for (key, value) in &self.dictionary(store)?.0 {
            match key.as_slice() {
                b"Type" if value.as_name() == Some(b"DSS") => {}
                b"Certs" => self.evidence(value, Evidence::Certificate, left)?,
                b"CRLs" => self.evidence(value, Evidence::List, left)?,
                b"OCSPs" => self.evidence(value, Evidence::Response, left)?,
                b"VRI" => self.by_signature(value, left)?,
                other if may_be_unknown(other) && is_passive(value, 0) => self.not_known(format!(
                    "an entry /{} in the validation data",
                    printable(other)
                )),
                other => {
                    return Err(format!(
                        "has an entry /{} that is not validation data",
                        printable(other)
                    ));
                }
            }
        }
        Ok(())
    }

    /// The VRI dictionary (5.4.2.3): one entry per signature, named by its digest.
    fn by_signature(&mut self, entries: &Object, left: &mut usize) -> Result<(), String> {
        let entries = self.dictionary(Some(entries))?;
        if entries.0.len() > MAX_EVIDENCE {
            return Err("is larger than any".to_owned());
        }
        for (name, entry) in &entries.0 {
            if name.len() != SHA_1_DIGITS || !name.iter().all(u8::is_ascii_hexdigit) {
                return Err(format!(
                    "has an entry /{} that belongs to no signature",
                    printable(name)
                ));
            }
            for (key, value) in &self.dictionary(Some(entry))?.0 {
                match key.as_slice() {
                    b"Type" if value.as_name() == Some(b"VRI") => {}
                    b"Cert" => self.evidence(value, Evidence::Certificate, left)?,
                    b"CRL" => self.evidence(value, Evidence::List, left)?,
                    b"OCSP" => self.evidence(value, Evidence::Response, left)?,
                    b"TU" if value.as_string().is_some_and(|s| is_date(&s.bytes)) => {}
                    b"TS" => self.piece(value, Evidence::Stamp, left)?,
                    other if may_be_unknown(other) && is_passive(value, 0) => self.not_known(
                        format!("an entry /{} in the validation data", printable(other)),
                    ),
                    other => {
                        return Err(format!(
                            "has an entry /{} that is not validation data",
                            printable(other)
                        ));
                    }
                }
            }
        }
        Ok(())
    }

    /// An array of streams of one kind.
    fn evidence(&mut self, list: &Object, kind: Evidence, left: &mut usize) -> Result<(), String> {
        let Object::Array(pieces) = self.added(list)? else {
            return Err("has an entry that is not a list".to_owned());
        };
        if pieces.len() > MAX_EVIDENCE {
            return Err("is larger than any".to_owned());
        }
        pieces
            .iter()
            .try_for_each(|piece| self.piece(piece, kind, left))
    }

    fn piece(&mut self, piece: &Object, kind: Evidence, left: &mut usize) -> Result<(), String> {
        let Object::Stream(stream) = self.added(piece)? else {
            return Err(format!(
                "contains something that is not a valid {}",
                kind.name()
            ));
        };
        for (key, value) in &stream.dict.0 {
            let fine = match key.as_slice() {
                b"Length" => value.as_integer().is_some(),
                b"Filter" | b"DecodeParms" => true,
                _ => false,
            };
            if !fine {
                return Err(format!(
                    "contains a stream with an entry /{} that it does not need",
                    printable(key)
                ));
            }
        }
        let data = self.later.bytes.get(stream.data.clone());
        let bytes = filter::whole(&stream.dict, data.unwrap_or_default(), *left)
            .map_err(|e| format!("can't be read ({e})"))?;
        *left -= bytes.len();
        // Every later state has the same bytes, so they are judged only once.
        let place = (stream.data.start, kind);
        if !self.judged.contains(&place) {
            let piece = evidence::judge(kind, &bytes).map_err(|why| {
                format!(
                    "contains something that is not a valid {}: {why}",
                    kind.name()
                )
            })?;
            match piece {
                Piece::Known => {
                    self.judged.insert(place);
                }
                Piece::Unknown(what) => {
                    self.not_known(format!("a {} with {what}", kind.name()));
                }
            }
        }
        Ok(())
    }

    fn dictionary(&mut self, object: Option<&Object>) -> Result<Dict, String> {
        match object.map(|object| self.added(object)).transpose()? {
            Some(Object::Dictionary(dict)) => Ok(dict),
            _ => Err("has an entry that is not a dictionary".to_owned()),
        }
    }

    /// Marks an object as part of an addition. An object that existed before has its own purpose.
    fn added(&mut self, object: &Object) -> Result<Object, String> {
        let Object::Reference(id) = object else {
            return Ok(object.clone());
        };
        if self.touched.get(&id.number) != Some(&Touch::New) {
            return Err(format!("uses object {}, which was not added", id.number));
        }
        self.accounted.insert(id.number);
        self.later
            .object(*id)
            .map_err(|e| format!("can't be read ({e})"))
    }

    /// Accounts for the object behind a key if it is new, or had this role in the certified file
    /// already. Any other object had a different role there, which it would lose.
    fn same_part(&mut self, before: &Dict, now: &Dict, key: &[u8]) {
        let part = |dict: &Dict| dict.get(key).and_then(Object::as_reference);
        let (was, is) = (part(before), part(now));
        if let Some(id) = is {
            if was == is {
                self.accounted.insert(id.number);
            } else {
                self.account(id);
            }
        }
    }

    fn account(&mut self, id: Id) {
        if self.touched.get(&id.number) == Some(&Touch::New) {
            self.accounted.insert(id.number);
        }
    }

    /// Permits what many programs change whenever they save: the date and their own name, in the
    /// document information and in the metadata. The rest must be the same.
    fn bookkeeping(&mut self) -> Result<(), PdfError> {
        let mut producer = String::new();
        if let Some(id) = self.rewritten(self.later.trailer().get(b"Info"))
            && let (Object::Dictionary(before), Object::Dictionary(now)) =
                (self.certified.object(id)?, self.later.object(id)?)
        {
            let only = differing(&before, &now).iter().all(|(key, value)| {
                let Some(Object::String(string)) = value else {
                    return false;
                };
                match key.as_slice() {
                    b"ModDate" => is_date(&string.bytes),
                    b"Producer" => {
                        producer = text::decoded(&string.bytes);
                        producer.chars().count() <= MAX_CHARACTERS
                    }
                    _ => false,
                }
            });
            if only {
                self.accounted.insert(id.number);
                self.not_known("another date and program in the document information".to_owned());
            }
        }
        let (_, catalog) = self.later.catalog()?;
        if let Some(id) = self.rewritten(catalog.get(b"Metadata"))
            && let (Object::Stream(before), Object::Stream(now)) =
                (self.certified.object(id)?, self.later.object(id)?)
        {
            let read = |file: &File<'_>, stream: &Stream| {
                let data = file.bytes.get(stream.data.clone()).unwrap_or_default();
                let bytes = filter::whole(&stream.dict, data, MAX_METADATA_BYTES).ok()?;
                String::from_utf8(bytes).ok()
            };
            let keys = now.dict.0.iter().all(|(key, value)| match key.as_slice() {
                b"Type" => value.as_name() == Some(b"Metadata"),
                b"Subtype" => value.as_name() == Some(b"XML"),
                b"Length" => value.as_integer().is_some(),
                b"Filter" | b"DecodeParms" => true,
                _ => false,
            });
            if keys
                && let (Some(before), Some(now)) =
                    (read(self.certified, &before), read(self.later, &now))
                && saved_metadata::says_the_same(&before, &now, &producer)
            {
                self.accounted.insert(id.number);
                self.not_known("another date and program in the metadata".to_owned());
            }
        }
        Ok(())
    }

    /// The object behind a reference, if it was written again.
    fn rewritten(&self, object: Option<&Object>) -> Option<Id> {
        let id = object.and_then(Object::as_reference)?;
        (self.touched.get(&id.number) == Some(&Touch::Changed)).then_some(id)
    }

    /// Streams with cross-reference tables and packed objects are not content themselves.
    fn tables(&mut self) -> Result<(), PdfError> {
        let offsets: HashSet<usize> = self.later.sections.iter().map(|s| s.offset).collect();
        let holders: HashSet<u32> = self
            .touched
            .keys()
            .filter_map(|n| match self.later.place(*n) {
                Place::Inside { stream, .. } => Some(stream),
                _ => None,
            })
            .collect();
        for (&number, &touch) in &self.touched {
            if touch != Touch::New {
                continue;
            }
            let is_table = matches!(self.later.place(number), Place::At { offset, .. } if offsets.contains(&offset));
            if is_table || holders.contains(&number) {
                self.accounted.insert(number);
            }
        }
        Ok(())
    }

    /// Whether an object was written again with the same value, as some programs do with every
    /// object that they read. A stream never counts as the same, because its bytes are at another
    /// position.
    fn is_same(&self, number: u32) -> bool {
        let (Place::At { generation: 0, .. } | Place::Inside { .. }) = self.later.place(number)
        else {
            return false;
        };
        let (before, now) = (
            self.certified.object(Id::new(number)),
            self.later.object(Id::new(number)),
        );
        matches!((before, now), (Ok(before), Ok(now)) if before == now && now != Object::Null)
    }

    fn rest(&mut self) -> Result<(), PdfError> {
        let left: Vec<(u32, Touch)> = self
            .touched
            .iter()
            .filter(|(number, touch)| **touch == Touch::Gone || !self.accounted.contains(number))
            .map(|(number, touch)| (*number, *touch))
            .collect();
        if left.is_empty() {
            return Ok(());
        }
        let labels = labels(self.certified);
        for (number, touch) in left {
            let what = labels.get(&number).cloned();
            if touch == Touch::Changed && self.is_same(number) {
                let what = what.unwrap_or_else(|| format!("object {number}"));
                self.not_known(format!("{what} written again as it was"));
                continue;
            }
            let sentence = match (touch, what) {
                (Touch::Changed, Some(what)) => format!("{what} was changed"),
                (Touch::Gone, Some(what)) => format!("{what} was removed"),
                (Touch::Changed, None) => format!("object {number} was changed"),
                (Touch::Gone, None) => format!("object {number} was removed"),
                (Touch::New, _) => match self.later.object(Id::new(number)) {
                    Ok(Object::Dictionary(d)) if d.is_name(b"Type", b"Annot") => {
                        format!("an annotation was added (object {number})")
                    }
                    _ => format!("object {number} was added, which no signature needs"),
                },
            };
            self.refuse(sentence);
        }
        Ok(())
    }
}

/// Whether an undefined entry of validation data may come from another program. Keys that are
/// defined elsewhere, and the keys of actions, may not.
fn may_be_unknown(key: &[u8]) -> bool {
    !matches!(key, b"Type" | b"TU") && !ACTIONS.contains(&key)
}

/// Whether a dictionary in an appearance is of a kind that drawing needs, and no action.
fn only_draws(dict: &Dict) -> bool {
    const KINDS: [&[u8]; 8] = [
        b"XObject",
        b"Font",
        b"FontDescriptor",
        b"Encoding",
        b"CMap",
        b"ExtGState",
        b"Pattern",
        b"Group",
    ];
    dict.0.iter().all(|(key, value)| match key.as_slice() {
        b"Type" => value.as_name().is_some_and(|kind| KINDS.contains(&kind)),
        // A transparency group (ISO 32000-1, 11.6.6).
        b"S" => value.as_name() == Some(b"Transparency"),
        key => !ACTIONS.contains(&key),
    })
}

/// Keys that make a dictionary an action, or contain one (ISO 32000-1, 12.6).
const ACTIONS: [&[u8]; 4] = [b"S", b"JS", b"AA", b"A"];

/// Whether a value has no effect: names, numbers, short strings, and arrays and dictionaries of
/// these that are not actions.
fn is_passive(value: &Object, depth: usize) -> bool {
    const MAX_DEPTH: usize = 8;
    match value {
        Object::Null | Object::Boolean(_) | Object::Integer(_) | Object::Real(_) => true,
        Object::Name(name) => name.len() <= MAX_CHARACTERS,
        Object::String(string) => string.bytes.len() <= MAX_CHARACTERS,
        Object::Array(items) => {
            depth < MAX_DEPTH && items.iter().all(|item| is_passive(item, depth + 1))
        }
        Object::Dictionary(dict) => {
            depth < MAX_DEPTH
                && dict.0.iter().all(|(key, value)| {
                    !ACTIONS.contains(&key.as_slice()) && is_passive(value, depth + 1)
                })
        }
        Object::Reference(_) | Object::Stream(_) => false,
    }
}

/// Whether a name is a version of the format, such as `/2.0`.
fn is_version(value: Option<&Object>) -> bool {
    value
        .and_then(Object::as_name)
        .is_some_and(|name| matches!(name, [b'1' | b'2', b'.', digit] if digit.is_ascii_digit()))
}

/// Keys whose values differ, with the later value.
fn differing(before: &Dict, now: &Dict) -> Vec<(Vec<u8>, Option<Object>)> {
    let mut out = Vec::new();
    for (key, value) in &before.0 {
        if now.get(key) != Some(value) {
            out.push((key.clone(), now.get(key).cloned()));
        }
    }
    for (key, value) in &now.0 {
        if before.get(key).is_none() {
            out.push((key.clone(), Some(value.clone())));
        }
    }
    out
}

/// A field's partial name.
fn name_of(file: &File<'_>, field: &Dict) -> String {
    match file.value(field, b"T") {
        Ok(Object::String(name)) => text::decoded(&name.bytes),
        _ => String::new(),
    }
}

fn printable(name: &[u8]) -> String {
    short(&String::from_utf8_lossy(name))
}

/// Text from the file, for use in a sentence.
pub(crate) fn short(text: &str) -> String {
    inside_quotes(&shown(text)).chars().take(64).collect()
}

/// Whether a field has no area to display anything.
fn invisible(file: &File<'_>, field: &Dict) -> Result<bool, PdfError> {
    match file.value(field, b"Rect")? {
        Object::Null => {
            // A field without a widget has no rectangle and displays nothing.
            Ok(field.get(b"Subtype").is_none() && field.get(b"Rect").is_none())
        }
        rectangle => Ok(no_area(&rectangle)),
    }
}

fn no_area(rectangle: &Object) -> bool {
    let zero = |object: &Object| match object {
        Object::Integer(n) => *n == 0,
        Object::Real(n) => n.iter().all(|b| matches!(b, b'0' | b'.' | b'+' | b'-')),
        _ => false,
    };
    rectangle
        .as_array()
        .is_some_and(|sides| sides.len() == 4 && sides.iter().all(zero))
}

/// Descriptions of the objects of a certified file in plain words, where this is easy.
pub(super) fn labels(file: &File<'_>) -> HashMap<u32, String> {
    let mut labels = HashMap::new();
    let mut put = |object: Option<&Object>, label: String| {
        if let Some(id) = object.and_then(Object::as_reference) {
            labels.entry(id.number).or_insert(label);
        }
    };
    put(
        file.trailer().get(b"Info"),
        "the document information".to_owned(),
    );
    let Ok((_, catalog)) = file.catalog() else {
        return labels;
    };
    put(catalog.get(b"Metadata"), "the metadata".to_owned());
    put(
        catalog.get(b"StructTreeRoot"),
        "the structure for screen readers".to_owned(),
    );
    put(catalog.get(b"Pages"), "the list of pages".to_owned());
    for (name, specification, stream) in embedded(file, &catalog) {
        put(Some(&specification), format!("the attached file “{name}”"));
        put(stream.as_ref(), format!("the attached file “{name}”"));
    }
    let mut waiting: Vec<Object> = catalog.get(b"Pages").cloned().into_iter().collect();
    let mut pages = 0;
    let mut steps = 0;
    while let Some(node) = waiting.pop() {
        steps += 1;
        let Some(Ok(Object::Dictionary(dict))) = Some(file.resolve(&node)) else {
            continue;
        };
        if steps > 2_000 {
            break;
        }
        if dict.is_name(b"Type", b"Page") {
            pages += 1;
            put(Some(&node), format!("page {pages}"));
            put(
                dict.get(b"Contents"),
                format!("the contents of page {pages}"),
            );
            if let Some(Object::Array(parts)) = dict.get(b"Contents") {
                for part in parts {
                    put(Some(part), format!("the contents of page {pages}"));
                }
            }
            if let Ok(Object::Array(annotations)) = file.value(&dict, b"Annots") {
                for annotation in &annotations {
                    put(Some(annotation), format!("an annotation on page {pages}"));
                    if let Ok(Object::Dictionary(a)) = file.resolve(annotation)
                        && let Ok(Object::Dictionary(appearance)) = file.value(&a, b"AP")
                    {
                        let label = format!("the appearance of an annotation on page {pages}");
                        put(appearance.get(b"N"), label);
                    }
                }
            }
            if let Ok(Object::Dictionary(resources)) = file.value(&dict, b"Resources") {
                for (kind, label) in [(b"Font".as_slice(), "a font"), (b"XObject", "an image")] {
                    if let Ok(Object::Dictionary(items)) = file.value(&resources, kind) {
                        for (_, item) in &items.0 {
                            put(Some(item), format!("{label} of page {pages}"));
                        }
                    }
                }
            }
        } else if let Ok(Object::Array(kids)) = file.value(&dict, b"Kids") {
            waiting.extend(kids.into_iter().rev());
        }
    }
    labels
}

/// Name, description and stream of each attached file in a flat name list.
fn embedded(file: &File<'_>, catalog: &Dict) -> Vec<(String, Object, Option<Object>)> {
    let inner = || -> Option<Vec<Object>> {
        let Ok(Object::Dictionary(names)) = file.value(catalog, b"Names") else {
            return None;
        };
        let Ok(Object::Dictionary(tree)) = file.value(&names, b"EmbeddedFiles") else {
            return None;
        };
        match file.value(&tree, b"Names") {
            Ok(Object::Array(pairs)) => Some(pairs),
            _ => None,
        }
    };
    let mut out = Vec::new();
    for pair in inner().unwrap_or_default().chunks(2).take(512) {
        let [Object::String(name), specification] = pair else {
            continue;
        };
        let stream = match file.resolve(specification) {
            Ok(Object::Dictionary(dict)) => match file.value(&dict, b"EF") {
                Ok(Object::Dictionary(files)) => files.get(b"F").cloned(),
                _ => None,
            },
            _ => None,
        };
        out.push((
            printable(text::decoded(&name.bytes).as_bytes()),
            specification.clone(),
            stream,
        ));
    }
    out
}
