//! Ampacity of a run of conductors and its temperature.

use crate::quantity::{Temperature, TemperatureDifference};
use crate::rules::{Checked, Rules};
use crate::visit::Circuit;

/// What determines the column of the final ampacity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LimitedBy {
    Insulation,
    Terminals,
    Wiring,
}

impl LimitedBy {
    pub(super) const fn word(self) -> &'static str {
        match self {
            LimitedBy::Insulation => "insulation",
            LimitedBy::Terminals => "terminals",
            LimitedBy::Wiring => "wiring",
        }
    }
}

/// The ampacity in one possible case.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found {
    /// In the allowed column, before correction and adjustment, ampere.
    pub(super) before: f64,
    /// After correction and adjustment, never above `before`, ampere.
    pub(super) after: f64,
    /// Allowed column, and what limits it.
    pub(super) column: Temperature,
    pub(super) limited_by: LimitedBy,
    /// Column from which correction starts, and its ampacity.
    pub(super) from_column: Temperature,
    pub(super) from: f64,
    /// Hottest air or ground along the run.
    pub(super) ambient: Temperature,
    pub(super) ambient_factor: f64,
    pub(super) grouping_factor: f64,
    /// Column of the reference method, if the table has such columns.
    pub(super) method: Option<usize>,
    /// How far the table's figures were checked.
    pub(super) checked: Checked,
}

/// Temperature rise of a conductor at its ampacity in the table's ambient conditions.
#[derive(Debug, Clone, Copy)]
pub(super) struct Heating {
    /// Ampere.
    pub(super) ampacity: f64,
    /// Rise over the table's ambient temperature at that current.
    pub(super) rise: TemperatureDifference,
    /// Air or ground along the run.
    pub(super) surroundings: Temperature,
}

/// Hottest air along the run: specified for the run or for the charger, otherwise the rule set's.
pub(super) fn ambient(circuit: &Circuit, rules: &Rules) -> Temperature {
    circuit
        .conductors
        .ambient
        .or(circuit.hottest_air)
        .unwrap_or_else(|| Temperature::from_celsius(rules.thermal.hottest_air_c.value))
}
