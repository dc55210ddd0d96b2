//! Paints placed pieces as content streams (ISO 32000-1, 7.8.2), and records which content belongs
//! to which node of the structure.
//!
//! Streams are written to be short and to compress well: no state is set twice, and filled outlines
//! are written relative to their first corner, so that a mark or a point has the same bytes
//! everywhere.

use std::collections::BTreeMap;

use super::face::{Used, Weight};
use super::flow::{FieldKind, Flow};
use super::ink::{Area, Knot, Mark, Owner, Shape, Stroke, at};
use super::lines::shortened;
use super::pages::{Item, Page};
use super::sheet::{Colour, GHOST, HAIR, RED, RULE, SECTION, SMALL, SOFT, Sheet};
use super::tags::{Kid, Role};
use crate::pdf::spelling::{decimal_to, hundredths, int_to, literal_to, tenths};

/// An area of a page that becomes an annotation.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Placed {
    pub page: usize,
    /// Lower left and upper right corner.
    pub rect: [f32; 4],
    /// Its purpose.
    pub area: Area,
}

/// The appearance of a form field.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Appearance {
    pub content: Vec<u8>,
    /// Images used in it.
    pub images: Vec<usize>,
}

/// A destination.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    pub page: usize,
    /// Height above the foot of the paper.
    pub y: f32,
}

/// A bookmark.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bookmark {
    pub level: u8,
    pub text: String,
    pub place: Place,
}

/// A painted document.
pub(super) struct Painted {
    /// Pages.
    pub pages: Vec<Vec<u8>>,
    /// Node of each marked content, page by page.
    pub owners: Vec<Vec<usize>>,
    /// Images used on each page.
    pub images: Vec<Vec<usize>>,
    /// Areas in the order of their marks.
    pub areas: Vec<Placed>,
    pub anchors: BTreeMap<String, Place>,
    pub bookmarks: Vec<Bookmark>,
    /// Appearances of signature fields, by the number of the field.
    pub appearances: BTreeMap<usize, Appearance>,
    pub regular: Used,
    pub strong: Used,
}

/// Name of an image among the resources of a page.
pub(super) fn image_name(image: usize) -> String {
    format!("I{image}")
}

/// Name of a face among the resources of a page.
pub(super) fn face_name(weight: Weight) -> &'static str {
    match weight {
        Weight::Regular => "R",
        Weight::Strong => "S",
    }
}

/// Paints everything.
pub(super) fn paint(flow: &mut Flow<'_>, pages: &[Page]) -> Painted {
    let sheet = flow.sheet;
    let mut painted = Painted {
        pages: Vec::new(),
        owners: Vec::new(),
        images: Vec::new(),
        areas: Vec::new(),
        anchors: BTreeMap::new(),
        bookmarks: Vec::new(),
        appearances: BTreeMap::new(),
        regular: Used::new(Weight::Regular),
        strong: Used::new(Weight::Strong),
    };
    let pieces = std::mem::take(&mut flow.pieces);
    let heads = std::mem::take(&mut flow.heads);
    for (number, page) in pages.iter().enumerate() {
        let mut brush = Brush::new(sheet.height, number, &mut painted);
        if let Some(word) = &flow.document.draft {
            let marks = [ghost(flow, &sheet, word), head(flow, &sheet, word)];
            brush.marks(flow, &marks, 0.0);
        }
        for (item, top) in page {
            let top = sheet.top + top;
            match item {
                Item::Head(head) => {
                    if let Some(head) = heads.get(*head) {
                        brush.marks(flow, &head.marks, top);
                    }
                }
                Item::Piece(index) => {
                    let Some(piece) = pieces.get(*index) else {
                        continue;
                    };
                    let place = Place {
                        page: number,
                        y: sheet.height - top,
                    };
                    for (level, text) in &piece.bookmarks {
                        brush.painted.bookmarks.push(Bookmark {
                            level: *level,
                            text: text.clone(),
                            place,
                        });
                    }
                    for anchor in &piece.anchors {
                        brush.painted.anchors.insert(anchor.clone(), place);
                    }
                    for (node, area) in piece.figures.iter().copied() {
                        flow.tags
                            .set_bounds(node, number, turned(&sheet, area, top));
                    }
                    brush.marks(flow, &piece.marks, top);
                }
            }
        }
        let foot = foot(flow, number + 1, pages.len());
        brush.marks(flow, &foot, 0.0);
        let (content, owners, images) = brush.finish();
        painted.pages.push(content);
        painted.owners.push(owners);
        painted.images.push(images);
    }
    for number in 0..flow.fields.len() {
        let Some(FieldKind::Signature { size, marks }) = flow.fields.get(number).map(|f| &f.kind)
        else {
            continue;
        };
        let (height, marks) = (size.1, marks.clone());
        let mut brush = Brush::new(height, usize::MAX, &mut painted);
        brush.tagging = false;
        brush.marks(flow, &marks, 0.0);
        let (content, _, images) = brush.finish();
        let appearance = Appearance { content, images };
        painted.appearances.insert(number, appearance);
    }
    painted
}

