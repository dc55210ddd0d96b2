//! How every number of one connection came about, step by step, so that a reader can redo it
//! with a calculator: formula, inputs with units, result, uncertainty with the share of each
//! source, and where the rule comes from.
//!
//! The steps call the same functions as the assessment does and take their inputs from the same
//! places; a test holds their results against the assessment's. Values are in SI units (°C for
//! temperatures). The wording is the trade's own; whoever prints it may translate by the keys.

mod circuit_checks;
mod compare;
mod rating;
mod reading;
mod settling;
mod torque_check;

pub use circuit_checks::explain_circuit;

use super::assessment::{ConnectionAssessment, Finding};
use super::engine::Earlier;
use super::heat::measured::{self, Taken};
use super::heat::rated::{Curve, Load};
use super::heat::readings::Thermometer;
use super::thermal::uncertainty::Budget;
use crate::rules::Rules;
use crate::visit::{Circuit, Connection, Place, Visit};

/// How the numbers of one connection came about.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// Circuit id.
    pub circuit: String,
    /// Place id; empty for the checks of a circuit.
    pub place: String,
    /// Connection id; empty for the checks of a circuit.
    pub connection: String,
    /// Steps, each using results of those before it.
    pub steps: Vec<Step>,
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Kebab-case key (`true-temperature`).
    pub id: &'static str,
    /// Name for people.
    pub name: String,
    /// Index of the round that it is about.
    pub round: Option<usize>,
    /// Formula.
    pub formula: String,
    /// What goes into it.
    pub inputs: Vec<Input>,
    /// What comes out, the main result first.
    pub results: Vec<Input>,
    /// Uncertainty of the main result.
    pub uncertainty: Option<StepUncertainty>,
    /// Published source of the formula or the limit.
    pub source: String,
    /// What the formula does not say.
    pub note: Option<String>,
}

/// A number with its symbol and unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// Symbol in the formula.
    pub symbol: String,
    /// Name for people.
    pub name: String,
    /// Value in the unit.
    pub value: f64,
    /// Unit (`°C`, `K`, `A`, `min`, `mm`, `V`, `W`, `mΩ`, `N·m`, `K/a`; `1` for none).
    pub unit: &'static str,
}

/// Uncertainty of a step's main result, in its unit.
#[derive(Debug, Clone, PartialEq)]
pub struct StepUncertainty {
    /// How the parts combine.
    pub formula: String,
    /// The parts.
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

/// Explains one connection of a visit; `None` for a circuit or connection that the visit does not
/// have.
///
/// Pure, and made for reading, not for speed: it judges the visit again.
pub fn explain(
    visit: &Visit,
    rules: &Rules,
    earlier: &[Earlier],
    circuit: &str,
    connection: &str,
) -> Option<Explanation> {
    let circuit = visit.circuits.iter().find(|c| c.id == circuit)?;
    let number = circuit
        .connections()
        .position(|(_, c)| c.id == connection)?;
    let (place, connection) = circuit.connections().nth(number)?;
    let assessment = super::assess(visit, rules, earlier);
    let assessed = assessment.circuits.iter().find(|c| c.id == circuit.id)?;
    let thermometer = Thermometer::of(visit, circuit, rules);
    let taken = measured::taken(circuit, &thermometer)
        .into_iter()
        .nth(number)?;
    let about = About {
        visit,
        rules,
        circuit,
        place,
        connection,
        earlier,
        load: Load::of(visit, circuit, rules),
        taken,
        thermometer: &thermometer,
        found: assessed.connections.get(number)?,
        findings: assessment
            .findings
            .iter()
            .filter(|f| f.circuit.as_ref() == Some(&circuit.id))
            .collect(),
    };
    let mut steps = Vec::new();
    reading::steps(&about, &mut steps);
    settling::steps(&about, &mut steps);
    rating::steps(&about, &mut steps);
    compare::steps(&about, &mut steps);
    torque_check::steps(&about, &mut steps);
    Some(Explanation {
        circuit: circuit.id.clone(),
        place: place.id.clone(),
        connection: connection.id.clone(),
        steps,
    })
}

/// Everything that the steps draw on.
struct About<'a> {
    visit: &'a Visit,
    rules: &'a Rules,
    circuit: &'a Circuit,
    place: &'a Place,
    connection: &'a Connection,
    earlier: &'a [Earlier],
    load: Load,
    taken: Taken<'a>,
    thermometer: &'a Thermometer<'a>,
    found: &'a ConnectionAssessment,
    findings: Vec<&'a Finding>,
}

impl About<'_> {
    fn coverage(&self) -> f64 {
        self.rules.thermal.coverage_factor.value
    }

    /// The curve of the connection; `None` when no heat was measured.
    fn curve(&self) -> Option<Curve<'_>> {
        Some(Curve {
            heat: self.circuit.heat.as_ref()?,
            connection: self.connection,
            rounds: &self.taken.rounds,
            readings: &self.taken.readings,
            thermometer: self.thermometer,
            load: &self.load,
            rules: self.rules,
        })
    }

    /// A finding of this place.
    fn here(&self, id: &str) -> Option<&Finding> {
        self.findings
            .iter()
            .find(|f| f.id == id && f.place.as_ref() == Some(&self.place.id))
            .copied()
    }

    /// A finding of which this connection is the first, whose value it tells.
    fn leading(&self, id: &str) -> Option<&Finding> {
        self.findings
            .iter()
            .find(|f| {
                f.id == id
                    && f.place.as_ref() == Some(&self.place.id)
                    && f.connections.first() == Some(&self.connection.id)
            })
            .copied()
    }
}

/// A number with symbol, name and unit.
fn input(
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
    fn of(budget: &Budget, formula: &str, coverage: f64) -> Self {
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
