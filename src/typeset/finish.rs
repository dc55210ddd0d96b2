//! From painted pages to the bytes of a file: the pages, and the catalog. Annotations, fonts,
//! structure, outline and archive have files of their own; `crate::pdf` does the writing.

use std::collections::BTreeMap;

use crate::pdf::{Dict, Id, Object, Packing, Writer};
use sha2::{Digest, Sha256};

use super::drawn::Drawn;
use super::error::TypesetError;
use super::face::Weight;
use super::flow::Flow;
use super::paint::Painted;
use super::{annotations, archive, fonts, images, outline, structure};
use crate::compose::document::Document;

/// How the file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Options {
    /// Whether objects are packed into object streams with a cross-reference stream (ISO 32000-1,
    /// 7.5.7 and 7.5.8): about half the size. Without, a cross-reference table.
    pub object_streams: bool,
    /// The file's identifier (ISO 32000-1, 14.4), for rendering a file whose identifier depends on
    /// unknown inputs; `None` to compute it from the document.
    pub identifier: Option<[u8; 16]>,
    /// How streams are packed.
    pub packing: Packing,
}

impl Default for Options {
    fn default() -> Self {
        Options {
            object_streams: true,
            identifier: None,
            packing: Packing::default(),
        }
    }
}

/// The document as bytes.
pub(super) fn finish(
    flow: &Flow<'_>,
    painted: Painted,
    options: Options,
) -> Result<Vec<u8>, TypesetError> {
    let about = &flow.document.about;
    let mut file = Writer::with(options.packing);
    // The objects that a reader needs first come first, so that they share an object stream.
    let catalog_id = file.reserve();
    let pages_id = file.reserve();
    let page_ids: Vec<Id> = painted.owners.iter().map(|_| file.reserve()).collect();
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
    let inside = painted.appearances.values().map(|a| &a.images);
    for &i in painted.images.iter().chain(inside).flatten() {
        if let (false, Some(image)) = (drawn.images.contains_key(&i), flow.document.images.get(i)) {
            let id = images::add(&mut file, image);
            drawn.images.insert(i, id);
        }
    }

    let annotations = annotations::write(&mut file, flow, &painted, &drawn, &page_ids)?;

    for (page, id) in page_ids.iter().enumerate() {
        let content = painted
            .pages
            .get(page)
            .map(Vec::as_slice)
            .unwrap_or_default();
        let content = file.stream(Dict::default(), content);
        let used = painted
            .images
            .get(page)
            .map(Vec::as_slice)
            .unwrap_or_default();
        let mut dict = Dict::from([
            ("Type", "Page".into()),
            ("Parent", pages_id.into()),
            (
                "MediaBox",
                [0.0, 0.0, flow.sheet.width, flow.sheet.height].into(),
            ),
            ("Resources", drawn.resources(used).into()),
            ("Contents", content.into()),
            ("StructParents", page.into()),
            ("Tabs", "S".into()),
        ]);
        let here = annotations.of_page(page);
        if !here.is_empty() {
            dict.set("Annots", here);
        }
        file.put(*id, dict);
    }
    file.put(
        pages_id,
        Dict::from([
            ("Type", "Pages".into()),
            ("Count", page_ids.len().into()),
            (
                "Kids",
                Object::Array(page_ids.iter().map(|id| Object::from(*id)).collect()),
            ),
        ]),
    );

    let mut catalog = Dict::from([
        ("Type", "Catalog".into()),
        ("Pages", pages_id.into()),
        ("Lang", Object::text(&about.language)),
        (
            "MarkInfo",
            Dict::from([("Marked", Object::from(true))]).into(),
        ),
        (
            "ViewerPreferences",
            Dict::from([("DisplayDocTitle", Object::from(true))]).into(),
        ),
    ]);
    archive::attach(&mut file, flow.document, &mut catalog);
    name(file.digest(), flow.document);
    let identifier = options
        .identifier
        .unwrap_or_else(|| identifier(file.digest()));
    archive::describe(&mut file, flow.document, &identifier, &mut catalog);
    if let Some(outline) = outline::write(&mut file, &painted.bookmarks, &page_ids) {
        catalog.set("Outlines", outline);
    }
    if let Some(form) = annotations.form {
        catalog.set("AcroForm", form);
    }
    let known = structure::Known {
        pages: &page_ids,
        annotations: &annotations.ids,
    };
    let tree = structure::write(
        &mut file,
        flow.tags.nodes(),
        &known,
        &painted.owners,
        &annotations.keys,
    );
    catalog.set("StructTreeRoot", tree);
    file.put(catalog_id, catalog);

    let id = Object::hexadecimal(identifier);
    let trailer = Dict::from([
        ("Root", Object::from(catalog_id)),
        ("Info", info.into()),
        ("ID", Object::Array(vec![id.clone(), id])),
    ]);
    Ok(file.finish(trailer, options.object_streams))
}

/// Adds to the identifier everything besides pages and attachments that distinguishes a document;
/// the streams of those are digested already.
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

/// The file's identifier: equal for equal documents, different for different ones.
fn identifier(hash: &mut Sha256) -> [u8; 16] {
    let digest = hash.finalize_reset();
    let mut identifier = [0; 16];
    identifier
        .iter_mut()
        .zip(digest)
        .for_each(|(to, from)| *to = from);
    identifier
}
