//! The YAML reader shared by visit files, rules files and wordings: it turns text into a tree of
//! values with their positions, and prints problems with line, column, the source line and a caret.
//!
//! A `Form` defines what kind of file is read: its name in messages and its limits. Later stages
//! interpret the values.

mod diagnostics;
mod file_kind;
mod source;
mod syntax;
mod tree;

pub use diagnostics::{Diagnostic, Diagnostics};
pub use source::Excerpt;

pub(crate) use diagnostics::Problems;
pub(crate) use file_kind::Form;
pub(crate) use source::{Source, Span};

pub(crate) use tree::{Ix, NodeKind, Tree};
