//! The YAML reader that visit files, rules files and wordings share: text to a tree of values
//! with their positions, and problems printed with line, column, the source line and a caret.
//!
//! A [`Form`] says what kind of file is read: what messages call it and how much it may hold.
//! What the values mean is up to the stage that reads them.

mod diagnostics;
mod form;
mod source;
mod syntax;
mod tree;

pub use diagnostics::{Diagnostic, Diagnostics};
pub use source::Excerpt;

pub(crate) use diagnostics::{Problems, shorten};
pub(crate) use form::Form;
pub(crate) use source::{Source, Span, is_invisible};
pub(crate) use tree::{Ix, NodeKind, Tree};
