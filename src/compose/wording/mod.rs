//! Customer-facing words: one YAML file per language, every string under a dotted key, with
//! `{named}` placeholders.
//!
//! An incomplete wording does not load: missing keys, unused keys and placeholders that the program
//! cannot fill are all reported together, so that a translator sees the whole list. Placeholders
//! are filled in one pass, so a value that contains braces is printed unchanged.
//!
//! Number formats are not here but in [`super::numbers`], plural forms and lists in
//! [`super::locale`]; which strings exist is declared in
//! [`super::keys`] and, for findings, in [`crate::vocabulary`].

mod built_in;
mod error;
mod file;
mod language;
mod required_keys;

pub use error::{WordingError, WordingKeyError};
pub use language::Wording;
pub(super) use language::fill;
