//! From painted pages to the bytes of a file: pages, links, the empty signature field, and the
//! catalog that holds it all together. Fonts, structure, outline and archive have files of their
//! own; `file` does the writing.

use std::collections::BTreeMap;

use lopdf::{Dictionary, Object, ObjectId, StringFormat};
use sha2::{Digest, Sha256};

use super::blocks::Flow;
use super::face::Weight;
use super::file::File;
use super::paint::{Painted, Place, face_name, image_name};
use super::{Options, TypesetError, archive, fonts, images, outline, structure};
use crate::compose::tree::Document;

/// A text string: ASCII as it is, anything else as UTF-16 (ISO 32000-1, 7.9.2.2).
pub(super) fn text_string(text: &str) -> Object {
    if text.bytes().all(|b| (0x20..0x7F).contains(&b)) {
        return Object::String(text.as_bytes().to_vec(), StringFormat::Literal);
    }
    let mut bytes = vec![0xFE, 0xFF];
    bytes.extend(text.encode_utf16().flat_map(u16::to_be_bytes));
    Object::String(bytes, StringFormat::Literal)
}

/// What pages draw with.
struct Drawn {
    faces: Vec<(Weight, ObjectId)>,
    images: BTreeMap<usize, ObjectId>,
}

impl Drawn {
    /// Resources of a page: both faces, and the images that stand on it.
    fn resources(&self, used: &[usize]) -> Dictionary {
        let faces = self
            .faces
            .iter()
            .map(|(w, id)| (face_name(*w), Object::from(*id)));
        let mut dict =
            Dictionary::from_iter([("Font", Object::from(Dictionary::from_iter(faces)))]);
        if !used.is_empty() {
            let mut used = used.to_vec();
            used.sort_unstable();
            let named = used
                .iter()
                .filter_map(|i| Some((image_name(*i), Object::from(*self.images.get(i)?))));
            dict.set("XObject", Dictionary::from_iter(named));
        }
        dict
    }
}

