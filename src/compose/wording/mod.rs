//! Customer-facing words: one YAML file a language, every string under a dotted key with
//! `{named}` places to fill in.
//!
//! A wording is complete or it does not load: a key that the program needs and the file lacks,
//! a key that nothing uses, and a place that the program cannot fill are all reported together,
//! so that a translator sees the whole list. Filling in is one pass: a value that happens to
//! contain braces is printed as it is.
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
