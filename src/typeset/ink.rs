//! Marks that can be drawn, and the pieces of a page that consist of them. The layout passes a list
//! of pieces on, to be placed and painted. Coordinates are points from the top left corner of the
//! piece, downwards.

use super::face::Weight;
use super::sheet::{Colour, Style};

/// The owner of a mark: a node of the structure tree, or none, as for rules and running feet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Owner {
    /// Decoration.
    Artifact,
    /// Content of a node.
    Node(usize),
}

/// A corner of an outline, or a handle of a curve: two handles and a corner make a Bézier curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Knot {
    pub x: f32,
    pub y: f32,
    pub handle: bool,
}

/// A corner.
pub(super) const fn at(x: f32, y: f32) -> Knot {
    Knot {
        x,
        y,
        handle: false,
    }
}

/// A handle.
const fn handle(x: f32, y: f32) -> Knot {
    Knot { x, y, handle: true }
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stroke {
    pub colour: Colour,
    pub width: f32,
    pub dash: &'static [f32],
    /// Round ends and joints.
    pub round: bool,
}

/// An unbroken line.
pub(super) const fn line(colour: Colour, width: f32) -> Stroke {
    Stroke {
        colour,
        width,
        dash: &[],
        round: false,
    }
}

/// Purpose of an area of a page, which becomes an annotation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Area {
    /// Leads to the target of a link, by its number in the flow.
    Link(usize),
    /// A form field, by its number in the flow.
    Field(usize),
}

/// Something drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Shape {
    /// A run of text at its base line.
    Text {
        x: f32,
        y: f32,
        weight: Weight,
        size: f32,
        colour: Colour,
        text: String,
    },
    /// Closed outlines, filled (even-odd).
    Fill {
        rings: Vec<Vec<Knot>>,
        colour: Colour,
    },
    /// A line through knots, open or closed.
    Line {
        knots: Vec<Knot>,
        closed: bool,
        stroke: Stroke,
    },
    /// A filled rectangle: top left corner, width, height.
    Bar {
        x: f32,
        y: f32,
        width: f32,
        height: f32,
        colour: Colour,
    },
    /// Filled rectangles one module high, in modules: column, row and width. With whole numbers,
    /// hundreds of them take few bytes.
    Modules {
        x: f32,
        y: f32,
        side: f32,
        runs: Vec<[usize; 3]>,
        colour: Colour,
    },
    /// Outlines and lines around a point, their coordinates relative to it. What is drawn often, as
    /// the marks of grades, then has the same bytes each time, which compress to nearly nothing.
    Group { x: f32, y: f32, shapes: Vec<Shape> },
    /// An image of the document, stretched to a rectangle.
    Image {
        image: usize,
        x: f32,
        y: f32,
        width: f32,
        height: f32,
    },
    /// An area with a purpose; nothing is drawn.
    Area {
        area: Area,
        x: f32,
        y: f32,
        width: f32,
        height: f32,
    },
    /// A word across the page, rising to the right, its middle at the point.
    Ghost {
        x: f32,
        y: f32,
        size: f32,
        width: f32,
        text: String,
    },
}

/// Something drawn, and its owner.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Mark {
    pub owner: Owner,
    pub shape: Shape,
}

/// A part of the flow that never splits.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Piece {
    /// Height.
    pub height: f32,
    /// Space above, dropped at the top of a page.
    pub before: f32,
    /// Whether the next piece should be on the same page.
    pub keep: bool,
    /// Whether a new page begins here.
    pub new_page: bool,
    /// Head of a table that is repeated where a page begins with this piece.
    pub head: Option<usize>,
    /// Bookmarks: level and text.
    pub bookmarks: Vec<(u8, String)>,
    /// Anchors that lead here.
    pub anchors: Vec<String>,
    /// Figures whose box is this piece: top left corner, width, height in the piece.
    pub figures: Vec<(usize, [f32; 4])>,
    /// What is drawn.
    pub marks: Vec<Mark>,
    /// Columns that can still be divided between pages; the marks are derived from them.
    pub columns: Option<Box<Flowing>>,
}

/// Pieces that flow through columns.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Flowing {
    pub(super) pieces: Vec<Piece>,
    pub(super) count: usize,
    /// Distance from one column to the next.
    pub(super) step: f32,
}

impl Piece {
    /// An empty piece of a height.
    pub(super) fn of(height: f32, before: f32) -> Piece {
        Piece {
            height,
            before,
            ..Piece::default()
        }
    }

    /// Draws.
    pub(super) fn draw(&mut self, owner: Owner, shape: Shape) {
        self.marks.push(Mark { owner, shape });
    }

    /// Draws a text in one style.
    pub(super) fn text(
        &mut self,
        owner: Owner,
        x: f32,
        y: f32,
        style: Style,
        text: impl Into<String>,
    ) {
        self.draw(
            owner,
            Shape::Text {
                x,
                y,
                weight: style.weight,
                size: style.size,
                colour: style.colour,
                text: text.into(),
            },
        );
    }

    /// Draws a straight line.
    pub(super) fn rule(&mut self, from: (f32, f32), to: (f32, f32), stroke: Stroke) {
        self.draw(
            Owner::Artifact,
            Shape::Line {
                knots: vec![at(from.0, from.1), at(to.0, to.1)],
                closed: false,
                stroke,
            },
        );
    }
}

/// Outline of a circle.
pub(super) fn circle(x: f32, y: f32, radius: f32) -> Vec<Knot> {
    // Handle length of the usual four-arc circle, off by less than 0.03 % of the radius.
    let k = 0.552_28 * radius;
    vec![
        at(x + radius, y),
        handle(x + radius, y + k),
        handle(x + k, y + radius),
        at(x, y + radius),
        handle(x - k, y + radius),
        handle(x - radius, y + k),
        at(x - radius, y),
        handle(x - radius, y - k),
        handle(x - k, y - radius),
        at(x, y - radius),
        handle(x + k, y - radius),
        handle(x + radius, y - k),
        at(x + radius, y),
    ]
}

/// Outline of a rectangle.
pub(super) fn rectangle(x: f32, y: f32, width: f32, height: f32) -> Vec<Knot> {
    vec![
        at(x, y),
        at(x + width, y),
        at(x + width, y + height),
        at(x, y + height),
    ]
}

/// Outline of a regular polygon, its first corner at an angle (degrees, clockwise from the top).
pub(super) fn polygon(x: f32, y: f32, radius: f32, corners: u8, first: f32) -> Vec<Knot> {
    (0..corners)
        .map(|i| {
            let angle = (first + 360.0 * f32::from(i) / f32::from(corners)).to_radians();
            at(x + radius * angle.sin(), y - radius * angle.cos())
        })
        .collect()
}

/// Moves marks to the right and down.
pub(super) fn shift(marks: &mut [Mark], right: f32, down: f32) {
    let step = |x: &mut f32, y: &mut f32| {
        *x += right;
        *y += down;
    };
    for mark in marks {
        match &mut mark.shape {
            Shape::Text { x, y, .. }
            | Shape::Bar { x, y, .. }
            | Shape::Modules { x, y, .. }
            | Shape::Group { x, y, .. }
            | Shape::Image { x, y, .. }
            | Shape::Area { x, y, .. }
            | Shape::Ghost { x, y, .. } => step(x, y),
            Shape::Fill { rings, .. } => {
                rings
                    .iter_mut()
                    .flatten()
                    .for_each(|k| step(&mut k.x, &mut k.y));
            }
            Shape::Line { knots, .. } => knots.iter_mut().for_each(|k| step(&mut k.x, &mut k.y)),
        }
    }
}
