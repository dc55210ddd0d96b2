//! From painted pages to the bytes of a file: fonts, images, structure tree, bookmarks, links,
//! the empty signature field, metadata and attachments, put together with lopdf.

use std::collections::BTreeMap;
use std::io::Write;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use lopdf::{Dictionary, Document as Pdf, Object, ObjectId, SaveOptions, Stream, StringFormat};
use printpdf::{PdfDocument, PdfSaveOptions};
use sha2::{Digest, Sha256};

use super::blocks::Flow;
use super::face::{Part, Used, Weight};
use super::paint::{Bookmark, Painted, Place, face_name, image_name};
use super::tags::{Kid, Node, Role, Scope};
use super::{Options, TypesetError, archive, images};

/// Level of compression of everything that is compressed.
const DEFLATE: u32 = 6;

/// A stream, compressed where that makes it shorter.
pub(super) fn deflated(mut dict: Dictionary, content: &[u8]) -> Stream {
    let mut encoder = ZlibEncoder::new(
        Vec::with_capacity(content.len() / 2),
        Compression::new(DEFLATE),
    );
    // Writing to memory does not fail; should it ever, the stream goes in as it is.
    let compressed = encoder.write_all(content).and_then(|()| encoder.finish());
    match compressed {
        Ok(short) if short.len() + 20 < content.len() => {
            dict.set("Filter", "FlateDecode");
            Stream::new(dict, short)
        }
        _ => Stream::new(dict, content.to_vec()),
    }
}

/// A text string: ASCII as it is, anything else as UTF-16 (ISO 32000-1, 7.9.2.2).
pub(super) fn text_string(text: &str) -> Object {
    if text.bytes().all(|b| (0x20..0x7F).contains(&b)) {
        return Object::String(text.as_bytes().to_vec(), StringFormat::Literal);
    }
    let mut bytes = vec![0xFE, 0xFF];
    bytes.extend(text.encode_utf16().flat_map(u16::to_be_bytes));
    Object::String(bytes, StringFormat::Literal)
}

