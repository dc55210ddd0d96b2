//! A rule set, typed: every threshold with the source it was taken from.

use crate::quantity::{Ratio, TemperatureDifference};
use crate::visit::{Condition, Grade, ProductStandard, Surface};
use serde::Serialize;

/// A value with the source it was taken from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sourced<T> {
    /// The value.
    pub value: T,
    /// Published source (standard, edition, table or clause), or "common practice, no source".
    pub source: String,
    /// How far the source was checked.
    pub checked: Checked,
    /// Why this value, where the source does not say it.
    pub why: Option<String>,
}

/// Where a table or a check comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Provenance {
    /// Published source (standard, edition, table or clause), or "common practice, no source".
    pub source: String,
    /// How far the source was checked.
    pub checked: Checked,
    /// Reasoning beyond the source.
    pub why: Option<String>,
}

impl Provenance {
    /// The value that this is the source of.
    pub(super) fn of<T>(self, value: T) -> Sourced<T> {
        Sourced {
            value,
            source: self.source,
            checked: self.checked,
            why: self.why,
        }
    }
}

/// How far a source was checked by the authors of the rule set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Checked {
    /// Seen in a public page or transcription.
    Confirmed,
    /// Written from memory; check before relying on it.
    FromMemory,
    /// Custom of the trade, or the authors' choice, with its reasoning in the file.
    CommonPractice,
    /// Changed by a firm's own rules file.
    Firm,
}

impl Checked {
    /// For people.
    pub const fn words(self) -> &'static str {
        match self {
            Checked::Confirmed => "confirmed",
            Checked::FromMemory => "from memory",
            Checked::CommonPractice => "common practice",
            Checked::Firm => "changed by the firm",
        }
    }
}

/// A rule set in force.
#[derive(Debug, Clone, PartialEq)]
pub struct Rules {
    /// `us`, `iec`, or the id of a firm's file.
    pub id: String,
    /// Edition of the rule set.
    pub edition: String,
    /// Title for people.
    pub title: String,
    /// National rules that prevail where they differ; none where the set is itself the law's.
    pub prevailing: Vec<String>,
    /// Id of the built-in set that a firm's file extends.
    pub extends: Option<String>,
    /// What a firm's file changed against the set it extends, in the file's order.
    pub changes: Vec<Change>,
    /// Heat thresholds.
    pub thermal: Thermal,
    /// Grades of conditions seen, one for every [`Condition`].
    pub conditions: Vec<(Condition, Sourced<Grade>)>,
    /// Torque checks.
    pub torque: super::torque_limits::TorqueRules,
    /// Isolation proof.
    pub isolation: IsolationRules,
    /// When to look again.
    pub next_due: NextDueRules,
    /// Tables and factors of the circuit checks.
    pub circuit: super::circuit_limits::CircuitRules,
    /// What a starter visit takes as usual.
    pub starter: Option<super::starter_values::Starter>,
    /// The set in force as it was read, for listing it.
    pub(super) tree: super::tree::Node,
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
    /// Least load fraction I/I_r that a round must reach to be judged.
    pub least_load_fraction: Sourced<f64>,
    /// Load fraction from which a round counts as full load.
    pub full_load_fraction: Sourced<f64>,
    /// Minutes under load from which a full-load round counts as the long one ("about an hour").
    pub long_round_min: Sourced<f64>,
    /// Coverage factor k of expanded uncertainties.
    pub coverage_factor: Sourced<f64>,
    /// Accuracy taken for a thermometer whose accuracy the visit does not tell.
    pub assumed_accuracy: Sourced<AssumedAccuracy>,
    /// Accuracy taken for a current whose meter the visit does not tell, a fraction.
    pub assumed_current_accuracy: Sourced<f64>,
    /// Bands of the leg difference.
    pub leg_difference: Bands,
    /// Bands of the rise over air.
    pub rise: Bands,
    /// Bands of the margin below the limit, by shrinking margin.
    pub projected_margin: Bands,
    /// Grade when a surface is already hotter than its rating.
    pub over_rating: Sourced<Grade>,
    /// Significance and grading of a change against earlier visits.
    pub worse_than_before: Bands,
    /// Bands of a connection's resistance over its least sister's, a ratio.
    pub contact_resistance: Bands,
    /// Bands of the voltage drop across a connection at rated current, volt.
    pub contact_drop: Bands,
    /// Grade of a hint at what a distribution of heat resembles.
    pub pattern: Sourced<Grade>,
    /// Rate of change (K/h at the end of the last round) above which heat is still climbing.
    pub still_climbing_k_per_h: Sourced<f64>,
    /// Spot diameter over target width above which the spot is too wide.
    pub spot_share: Sourced<f64>,
    /// Hottest air when the visit does not tell.
    pub hottest_air_c: Sourced<f64>,
    /// Emissivity ranges of surfaces, one for every [`Surface`].
    pub surfaces: Vec<(Surface, Sourced<Emissivity>)>,
    /// Emissivity below which no correction is trusted.
    pub least_emissivity: Sourced<f64>,
    /// Temperature rating taken for a terminal whose rating the visit does not tell, °C.
    pub unmarked_terminal_c: Sourced<f64>,
    /// How far product standards let a terminal warm up above the air, kelvin.
    pub terminal_rises_k: Vec<(ProductStandard, Sourced<f64>)>,
    /// Grade of a target too shiny to be trusted.
    pub shiny_target: Sourced<Grade>,
    /// Grade of a spot wider than its target.
    pub spot_too_wide: Sourced<Grade>,
    /// Grade of a connection warmer than the air, beyond its uncertainty, before any load.
    pub hot_without_load: Sourced<Grade>,
    /// Grade of rounds that show no bend yet.
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

/// Bands of one value, mildest first; the first band has no lower edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Bands {
    /// Source of the edges and the reasoning of the mapping to grades.
    pub source: String,
    /// How far the source was checked.
    pub checked: Checked,
    /// Why the published bands are mapped to these grades.
    pub reasoning: String,
    /// Grade below the first edge.
    pub below: Grade,
    /// Edges, mildest first.
    pub edges: Vec<Edge>,
}

