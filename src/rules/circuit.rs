//! Tables and factors of the circuit checks. A check that a rule set does not name is not made.

use super::model::Checked;
use crate::visit::Grade;

/// What every check has.
#[derive(Debug, Clone, PartialEq)]
pub struct Basis {
    /// Grade of the finding when the check does not hold.
    pub grade: Grade,
    /// Clause and edition.
    pub source: String,
    /// How far the source was checked.
    pub checked: Checked,
    /// Reasoning beyond the source.
    pub why: Option<String>,
}

/// Tables and factors of the circuit checks.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CircuitRules {
    /// Continuous-load rule.
    pub continuous_load: Option<ContinuousLoad>,
}

/// The overcurrent device against a continuous load: rating ≥ factor × load.
#[derive(Debug, Clone, PartialEq)]
pub struct ContinuousLoad {
    /// Grade and source.
    pub basis: Basis,
    /// Factor for an ordinary device.
    pub factor: f64,
    /// Factor for a device listed for continuous operation at 100 % of its rating.
    pub full_rated_factor: f64,
}
