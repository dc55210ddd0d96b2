//! A certificate's record: read from under the seal, recomputed, and compared with the pages.

pub mod accepted;
pub mod answers;
mod answers_json;
pub mod contents;
mod facts;
pub mod made_by;
pub mod other_rules;
pub mod printed_words;
pub mod recompute;
pub mod standing;
pub mod stated;
