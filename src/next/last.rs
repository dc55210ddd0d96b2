//! The visit before the new one.

use crate::assess::Assessment;
use crate::record::recompute::{Record, RecordError};
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
    /// The visit of a certificate, assessed again.
    ///
    /// # Errors
    /// Why that cannot be done.
    pub fn of_record(record: Record) -> Result<Self, RecordError> {
        let again = record.recompute()?;
        Ok(Self {
            visit: again.visit,
            assessment: again.assessment,
            rules: again.rules,
            carried: record.earlier,
        })
    }
}