/// The document as bytes.
pub(super) fn finish(
    flow: &Flow<'_>,
    painted: Painted,
    options: Options,
) -> Result<Vec<u8>, TypesetError> {
    let about = &flow.document.about;
    let contents = contents(&painted);
    let identifier = identifier(flow, &contents);
    let mut pdf = Pdf::with_version("1.7");

    let pages_id = pdf.new_object_id();
    let page_count = painted.owners.len();
    let page_ids: Vec<ObjectId> = (0..page_count).map(|_| pdf.new_object_id()).collect();
    let faces = faces(&mut pdf, &painted)?;
    let images: BTreeMap<usize, ObjectId> = painted
        .images
        .iter()
        .flatten()
        .filter_map(|&i| flow.document.images.get(i).map(|image| (i, image)))
        .collect::<BTreeMap<_, _>>()
        .into_iter()
        .map(|(i, image)| (i, pdf.add_object(images::stream(image))))
        .collect();

    // Structure: first a number for every node, then annotations, which point back into it.
    let nodes = flow.tags.nodes();
    let root_id = pdf.new_object_id();
    let node_ids: Vec<ObjectId> = nodes.iter().map(|_| pdf.new_object_id()).collect();
    let mut annotations: Vec<Vec<Object>> = vec![Vec::new(); page_count];
    let mut parents: Vec<(i64, Object)> = Vec::new();
    let mut key = i64::try_from(page_count).unwrap_or(0);
    let mut link_ids = Vec::new();
    for area in &painted.links {
        let Some(link) = flow.links.get(area.link) else {
            continue;
        };
        let mut dict = Dictionary::from_iter([
            ("Type", Object::from("Annot")),
            ("Subtype", "Link".into()),
            ("Rect", numbers(&area.rect)),
            ("Border", numbers(&[0.0, 0.0, 0.0])),
            ("F", 4.into()),
            ("Contents", text_string(&link.words)),
            ("StructParent", key.into()),
        ]);
        match link.target.strip_prefix('#') {
            Some(anchor) => {
                let place = painted
                    .anchors
                    .get(anchor)
                    .ok_or_else(|| TypesetError::Anchor(anchor.to_owned()))?;
                dict.set("Dest", destination(&page_ids, *place));
            }
            None => dict.set(
                "A",
                Dictionary::from_iter([
                    ("S", Object::from("URI")),
                    (
                        "URI",
                        Object::String(link.target.clone().into_bytes(), StringFormat::Literal),
                    ),
                ]),
            ),
        }
        let id = pdf.add_object(dict);
        link_ids.push(id);
        if let Some(on_page) = annotations.get_mut(area.page) {
            on_page.push(id.into());
        }
        if let Some(node) = node_ids.get(link.node) {
            parents.push((key, (*node).into()));
        }
        key += 1;
    }

    let mut field_id = None;
    if let (Some((page, rect)), Some(seal)) = (painted.field, &flow.seal) {
        let looks = contents
            .get(page_count)
            .map(Vec::as_slice)
            .unwrap_or_default();
        let used = painted
            .images
            .get(page_count)
            .map(Vec::as_slice)
            .unwrap_or_default();
        let mut dict = Dictionary::from_iter([
            ("Type", Object::from("XObject")),
            ("Subtype", "Form".into()),
            ("BBox", numbers(&[0.0, 0.0, seal.size.0, seal.size.1])),
        ]);
        dict.set("Resources", resources(&faces, &images, used));
        let looks = pdf.add_object(deflated(dict, looks));
        let page_id = page_ids.get(page).copied().unwrap_or(pages_id);
        let id = pdf.add_object(Dictionary::from_iter([
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
            ("StructParent", key.into()),
        ]));
        if let Some(on_page) = annotations.get_mut(page) {
            on_page.push(id.into());
        }
        if let Some(node) = node_ids.get(seal.node) {
            parents.push((key, (*node).into()));
        }
        key += 1;
        field_id = Some((id, page_id, seal.node));
    }

    for (i, node) in nodes.iter().enumerate() {
        let field = field_id.filter(|f| f.2 == i);
        let dict = element(node, i, &node_ids, root_id, &page_ids, &link_ids, field);
        if let Some(id) = node_ids.get(i) {
            pdf.set_object(*id, dict);
        }
    }
    let mut tree: Vec<Object> = Vec::new();
    for (page, owners) in painted.owners.iter().enumerate() {
        let list = owners
            .iter()
            .filter_map(|n| node_ids.get(*n))
            .map(|id| Object::from(*id))
            .collect();
        let list = pdf.add_object(Object::Array(list));
        tree.push(i64::try_from(page).unwrap_or(0).into());
        tree.push(list.into());
    }
    for (key, node) in parents {
        tree.push(key.into());
        tree.push(node);
    }
    let parent_tree = pdf.add_object(Dictionary::from_iter([("Nums", Object::Array(tree))]));
    pdf.set_object(
        root_id,
        Dictionary::from_iter([
            ("Type", Object::from("StructTreeRoot")),
            ("K", node_ids.first().copied().unwrap_or(root_id).into()),
            ("ParentTree", parent_tree.into()),
            ("ParentTreeNextKey", key.into()),
        ]),
    );

    // Pages.
    for (page, id) in page_ids.iter().enumerate() {
        let content = contents.get(page).map(Vec::as_slice).unwrap_or_default();
        let content = pdf.add_object(deflated(Dictionary::new(), content));
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
            ("Resources", resources(&faces, &images, used).into()),
            ("Contents", content.into()),
            ("StructParents", i64::try_from(page).unwrap_or(0).into()),
            ("Tabs", "S".into()),
        ]);
        if let Some(list) = annotations.get_mut(page).filter(|l| !l.is_empty()) {
            dict.set("Annots", std::mem::take(list));
        }
        pdf.set_object(*id, dict);
    }
    pdf.set_object(
        pages_id,
        Dictionary::from_iter([
            ("Type", Object::from("Pages")),
            ("Count", i64::try_from(page_count).unwrap_or(0).into()),
            (
                "Kids",
                Object::Array(page_ids.iter().map(|id| Object::from(*id)).collect()),
            ),
        ]),
    );

    // Catalog.
    let profile = pdf.add_object(archive::profile());
    let mut metadata = Stream::new(
        Dictionary::from_iter([
            ("Type", Object::from("Metadata")),
            ("Subtype", "XML".into()),
        ]),
        archive::xmp(about, &identifier),
    );
    metadata.allows_compression = false;
    let metadata = pdf.add_object(metadata);
    let mut catalog = Dictionary::from_iter([
        ("Type", Object::from("Catalog")),
        ("Pages", pages_id.into()),
        ("Lang", text_string(&about.language)),
        (
            "MarkInfo",
            Dictionary::from_iter([("Marked", Object::from(true))]).into(),
        ),
        ("StructTreeRoot", root_id.into()),
        (
            "ViewerPreferences",
            Dictionary::from_iter([("DisplayDocTitle", Object::from(true))]).into(),
        ),
        ("Metadata", metadata.into()),
        (
            "OutputIntents",
            Object::Array(vec![archive::output_intent(profile.into())]),
        ),
    ]);
    if let Some(outline) = outline(&mut pdf, &painted.bookmarks, &page_ids) {
        catalog.set("Outlines", outline);
    }
    attach(&mut pdf, flow, &mut catalog);
    if let Some((field, _, _)) = field_id {
        catalog.set(
            "AcroForm",
            Dictionary::from_iter([("Fields", Object::Array(vec![field.into()]))]),
        );
    }
    let catalog = pdf.add_object(catalog);
    let info = pdf.add_object(archive::info(about));
    pdf.trailer.set("Root", catalog);
    pdf.trailer.set("Info", info);
    let id = Object::String(identifier.to_vec(), StringFormat::Hexadecimal);
    pdf.trailer.set("ID", Object::Array(vec![id.clone(), id]));

    let mut bytes = Vec::new();
    let save = SaveOptions::builder()
        .use_object_streams(options.object_streams)
        .use_xref_streams(options.object_streams)
        .max_objects_per_stream(200)
        .compression_level(DEFLATE)
        .build();
    pdf.save_with_options(&mut bytes, save)
        .map_err(|e| TypesetError::Write(e.to_string()))?;
    Ok(bytes)
}

