//! Collects what each subject of a visit contributes to its assessment.

use crate::assess::assessment::{Finding, Limitation};

/// Findings and limitations, in the order of the visit.
#[derive(Debug, Default)]
pub(super) struct Notes {
    pub findings: Vec<Finding>,
    pub limitations: Vec<Limitation>,
}
