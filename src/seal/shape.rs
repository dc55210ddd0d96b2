//! Parts of a sealed file that no certificate has: actions, scripts, boxes that crop pages, and annotations
//! and attached files of other kinds.
//!
//! A signer can seal any file with their own key. The parts that this program writes are a short list, and
//! everything else is reported. Whether the text on a page is visible is not checked.

use std::collections::HashSet;

use super::error::SealError;
use super::field_names::{COUNTERSIGNED, SEAL_FIELD};
use super::plain::{quoted, shown, shown_name};
use crate::pdf::object::Stream;
use crate::pdf::revisions::Place;
use crate::pdf::{Dict, File, Id, Object, PdfError, text};

/// Maximum number of parts that are reported.
const MAX_NAMED: usize = 20;
/// Maximum number of nodes in the page tree.
const MAX_NODES: usize = 4_000;

const CATALOG: [&[u8]; 13] = [
    b"Type",
    b"Pages",
    b"Lang",
    b"MarkInfo",
    b"ViewerPreferences",
    b"Names",
    b"AF",
    b"Metadata",
    b"OutputIntents",
    b"Outlines",
    b"AcroForm",
    b"StructTreeRoot",
    b"Perms",
];
/// The sheets on which certificates, extracts and indexes are printed, as their boxes are spelled. A
/// smaller box would crop a page.
const SHEETS: [[&str; 4]; 2] = [["0", "0", "612", "792"], ["0", "0", "595.28", "841.89"]];
const NODE: [&[u8]; 4] = [b"Type", b"Parent", b"Count", b"Kids"];
const PAGE: [&[u8]; 8] = [
    b"Type",
    b"Parent",
    b"MediaBox",
    b"Resources",
    b"Contents",
    b"StructParents",
    b"Tabs",
    b"Annots",
];
const LINK: [&[u8]; 9] = [
    b"Type",
    b"Subtype",
    b"Rect",
    b"Border",
    b"F",
    b"Contents",
    b"StructParent",
    b"A",
    b"Dest",
];
const FIELD: [&[u8]; 11] = [
    b"Type",
    b"Subtype",
    b"FT",
    b"T",
    b"TU",
    b"F",
    b"Rect",
    b"P",
    b"AP",
    b"StructParent",
    b"V",
];
const FORM: [&[u8]; 2] = [b"Fields", b"SigFlags"];
/// Keys of actions that run without the user's request.
const ACTIVE: [&[u8]; 4] = [b"AA", b"OpenAction", b"JS", b"JavaScript"];
/// Actions (ISO 32000-1, table 198) other than following a link.
const ACTIONS: [&[u8]; 15] = [
    b"JavaScript",
    b"Launch",
    b"SubmitForm",
    b"ResetForm",
    b"ImportData",
    b"GoToR",
    b"GoToE",
    b"Named",
    b"Hide",
    b"Rendition",
    b"Movie",
    b"Sound",
    b"SetOCGState",
    b"GoTo3DView",
    b"RichMediaExecute",
];

/// All such parts, each as a sentence without a full stop.
///
/// # Errors
/// The file cannot be read.
pub(crate) fn foreign(pdf: &[u8]) -> Result<Vec<String>, SealError> {
    let file = File::parse(pdf)?;
    let mut found = Found {
        file: &file,
        named: Vec::new(),
    };
    let (_, catalog) = file.catalog()?;
    found.keys(&catalog, &CATALOG, "the file");
    for (part, known) in [
        (b"AcroForm".as_slice(), FORM.as_slice()),
        (b"Names", &[b"EmbeddedFiles"]),
    ] {
        if let Object::Dictionary(dict) = file.value(&catalog, part)? {
            found.keys(&dict, known, &format!("the file's /{}", shown_name(part)));
        }
    }
    found.active()?;
    found.pages(&catalog)?;
    found.attachments(&catalog)?;
    Ok(found.named)
}

/// Whether a box is that of one of the [`SHEETS`].
fn is_sheet(of: &Object) -> bool {
    let sides = of
        .as_array()
        .unwrap_or_default()
        .iter()
        .map(|side| match side {
            Object::Integer(side) => side.to_string(),
            Object::Real(side) => String::from_utf8_lossy(side).into_owned(),
            _ => String::new(),
        });
    let sides: Vec<String> = sides.collect();
    SHEETS.iter().any(|sheet| sides == sheet)
}

struct Found<'f, 'a> {
    file: &'f File<'a>,
    named: Vec<String>,
}

impl Found<'_, '_> {
    fn name(&mut self, what: String) {
        if self.named.len() < MAX_NAMED && !self.named.contains(&what) {
            self.named.push(what);
        }
    }

    fn keys(&mut self, dict: &Dict, known: &[&[u8]], whose: &str) {
        for (key, _) in &dict.0 {
            if !known.contains(&key.as_slice()) {
                let key = shown_name(key);
                self.name(format!("{whose} has a /{key}, which no certificate has"));
            }
        }
    }

