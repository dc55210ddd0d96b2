//! What is laid out before it is put on pages, and the ways to add text to it.

use super::face::Faces;
use super::ink::{Area, Mark, Owner, Piece, Shape};
use super::lines::{Line, break_lines, draw};
use super::sheet::{ABOVE_FIGURE, Colour, SMALL, Sheet, Style};
use super::tags::{Role, Tags};
use crate::compose::document::{Document, Text};

/// A heading or an axis, repeated on each page that its table or strip goes on to.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Head {
    /// Height with the space below.
    pub height: f32,
    /// What is drawn; artifacts all.
    pub marks: Vec<Mark>,
}

impl Head {
    /// A piece once more, as decoration: the text is extracted where it was first.
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
    /// What it says, for those who hear it.
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
    /// Whether the first page has given the seal room that what comes before it needed.
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
    /// Tooltip: what it says to those who hear it.
    pub tip: String,
    /// Its node.
    pub node: usize,
    /// What goes in.
    pub kind: FieldKind,
}

/// What goes into a form field.
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
        // What a link says comes before the area that leads on: with its words the link takes its
        // place among the words around it.
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

    /// A text as one piece a line, its first two and last two lines kept together.
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
