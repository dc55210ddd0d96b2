//! Writes annotations: links (ISO 32000-1, 12.5.6.5) and form fields, each one object with its
//! widget (12.7).

use std::collections::HashMap;

use super::destination::destination;
use super::drawn::Drawn;
use super::error::TypesetError;
use super::flow::{FieldKind, Flow, FormField};
use super::fonts;
use super::ink::Area;
use super::paint::{Painted, Placed};
use crate::pdf::{Dict, Id, Object, Writer};

/// Space around the line of a box to fill in, points.
const PAD: f32 = 1.5;
/// Space between a box of several lines and the lines of text beside it.
const CLEAR: f32 = 0.5;
/// Size of typed text, points.
const TYPED: u8 = 9;
/// Name of the typeface of typed text, among the resources of the form.
const FACE: &str = "F1";

/// The annotations that were written.
pub(super) struct Annotations {
    /// Objects, in the order of the areas.
    pub ids: Vec<Id>,
    /// Node of each annotation by its key; keys follow those of the pages.
    pub keys: Vec<(usize, usize)>,
    /// The form, if there are fields.
    pub form: Option<Dict>,
    /// Objects page by page.
    pages: Vec<Vec<Object>>,
}

impl Annotations {
    /// The annotations of a page.
    pub(super) fn of_page(&self, page: usize) -> Vec<Object> {
        self.pages.get(page).cloned().unwrap_or_default()
    }
}

/// Writes all annotations, links first.
pub(super) fn write(
    file: &mut Writer<'_>,
    flow: &Flow<'_>,
    painted: &Painted,
    drawn: &Drawn,
    pages: &[Id],
) -> Result<Annotations, TypesetError> {
    let mut made = Annotations {
        ids: vec![Id::new(0); painted.areas.len()],
        keys: Vec::new(),
        form: None,
        pages: vec![Vec::new(); pages.len()],
    };
    let mut fields = Vec::new();
    let mut entries = Entries::default();
    let (links, widgets): (Vec<_>, Vec<_>) = (0..painted.areas.len())
        .partition(|i| matches!(painted.areas.get(*i), Some(a) if matches!(a.area, Area::Link(_))));
    for index in links.into_iter().chain(widgets) {
        let Some(placed) = painted.areas.get(index) else {
            continue;
        };
        let key = pages.len() + made.keys.len();
        let (node, dict) = match placed.area {
            Area::Link(link) => {
                let Some(link) = flow.links.get(link) else {
                    continue;
                };
                let mut dict = annotation("Link", placed.rect);
                dict.set("Border", [0; 3]);
                dict.set("F", 4); // print
                dict.set("Contents", Object::text(&link.words));
                dict.set("StructParent", key);
                match link.target.strip_prefix('#') {
                    Some(anchor) => {
                        let place = painted.anchors.get(anchor);
                        let place = place.ok_or_else(|| TypesetError::Anchor(anchor.to_owned()))?;
                        dict.set("Dest", destination(pages, *place));
                    }
                    None => {
                        let uri = Object::literal(link.target.as_bytes());
                        dict.set("A", Dict::from([("S", "URI".into()), ("URI", uri)]));
                    }
                }
                (link.node, dict)
            }
            Area::Field(number) => {
                let (Some(field), Some(page)) =
                    (flow.fields.get(number), pages.get(placed.page).copied())
                else {
                    continue;
                };
                let dict = match &field.kind {
                    FieldKind::Signature { size, .. } => {
                        let looks = appearance(file, painted, drawn, number, *size);
                        signature(field, placed, page, looks, key)
                    }
                    FieldKind::Entry { lines, choices } => {
                        entries.entry(file, field, placed, page, *lines, choices, key)
                    }
                };
                (field.node, dict)
            }
        };
        let id = file.add(dict);
        if let Area::Field(_) = placed.area {
            fields.push(id.into());
        }
        if let Some(place) = made.ids.get_mut(index) {
            *place = id;
        }
        if let Some(on_page) = made.pages.get_mut(placed.page) {
            on_page.push(id.into());
        }
        made.keys.push((key, node));
    }
    if !fields.is_empty() {
        let mut form = Dict::from([("Fields", Object::Array(fields))]);
        if !entries.boxes.is_empty() {
            let face = fonts::for_typing(file)?;
            let faces = Dict::from([(FACE, face.into())]);
            form.set("DR", Dict::from([("Font", faces.into())]));
            form.set("DA", typed_look());
        }
        made.form = Some(form);
    }
    Ok(made)
}