/// The document as bytes.
pub(super) fn finish(
    flow: &Flow<'_>,
    painted: Painted,
    options: Options,
) -> Result<Vec<u8>, TypesetError> {
    let about = &flow.document.about;
    let mut file = File::new();
    // What a reader looks at first comes first, so that it shares an object stream.
    let catalog_id = file.reserve();
    let pages_id = file.reserve();
    let page_ids: Vec<ObjectId> = painted.owners.iter().map(|_| file.reserve()).collect();
    let info = file.add(archive::info(about));

    let faces = fonts::write(
        &mut file,
        [
            (Weight::Regular, &painted.regular),
            (Weight::Strong, &painted.strong),
        ],
    )?;
    let mut drawn = Drawn {
        faces,
        images: BTreeMap::new(),
    };
    for &i in painted.images.iter().flatten() {
        if let (false, Some(image)) = (drawn.images.contains_key(&i), flow.document.images.get(i)) {
            let id = images::add(&mut file, image);
            drawn.images.insert(i, id);
        }
    }

    // Annotations, page by page; each leads back to its node by a key after those of the pages.
    let mut annotations: Vec<Vec<Object>> = vec![Vec::new(); page_ids.len()];
    let mut keys: Vec<(usize, usize)> = Vec::new();
    let links = links(
        &mut file,
        flow,
        &painted,
        &page_ids,
        &mut annotations,
        &mut keys,
    )?;
    let field = field(
        &mut file,
        flow,
        &painted,
        &drawn,
        &page_ids,
        &mut annotations,
        &mut keys,
    );

    for (page, id) in page_ids.iter().enumerate() {
        let content = painted
            .pages
            .get(page)
            .map(Vec::as_slice)
            .unwrap_or_default();
        let content = file.stream(Dictionary::new(), content);
        let used = painted
            .images
            .get(page)
            .map(Vec::as_slice)
            .unwrap_or_default();
        let mut dict = Dictionary::from_iter([
            ("Type", Object::from("Page")),
            ("Parent", pages_id.into()),
            (
                "MediaBox",
                numbers(&[0.0, 0.0, flow.sheet.width, flow.sheet.height]),
            ),
            ("Resources", drawn.resources(used).into()),
            ("Contents", content.into()),
            ("StructParents", integer(page)),
            ("Tabs", "S".into()),
        ]);
        if let Some(list) = annotations.get_mut(page).filter(|l| !l.is_empty()) {
            dict.set("Annots", std::mem::take(list));
        }
        file.put(*id, dict);
    }
    file.put(
        pages_id,
        Dictionary::from_iter([
            ("Type", Object::from("Pages")),
            ("Count", integer(page_ids.len())),
            (
                "Kids",
                Object::Array(page_ids.iter().map(|id| Object::from(*id)).collect()),
            ),
        ]),
    );

    let mut catalog = Dictionary::from_iter([
        ("Type", Object::from("Catalog")),
        ("Pages", pages_id.into()),
        ("Lang", text_string(&about.language)),
        (
            "MarkInfo",
            Dictionary::from_iter([("Marked", Object::from(true))]).into(),
        ),
        (
            "ViewerPreferences",
            Dictionary::from_iter([("DisplayDocTitle", Object::from(true))]).into(),
        ),
    ]);
    archive::attach(&mut file, flow.document, &mut catalog);
    name(file.digest(), flow.document);
    let identifier = identifier(file.digest());
    archive::describe(&mut file, flow.document, &identifier, &mut catalog);
    if let Some(outline) = outline::write(&mut file, &painted.bookmarks, &page_ids) {
        catalog.set("Outlines", outline);
    }
    if let Some((_, field, _)) = field {
        catalog.set(
            "AcroForm",
            Dictionary::from_iter([("Fields", Object::Array(vec![field.into()]))]),
        );
    }
    let known = structure::Known {
        pages: &page_ids,
        links: &links,
        field,
    };
    let tree = structure::write(&mut file, flow.tags.nodes(), &known, &painted.owners, &keys);
    catalog.set("StructTreeRoot", tree);
    file.put(catalog_id, catalog);

    let id = Object::String(identifier.to_vec(), StringFormat::Hexadecimal);
    let trailer = Dictionary::from_iter([
        ("Root", Object::from(catalog_id)),
        ("Info", info.into()),
        ("ID", Object::Array(vec![id.clone(), id])),
    ]);
    Ok(file.finish(trailer, options.object_streams))
}

/// Link annotations (ISO 32000-1, 12.5.6.5), in the order painted.
fn links(
    file: &mut File<'_>,
    flow: &Flow<'_>,
    painted: &Painted,
    pages: &[ObjectId],
    annotations: &mut [Vec<Object>],
    keys: &mut Vec<(usize, usize)>,
) -> Result<Vec<ObjectId>, TypesetError> {
    let mut ids = Vec::new();
    for area in &painted.links {
        let id = file.reserve();
        ids.push(id);
        let Some(link) = flow.links.get(area.link) else {
            continue;
        };
        let key = pages.len() + keys.len();
        let mut dict = Dictionary::from_iter([
            ("Type", Object::from("Annot")),
            ("Subtype", "Link".into()),
            ("Rect", numbers(&area.rect)),
            ("Border", numbers(&[0.0, 0.0, 0.0])),
            ("F", 4.into()), // print
            ("Contents", text_string(&link.words)),
            ("StructParent", integer(key)),
        ]);
        match link.target.strip_prefix('#') {
            Some(anchor) => {
                let place = painted.anchors.get(anchor);
                let place = place.ok_or_else(|| TypesetError::Anchor(anchor.to_owned()))?;
                dict.set("Dest", destination(pages, *place));
            }
            None => {
                let uri = Object::String(link.target.clone().into_bytes(), StringFormat::Literal);
                dict.set(
                    "A",
                    Dictionary::from_iter([("S", Object::from("URI")), ("URI", uri)]),
                );
            }
        }
        file.put(id, dict);
        if let Some(on_page) = annotations.get_mut(area.page) {
            on_page.push(id.into());
        }
        keys.push((key, link.node));
    }
    Ok(ids)
}