/// The lower edge of a band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Where the band begins, in the value's SI unit (kelvin for temperatures).
    pub at: f64,
    /// Whether the edge itself belongs to the band ("from 4 K") or not ("over 15 K").
    pub inclusive: bool,
    /// Grade of the band.
    pub grade: Grade,
}

/// Comparison slack at an edge, relative: 100 °F less 80 °F in kelvin misses 20 °F in the last
/// places, and a fit a value met by hand; no rule turns on a millionth.
const EDGE_SLACK: f64 = 1e-6;

impl Bands {
    /// Grade of a value, and the edge of the band it is in (`None` below the first).
    ///
    /// For a margin, whose bands count downwards, pass the negated margin: edges are stored
    /// negated too.
    pub fn grade(&self, value: f64) -> (Grade, Option<Edge>) {
        self.edges
            .iter()
            .rev()
            .find(|e| {
                let slack = EDGE_SLACK * e.at.abs().max(1.0);
                value > e.at + slack || (e.inclusive && value >= e.at - slack)
            })
            .map_or((self.below, None), |e| (e.grade, Some(*e)))
    }

    /// The first edge whose grade is worse than the mildest: the limit printed for values below
    /// it.
    pub fn first_edge(&self) -> Option<Edge> {
        self.edges.iter().copied().find(|e| e.grade > self.below)
    }
}

/// Isolation thresholds.
#[derive(Debug, Clone, PartialEq)]
pub struct IsolationRules {
    /// Voltage at or below which a pair counts as dead, volt.
    pub dead_v: Sourced<f64>,
    /// Least voltage of a source that proves a tester, volt.
    pub live_v: Sourced<f64>,
    /// Grade when a voltage was found that was not dead.
    pub not_dead: Sourced<Grade>,
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
    /// After a visit whose worst grade is `repair`: the repair done and measured again by then.
    pub repair: Sourced<u32>,
    /// After an incomplete visit.
    pub incomplete: Sourced<u32>,
}
