//! What the subjects of a visit add to its assessment.

use crate::assess::assessment::{Finding, Limitation};

/// What the subjects add to: findings and limitations in the order of the visit.
#[derive(Debug, Default)]
pub(super) struct Notes {
    pub findings: Vec<Finding>,
    pub limitations: Vec<Limitation>,
}
