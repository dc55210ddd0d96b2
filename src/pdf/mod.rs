//! PDF: one model of its objects, a strict reader, a writer, and a writer of incremental updates
//! (ISO 32000-1, 7).
//!
//! The reader serves verification, so it keeps positions, reads each revision for itself, repairs
//! nothing, and refuses what two programs could read in two ways (a key twice in a dictionary, an
//! object twice in a section, a table that points elsewhere): every published attack on PDF
//! signatures relies on a reader that repairs, merges revisions or forgets where an object was.
//! It is bounded in depth, count and inflated bytes.
//!
//! Nothing here knows of pages, fields or signatures: `typeset` writes those, `seal` signs and
//! verifies them.

pub(crate) mod filter;
pub(crate) mod lexer;
pub(crate) mod object;
mod packing;
pub(crate) mod reader;
pub(crate) mod syntax;
pub mod text;
pub(crate) mod update;
mod writer;

pub use lexer::Lexer;
pub use object::{Dict, Id, Object, PdfString, Stream};
pub use reader::File;
pub use writer::Writer;

use thiserror::Error;

/// Largest file that is read, in bytes. Ours stay under a few megabytes; 128 MiB leaves room
/// for two hundred photos and keeps the memory of a check under 256 MiB.
pub const MAX_FILE_BYTES: usize = 128 << 20;
/// Deepest nesting of arrays and dictionaries; pages and forms need about six.
pub(crate) const MAX_DEPTH: usize = 48;
/// Most keys in one dictionary. Ours have a few dozen; looking one up takes a walk.
pub(crate) const MAX_KEYS: usize = 4_096;
/// Most objects that the tables of one file may name.
pub(crate) const MAX_OBJECTS: usize = 200_000;
/// Most revisions in one file: one of typesetting, one of sealing, then countersignatures.
pub(crate) const MAX_REVISIONS: usize = 64;
/// Most bytes that structural streams (tables, object streams) of one file may inflate to.
pub(crate) const MAX_STRUCTURE_BYTES: usize = 32 << 20;
/// Bytes of object source that may be read from any file, beside twice its length.
pub(crate) const MIN_WORK_BYTES: usize = 4 << 20;

/// Why a file can't be read as a PDF.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PdfError {
    /// The file does not begin with `%PDF-`.
    #[error("this is no PDF: it does not begin with %PDF-")]
    NoHeader,
    /// Larger than [`MAX_FILE_BYTES`].
    #[error("the file has {0} bytes; more than {MAX_FILE_BYTES} are not read")]
    TooLarge(usize),
    /// No `startxref … %%EOF` where the file, or one of its revisions, must end.
    #[error("the file is cut off or has something after its end: {0}")]
    BadEnd(&'static str),
    /// Something at this offset is not as ISO 32000-1 writes it.
    #[error("damaged PDF at byte {at}: {what}")]
    Syntax {
        /// Offset from the beginning of the file.
        at: usize,
        /// What was found or missing there.
        what: &'static str,
    },
    /// A cross-reference that does not hold.
    #[error("the PDF's table of objects is damaged: {0}")]
    Table(&'static str),
    /// An object that is not there or not what its place demands.
    #[error("object {number} of the PDF: {what}")]
    Object {
        /// The object's number.
        number: u32,
        /// What is wrong with it.
        what: &'static str,
    },
    /// One of the bounds of this reader.
    #[error("the PDF is larger or more deeply nested than any certificate: {0}")]
    Bound(&'static str),
    /// Features that no certificate has and that this reader leaves alone.
    #[error("the PDF uses {0}, which a certificate never does")]
    Unsupported(&'static str),
}
