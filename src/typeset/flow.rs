//! The pieces of a document before they are put on pages, and functions that add text to them.

use super::face::Faces;
use super::ink::{Area, Mark, Owner, Piece, Shape};
use super::lines::{Line, break_lines, draw};
use super::sheet::{ABOVE_FIGURE, Colour, SMALL, Sheet, Style};
use super::tags::{Role, Tags};
use crate::compose::document::{Document, Text};

/// A heading or an axis that is repeated on each page on which its table or strip continues.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Head {
    /// Height with the space below.
    pub height: f32,
    /// The marks that are drawn, all of them artifacts.
    pub marks: Vec<Mark>,
}

impl Head {
    /// A copy of a piece as an artifact, because its text is extracted only once.
    pub(super) fn again(piece: &Piece) -> Head {
        let mut marks = piece.marks.clone();
        marks.iter_mut().for_each(|m| m.owner = Owner::Artifact);
        Head {
            height: piece.height,
            marks,
        }
    }
}

/// A link and the node that holds it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Link {
    /// `#anchor` or a URI.
    pub target: String,
    /// Description for screen readers.
    pub words: String,
    /// Its node.
    pub node: usize,
}

/// Everything laid out, before it is put on pages.
pub(super) struct Flow<'a> {
    /// The document.
    pub document: &'a Document,
    /// The grid.
    pub sheet: Sheet,
    /// The faces.
    pub faces: &'a Faces,
    /// Style of running text.
    pub text: Style,
    /// Whether the seal was moved to the first page, ahead of pieces that come before it.
    pub ran_over: bool,
    /// The firm's colour.
    pub accent: Colour,
    /// The structure.
    pub tags: Tags,
    /// The pieces in order.
    pub pieces: Vec<Piece>,
    /// Heads of tables.
    pub heads: Vec<Head>,
    /// Links.
    pub links: Vec<Link>,
    /// Form fields.
    pub fields: Vec<FormField>,
}

/// A form field and the node that holds it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FormField {
    /// Its name.
    pub name: String,
    /// Tooltip, which screen readers read.
    pub tip: String,
    /// Its node.
    pub node: usize,
    /// Its kind.
    pub kind: FieldKind,
}

/// Kind of a form field.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum FieldKind {
    /// Words.
    Entry {
        /// Height, in lines.
        lines: u8,
        /// Words to choose from; any other may be typed.
        choices: Vec<String>,
    },
    /// A signature, whose field is drawn before it is signed.
    Signature {
        /// Width and height.
        size: (f32, f32),
        /// What is drawn.
        marks: Vec<Mark>,
    },
}

impl Flow<'_> {
    /// Left end of running text.
    pub(super) fn inner(&self) -> f32 {
        self.sheet.left + self.sheet.indent
    }

    /// Width of running text.
    pub(super) fn text_width(&self) -> f32 {
        self.sheet.measure() - self.sheet.indent
    }

    /// Nodes of the spans of a text: the owner, or a node of its own for a link, a form field and
    /// words of another language.
    pub(super) fn owners(&mut self, node: usize, text: &Text) -> Vec<(Owner, Option<Area>)> {
        text.0
            .iter()
            .map(|span| match (&span.field, &span.link) {
                (Some(field), _) => {
                    let own = self.tags.add_inline_form(node, &field.tip);
                    self.fields.push(FormField {
                        name: field.name.clone(),
                        tip: field.tip.clone(),
                        node: own,
                        kind: FieldKind::Entry {
                            lines: field.lines,
                            choices: field.choices.clone(),
                        },
                    });
                    (Owner::Node(own), Some(Area::Field(self.fields.len() - 1)))
                }
                (None, None) => {
                    let around = self.tags.language_of(node);
                    let around = around.unwrap_or(&self.document.about.language);
                    match span.language.filter(|l| *l != around) {
                        None => (Owner::Node(node), None),
                        Some(other) => (Owner::Node(self.tags.add_words(node, other)), None),
                    }
                }
                (None, Some(target)) => {
                    let own = self.tags.add_inline(node, Role::Link);
                    self.links.push(Link {
                        target: target.clone(),
                        words: span.text.trim().to_owned(),
                        node: own,
                    });
                    (Owner::Node(own), Some(Area::Link(self.links.len() - 1)))
                }
            })
            .collect()
    }

    /// Draws a line of text with its links and form fields.
    pub(super) fn draw_line(
        piece: &mut Piece,
        line: Line,
        x: f32,
        top: f32,
        style: Style,
        owners: &[(Owner, Option<Area>)],
    ) {
        // The words of a link come before its area, so that the link is in the right position among
        // the surrounding words.
        let areas: Vec<(Area, f32, f32)> = line
            .runs
            .iter()
            .filter_map(|run| {
                let area = owners.get(run.span)?.1?;
                Some((area, x + run.x, run.width))
            })
            .collect();
        let base = top + style.rise();
        draw(&mut piece.marks, line, x, base, style, &|span| {
            owners.get(span).map_or(Owner::Artifact, |o| o.0)
        });
        for (area, x, width) in areas {
            let shape = Shape::Area {
                area,
                x,
                y: top,
                width,
                height: style.leading,
            };
            piece.draw(Owner::Artifact, shape);
            if let Area::Link(_) = area {
                let y = base + 1.6;
                piece.rule((x, y), (x + width, y), super::ink::line(style.colour, 0.4));
            }
        }
    }

    /// Lays out a text as one piece per line, and keeps its first two and its last two lines
    /// together.
    pub(super) fn text_block(
        &mut self,
        node: usize,
        text: &Text,
        x: f32,
        width: f32,
        style: Style,
        above: f32,
    ) {
        let owners = self.owners(node, text);
        let lines = break_lines(self.faces, text, style, width);
        let count = lines.len();
        for (i, line) in lines.into_iter().enumerate() {
            let mut piece = Piece::of(style.leading, if i == 0 { above } else { 0.0 });
            piece.keep = i + 1 < count && (i == 0 || i + 2 == count);
            Flow::draw_line(&mut piece, line, x, 0.0, style, &owners);
            self.pieces.push(piece);
        }
    }

    /// Keeps the last piece with the next one.
    pub(super) fn keep_last(&mut self) {
        if let Some(piece) = self.pieces.last_mut() {
            piece.keep = true;
        }
    }

    /// The title of a figure, kept with it.
    pub(super) fn figure_title(&mut self, title: &str) {
        if title.is_empty() {
            return;
        }
        let node = self.tags.add(0, Role::P);
        self.text_block(
            node,
            &Text::plain(title),
            self.sheet.left,
            self.sheet.measure(),
            SMALL.strong(),
            ABOVE_FIGURE,
        );
        self.keep_last();
    }
}