fn annotation(kind: &str, rect: [f32; 4]) -> Dict {
    Dict::from([
        ("Type", "Annot".into()),
        ("Subtype", kind.into()),
        ("Rect", rect.into()),
    ])
}

/// The appearance of a signature field (12.5.5).
fn appearance(
    file: &mut Writer<'_>,
    painted: &Painted,
    drawn: &Drawn,
    field: usize,
    (width, height): (f32, f32),
) -> Id {
    let painted = painted.appearances.get(&field);
    let images = painted.map(|a| a.images.as_slice()).unwrap_or_default();
    let dict = form(width, height, drawn.resources(images));
    file.stream(
        dict,
        painted.map(|a| a.content.as_slice()).unwrap_or_default(),
    )
}

/// Dictionary of a form XObject.
fn form(width: f32, height: f32, resources: Dict) -> Dict {
    Dict::from([
        ("Type", "XObject".into()),
        ("Subtype", "Form".into()),
        ("BBox", [0.0, 0.0, width, height].into()),
        ("Resources", resources.into()),
    ])
}

/// An empty signature field (12.7.4.5).
fn signature(field: &FormField, placed: &Placed, page: Id, looks: Id, key: usize) -> Dict {
    Dict::from([
        ("Type", "Annot".into()),
        ("Subtype", "Widget".into()),
        ("FT", "Sig".into()),
        ("T", Object::text(&field.name)),
        ("TU", Object::text(&field.tip)),
        ("F", 132.into()), // print, locked
        ("Rect", placed.rect.into()),
        ("P", page.into()),
        ("AP", Dict::from([("N", looks.into())]).into()),
        ("StructParent", key.into()),
    ])
}

/// Appearance of typed text (12.7.3.3).
fn typed_look() -> Object {
    Object::literal(format!("/{FACE} {TYPED} Tf 0 g"))
}

/// Boxes to fill in, drawn once for each size.
#[derive(Default)]
struct Entries {
    /// Appearances by width and height in hundredths of a point.
    boxes: HashMap<(i64, i64), Id>,
}

impl Entries {
    /// An empty field for text (12.7.4.3), or for a choice (12.7.4.4).
    #[allow(clippy::too_many_arguments)]
    fn entry(
        &mut self,
        file: &mut Writer<'_>,
        field: &FormField,
        placed: &Placed,
        page: Id,
        lines: u8,
        choices: &[String],
        key: usize,
    ) -> Dict {
        let [x0, y0, x1, y1] = placed.rect;
        let below = (y1 - y0) * f32::from(lines.saturating_sub(1));
        // A box of several lines fills its row, and must not touch the rules above and below.
        let outside = if lines > 1 { -CLEAR } else { PAD };
        let rect = [x0 - PAD, y0 - outside - below, x1 + PAD, y1 + outside];
        let (width, height) = (rect[2] - rect[0], rect[3] - rect[1]);
        let size = ((width * 100.0) as i64, (height * 100.0) as i64);
        let looks = *self.boxes.entry(size).or_insert_with(|| {
            let content = format!(
                "q 1 g 0.42 G 0.75 w 0.38 0.38 {:.2} {:.2} re B Q /Tx BMC EMC",
                width - 0.75,
                height - 0.75
            );
            file.stream(form(width, height, Dict::default()), content.as_bytes())
        });
        let mut dict = annotation("Widget", rect);
        dict.set("FT", "Tx");
        dict.set("T", Object::text(&field.name));
        dict.set("TU", Object::text(&field.tip));
        dict.set("F", 4); // print
        dict.set("P", page);
        dict.set("DA", typed_look());
        dict.set(
            "MK",
            Dict::from([("BC", [0.42].into()), ("BG", [1].into())]),
        );
        dict.set("BS", Dict::from([("W", 0.75.into()), ("S", "S".into())]));
        dict.set("AP", Dict::from([("N", looks.into())]));
        dict.set("StructParent", key);
        if !choices.is_empty() {
            dict.set("FT", "Ch");
            // A list of choices in which other text may be typed too (table 230: bits 18, 19).
            dict.set("Ff", (1 << 17) | (1 << 18));
            let choices: Vec<Object> = choices.iter().map(|c| Object::text(c)).collect();
            dict.set("Opt", choices);
        }
        dict
    }
}
