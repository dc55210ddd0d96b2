//! Paints placed pieces with printpdf's operations, and notes which content belongs to which node
//! of the structure.

use std::collections::BTreeMap;

use printpdf::{
    Color, DictItem, Line, LineCapStyle, LineDashPattern, LineJoinStyle, LinePoint, Op, PaintMode,
    PdfPage, Point, Polygon, PolygonRing, Pt, Rect, Rgb, TextMatrix, WindingOrder, XObjectId,
    XObjectTransform,
};

use super::blocks::Flow;
use super::face::{Used, Weight};
use super::ink::{Knot, Mark, Owner, Shape, Stroke, at};
use super::pages::{Item, Page};
use super::sheet::{Colour, GHOST, HAIR, RED, RULE, SECTION, SMALL, SOFT, Sheet};
use super::tags::{Kid, Role};

/// An annotation on a page that leads somewhere.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct LinkArea {
    pub page: usize,
    /// Lower left and upper right corner.
    pub rect: [f32; 4],
    /// Number of the link.
    pub link: usize,
}

/// A place to go to.
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
    /// Pages, and last the looks of the signature field where there is one.
    pub pages: Vec<PdfPage>,
    /// Node of each marked content, page by page.
    pub owners: Vec<Vec<usize>>,
    /// Images used on each page (and last in the field).
    pub images: Vec<Vec<usize>>,
    pub links: Vec<LinkArea>,
    pub anchors: BTreeMap<String, Place>,
    pub bookmarks: Vec<Bookmark>,
    /// Page and rectangle of the signature field.
    pub field: Option<(usize, [f32; 4])>,
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
        links: Vec::new(),
        anchors: BTreeMap::new(),
        bookmarks: Vec::new(),
        field: None,
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
                    if let Some((level, text)) = &piece.bookmark {
                        brush.painted.bookmarks.push(Bookmark {
                            level: *level,
                            text: text.clone(),
                            place,
                        });
                    }
                    if let Some(anchor) = &piece.anchor {
                        brush.painted.anchors.insert(anchor.clone(), place);
                    }
                    if let Some((node, area)) = piece.figure {
                        flow.tags
                            .set_bounds(node, number, turned(&sheet, area, top));
                    }
                    if let Some(area) = piece.field {
                        brush.painted.field = Some((number, turned(&sheet, area, top)));
                    }
                    brush.marks(flow, &piece.marks, top);
                }
            }
        }
        let foot = foot(flow, number + 1, pages.len());
        brush.marks(flow, &foot, 0.0);
        let (ops, owners, images) = brush.finish();
        painted.pages.push(page_of(ops, sheet.width, sheet.height));
        painted.owners.push(owners);
        painted.images.push(images);
    }
    if let Some(seal) = flow.seal.take() {
        let (width, height) = seal.size;
        let mut brush = Brush::new(height, usize::MAX, &mut painted);
        brush.tagging = false;
        brush.marks(flow, &seal.marks, 0.0);
        let (ops, _, images) = brush.finish();
        painted.pages.push(page_of(ops, width, height));
        painted.images.push(images);
        flow.seal = Some(seal);
    }
    painted
}

