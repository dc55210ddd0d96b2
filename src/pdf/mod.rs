//! PDF: one model of its objects, a strict reader, a writer, and a writer of incremental updates
//! (ISO 32000-1, 7).
//!
//! The reader is made for verification, so it keeps positions, reads each revision separately,
//! repairs nothing, and refuses anything that two programs could read differently (a key twice in a
//! dictionary, an object twice in a section, a table that points elsewhere). Every published attack
//! on PDF signatures relies on a reader that repairs files, merges revisions or forgets where an
//! object was. It is bounded in depth, count and inflated bytes.
//!
//! This module does not know pages, fields or signatures: `typeset` writes those, and `seal` signs
//! and verifies them.

mod error;
pub(crate) mod filter;
pub(crate) mod lexer;
pub(crate) mod object;
pub(crate) mod packing;
mod reader_bounds;
pub(crate) mod revisions;
pub(crate) mod spelling;
pub mod text;
pub(crate) mod update;
mod writer;

pub use error::PdfError;
pub use lexer::Lexer;
pub use object::{Dict, Id, Object, PdfString, Stream};
pub use packing::Packing;
pub use reader_bounds::MAX_FILE_BYTES;
pub(crate) use reader_bounds::MAX_STRUCTURE_BYTES;
pub use revisions::File;
pub use writer::Writer;
