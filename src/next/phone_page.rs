//! The worksheet as a page for a phone: the same sheet as on paper, as self-contained HTML with the
//! engine embedded as WebAssembly.

use super::page_engine::Request;
use super::sheet_html;
use crate::compose::document::Document;
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
    let body = sheet_html::body(sheet);
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
