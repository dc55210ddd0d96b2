//! Why there is no repair order of a certificate.

use thiserror::Error;

/// Why there is no repair order of a certificate.
#[derive(Debug, Error)]
pub enum OrderError {
    /// It does not verify: the sentence of the verification.
    #[error("{0}")]
    NotGood(String),
    /// It is an extract, without the record.
    #[error("this is an extract, page 1 of certificate {0}; take the whole certificate")]
    Extract(String),
    /// Its record cannot be recomputed by this version.
    #[error("this version cannot compute its findings again, so it cannot tell what they ask for")]
    NotRecomputed,
    /// Another version made it, and this one comes to other findings.
    #[error(
        "{0} made this certificate, and this version comes to other findings, so it cannot tell what \
         those of the certificate ask for. Use that version"
    )]
    OtherFindings(String),
    /// The words of its language are missing.
    #[error(transparent)]
    Wording(#[from] crate::compose::WordingError),
}
