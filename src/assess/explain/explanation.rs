//! The types of an explanation.

use crate::assess::physics::uncertainty::Budget;

/// How the numbers of one connection are obtained.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// Circuit id.
    pub circuit: String,
    /// Place id; empty for checks of a circuit.
    pub place: String,
    /// Connection id; empty for checks of a circuit.
    pub connection: String,
    /// Steps; each may use the results of earlier ones.
    pub steps: Vec<Step>,
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Kebab-case key (`true-temperature`).
    pub id: &'static str,
    /// Display name.
    pub name: String,
    /// Index of the round, if the step concerns one.
    pub round: Option<usize>,
    /// Formula.
    pub formula: String,
    /// Inputs.
    pub inputs: Vec<Input>,
    /// Results, the main one first.
    pub results: Vec<Input>,
    /// Uncertainty of the main result.
    pub uncertainty: Option<StepUncertainty>,
    /// Published source of the formula or the limit.
    pub source: String,
    /// Limits of what the formula shows.
    pub note: Option<String>,
}

/// A number with its symbol and unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// Symbol in the formula.
    pub symbol: String,
    /// Display name.
    pub name: String,
    /// Value in the unit.
    pub value: f64,
    /// Unit (`°C`, `K`, `A`, `min`, `mm`, `V`, `W`, `mΩ`, `N·m`, `K/a`; `1` for none).
    pub unit: &'static str,
}

/// Uncertainty of a step's main result, in its unit.
#[derive(Debug, Clone, PartialEq)]
pub struct StepUncertainty {
    /// How the components are combined.
    pub formula: String,
    /// Components.
    pub shares: Vec<Share>,
    /// Combined standard uncertainty u.
    pub standard: f64,
    /// Coverage factor k.
    pub coverage: f64,
    /// Expanded uncertainty U = k·u.
    pub expanded: f64,
}

/// One source of uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct Share {
    /// Key of the source (`instrument`, `emissivity`, `air`).
    pub name: &'static str,
    /// Its contribution |c·u| to the standard uncertainty of the result.
    pub standard: f64,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

/// A number with symbol, name and unit.
pub(super) fn input(
    symbol: impl Into<String>,
    name: impl Into<String>,
    value: f64,
    unit: &'static str,
) -> Input {
    Input {
        symbol: symbol.into(),
        name: name.into(),
        value,
        unit,
    }
}

impl StepUncertainty {
    pub(super) fn of(budget: &Budget, formula: &str, coverage: f64) -> Self {
        Self {
            formula: formula.to_owned(),
            shares: budget
                .contributions()
                .iter()
                .map(|c| Share {
                    name: c.name,
                    standard: c.standard,
                    share: c.share,
                })
                .collect(),
            standard: budget.standard(),
            coverage,
            expanded: budget.expanded(coverage),
        }
    }
}
