//! The worksheet as a page for a phone: the same sheet as on paper, as self-contained HTML with the
//! engine embedded as WebAssembly.

use super::page_engine::Request;
use crate::compose::document::{Block, Document, Field, Text};
use crate::compose::html::escaped;
use base64ct::{Base64, Encoding};
use sha2::{Digest, Sha256};

/// The page template around the sheet.
const PAGE: &str = include_str!("../../templates/page/page.html");
/// The page's script.
const SCRIPT: &str = include_str!("../../templates/page/page.js");
/// The engine, rebuilt by `templates/page/build`.
const ENGINE: &[u8] = include_bytes!("../../templates/page/engine.wasm");

/// A file that the visit file refers to, and that the zip therefore includes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Beside {
    /// As the visit file names it; may point outside the visit's folder.
    pub named: String,
    /// Path in the zip.
    pub path: String,
    /// Its contents.
    pub bytes: Vec<u8>,
}

/// The page of a sheet, in the given words (see [`crate::compose::worksheet::page_words`]);
/// `request` is the request to the engine before anything is typed, and `beside` are the files that
/// the saved zip includes so that its visit file can be certified as it is.
pub fn page(
    sheet: &Document,
    request: &Request,
    beside: &[Beside],
    words: &serde_json::Value,
) -> String {
    let data = serde_json::to_string(request).unwrap_or_default();
    let beside: Vec<_> = beside
        .iter()
        .map(|b| {
            let bytes = Base64::encode_string(&b.bytes);
            serde_json::json!({ "named": b.named, "path": b.path, "bytes": bytes })
        })
        .collect();
    let beside = serde_json::Value::from(beside).to_string();
    // What the phone stores belongs to this visit file alone.
    let id = base16ct::lower::encode_string(&Sha256::digest(request.visit.as_bytes())[..8]);
    let said = |word: &str| escaped(words[word].as_str().unwrap_or_default());
    let body: String = sheet.body.iter().map(block).collect();
    // The large parts last, so that they are not searched for placeholders.
    PAGE.replace("{title}", &escaped(&sheet.about.title))
        .replace("{language}", &escaped(&sheet.about.language))
        .replace("{id}", &id)
        .replace("{photos}", &said("photos"))
        .replace("{take}", &said("take"))
        .replace("{save}", &said("save"))
        .replacen("{body}", &body, 1)
        .replacen("{script}", SCRIPT, 1)
        .replacen("{engine}", &Base64::encode_string(ENGINE), 1)
        // A closing tag inside the data would end the script element.
        .replacen("{beside}", &beside.replace('<', "\\u003c"), 1)
        .replacen("{words}", &words.to_string().replace('<', "\\u003c"), 1)
        .replacen("{data}", &data.replace('<', "\\u003c"), 1)
}

fn block(block: &Block) -> String {
    match block {
        Block::Heading { level, text, .. } => {
            format!("<h{level}>{}</h{level}>\n", escaped(text))
        }
        Block::Paragraph(text) | Block::Small(text) => format!("<p>{}</p>\n", spans(text)),
        Block::List { items, .. } => {
            let items: String = items
                .iter()
                .map(|i| format!("<li>{}</li>", spans(i)))
                .collect();
            format!("<ul>{items}</ul>\n")
        }
        Block::Caution { title, items, .. } => {
            let items: String = items
                .iter()
                .map(|i| format!("<li>{}</li>", spans(i)))
                .collect();
            format!(
                "<section class=\"caution\"><b>{}</b><ul>{items}</ul></section>\n",
                escaped(title)
            )
        }
        Block::Table(table) => {
            let rows: String = table
                .rows
                .iter()
                .map(|row| {
                    let cells: String = row
                        .cells
                        .iter()
                        .zip(&table.columns)
                        .enumerate()
                        .filter(|(i, (cell, _))| {
                            *i == 0 || field(cell).is_some() || !cell.characters().is_empty()
                        })
                        .map(|(i, (cell, column))| match field(cell) {
                            Some(field) => input(field, &column.head, column.unit.as_deref()),
                            None if i == 0 => format!("<div class=\"what\">{}</div>", spans(cell)),
                            None => format!("<div>{}</div>", spans(cell)),
                        })
                        .collect();
                    format!("<div class=\"row\">{cells}</div>\n")
                })
                .collect();
            format!("<div class=\"table\">{rows}</div>\n")
        }
        // A sheet contains none of the others.
        _ => String::new(),
    }
}

fn field(cell: &Text) -> Option<&Field> {
    cell.0.iter().find_map(|span| span.field.as_ref())
}

fn input(field: &Field, head: &str, unit: Option<&str>) -> String {
    let name = escaped(&field.name);
    let unit = unit.map_or_else(String::new, |u| format!(" <i>{}</i>", escaped(u)));
    let (list, choices) = if field.choices.is_empty() {
        (String::new(), String::new())
    } else {
        let options: String = field
            .choices
            .iter()
            .map(|c| format!("<option value=\"{}\">", escaped(c)))
            .collect();
        (
            format!(" list=\"list-{name}\""),
            format!("<datalist id=\"list-{name}\">{options}</datalist>"),
        )
    };
    format!(
        "<label>{}{unit}<input name=\"{name}\" aria-label=\"{}\" autocomplete=\"off\"{list}>{choices}</label>",
        escaped(head),
        escaped(&field.tip),
    )
}

fn spans(text: &Text) -> String {
    text.0
        .iter()
        .map(|span| {
            let words = escaped(&span.text).replace('\n', "<br>");
            if span.strong {
                format!("<b>{words}</b>")
            } else {
                words
            }
        })
        .collect()
}
