//! A rule set, typed: every threshold with its source.

use super::sourced::{Bands, Sourced};
use crate::quantity::{Ratio, TemperatureDifference};
use crate::visit::{Condition, Grade, ProductStandard, Surface};
use crate::vocabulary::CheckId;
use serde::Serialize;

/// A rule set in force.
#[derive(Debug, Clone, PartialEq)]
pub struct Rules {
    /// `us`, `iec`, or the id of a firm's file.
    pub id: String,
    /// Edition of the rule set.
    pub edition: String,
    /// The code whose editions it knows, and the one in force.
    pub code: Option<Code>,
    /// Title for people.
    pub title: String,
    /// National rules that take precedence where they differ; `None` if the set itself follows
    /// them.
    pub prevailing: Vec<String>,
    /// Id of the built-in set that a firm's file extends.
    pub extends: Option<String>,
    /// The changes of a firm's file to the set that it extends, in the file's order.
    pub changes: Vec<Change>,
    /// Heat thresholds.
    pub thermal: Thermal,
    /// Grades of conditions seen, one for every [`Condition`].
    pub conditions: Vec<(Condition, Sourced<Grade>)>,
    /// Torque checks.
    pub torque: super::torque_limits::TorqueRules,
    /// Isolation proof.
    pub isolation: IsolationRules,
    /// Values that point to a typing or unit error.
    pub questions: QuestionRules,
    /// When to look again.
    pub next_due: NextDueRules,
    /// Tables and factors of the circuit checks.
    pub circuit: super::circuit_limits::CircuitRules,
    /// Keys of the visit file that the circuit checks need.
    pub needed: super::needed::NeededKeys,
    /// The usual values of a starter visit.
    pub starter: Option<super::starter_values::Starter>,
    /// The tree of the set in force, for listing it.
    pub(super) tree: super::positioned::Node,
}

/// A code that has editions.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Code {
    /// Its name, as it is cited.
    pub name: String,
    /// The edition in force.
    pub edition: String,
    /// All editions that the rule set has, ascending.
    pub known: Vec<String>,
}

/// One threshold changed by a firm's file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Change {
    /// Dotted path of the threshold.
    pub path: String,
    /// Value of the extended set, as text.
    pub was: String,
    /// Value in force, as text.
    pub is: String,
}

/// Heat thresholds.
#[derive(Debug, Clone, PartialEq)]
pub struct Thermal {
    /// Exponent n of rise ∝ current^n.
    pub exponent: Sourced<f64>,
    /// Range in which n may lie, for the uncertainty of a rise scaled from another load.
    pub exponent_range: Sourced<Span>,
    /// Least load fraction I/I_r at which a comparison counts as made; no grade depends on it.
    pub least_load_fraction: Sourced<f64>,
    /// Load fraction from which a round counts as full load.
    pub full_load_fraction: Sourced<f64>,
    /// Minutes under load from which a full-load round counts as the long one ("about an hour").
    pub long_round_min: Sourced<f64>,
    /// Coverage factor k of expanded uncertainties.
    pub coverage_factor: Sourced<f64>,
    /// Accuracy assumed for a thermometer whose accuracy the visit does not state.
    pub assumed_accuracy: Sourced<AssumedAccuracy>,
    /// Accuracy assumed for a current whose meter the visit does not state, a fraction.
    pub assumed_current_accuracy: Sourced<f64>,
    /// Standard deviation, kelvin, of a thermometer's readings of one target, where neither the visit
    /// states it nor repeated readings show it.
    pub assumed_repeatability_k: Sourced<f64>,
    /// Bands of the leg difference.
    pub leg_difference: Bands,
    /// Bands of the rise over air.
    pub rise: Bands,
    /// Bands of the margin below the limit, by shrinking margin.
    pub projected_margin: Bands,
    /// Grade when a surface is certainly hotter than its rating.
    pub over_rating: Sourced<Grade>,
    /// Probability from which a surface counts as certainly hotter than its rating.
    pub over_rating_certain: Sourced<f64>,
    /// Significance and grading of a change against earlier visits.
    pub worse_than_before: Bands,
    /// Bands of a connection's resistance over its least sister's, a ratio.
    pub contact_resistance: Bands,
    /// Bands of the voltage drop across a connection at rated current, volt.
    pub contact_drop: Bands,
    /// Grade of a hint at a pattern of heat.
    pub pattern: Sourced<Grade>,
    /// Rate of change (K/h at the end of the last round) above which heat is still climbing.
    pub still_climbing_k_per_h: Sourced<f64>,
    /// Largest plausible time constant of a connection, minutes: it bounds the heat still to come.
    pub longest_time_constant_min: Sourced<f64>,
    /// Largest share of a settled rise that may belong to a slow part of the device.
    pub slow_share: Sourced<f64>,
    /// Time constant of that part, minutes.
    pub slow_time_constant_min: Sourced<f64>,
    /// Spot diameter over target width above which the spot is too wide.
    pub spot_share: Sourced<f64>,
    /// Hottest air when the visit does not state it.
    pub hottest_air_c: Sourced<f64>,
    /// Emissivity ranges of surfaces, one for every [`Surface`].
    pub surfaces: Vec<(Surface, Sourced<Emissivity>)>,
    /// Emissivity below which no correction is trusted.
    pub least_emissivity: Sourced<f64>,
    /// Temperature rating assumed for a terminal whose rating the visit does not state, °C.
    pub unmarked_terminal_c: Sourced<f64>,
    /// Rise of a terminal over air that product standards allow, kelvin.
    pub terminal_rises_k: Vec<(ProductStandard, Sourced<f64>)>,
    /// Largest rise of a terminal of the circuit's breaker at the breaker's own rated current.
    pub breaker_rise: Option<Sourced<BreakerRise>>,
    /// Largest rise over air of a closed cover that people can touch, kelvin.
    pub cover_rise_k: Sourced<f64>,
    /// Grade of a target too shiny to be trusted.
    pub shiny_target: Sourced<Grade>,
    /// Grade of a spot wider than its target.
    pub spot_too_wide: Sourced<Grade>,
    /// Grade of a connection warmer than the air, beyond its uncertainty, before any load.
    pub hot_without_load: Sourced<Grade>,
    /// Grade of rounds whose heating curve does not bend yet.
    pub still_climbing: Sourced<Grade>,
    /// Grade of a measured current over the charger's rated current.
    pub current_over_charger: Sourced<Grade>,
    /// Grade of a measured current over what the overcurrent device may carry for hours.
    pub current_over_breaker: Sourced<Grade>,
    /// Grade of a load too low to judge by.
    pub load_too_low: Sourced<Grade>,
    /// Grade of an instrument used after its calibration was due.
    pub calibration_overdue: Sourced<Grade>,
}

