//! The record under a seal.

use crate::record::recompute::Record;
use crate::seal::{VerifyOptions, verify};

/// The record of a certificate with an unbroken seal.
///
/// # Errors
/// A sentence saying why the certificate cannot be relied on.
pub(super) fn record(pdf: &[u8]) -> Result<Record, String> {
    let report = verify(pdf, &VerifyOptions::default());
    let Some(verified) = report.verified() else {
        return Err(report.sentence());
    };
    Record::read(&verified).map_err(|e| e.to_string())
}