/// The content streams of the pages, and last of the field's looks, as printpdf writes them.
fn contents(painted: &Painted) -> Vec<Vec<u8>> {
    let document = PdfDocument {
        pages: painted.pages.clone(),
        ..PdfDocument::default()
    };
    let options = PdfSaveOptions {
        optimize: false,
        subset_fonts: false,
        secure: false,
        image_optimization: None,
    };
    let mut warnings = Vec::new();
    let mut made = document.to_lopdf_document(&options, &mut warnings);
    let pages: Vec<ObjectId> = made.get_pages().into_values().collect();
    pages
        .into_iter()
        .map(|page| {
            let content = made.get_page_contents(page).first().copied();
            match content.and_then(|id| made.objects.get_mut(&id)) {
                Some(Object::Stream(stream)) => std::mem::take(&mut stream.content),
                _ => Vec::new(),
            }
        })
        .collect()
}

/// The file's identifier: the same for the same document, another for any other.
fn identifier(flow: &Flow<'_>, contents: &[Vec<u8>]) -> [u8; 16] {
    let mut hash = Sha256::new();
    let about = &flow.document.about;
    for part in [
        &about.title,
        &about.identifier,
        &about.author,
        &about.subject,
        &about.producer,
    ] {
        hash.update(part.as_bytes());
        hash.update([0]);
    }
    hash.update(about.created.to_rfc3339().as_bytes());
    contents.iter().for_each(|c| hash.update(c));
    for image in &flow.document.images {
        hash.update(image.sha256_of_original);
    }
    for attachment in &flow.document.attachments {
        hash.update(attachment.name.as_bytes());
        hash.update(&attachment.bytes);
    }
    let digest = hash.finalize();
    let mut identifier = [0; 16];
    identifier
        .iter_mut()
        .zip(digest)
        .for_each(|(to, from)| *to = from);
    identifier
}