/// Rise of a breaker's terminals at its rated current.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BreakerRise {
    /// Largest rise above the air, kelvin.
    pub most_k: f64,
    /// The same for a breaker listed for operation at 100 % of its rating.
    pub full_rated_k: f64,
    /// Grade of a larger rise.
    pub grade: Grade,
}

/// Accuracy assumed for a thermometer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AssumedAccuracy {
    /// Share of the reading in °C, a fraction.
    pub of_reading: f64,
    /// Fixed half-width.
    pub at_least: TemperatureDifference,
}

/// A range of pure numbers, low end first.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Span {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

/// Emissivity of a class of surface.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Emissivity {
    /// Lowest of the published range.
    pub low: Ratio,
    /// Highest of the published range.
    pub high: Ratio,
}

/// Isolation thresholds.
#[derive(Debug, Clone, PartialEq)]
pub struct IsolationRules {
    /// Voltage at or below which a pair counts as dead, in volts.
    pub dead_v: Sourced<f64>,
    /// Least voltage of a source that proves a tester, volt.
    pub live_v: Sourced<f64>,
    /// Grade if a voltage was found that does not count as dead.
    pub not_dead: Sourced<Grade>,
}

/// When a value points to a typing or unit error.
#[derive(Debug, Clone, PartialEq)]
pub struct QuestionRules {
    /// Difference below the air from which a temperature is questioned, kelvin.
    pub colder_than_air_k: Sourced<f64>,
    /// Relative difference up to which a torque counts as the specified one in another unit.
    pub torque_in_other_unit: Sourced<f64>,
    /// Distance from a surface's range at which an emissivity setting is questioned.
    pub emissivity_apart: Sourced<f64>,
}

/// When to look again, months.
#[derive(Debug, Clone, PartialEq)]
pub struct NextDueRules {
    /// After a clean first visit.
    pub first: Sourced<u32>,
    /// After a clean later visit.
    pub clean: Sourced<u32>,
    /// After a visit whose worst grade is `watch`.
    pub watch: Sourced<u32>,
    /// After a visit whose worst grade is `repair`: by then the repair must be done and measured.
    pub repair: Sourced<u32>,
    /// After a joint was measured hot although its torque had been set: by then it must be remade.
    pub hot_after_torque: Sourced<u32>,
    /// Checks whose `repair` is due on the day of the visit.
    pub at_once: Sourced<Vec<CheckId>>,
    /// After an incomplete visit.
    pub incomplete: Sourced<u32>,
}
