//! Page 1 of a certificate as a separate document, for a reader who does not need the record: a
//! tenant, or an office that only files the result.
//!
//! It names the certificate from which it was taken, on the page and in a small attached file by
//! which `verify` recognises it.

use super::document::{Attachment, Block, Document, Text};
use super::error::ComposeError;
use super::keys;
use super::wording::Wording;

/// Name of the file by which an extract is recognised.
pub const EXTRACT: &str = "extract.json";

/// The certificate from which an extract is taken.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Whole {
    /// Its number.
    pub number: String,
    /// SHA-256 of its file as it was sealed, 64 hexadecimal digits.
    pub sha256: String,
    /// Time of its signature, as printed on it.
    pub sealed: String,
}

/// Page 1 of a whole certificate that was composed with the seal of the extract.
///
/// # Errors
/// The attached file cannot be written.
pub fn extract(
    mut document: Document,
    whole: &Whole,
    wording: &Wording,
) -> Result<Document, ComposeError> {
    let end = document.body.iter().position(|b| *b == Block::NewPage);
    document.body.truncate(end.unwrap_or(document.body.len()));
    let note = wording.say(
        &keys::EXTRACT_NOTE,
        &[
            ("number", &whole.number),
            ("time", &whole.sealed),
            ("digest", &whole.sha256),
        ],
    );
    let seal = document
        .body
        .iter()
        .position(|b| matches!(b, Block::Seal(_)));
    let at = seal.unwrap_or(document.body.len());
    document.body.insert(at, Block::Small(Text::plain(note)));
    let anchors: Vec<String> = document.body.iter().filter_map(anchor).collect();
    for text in document.body.iter_mut().flat_map(texts) {
        for span in &mut text.0 {
            // The target of a link may be on a page that is not included.
            let gone = |link: &String| {
                let inside = link.strip_prefix('#');
                inside.is_some_and(|to| !anchors.iter().any(|a| a == to))
            };
            span.link = span.link.take().filter(|link| !gone(link));
        }
    }
    document.about.title = wording.say(&keys::EXTRACT_TITLE, &[("title", &document.about.title)]);
    document.about.identifier = format!("{}#page-1", document.about.identifier);
    let bytes = serde_json::to_vec(whole).map_err(|e| ComposeError::Json(e.to_string()))?;
    document.attachments = vec![Attachment {
        name: EXTRACT.to_owned(),
        mime: "application/json".to_owned(),
        description: wording.word(&keys::EXTRACT_ATTACHED).to_owned(),
        relationship: "Data",
        bytes,
    }];
    Ok(document)
}

fn anchor(block: &Block) -> Option<String> {
    match block {
        Block::Heading { anchor, .. } => anchor.clone(),
        _ => None,
    }
}

/// The running texts of a block.
fn texts(block: &mut Block) -> Vec<&mut Text> {
    match block {
        Block::Paragraph(text) | Block::Small(text) => vec![text],
        Block::List { items, .. } | Block::Caution { items, .. } => items.iter_mut().collect(),
        Block::Facts(facts) => facts.iter_mut().map(|(_, text)| text).collect(),
        Block::Verdict { text, .. } => text.iter_mut().collect(),
        Block::Table(table) => {
            let rows = table.rows.iter_mut();
            rows.flat_map(|row| row.cells.iter_mut()).collect()
        }
        _ => Vec::new(),
    }
}
