//! A certificate's record: read from under the seal, recomputed, and compared with the pages.

pub mod accepted;
pub mod answers;
mod answers_json;
pub mod contents;
pub mod earlier_visits;
pub(crate) mod embedded_images;
pub mod extracted;
mod facts;
pub mod labelled;
pub mod made_by;
pub mod other_rules;
pub mod printed_words;
pub mod recompute;
mod rendered;
pub mod report_document;
pub mod sealed_record;
pub mod standing;
pub mod stated;
pub mod tables;
pub mod time_warnings;
mod unambiguous;
