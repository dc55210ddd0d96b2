//! Adding a charger like one in the visit.

use super::error::WebError;
use super::message::Message;
use crate::next::copies;
use crate::next::next_visit::unmeasured;
use crate::record::accepted::Accepted;
use crate::visit::{self, Comments};
use serde::Deserialize;
use serde_json::json;

/// Asks for a visit file with one more circuit.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Copy {
    visit: String,
    /// Id of the circuit to copy.
    like: String,
    /// Name of the new circuit.
    name: String,
}

impl Copy {
    /// The visit file with the new circuit after the copied one, without measurements and
    /// observations.
    pub fn answer(self) -> Result<Message, WebError> {
        let mut visit = visit::read(&self.visit, "visit.yaml", &Accepted)?;
        copies::add(&mut visit, Some(&self.like), 2)?;
        let after = visit.circuits.iter().position(|c| c.id == self.like);
        if let Some(copied) = after.and_then(|at| visit.circuits.get_mut(at + 1)) {
            let name = self.name.trim();
            if !name.is_empty() {
                copied.name = Some(name.to_owned());
            }
            unmeasured(copied);
        }
        let comments = Comments {
            bare_numbers: true,
            ..Comments::default()
        };
        let text = visit::write_with(&visit, &comments);
        // A name that can't be printed is reported here and not on the next page.
        visit::read(&text, "visit.yaml", &Accepted)?;
        Ok(Message::without_files(json!({ "visit": text })))
    }
}
