//! Why a file cannot be read as a PDF.

use super::reader_bounds::MAX_FILE_BYTES;
use thiserror::Error;

/// Why a file can't be read as a PDF.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PdfError {
    /// The file does not begin with `%PDF-`.
    #[error("this is not a PDF: it does not begin with %PDF-")]
    NoHeader,
    /// Larger than [`MAX_FILE_BYTES`].
    #[error("the file has {0} bytes; the limit is {MAX_FILE_BYTES}")]
    TooLarge(usize),
    /// No `startxref … %%EOF` where the file, or one of its revisions, must end.
    #[error("the file is cut off or has something after its end: {0}")]
    BadEnd(&'static str),
    /// The bytes at this offset do not follow ISO 32000-1.
    #[error("damaged PDF at byte {at}: {what}")]
    Syntax {
        /// Offset from the beginning of the file.
        at: usize,
        /// What was found or missing there.
        what: &'static str,
    },
    /// A cross-reference that is wrong.
    #[error("the PDF's table of objects is damaged: {0}")]
    Table(&'static str),
    /// An object is missing, or not of the kind required where it is used.
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
    /// Features that no certificate has and that this reader does not support.
    #[error("the PDF uses {0}, which a certificate never does")]
    Unsupported(&'static str),
}
