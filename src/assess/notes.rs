//! Collects what each subject of a visit contributes to its assessment.

use crate::assess::assessment::{CheckResult, Limitation};

/// Check results and limitations, in the order of the visit.
#[derive(Debug, Default)]
pub(super) struct Notes {
    pub checks: Vec<CheckResult>,
    pub limitations: Vec<Limitation>,
}