/// A rectangle of a piece in the coordinates of the paper: lower left and upper right corner.
fn turned(sheet: &Sheet, [x, y, width, height]: [f32; 4], top: f32) -> [f32; 4] {
    let upper = sheet.height - top - y;
    [x, upper - height, x + width, upper]
}

/// The running foot: number and date at the left, the site in the middle, the page at the right.
fn foot(flow: &Flow<'_>, page: usize, pages: usize) -> Vec<Mark> {
    let sheet = &flow.sheet;
    let document = flow.document;
    let texts = [
        &document.running_left,
        &document.running_middle,
        &document.running_right,
    ];
    if texts.iter().all(|text| text.is_empty()) {
        return Vec::new();
    }
    let style = SMALL.coloured(SOFT);
    let width = |t: &str| flow.faces.width(style.weight, style.size, t);
    let right = document
        .running_right
        .replace("{pages}", &pages.to_string())
        .replace("{page}", &page.to_string());
    let top = sheet.height - sheet.bottom + 18.0;
    let base = top + 4.0 + style.rise();
    let mut marks = vec![Mark {
        owner: Owner::Artifact,
        shape: Shape::Line {
            knots: vec![at(sheet.left, top), at(sheet.left + sheet.measure(), top)],
            closed: false,
            stroke: super::ink::line(HAIR, RULE / 2.0),
        },
    }];
    let gap = 14.0;
    let right_width = width(&right);
    let room = sheet.measure() - right_width - gap;
    let left = shortened(&document.running_left, room, &width);
    let left_width = width(&left);
    let middle = shortened(&document.running_middle, room - left_width - gap, &width);
    let from = sheet.left + left_width + gap;
    let to = sheet.left + sheet.measure() - right_width - gap;
    let middle_x = (sheet.left + (sheet.measure() - width(&middle)) / 2.0)
        .min(to - width(&middle))
        .max(from);
    for (x, text) in [
        (sheet.left, left),
        (middle_x, middle),
        (sheet.left + sheet.measure() - right_width, right),
    ] {
        if !text.is_empty() {
            marks.push(Mark {
                owner: Owner::Artifact,
                shape: Shape::Text {
                    x,
                    y: base,
                    weight: style.weight,
                    size: style.size,
                    colour: style.colour,
                    text,
                },
            });
        }
    }
    marks
}

/// The word across a draft.
fn ghost(flow: &Flow<'_>, sheet: &Sheet, word: &str) -> Mark {
    let em = flow.faces.width(Weight::Strong, 1.0, word).max(0.5);
    let size = (sheet.measure() * 1.15 / em).min(190.0);
    Mark {
        owner: Owner::Artifact,
        shape: Shape::Ghost {
            x: sheet.width / 2.0,
            y: sheet.height / 2.0,
            size,
            width: em * size,
            text: word.to_owned(),
        },
    }
}

