//! The record under the seal of a certificate.

use super::recompute::{Record, RecordError};
use crate::seal::{VerifyOptions, verify};
use thiserror::Error;

/// Why the record of a certificate can't be relied on.
#[derive(Debug, Error)]
pub enum SealedError {
    /// The seal is missing or broken: the sentence of the verification.
    #[error("{0}")]
    Seal(String),
    /// The seal is intact, but the record can't be used.
    #[error(transparent)]
    Record(#[from] RecordError),
}

impl Record {
    /// The record of a certificate whose seal is unbroken.
    ///
    /// # Errors
    /// [`SealedError`].
    pub fn sealed(pdf: &[u8]) -> Result<Self, SealedError> {
        let report = verify(pdf, &VerifyOptions::default());
        let Some(verified) = report.verified() else {
            return Err(SealedError::Seal(report.sentence()));
        };
        Ok(Self::read(&verified)?)
    }
}
