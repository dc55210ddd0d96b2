//! The sheet to fill in on the page, for a visit.

use super::error::WebError;
use super::message::Message;
use super::reading::{last, loaded};
use crate::compose::Speaker;
use crate::compose::worksheet::page_words;
use crate::next::merge::Values;
use crate::next::page_engine::Request;
use crate::next::{sheet, sheet_html};
use chrono::{DateTime, FixedOffset};
use serde::Deserialize;
use serde_json::json;
use std::sync::Arc;

/// Asks for the sheet of a visit. The files are those that the visit file names.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Sheet {
    visit: String,
    now: DateTime<FixedOffset>,
}

impl Sheet {
    /// The sheet's contents as HTML, its title, language and words, and the request with which the
    /// page asks for the findings while it is filled in.
    pub fn answer(self, files: Vec<(String, Vec<u8>)>) -> Result<Message, WebError> {
        let files = Arc::new(files.into_iter().collect());
        let loaded = loaded(self.visit, "visit.yaml", &files, self.now.date_naive())?;
        let last = last(&loaded, &files)?;
        let speaker = Speaker::new(
            &loaded.visit,
            &loaded.assessment,
            loaded.rules.get(),
            loaded.wording()?,
        );
        let past = last.map(|last| sheet::past(&last, speaker.wording));
        let document = sheet::document(&speaker, past.as_ref(), self.now);
        let request = Request {
            visit: loaded.source.clone(),
            rules: loaded.rules.source().map(str::to_owned),
            earlier: loaded.earlier.clone(),
            values: Values::new(),
        };
        Ok(Message::without_files(json!({
            "title": document.about.title,
            "language": document.about.language,
            "number": loaded.visit.number,
            "html": sheet_html::body(&document),
            "words": page_words(&speaker),
            "request": request,
        })))
    }
}