fn page_of(ops: Vec<Op>, width: f32, height: f32) -> PdfPage {
    let all = Rect {
        x: Pt(0.0),
        y: Pt(0.0),
        width: Pt(width),
        height: Pt(height),
        mode: None,
        winding_order: None,
    };
    PdfPage {
        media_box: all.clone(),
        trim_box: all.clone(),
        crop_box: all,
        ops,
    }
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
    let style = SMALL.coloured(SOFT);
    let width = |t: &str| flow.faces.width(style.weight, style.size, t);
    let right = document
        .running_right
        .replace("{pages}", &pages.to_string())
        .replace("{page}", &page.to_string());
    let top = sheet.height - sheet.bottom + 26.0;
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

/// As much of a running text as has room, with an ellipsis for the rest; the whole of it stands
/// in the body.
fn shortened(text: &str, room: f32, width: &impl Fn(&str) -> f32) -> String {
    if width(text) <= room {
        return text.to_owned();
    }
    let mut end = text.len();
    while let Some((at, _)) = text.get(..end).and_then(|t| t.char_indices().next_back()) {
        end = at;
        let short = format!("{}…", text.get(..end).unwrap_or_default().trim_end());
        if width(&short) <= room {
            return short;
        }
    }
    String::new()
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

/// Collects the operations of one page.
struct Brush<'p> {
    painted: &'p mut Painted,
    ops: Vec<Op>,
    height: f32,
    page: usize,
    owners: Vec<usize>,
    images: Vec<usize>,
    /// Whose content is open, and whether it was opened within the open text object.
    open: Option<(Owner, bool)>,
    /// In a text object, where its last line begins.
    text: Option<(f32, f32)>,
    /// Whether content is marked: not in the looks of a field.
    tagging: bool,
    font: Option<(Weight, f32)>,
    fill: Option<Colour>,
    stroke: Option<Stroke>,
}

impl<'p> Brush<'p> {
    fn new(height: f32, page: usize, painted: &'p mut Painted) -> Brush<'p> {
        Brush {
            painted,
            ops: Vec::with_capacity(512),
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
        }
    }

    fn finish(mut self) -> (Vec<Op>, Vec<usize>, Vec<usize>) {
        self.close();
        (self.ops, self.owners, self.images)
    }

    fn marks(&mut self, flow: &mut Flow<'_>, marks: &[Mark], top: f32) {
        for mark in marks {
            if let Shape::Link {
                link,
                x,
                y,
                width,
                height,
            } = &mark.shape
            {
                let upper = self.height - top - y;
                let area = LinkArea {
                    page: self.page,
                    rect: [*x, upper - height, x + width, upper].map(rounded),
                    link: *link,
                };
                if let Some(link) = flow.links.get(*link) {
                    let kid = Kid::Annotation {
                        page: self.page,
                        annotation: self.painted.links.len(),
                    };
                    flow.tags.note(link.node, kid);
                }
                self.painted.links.push(area);
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
                self.ops.push(Op::EndMarkedContent);
                if !is_text {
                    self.end_text();
                }
            }
            Some((_, false)) => {
                self.end_text();
                self.ops.push(Op::EndMarkedContent);
            }
            None if !is_text => self.end_text(),
            None => {}
        }
        self.open = None;
        if !self.tagging {
            return;
        }
        // A figure's text stands among its lines: its content is opened around all of them.
        let around = matches!(owner, Owner::Node(node) if flow.tags.role(node) == Role::Figure);
        if around {
            self.end_text();
        } else if is_text {
            self.begin_text();
        }
        self.open = Some((owner, self.text.is_some()));
        match owner {
            Owner::Artifact => self.ops.push(Op::BeginMarkedContent {
                tag: "Artifact".into(),
            }),
            Owner::Node(node) => {
                let mcid = u32::try_from(self.owners.len()).unwrap_or(0);
                self.owners.push(node);
                let page = self.page;
                flow.tags.note(node, Kid::Content { page, mcid });
                let number = DictItem::Int(i64::from(mcid));
                self.ops.push(Op::BeginMarkedContentWithProperties {
                    tag: flow.tags.role(node).name().into(),
                    properties: DictItem::Dict {
                        map: BTreeMap::from([("MCID".to_owned(), number)]),
                    },
                });
            }
        }
    }

    fn close(&mut self) {
        if let Some((_, false)) = self.open {
            self.end_text();
        }
        if self.open.take().is_some() {
            self.ops.push(Op::EndMarkedContent);
        }
        self.end_text();
    }

    fn begin_text(&mut self) {
        if self.text.is_none() {
            self.text = Some((0.0, 0.0));
            self.ops.push(Op::StartTextSection);
        }
    }

    fn end_text(&mut self) {
        if self.text.take().is_some() {
            self.ops.push(Op::EndTextSection);
        }
    }

    fn point(&self, x: f32, y: f32, top: f32) -> Point {
        Point {
            x: Pt(rounded(x)),
            y: Pt(rounded(self.height - top - y)),
        }
    }

    fn knots(&self, knots: &[Knot], top: f32) -> Vec<LinePoint> {
        knots
            .iter()
            .map(|k| LinePoint {
                p: self.point(k.x, k.y, top),
                bezier: k.handle,
            })
            .collect()
    }

    fn shape(&mut self, shape: &Shape, top: f32) {
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
                let (x, y) = (rounded(*x), rounded(self.height - top - *y));
                // Positions in a text object are told from the line before.
                let (from_x, from_y) = self.text.replace((x, y)).unwrap_or_default();
                let step = (rounded(x - from_x), rounded(y - from_y));
                self.ops.push(Op::SetTextCursor {
                    pos: Point {
                        x: Pt(step.0),
                        y: Pt(step.1),
                    },
                });
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
                // The middle of the word's capitals stands at the point.
                let (along, up) = (width / 2.0, super::face::CAP_HEIGHT * size / 2.0);
                let (x, y) = (
                    x - along * cos + up * sin,
                    self.height - y - along * sin - up * cos,
                );
                self.ops.push(Op::SetTextMatrix {
                    matrix: TextMatrix::Raw([cos, sin, -sin, cos, x, y].map(rounded)),
                });
                self.show(Weight::Strong, text);
                self.end_text();
            }
            Shape::Bar {
                x,
                y,
                width,
                height,
                colour,
            } => {
                self.fill_with(*colour);
                let corner = self.point(*x, y + height, top);
                self.ops.push(Op::DrawRectangle {
                    rectangle: Rect {
                        x: corner.x,
                        y: corner.y,
                        width: Pt(rounded(*width)),
                        height: Pt(rounded(*height)),
                        mode: Some(PaintMode::Fill),
                        winding_order: None,
                    },
                });
            }
            Shape::Fill { rings, colour } => {
                self.fill_with(*colour);
                let rings = rings
                    .iter()
                    .map(|r| PolygonRing {
                        points: self.knots(r, top),
                    })
                    .collect();
                self.ops.push(Op::DrawPolygon {
                    polygon: Polygon {
                        rings,
                        mode: PaintMode::Fill,
                        winding_order: WindingOrder::EvenOdd,
                    },
                });
            }
            Shape::Line {
                knots,
                closed,
                stroke,
            } => {
                self.stroke_with(*stroke);
                let points = self.knots(knots, top);
                self.ops.push(Op::DrawLine {
                    line: Line {
                        points,
                        is_closed: *closed,
                    },
                });
            }
            Shape::Image {
                image,
                x,
                y,
                width,
                height,
            } => {
                if !self.images.contains(image) {
                    self.images.push(*image);
                }
                let corner = self.point(*x, y + height, top);
                self.ops.push(Op::UseXobject {
                    id: XObjectId(image_name(*image)),
                    transform: XObjectTransform {
                        translate_x: Some(corner.x),
                        translate_y: Some(corner.y),
                        scale_x: Some(rounded(*width)),
                        scale_y: Some(rounded(*height)),
                        no_auto_scale: true,
                        ..XObjectTransform::default()
                    },
                });
            }
            Shape::Link { .. } => {}
        }
    }

    fn set_font(&mut self, weight: Weight, size: f32) {
        if self.font != Some((weight, size)) {
            self.font = Some((weight, size));
            // Not `Op::SetFont`: printpdf knows nothing of our faces, which are embedded when the
            // file is finished, and would look them up.
            self.ops.push(Op::Unknown {
                key: "Tf".into(),
                value: vec![
                    DictItem::Name(face_name(weight).into()),
                    DictItem::Real(size),
                ],
            });
        }
    }

    fn show(&mut self, weight: Weight, text: &str) {
        let mut data = Vec::with_capacity(2 * text.len());
        match weight {
            Weight::Regular => self.painted.regular.encode(text, &mut data),
            Weight::Strong => self.painted.strong.encode(text, &mut data),
        }
        self.ops.push(Op::Unknown {
            key: "Tj".into(),
            value: vec![DictItem::String {
                data,
                literal: true,
            }],
        });
    }

    fn fill_with(&mut self, colour: Colour) {
        if self.fill != Some(colour) {
            self.fill = Some(colour);
            self.ops.push(Op::SetFillColor { col: color(colour) });
        }
    }

    fn stroke_with(&mut self, stroke: Stroke) {
        let before = self.stroke.replace(stroke);
        if before.map(|s| s.colour) != Some(stroke.colour) {
            self.ops.push(Op::SetOutlineColor {
                col: color(stroke.colour),
            });
        }
        if before.map(|s| s.width) != Some(stroke.width) {
            self.ops.push(Op::SetOutlineThickness {
                pt: Pt(rounded(stroke.width)),
            });
        }
        if before.map_or(&[][..], |s| s.dash) != stroke.dash {
            self.ops.push(Op::SetLineDashPattern {
                dash: LineDashPattern::new(0.0, stroke.dash),
            });
        }
        if before.is_some_and(|s| s.round) != stroke.round {
            let (cap, join) = if stroke.round {
                (LineCapStyle::Round, LineJoinStyle::Round)
            } else {
                (LineCapStyle::Butt, LineJoinStyle::Miter)
            };
            self.ops.push(Op::SetLineCapStyle { cap });
            self.ops.push(Op::SetLineJoinStyle { join });
        }
    }
}

/// Hundredths of a point: finer than any printer, and short to write.
fn rounded(v: f32) -> f32 {
    (v * 100.0).round() / 100.0
}

fn color(Colour(r, g, b): Colour) -> Color {
    let part = |v: u8| (f32::from(v) / 255.0 * 1000.0).round() / 1000.0;
    Color::Rgb(Rgb {
        r: part(r),
        g: part(g),
        b: part(b),
        icc_profile: None,
    })
}