/// The word at the head of a draft's page, where no photo hides it.
fn head(flow: &Flow<'_>, sheet: &Sheet, word: &str) -> Mark {
    let style = SECTION.coloured(RED);
    Mark {
        owner: Owner::Artifact,
        shape: Shape::Text {
            x: sheet.width - sheet.right - flow.faces.width(style.weight, style.size, word),
            y: sheet.top - 16.0,
            weight: style.weight,
            size: style.size,
            colour: style.colour,
            text: word.to_owned(),
        },
    }
}

/// Writes the content of one page.
struct Brush<'p> {
    painted: &'p mut Painted,
    out: Vec<u8>,
    /// Codes of the current text.
    codes: Vec<u8>,
    height: f32,
    page: usize,
    owners: Vec<usize>,
    images: Vec<usize>,
    /// The owner of the open content, and whether it was opened within the open text object.
    open: Option<(Owner, bool)>,
    /// In a text object, where its last line begins, in tenths of a point.
    text: Option<(i32, i32)>,
    /// Whether content is marked, which it is not in the appearance of a field.
    tagging: bool,
    font: Option<(Weight, f32)>,
    fill: Option<Colour>,
    stroke: Option<Stroke>,
    /// Whether the line style is unknown, as at the beginning of a group.
    unknown: bool,
}

