//! A visit whose pictures are elsewhere, because a link brings none or because only some were chosen.

use super::error::WebError;
use super::message::Message;
use crate::photo::ChosenFiles;
use crate::record::accepted::Accepted;
use crate::visit::{self, Comments};
use serde::Deserialize;
use serde_json::json;

/// Asks for a visit file without the photos, the logo and the signature that are not among the files.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WithoutPictures {
    visit: String,
}

impl WithoutPictures {
    /// The visit file, and the names of what it no longer has.
    pub fn answer(self, files: &[(String, Vec<u8>)]) -> Result<Message, WebError> {
        let files: ChosenFiles = files.iter().cloned().collect();
        let mut visit = visit::read(&self.visit, "visit.yaml", &Accepted)?;
        let left_out: Vec<String> = visit
            .images()
            .filter(|named| files.get(named).is_none())
            .cloned()
            .collect();
        let here = |named: &String| !left_out.contains(named);
        visit.photos.retain(|photo| here(&photo.file));
        visit.inspector.logo = visit.inspector.logo.filter(here);
        visit.inspector.signature_image = visit.inspector.signature_image.filter(here);
        let comments = Comments {
            bare_numbers: true,
            ..Comments::default()
        };
        let text = visit::write_with(&visit, &comments);
        Ok(Message::without_files(
            json!({ "visit": text, "left_out": left_out }),
        ))
    }
}