/// Numbers as PDF writes them: whole ones without a mark.
fn numbers(values: &[f32]) -> Object {
    Object::Array(values.iter().map(|v| number(*v)).collect())
}

fn number(value: f32) -> Object {
    let value = (value * 100.0).round() / 100.0;
    if value.fract() == 0.0 {
        Object::Integer(value as i64)
    } else {
        Object::Real(value)
    }
}

fn destination(pages: &[ObjectId], place: Place) -> Object {
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

/// Resources of a page: both faces, and the images that stand on it.
fn resources(
    faces: &[(Weight, ObjectId)],
    images: &BTreeMap<usize, ObjectId>,
    used: &[usize],
) -> Dictionary {
    let fonts = Dictionary::from_iter(
        faces
            .iter()
            .map(|(w, id)| (face_name(*w), Object::from(*id))),
    );
    let mut dict = Dictionary::from_iter([("Font", Object::from(fonts))]);
    if !used.is_empty() {
        let mut used = used.to_vec();
        used.sort_unstable();
        let named = used
            .iter()
            .filter_map(|i| images.get(i).map(|id| (image_name(*i), Object::from(*id))));
        dict.set("XObject", Dictionary::from_iter(named));
    }
    dict
}

fn faces(pdf: &mut Pdf, painted: &Painted) -> Result<Vec<(Weight, ObjectId)>, TypesetError> {
    let mut made = Vec::new();
    for (weight, used) in [
        (Weight::Regular, &painted.regular),
        (Weight::Strong, &painted.strong),
    ] {
        if let Some(part) = Used::part(used)? {
            made.push((weight, face(pdf, &part)));
        }
    }
    Ok(made)
}

/// A face as a composite font with two-byte codes (ISO 32000-1, 9.7; ISO 19005-3, 6.2.11). The
/// codes are the glyph numbers of the part. No CIDSet: ISO 19005-3 no longer asks for one.
fn face(pdf: &mut Pdf, part: &Part) -> ObjectId {
    let name = Object::Name(part.name.clone().into_bytes());
    let length = i64::try_from(part.program.len()).unwrap_or(0);
    let program = deflated(
        Dictionary::from_iter([("Length1", Object::from(length))]),
        &part.program,
    );
    let program = pdf.add_object(program);
    let descriptor = pdf.add_object(Dictionary::from_iter([
        ("Type", Object::from("FontDescriptor")),
        ("FontName", name.clone()),
        ("Flags", 4.into()), // symbolic: its codes are its own
        (
            "FontBBox",
            Object::Array(part.bounds.iter().map(|v| i64::from(*v).into()).collect()),
        ),
        ("ItalicAngle", 0.into()),
        ("Ascent", i64::from(part.reach.0).into()),
        ("Descent", i64::from(part.reach.1).into()),
        (
            "CapHeight",
            ((super::face::CAP_HEIGHT * 1000.0) as i64).into(),
        ),
        // From the weight class as PDF makers usually do; no table of a face holds it.
        (
            "StemV",
            (50 + (f32::from(part.class) / 65.0).powi(2) as i64).into(),
        ),
        ("FontFile2", program.into()),
    ]));
    let widths: Vec<Object> = part.widths.iter().map(|w| i64::from(*w).into()).collect();
    let system = Dictionary::from_iter([
        ("Registry", text_string("Adobe")),
        ("Ordering", text_string("Identity")),
        ("Supplement", 0.into()),
    ]);
    let descendant = pdf.add_object(Dictionary::from_iter([
        ("Type", Object::from("Font")),
        ("Subtype", "CIDFontType2".into()),
        ("BaseFont", name.clone()),
        ("CIDSystemInfo", system.into()),
        ("FontDescriptor", descriptor.into()),
        ("CIDToGIDMap", "Identity".into()),
        ("W", Object::Array(vec![0.into(), Object::Array(widths)])),
    ]));
    let to_unicode = pdf.add_object(deflated(
        Dictionary::new(),
        to_unicode(&part.characters).as_bytes(),
    ));
    pdf.add_object(Dictionary::from_iter([
        ("Type", Object::from("Font")),
        ("Subtype", "Type0".into()),
        ("BaseFont", name),
        ("Encoding", "Identity-H".into()),
        ("DescendantFonts", Object::Array(vec![descendant.into()])),
        ("ToUnicode", to_unicode.into()),
    ]))
}

/// From codes to characters (ISO 32000-1, 9.10.3); all of them lie in the basic plane.
fn to_unicode(characters: &[char]) -> String {
    let mut map = String::from(
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n\
/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n\
/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n\
1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n",
    );
    // At most a hundred entries a block.
    for (block, chunk) in characters.chunks(100).enumerate() {
        map.push_str(&format!("{} beginbfchar\n", chunk.len()));
        for (i, character) in chunk.iter().enumerate() {
            map.push_str(&format!(
                "<{:04X}> <{:04X}>\n",
                block * 100 + i + 1,
                u32::from(*character)
            ));
        }
        map.push_str("endbfchar\n");
    }
    map.push_str("endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend");
    map
}

/// A structure element (ISO 32000-1, 14.7.2).
fn element(
    node: &Node,
    index: usize,
    ids: &[ObjectId],
    root: ObjectId,
    pages: &[ObjectId],
    links: &[ObjectId],
    field: Option<(ObjectId, ObjectId, usize)>,
) -> Dictionary {
    let parent = if index == 0 {
        root
    } else {
        ids.get(node.parent).copied().unwrap_or(root)
    };
    let mut dict =
        Dictionary::from_iter([("S", Object::from(node.role.name())), ("P", parent.into())]);
    // The page of the first content is said once for all.
    let own = node.kids.iter().find_map(|k| {
        if let Kid::Content { page, .. } = k {
            Some(*page)
        } else {
            None
        }
    });
    let page = |page: usize| pages.get(page).map_or(Object::Null, |id| Object::from(*id));
    if let Some(own) = own {
        dict.set("Pg", page(own));
    }
    let mut kids: Vec<Object> = node
        .kids
        .iter()
        .filter_map(|kid| match kid {
            Kid::Node(n) => ids.get(*n).map(|id| Object::from(*id)),
            Kid::Content { page: on, mcid } if Some(*on) == own => Some(i64::from(*mcid).into()),
            Kid::Content { page: on, mcid } => Some(
                Dictionary::from_iter([
                    ("Type", Object::from("MCR")),
                    ("Pg", page(*on)),
                    ("MCID", i64::from(*mcid).into()),
                ])
                .into(),
            ),
            Kid::Annotation {
                page: on,
                annotation,
            } => links.get(*annotation).map(|id| {
                Dictionary::from_iter([
                    ("Type", Object::from("OBJR")),
                    ("Pg", page(*on)),
                    ("Obj", (*id).into()),
                ])
                .into()
            }),
        })
        .collect();
    if let Some((widget, on, _)) = field {
        kids.push(
            Dictionary::from_iter([
                ("Type", Object::from("OBJR")),
                ("Pg", on.into()),
                ("Obj", widget.into()),
            ])
            .into(),
        );
    }
    match kids.len() {
        0 => {}
        1 => dict.set("K", kids.swap_remove(0)),
        _ => dict.set("K", kids),
    }
    if let Some(alt) = &node.alt {
        dict.set("Alt", text_string(alt));
    }
    if let Role::TH(scope) = node.role {
        let scope = match scope {
            Scope::Column => "Column",
            Scope::Row => "Row",
        };
        dict.set(
            "A",
            Dictionary::from_iter([("O", Object::from("Table")), ("Scope", scope.into())]),
        );
    }
    if let Some((_, bounds)) = node.bounds {
        dict.set(
            "A",
            Dictionary::from_iter([("O", Object::from("Layout")), ("BBox", numbers(&bounds))]),
        );
    }
    dict
}

/// The outline: the sections, and their parts below them.
fn outline(pdf: &mut Pdf, bookmarks: &[Bookmark], pages: &[ObjectId]) -> Option<ObjectId> {
    if bookmarks.is_empty() {
        return None;
    }
    let root = pdf.new_object_id();
    let ids: Vec<ObjectId> = bookmarks.iter().map(|_| pdf.new_object_id()).collect();
    // The title and the sections stand side by side; parts belong to the section before them.
    let mut parents: Vec<Option<usize>> = Vec::new();
    let mut section = None;
    for (i, bookmark) in bookmarks.iter().enumerate() {
        if bookmark.level > 2 && section.is_some() {
            parents.push(section);
        } else {
            parents.push(None);
            section = Some(i);
        }
    }
    let children = |of: Option<usize>| -> Vec<usize> {
        parents
            .iter()
            .enumerate()
            .filter(|(_, p)| **p == of)
            .map(|(i, _)| i)
            .collect()
    };
    let ends = |dict: &mut Dictionary, list: &[usize]| {
        if let (Some(first), Some(last)) = (list.first(), list.last()) {
            dict.set("First", ids[*first]);
            dict.set("Last", ids[*last]);
            dict.set("Count", i64::try_from(list.len()).unwrap_or(0));
        }
    };
    for of in std::iter::once(None).chain((0..bookmarks.len()).map(Some)) {
        let list = children(of);
        for (n, &i) in list.iter().enumerate() {
            let bookmark = &bookmarks[i];
            let mut dict = Dictionary::from_iter([
                ("Title", text_string(&bookmark.text)),
                ("Parent", of.map_or(root, |p| ids[p]).into()),
                ("Dest", destination(pages, bookmark.place)),
            ]);
            if let Some(before) = n.checked_sub(1).and_then(|b| list.get(b)) {
                dict.set("Prev", ids[*before]);
            }
            if let Some(after) = list.get(n + 1) {
                dict.set("Next", ids[*after]);
            }
            let below = children(Some(i));
            ends(&mut dict, &below);
            pdf.set_object(ids[i], dict);
        }
    }
    let mut dict = Dictionary::from_iter([("Type", Object::from("Outlines"))]);
    ends(&mut dict, &children(None));
    // Everything is open, so everything counts.
    dict.set("Count", i64::try_from(bookmarks.len()).unwrap_or(0));
    pdf.set_object(root, dict);
    Some(root)
}

/// Files carried inside: named, and associated with the document.
fn attach(pdf: &mut Pdf, flow: &Flow<'_>, catalog: &mut Dictionary) {
    let document = flow.document;
    if document.attachments.is_empty() {
        return;
    }
    let mut named: BTreeMap<&str, ObjectId> = BTreeMap::new();
    let mut associated = Vec::new();
    for attachment in &document.attachments {
        let stream = pdf.add_object(archive::embedded(attachment, document.about.created));
        let file = pdf.add_object(archive::file_specification(attachment, &stream.into()));
        named.insert(&attachment.name, file);
        associated.push(Object::from(file));
    }
    // A name tree is sorted; a map of names is.
    let names: Vec<Object> = named
        .iter()
        .flat_map(|(name, id)| [text_string(name), (*id).into()])
        .collect();
    let files = Dictionary::from_iter([("Names", Object::Array(names))]);
    catalog.set(
        "Names",
        Dictionary::from_iter([("EmbeddedFiles", Object::from(files))]),
    );
    catalog.set("AF", associated);
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

    #[test]
    fn codes_map_back_to_their_characters_in_blocks_of_a_hundred() {
        let characters: Vec<char> = (0..150_u32)
            .filter_map(|i| char::from_u32(0x100 + i))
            .collect();
        let map = to_unicode(&characters);
        assert!(map.contains("100 beginbfchar\n<0001> <0100>\n"));
        assert!(map.contains("50 beginbfchar\n<0065> <0164>\n"));
        assert!(map.contains("<0096> <0195>\nendbfchar"));
    }
}