/// The empty signature field with its looks (ISO 32000-1, 12.7.4.5); answers its node, its object
/// and its page.
#[allow(clippy::too_many_arguments)]
fn field(
    file: &mut File<'_>,
    flow: &Flow<'_>,
    painted: &Painted,
    drawn: &Drawn,
    pages: &[ObjectId],
    annotations: &mut [Vec<Object>],
    keys: &mut Vec<(usize, usize)>,
) -> Option<(usize, ObjectId, ObjectId)> {
    let (page, rect) = painted.field?;
    let seal = flow.seal.as_ref()?;
    let page_id = *pages.get(page)?;
    let used = painted
        .images
        .get(pages.len())
        .map(Vec::as_slice)
        .unwrap_or_default();
    let looks = Dictionary::from_iter([
        ("Type", Object::from("XObject")),
        ("Subtype", "Form".into()),
        ("BBox", numbers(&[0.0, 0.0, seal.size.0, seal.size.1])),
        ("Resources", drawn.resources(used).into()),
    ]);
    let looks = file.stream(
        looks,
        painted
            .pages
            .get(pages.len())
            .map(Vec::as_slice)
            .unwrap_or_default(),
    );
    let key = pages.len() + keys.len();
    let id = file.add(Dictionary::from_iter([
        ("Type", Object::from("Annot")),
        ("Subtype", "Widget".into()),
        ("FT", "Sig".into()),
        ("T", text_string("Seal")),
        ("TU", text_string(&seal.alt)),
        ("F", 132.into()), // print, locked
        ("Rect", numbers(&rect)),
        ("P", page_id.into()),
        (
            "AP",
            Dictionary::from_iter([("N", Object::from(looks))]).into(),
        ),
        ("StructParent", integer(key)),
    ]));
    if let Some(on_page) = annotations.get_mut(page) {
        on_page.push(id.into());
    }
    keys.push((key, seal.node));
    Some((seal.node, id, page_id))
}

/// Tells a document's identifier from all others, beside its pages and attachments, whose streams
/// the file has digested.
fn name(hash: &mut Sha256, document: &Document) {
    let about = &document.about;
    for part in [
        &about.title,
        &about.identifier,
        &about.author,
        &about.subject,
        &about.producer,
        &about.language,
    ] {
        hash.update(part.as_bytes());
        hash.update([0]);
    }
    for language in &about.further_languages {
        hash.update(language.as_bytes());
        hash.update([0]);
    }
    hash.update(about.created.to_rfc3339().as_bytes());
    for image in &document.images {
        hash.update(image.sha256_of_original);
    }
    for attachment in &document.attachments {
        hash.update(attachment.name.as_bytes());
        hash.update([0]);
    }
}

/// The file's identifier: the same for the same document, another for any other.
fn identifier(hash: &mut Sha256) -> [u8; 16] {
    let digest = hash.finalize_reset();
    let mut identifier = [0; 16];
    identifier
        .iter_mut()
        .zip(digest)
        .for_each(|(to, from)| *to = from);
    identifier
}

fn integer(value: usize) -> Object {
    Object::Integer(i64::try_from(value).unwrap_or(i64::MAX))
}

/// Numbers in hundredths of a point.
fn numbers(values: &[f32]) -> Object {
    Object::Array(values.iter().map(|v| number(*v)).collect())
}

/// A number in hundredths, whole ones without a mark.
fn number(value: f32) -> Object {
    let value = (value * 100.0).round() / 100.0;
    if value.fract() == 0.0 {
        Object::Integer(value as i64)
    } else {
        Object::Real(value)
    }
}

/// A place to go to, a little above so that what stands there is not cut.
pub(super) fn destination(pages: &[ObjectId], place: Place) -> Object {
    let page = pages
        .get(place.page)
        .map_or(Object::Null, |id| Object::from(*id));
    Object::Array(vec![
        page,
        "XYZ".into(),
        Object::Null,
        number(place.y + 8.0),
        Object::Null,
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_strings_are_ascii_or_utf_16() {
        assert_eq!(text_string("Seal").as_str().unwrap(), b"Seal");
        assert_eq!(
            text_string("°F").as_str().unwrap(),
            [0xFE, 0xFF, 0, 0xB0, 0, b'F']
        );
    }
}