    /// Scripts and actions anywhere in the file.
    fn active(&mut self) -> Result<(), PdfError> {
        let mut numbers: Vec<u32> = self.file.numbers().collect();
        numbers.sort_unstable();
        for number in numbers {
            let id = match self.file.place(number) {
                Place::Free => continue,
                Place::At { generation, .. } => Id { number, generation },
                Place::Inside { .. } => Id::new(number),
            };
            let mut waiting = vec![self.file.object(id)?];
            while let Some(object) = waiting.pop() {
                match object {
                    Object::Array(items) => waiting.extend(items),
                    Object::Dictionary(dict) | Object::Stream(Stream { dict, .. }) => {
                        let action = dict.name(b"S").filter(|name| ACTIONS.contains(name));
                        let key = dict.0.iter().map(|(key, _)| key.as_slice());
                        let key = key.into_iter().find(|key| ACTIVE.contains(key));
                        if let Some(name) = action.or(key) {
                            let name = shown_name(name);
                            self.name(format!(
                                "the file contains a /{name} (object {number}), which no \
                                 certificate has"
                            ));
                        }
                        waiting.extend(dict.0.into_iter().map(|(_, value)| value));
                    }
                    _ => {}
                }
            }
        }
        Ok(())
    }

    fn pages(&mut self, catalog: &Dict) -> Result<(), SealError> {
        let mut waiting = vec![self.file.value(catalog, b"Pages")?];
        let (mut nodes, mut page) = (0, 0);
        while let Some(node) = waiting.pop() {
            nodes += 1;
            let Object::Dictionary(node) = node else {
                continue;
            };
            if nodes > MAX_NODES {
                return Err(PdfError::Bound("pages").into());
            }
            if !node.is_name(b"Type", b"Page") {
                self.keys(&node, &NODE, "the list of pages");
                if let Object::Array(kids) = self.file.value(&node, b"Kids")? {
                    for kid in kids.iter().take(MAX_NODES).rev() {
                        waiting.push(self.file.resolve(kid)?);
                    }
                }
                continue;
            }
            page += 1;
            self.keys(&node, &PAGE, &format!("page {page}"));
            if !is_sheet(&self.file.value(&node, b"MediaBox")?) {
                self.name(format!(
                    "page {page} has another size than a certificate's, so that it may be cropped"
                ));
            }
            if let Object::Array(annotations) = self.file.value(&node, b"Annots")? {
                for annotation in &annotations {
                    self.annotation(annotation, page)?;
                }
            }
        }
        Ok(())
    }

    fn annotation(&mut self, annotation: &Object, page: usize) -> Result<(), SealError> {
        let Object::Dictionary(dict) = self.file.resolve(annotation)? else {
            return Ok(());
        };
        let name = match self.file.value(&dict, b"T")? {
            Object::String(name) => text::decoded(&name.bytes),
            _ => String::new(),
        };
        match dict.name(b"Subtype") {
            Some(b"Link") => self.keys(&dict, &LINK, &format!("a link on page {page}")),
            Some(b"Widget")
                if dict.is_name(b"FT", b"Sig")
                    && (name == SEAL_FIELD || COUNTERSIGNED.contains(&name.as_str())) =>
            {
                let field = if name == SEAL_FIELD {
                    "the seal's field".to_owned()
                } else {
                    format!("the field {}", quoted(&name))
                };
                self.keys(&dict, &FIELD, &field);
                if let Object::Dictionary(looks) = self.file.value(&dict, b"AP")? {
                    self.keys(&looks, &[b"N"], &format!("the appearance of {field}"));
                }
            }
            other => {
                let kind = shown_name(other.unwrap_or_default());
                self.name(format!(
                    "page {page} has an annotation of the kind /{kind}, which no certificate has"
                ));
            }
        }
        Ok(())
    }

    /// Each attached file must have one name, which no other has.
    fn attachments(&mut self, catalog: &Dict) -> Result<(), SealError> {
        let Object::Dictionary(names) = self.file.value(catalog, b"Names")? else {
            return Ok(());
        };
        let Object::Dictionary(tree) = self.file.value(&names, b"EmbeddedFiles")? else {
            return Ok(());
        };
        self.keys(&tree, &[b"Names"], "the list of attached files");
        let Object::Array(pairs) = self.file.value(&tree, b"Names")? else {
            return Ok(());
        };
        let mut seen = HashSet::new();
        for pair in pairs.chunks(2) {
            let [Object::String(key), specification] = pair else {
                self.name("an attached file has no name".to_owned());
                continue;
            };
            let name = text::decoded(&key.bytes);
            let Object::Dictionary(dict) = self.file.resolve(specification)? else {
                continue;
            };
            let mut same = true;
            for other in [b"F".as_slice(), b"UF"] {
                same &= matches!(self.file.value(&dict, other)?,
                    Object::String(other) if text::decoded(&other.bytes) == name);
            }
            if let Object::Dictionary(streams) = self.file.value(&dict, b"EF")? {
                same &= streams.get(b"F") == streams.get(b"UF") && streams.0.len() == 2;
            }
            let name = shown(&name);
            if !same {
                self.name(format!(
                    "the attached file “{name}” has two names or two contents"
                ));
            }
            if !seen.insert(name.clone()) {
                self.name(format!("two attached files are called “{name}”"));
            }
        }
        Ok(())
    }
}
