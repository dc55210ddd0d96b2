//! From the document tree to the bytes of a PDF.

use super::error::TypesetError;
use super::face::Faces;
use super::finish::{Options, finish};
use super::{blocks, pages, paint};
use crate::compose::document::Document;

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
    let faces = Faces::new()?;
    let mut flow = blocks::lay(document, &faces)?;
    let pages = pages::arrange(&mut flow.pieces, &flow.heads, &flow.sheet);
    let painted = paint::paint(&mut flow, &pages);
    // Running feet are measured while they are painted.
    faces.finish()?;
    finish(&flow, painted, options)
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::compose::document::{About, Block, Format, Letterhead};
    use crate::visit::Paper;

    /// A document of these blocks.
    pub(in crate::typeset) fn document(body: Vec<Block>) -> Document {
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
            format: Format::Sheets(Paper::Letter),
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
