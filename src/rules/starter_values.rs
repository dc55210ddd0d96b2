//! The usual values of a starter visit under a rule set.

use super::sourced::Provenance;
use crate::quantity::{System, Temperature};
use crate::visit::{Paper, Supply};

/// The usual values under a rule set, for a visit that nobody has filled in yet.
#[derive(Debug, Clone, PartialEq)]
pub struct Starter {
    /// Where the nominal voltages come from.
    pub provenance: Provenance,
    /// Unit system of printed values.
    pub units: System,
    /// Paper size.
    pub paper: Paper,
    /// Conductors that carry the load, one of the names of the supplies.
    pub legs: String,
    /// Current to which a charger is set, as it would be typed.
    pub rated: String,
    /// Rating of its breaker, as it would be typed.
    pub breaker: String,
    /// Size and material of its conductors, as they would be typed.
    pub conductor: String,
    /// Temperature rating of the insulation.
    pub insulation: Temperature,
    /// Temperature rating of the breaker's terminals, if terminals are marked with one.
    pub terminal_rating: Option<Temperature>,
    /// Hottest air.
    pub hottest_air: Temperature,
    /// Configuration of a receptacle.
    pub receptacle: String,
    /// Supplies by the number of conductors that carry the load.
    pub supplies: Vec<(String, Supply)>,
}
