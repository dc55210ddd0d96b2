//! Writes the structure tree (ISO 32000-1, 14.7): a structure element for each node, and the parent
//! tree, which leads from content and annotations back to the elements.

use crate::pdf::{Dict, Id, Object, Writer};

use super::tags::{Kid, Node, Numbering, Role, Scope};
use crate::pdf::spelling::{decimal_to, hundredths, int_to, name_to, reference_to};

/// Numbers of the objects to which elements refer.
pub(super) struct Known<'a> {
    /// Pages.
    pub pages: &'a [Id],
    /// Annotations.
    pub annotations: &'a [Id],
}

/// Writes the tree; returns its root. `owners` holds the node of each content page by page,
/// `annotations` the node of each annotation by its key.
pub(super) fn write(
    file: &mut Writer<'_>,
    nodes: &[Node],
    known: &Known<'_>,
    owners: &[Vec<usize>],
    annotations: &[(usize, usize)],
) -> Id {
    let root = file.reserve();
    let parents = file.reserve();
    let ids: Vec<Id> = nodes.iter().map(|_| file.reserve()).collect();
    for (i, (node, id)) in nodes.iter().zip(&ids).enumerate() {
        let parent = if i == 0 {
            root
        } else {
            ids.get(node.parent).copied().unwrap_or(root)
        };
        file.put_text(*id, |out| element(out, node, parent, &ids, known));
    }

    let lists: Vec<Id> = owners
        .iter()
        .map(|owners| {
            let list = file.reserve();
            file.put_text(list, |out| {
                out.push(b'[');
                for (i, id) in owners.iter().filter_map(|n| ids.get(*n)).enumerate() {
                    if i > 0 {
                        out.push(b' ');
                    }
                    reference_to(out, *id);
                }
                out.push(b']');
            });
            list
        })
        .collect();
    file.put_text(parents, |out| {
        out.extend_from_slice(b"<</Nums[");
        let content = lists.iter().copied().enumerate();
        let annotation = annotations
            .iter()
            .filter_map(|(key, node)| Some((*key, *ids.get(*node)?)));
        for (key, id) in content.chain(annotation) {
            int_to(out, key);
            out.push(b' ');
            reference_to(out, id);
            out.push(b' ');
        }
        out.extend_from_slice(b"]>>");
    });
    let next = owners.len() + annotations.len();
    file.put(
        root,
        Dict::from([
            ("Type", "StructTreeRoot".into()),
            ("K", ids.first().copied().unwrap_or(root).into()),
            ("ParentTree", parents.into()),
            (
                "ParentTreeNextKey",
                i64::try_from(next).unwrap_or(i64::MAX).into(),
            ),
        ]),
    );
    root
}

/// A structure element.
fn element(out: &mut Vec<u8>, node: &Node, parent: Id, ids: &[Id], known: &Known<'_>) {
    out.extend_from_slice(b"<</S");
    name_to(out, node.role.name().as_bytes());
    out.extend_from_slice(b"/P ");
    reference_to(out, parent);
    // The page of the first content is stated once for all of it.
    let own = node.kids.iter().find_map(|k| match k {
        Kid::Content { page, .. } => Some(*page),
        _ => None,
    });
    // A field has no content on the page itself, so the page of its widget is stated.
    let page = own.or_else(|| {
        node.kids.iter().find_map(|k| match k {
            Kid::Annotation { page, .. } => Some(*page),
            _ => None,
        })
    });
    page_to(out, page.and_then(|p| known.pages.get(p)));
    let count = node.kids.len();
    if count > 0 {
        out.extend_from_slice(if count > 1 { b"/K[" } else { b"/K " });
        for (i, kid) in node.kids.iter().enumerate() {
            if i > 0 {
                out.push(b' ');
            }
            match kid {
                Kid::Node(node) => {
                    if let Some(id) = ids.get(*node) {
                        reference_to(out, *id);
                    }
                }
                Kid::Content { page, mcid } if Some(*page) == own => int_to(out, *mcid as usize),
                Kid::Content { page, mcid } => {
                    out.extend_from_slice(b"<</Type/MCR");
                    page_to(out, known.pages.get(*page));
                    out.extend_from_slice(b"/MCID ");
                    int_to(out, *mcid as usize);
                    out.extend_from_slice(b">>");
                }
                Kid::Annotation { page, annotation } => {
                    object_reference(
                        out,
                        known.pages.get(*page),
                        known.annotations.get(*annotation),
                    );
                }
            }
        }
        if count > 1 {
            out.push(b']');
        }
    }
    if let Some(language) = &node.language {
        out.extend_from_slice(b"/Lang");
        Object::text(language).write(out);
    }
    if let Some(alt) = &node.alt {
        out.extend_from_slice(b"/Alt");
        Object::text(alt).write(out);
    }
    match node.role {
        Role::TH(Scope::Column) => out.extend_from_slice(b"/A<</O/Table/Scope/Column>>"),
        Role::TH(Scope::Row) => out.extend_from_slice(b"/A<</O/Table/Scope/Row>>"),
        Role::L(Numbering::Disc) => out.extend_from_slice(b"/A<</O/List/ListNumbering/Disc>>"),
        Role::L(Numbering::Decimal) => {
            out.extend_from_slice(b"/A<</O/List/ListNumbering/Decimal>>");
        }
        Role::Across(columns) => {
            out.extend_from_slice(b"/A<</O/Table/ColSpan ");
            int_to(out, columns);
            out.extend_from_slice(b">>");
        }
        _ => {}
    }
    if let Some((_, bounds)) = node.bounds {
        out.extend_from_slice(b"/A<</O/Layout/BBox[");
        for (i, value) in bounds.iter().enumerate() {
            if i > 0 {
                out.push(b' ');
            }
            decimal_to(out, hundredths(*value), 2);
        }
        out.extend_from_slice(b"]>>");
    }
    out.extend_from_slice(b">>");
}

fn page_to(out: &mut Vec<u8>, page: Option<&Id>) {
    if let Some(page) = page {
        out.extend_from_slice(b"/Pg ");
        reference_to(out, *page);
    }
}

/// A reference to an annotation (ISO 32000-1, 14.7.4.3).
fn object_reference(out: &mut Vec<u8>, page: Option<&Id>, object: Option<&Id>) {
    out.extend_from_slice(b"<</Type/OBJR");
    page_to(out, page);
    if let Some(object) = object {
        out.extend_from_slice(b"/Obj ");
        reference_to(out, *object);
    }
    out.extend_from_slice(b">>");
}
