//! From the document tree to a PDF: the only folder that knows points on a page.
//!
//! The way of a document: `lines`, `blocks`, `table` and `figure` lay it out as pieces of a page
//! (`ink` says what a piece is), `pages` stands them on pages, `paint` writes their content streams,
//! `finish` puts the file together (`fonts`, `structure`, `outline`, `file`, `syntax`). `sheet`
//! holds the grid, the type scale and the colours; `tags` the structure; `archive` what
//! ISO 19005-3 and ISO 14289-1 ask for.
//!
//! The file is unsigned. Where the document has a place for the seal, it holds an empty signature
//! field named `Seal` with its looks already drawn, so that sealing adds a signature and changes
//! nothing that is seen. Nothing here reads a clock or draws a random number: the same document
//! gives the same bytes.

mod annotations;
mod archive;
mod blocks;
mod face;
mod figure;
mod finish;
mod fonts;
mod images;
mod ink;
mod lines;
mod outline;
mod pages;
mod paint;
mod repertoire;
mod sheet;
mod signal;
mod structure;
mod table;
mod tags;

pub use face::{prints, regular};
pub use images::{Printed, printed_width_mm};

use crate::compose::tree::Document;

/// Why a document cannot be typeset.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TypesetError {
    /// A character that the embedded faces lack; the visit's check should have met it first.
    #[error(
        "the certificate's typeface has no character “{character}” (U+{:04X}), which stands in “{text}”; write it another way",
        u32::from(*.character)
    )]
    Character {
        /// The character.
        character: char,
        /// The text around it.
        text: String,
    },
    /// A row has more or fewer cells than its table has columns.
    #[error(
        "the table “{table}” has {columns} columns but a row of {cells} cells; this is a fault of warmlug, please report it"
    )]
    Cells {
        /// Caption of the table.
        table: String,
        /// Columns of the table.
        columns: usize,
        /// Cells of the row.
        cells: usize,
    },
    /// A block names an image that the document does not hold.
    #[error(
        "the certificate has no image number {0}; this is a fault of warmlug, please report it"
    )]
    Image(usize),
    /// A link leads to an anchor that no heading has.
    #[error(
        "a link leads to “#{0}”, which is nowhere in the certificate; this is a fault of warmlug, please report it"
    )]
    Anchor(String),
    /// An embedded face cannot be read.
    #[error(
        "the embedded typeface cannot be read ({0}); this is a fault of warmlug, please report it"
    )]
    Face(String),
}

/// How the file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Options {
    /// Whether objects are packed into object streams with a cross-reference stream (ISO 32000-1,
    /// 7.5.7 and 7.5.8): about half the size. Without, a cross-reference table.
    pub object_streams: bool,
}

impl Default for Options {
    fn default() -> Self {
        Options {
            object_streams: true,
        }
    }
}

/// Typesets a document as an unsigned PDF with an empty signature field.
///
/// # Errors
/// See [`TypesetError`].
pub fn render(document: &Document) -> Result<Vec<u8>, TypesetError> {
    render_with(document, Options::default())
}

/// Typesets a document, written in a given way.
///
/// # Errors
/// See [`TypesetError`].
pub fn render_with(document: &Document, options: Options) -> Result<Vec<u8>, TypesetError> {
    let faces = face::Faces::new()?;
    let mut flow = blocks::Flow::new(document, &faces)?;
    let pages = pages::distribute(&flow.pieces, &flow.heads, &flow.sheet);
    let painted = paint::paint(&mut flow, &pages);
    // Running feet are measured while they are painted.
    faces.finish()?;
    finish::finish(&flow, painted, options)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compose::tree::{About, Block, Letterhead};
    use crate::visit::Paper;

    /// A document of these blocks.
    pub(super) fn document(body: Vec<Block>) -> Document {
        Document {
            about: About {
                title: "Inspection certificate 2026-0147".into(),
                author: "Ada Lind, Lind Electric".into(),
                subject: "12 Elm Street, bay 1".into(),
                identifier: "2026-0147".into(),
                language: "en".into(),
                further_languages: Vec::new(),
                created: chrono::DateTime::parse_from_rfc3339("2026-10-06T11:30:00-04:00").unwrap(),
                producer: "warmlug test".into(),
            },
            paper: Paper::Letter,
            decimal_mark: '.',
            letterhead: Letterhead {
                name: "Lind Electric".into(),
                lines: vec!["4 Mill Lane, Dover".into(), "Licence E-2271".into()],
                logo: None,
                accent: None,
            },
            running_left: "2026-0147 · 2026-10-06".into(),
            running_middle: "12 Elm Street".into(),
            running_right: "page {page} of {pages}".into(),
            draft: None,
            body,
            images: Vec::new(),
            attachments: Vec::new(),
        }
    }

    #[test]
    fn the_same_document_gives_the_same_bytes() {
        let document = document(vec![Block::Heading {
            level: 1,
            text: "Certificate".into(),
            anchor: None,
        }]);
        let first = render(&document).unwrap();
        assert_eq!(first, render(&document).unwrap());
        assert!(first.starts_with(b"%PDF-1.7"));
    }
}