impl<'p> Brush<'p> {
    fn new(height: f32, page: usize, painted: &'p mut Painted) -> Brush<'p> {
        Brush {
            painted,
            out: Vec::with_capacity(1 << 14),
            codes: Vec::new(),
            height,
            page,
            owners: Vec::new(),
            images: Vec::new(),
            open: None,
            text: None,
            tagging: true,
            font: None,
            fill: None,
            stroke: None,
            unknown: false,
        }
    }

    fn finish(mut self) -> (Vec<u8>, Vec<usize>, Vec<usize>) {
        self.close();
        (self.out, self.owners, self.images)
    }

    fn marks(&mut self, flow: &mut Flow<'_>, marks: &[Mark], top: f32) {
        for mark in marks {
            if let Shape::Area {
                area,
                x,
                y,
                width,
                height,
            } = &mark.shape
            {
                let upper = self.height - top - y;
                let node = match area {
                    Area::Link(link) => flow.links.get(*link).map(|l| l.node),
                    Area::Field(field) => flow.fields.get(*field).map(|f| f.node),
                };
                if let Some(node) = node {
                    let kid = Kid::Annotation {
                        page: self.page,
                        annotation: self.painted.areas.len(),
                    };
                    flow.tags.note(node, kid);
                }
                self.painted.areas.push(Placed {
                    page: self.page,
                    rect: [*x, upper - height, x + width, upper],
                    area: *area,
                });
                continue;
            }
            self.begin(flow, mark.owner, matches!(mark.shape, Shape::Text { .. }));
            self.shape(&mark.shape, top);
        }
    }

    /// Opens the content of an owner, unless it is open. Content holds whole text objects, or lies
    /// within one (ISO 32000-1, 14.6.1); runs of text one after the other share a text object,
    /// each within it.
    fn begin(&mut self, flow: &mut Flow<'_>, owner: Owner, is_text: bool) {
        match self.open {
            Some((open, within)) if open == owner && (is_text || !within) => {
                if !is_text {
                    self.end_text();
                }
                return;
            }
            Some((_, true)) => {
                self.op("EMC");
                if !is_text {
                    self.end_text();
                }
            }
            Some((_, false)) => {
                self.end_text();
                self.op("EMC");
            }
            None if !is_text => self.end_text(),
            None => {}
        }
        self.open = None;
        if !self.tagging {
            return;
        }
        // A figure's text is among its lines: its content is opened around all of them.
        let around = matches!(owner, Owner::Node(node) if flow.tags.role(node) == Role::Figure);
        if around {
            self.end_text();
        } else if is_text {
            self.begin_text();
        }
        self.open = Some((owner, self.text.is_some()));
        match owner {
            Owner::Artifact => self.op("/Artifact BMC"),
            Owner::Node(node) => {
                let mcid = self.owners.len();
                self.owners.push(node);
                let kid = Kid::Content {
                    page: self.page,
                    mcid: u32::try_from(mcid).unwrap_or(0),
                };
                flow.tags.note(node, kid);
                self.out.push(b'/');
                self.out
                    .extend_from_slice(flow.tags.role(node).name().as_bytes());
                self.out.extend_from_slice(b"<</MCID ");
                int_to(&mut self.out, mcid);
                self.op(">>BDC");
            }
        }
    }

    fn close(&mut self) {
        if let Some((_, false)) = self.open {
            self.end_text();
        }
        if self.open.take().is_some() {
            self.op("EMC");
        }
        self.end_text();
    }

    fn begin_text(&mut self) {
        if self.text.is_none() {
            self.text = Some((0, 0));
            self.op("BT");
        }
    }

    fn end_text(&mut self) {
        if self.text.take().is_some() {
            self.op("ET");
        }
    }

    /// Ends an operation.
    fn op(&mut self, operator: &str) {
        self.out.extend_from_slice(operator.as_bytes());
        self.out.push(b'\n');
    }

    /// Writes operands in hundredths, each with a space after it.
    fn numbers(&mut self, values: &[f32]) {
        for value in values {
            decimal_to(&mut self.out, hundredths(*value), 2);
            self.out.push(b' ');
        }
    }

    /// Writes a point of the page in tenths, each number followed by a space.
    fn point(&mut self, x: f32, y: f32) {
        for value in [x, y] {
            decimal_to(&mut self.out, tenths(value), 1);
            self.out.push(b' ');
        }
    }

    /// Writes a path; `to` turns a knot into the coordinates in force.
    fn path(&mut self, knots: &[Knot], decimals: usize, to: impl Fn(&Knot) -> (f32, f32)) {
        let mut handles = 0;
        for (i, knot) in knots.iter().enumerate() {
            let (x, y) = to(knot);
            if decimals == 1 {
                self.point(x, y);
            } else {
                self.numbers(&[x, y]);
            }
            if knot.handle {
                handles += 1;
            } else {
                self.op(match (i, handles) {
                    (0, _) => "m",
                    (_, 2) => "c",
                    _ => "l",
                });
                handles = 0;
            }
        }
    }

    fn shape(&mut self, shape: &Shape, top: f32) {
        let height = self.height;
        match shape {
            Shape::Text {
                x,
                y,
                weight,
                size,
                colour,
                text,
            } => {
                self.begin_text();
                self.fill_with(*colour);
                self.set_font(*weight, *size);
                let (x, y) = (tenths(*x), tenths(height - top - *y));
                // Positions in a text object are relative to the line before.
                let from = self.text.replace((x, y)).unwrap_or_default();
                for step in [x - from.0, y - from.1] {
                    decimal_to(&mut self.out, step, 1);
                    self.out.push(b' ');
                }
                self.op("Td");
                self.show(*weight, text);
            }
            Shape::Ghost {
                x,
                y,
                size,
                width,
                text,
            } => {
                self.end_text();
                self.begin_text();
                self.fill_with(GHOST);
                self.set_font(Weight::Strong, *size);
                let (sin, cos) = 52.0_f32.to_radians().sin_cos();
                // The middle of the word's capitals is at the point.
                let (along, up) = (width / 2.0, super::face::CAP_HEIGHT * size / 2.0);
                let (x, y) = (
                    x - along * cos + up * sin,
                    height - y - along * sin - up * cos,
                );
                self.numbers(&[cos, sin, -sin, cos, x, y]);
                self.op("Tm");
                self.show(Weight::Strong, text);
                self.end_text();
            }
            Shape::Bar {
                x,
                y,
                width,
                height: tall,
                colour,
            } => {
                self.fill_with(*colour);
                self.numbers(&[*x, height - top - y - tall, *width, *tall]);
                self.op("re");
                self.op("f");
            }
            Shape::Fill { rings, colour } => {
                let Some(first) = rings.first().and_then(|r| r.first()) else {
                    return;
                };
                self.fill_with(*colour);
                self.out.extend_from_slice(b"q 1 0 0 1 ");
                self.numbers(&[first.x, height - top - first.y]);
                self.op("cm");
                for ring in rings {
                    self.path(ring, 2, |k| (k.x - first.x, first.y - k.y));
                }
                self.op(if rings.len() > 1 { "f*" } else { "f" });
                self.op("Q");
            }
            Shape::Modules {
                x,
                y,
                side,
                runs,
                colour,
            } => {
                self.fill_with(*colour);
                self.op("q");
                self.numbers(&[*side, 0.0, 0.0, -*side, *x, height - top - *y]);
                self.op("cm");
                for run in runs {
                    for number in run {
                        int_to(&mut self.out, *number);
                        self.out.push(b' ');
                    }
                    self.op("1 re");
                }
                self.op("f");
                self.op("Q");
            }
            Shape::Group { x, y, shapes } => {
                self.out.extend_from_slice(b"q 1 0 0 1 ");
                self.numbers(&[*x, height - top - y]);
                self.op("cm");
                // The colours before are forgotten, so that each instance is written alike.
                let before = (self.fill.take(), self.stroke.take(), self.unknown);
                self.height = 0.0;
                self.unknown = true;
                for shape in shapes {
                    self.shape(shape, 0.0);
                }
                self.height = height;
                (self.fill, self.stroke, self.unknown) = before;
                self.op("Q");
            }
            Shape::Line {
                knots,
                closed,
                stroke,
            } => {
                self.stroke_with(*stroke);
                // Tenths are finer than a printer's dots; the handles of curves need more.
                let decimals = if knots.iter().any(|k| k.handle) { 2 } else { 1 };
                self.path(knots, decimals, |k| (k.x, height - top - k.y));
                self.op(if *closed { "s" } else { "S" });
            }
            Shape::Image {
                image,
                x,
                y,
                width,
                height: tall,
            } => {
                if !self.images.contains(image) {
                    self.images.push(*image);
                }
                self.op("q");
                self.numbers(&[*width, 0.0, 0.0, *tall, *x, height - top - y - tall]);
                self.op("cm");
                self.out.push(b'/');
                self.out.extend_from_slice(image_name(*image).as_bytes());
                self.op(" Do");
                self.op("Q");
            }
            Shape::Area { .. } => {}
        }
    }

    fn set_font(&mut self, weight: Weight, size: f32) {
        if self.font != Some((weight, size)) {
            self.font = Some((weight, size));
            self.out.push(b'/');
            self.out.extend_from_slice(face_name(weight).as_bytes());
            self.out.push(b' ');
            self.numbers(&[size]);
            self.op("Tf");
        }
    }

    fn show(&mut self, weight: Weight, text: &str) {
        let used = match weight {
            Weight::Regular => &mut self.painted.regular,
            Weight::Strong => &mut self.painted.strong,
        };
        self.codes.clear();
        used.encode(text, &mut self.codes);
        literal_to(&mut self.out, &self.codes);
        self.op("Tj");
    }

    fn fill_with(&mut self, colour: Colour) {
        if self.fill != Some(colour) {
            self.fill = Some(colour);
            self.colour(colour);
            self.op("rg");
        }
    }

    fn stroke_with(&mut self, stroke: Stroke) {
        let before = self.stroke.replace(stroke);
        let unknown = std::mem::take(&mut self.unknown);
        if before.map(|s| s.colour) != Some(stroke.colour) {
            self.colour(stroke.colour);
            self.op("RG");
        }
        if before.map(|s| s.width) != Some(stroke.width) {
            self.numbers(&[stroke.width]);
            self.op("w");
        }
        if unknown || before.map_or(&[][..], |s| s.dash) != stroke.dash {
            self.out.push(b'[');
            self.numbers(stroke.dash);
            self.op("]0 d");
        }
        if unknown || before.is_some_and(|s| s.round) != stroke.round {
            self.op(if stroke.round { "1 J 1 j" } else { "0 J 0 j" });
        }
    }

    /// Writes the components of a colour in thousandths, which distinguish 256 steps.
    fn colour(&mut self, Colour(r, g, b): Colour) {
        for part in [r, g, b] {
            decimal_to(&mut self.out, (i32::from(part) * 1000 + 127) / 255, 3);
            self.out.push(b' ');
        }
    }
}
