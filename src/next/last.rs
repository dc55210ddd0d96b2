//! The visit before the new one.

use crate::assess::Assessment;
use crate::record::recompute::Record;
use crate::record::sealed_record::SealedError;
use crate::rules::Rules;
use crate::visit::Visit;

/// The visit before the new one, assessed.
pub struct Last {
    /// The visit.
    pub visit: Visit,
    /// Its assessment.
    pub assessment: Assessment,
    /// Its rule set.
    pub rules: Rules,
    /// Texts of its earlier visits, if it is a certificate.
    pub carried: Vec<String>,
}

impl Last {
    /// The visit of a certificate whose seal is unbroken, assessed again.
    ///
    /// # Errors
    /// [`SealedError`].
    pub fn of_certificate(pdf: &[u8]) -> Result<Self, SealedError> {
        let record = Record::sealed(pdf)?;
        let again = record.recompute()?;
        Ok(Self {
            visit: again.visit,
            assessment: again.assessment,
            rules: again.rules,
            carried: record.earlier,
        })
    }
}
