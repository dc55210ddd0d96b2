//! From an assessment to a certificate: sections, tables, charts, photos and sentences.
//!
//! [`certificate`] is the table of contents; each section has a file of its own. All words come
//! from a [`Wording`], all numbers are formatted by [`numbers`], and `typeset` divides the document
//! into pages. [`json()`] for programs and [`Speaker`] for the terminal use the same sources, so
//! that no two outputs can contradict each other.

pub mod attachments;
mod baseline;
mod certificate;
mod chart_parts;
mod check_code;
mod check_line;
mod circuit_section;
mod connections;
mod diagnosis;
pub mod document;
mod error;
pub mod extract;
mod findings_section;
mod first_page;
mod heat_section;
mod history;
pub(crate) mod html;
pub mod index;
mod inputs;
mod items;
pub mod jobs;
mod json;
mod keys;
pub mod label;
pub mod letter;
mod letterhead;
mod locale;
mod mended;
mod method_section;
pub mod numbers;
mod photos_section;
pub mod repair_order;
mod result_page;
mod rules_note;
mod since_repair;
mod sources;
mod speaker;
mod wording;
mod work_section;
pub mod worksheet;

pub use certificate::certificate;
pub use check_line::{CheckLine, CheckLineError};
pub use document::Document;
pub use error::ComposeError;
pub use inputs::{Images, Inputs, SealFacts};
pub use json::{BUILD, json, json_text};
pub use result_page::{Verdict, verdict_titles};
pub use rules_note::rules_note;
pub use speaker::{Sentence, Speaker, Steps, gaps};
pub use wording::{Wording, WordingError, WordingKeyError};
