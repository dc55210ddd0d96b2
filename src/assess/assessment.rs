//! The assessment: what the findings engine concludes, in SI units and without text for customers.
//! `compose` turns it into sentences and into the JSON output of `check`.

pub use super::check_result::{CheckResult, Value, Values, WouldShow};
use super::finding::{Charging, Finding};
use super::physics::trend::Slope;
use super::physics::uncertainty::{Budget, Errors};
use crate::quantity::{Current, Length, Temperature, TemperatureDifference};
use crate::rules::Checked;
use crate::visit::{Grade, Reason, Surface, Visit};
use crate::vocabulary::{CheckId, LimitationId, MissingKey, RatingOf, ValueName, vocabulary};
use chrono::NaiveDate;

/// The assessment of one visit.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// Id of the rule set in force.
    pub rules_id: String,
    /// Edition of the rule set.
    pub rules_edition: String,
    /// Certificate number.
    pub number: String,
    /// Day of the visit.
    pub date: NaiveDate,
    /// Reason for the visit.
    pub reason: Reason,
    /// Overall outcome.
    pub outcome: Outcome,
    /// Whether everything that a clean bill requires was done.
    pub complete: bool,
    /// What was not done or cannot be determined.
    pub limitations: Vec<Limitation>,
    /// When to inspect again.
    pub next_due: NextDue,
    /// Circuits in the visit's order.
    pub circuits: Vec<CircuitAssessment>,
    /// Results of checks, worst first, then in the order of circuits and places. Checks that pass
    /// are included, because their numbers are printed too.
    pub checks: Vec<CheckResult>,
    /// The findings drawn from the checks, worst first.
    pub findings: Vec<Finding>,
    /// Whether charging may go on: the strictest of the findings' advice.
    pub charging: Charging,
    /// The state before the repairs of this visit; `None` if nothing was repaired. Everything else
    /// here is about the state as left.
    pub as_found: Option<Box<AsFound>>,
    /// What became of the findings of the visit before, at a visit after a repair.
    pub before_repair: Option<Box<BeforeRepair>>,
    /// The values with which later visits are compared; empty unless this is a sound first visit.
    pub baseline: Vec<Baseline>,
}

/// The visit before a repair, and what became of its findings.
#[derive(Debug, Clone, PartialEq)]
pub struct BeforeRepair {
    /// That visit.
    pub visit: Visit,
    /// Its assessment under the rule set now in force.
    pub assessment: Assessment,
    /// What became of each finding to be repaired or watched, worst first.
    pub told: Vec<NoLonger>,
}

/// What became of a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoLonger {
    /// Its position among the findings of that visit.
    pub finding: usize,
    /// What became of it.
    pub became: Became,
}

vocabulary! {
    /// What became of a finding of the visit before.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Became {
        /// Checked again, and no longer found.
        Mended = "mended",
        /// Still found.
        Remains = "remains",
        /// No longer found, but not everything that showed it was checked again.
        NotChecked = "not-checked",
    }
}

/// The values of one connection with which a later reading can be compared.
#[derive(Debug, Clone, PartialEq)]
pub struct Baseline {
    /// Circuit id.
    pub circuit: String,
    /// Place id.
    pub place: String,
    /// Connection id.
    pub connection: String,
    /// Whether it is a closed cover, read from outside.
    pub closed: bool,
    /// Rise over air at the charger's rated current.
    pub rise: Estimate,
    /// True temperature in the last loaded round.
    pub temperature: Option<Temperature>,
    /// Surface that was aimed at.
    pub surface: Option<Surface>,
    /// Distance from which it was read.
    pub distance: Option<Length>,
}

/// The state in which a visit found what it repaired.
#[derive(Debug, Clone, PartialEq)]
pub struct AsFound {
    /// Its assessment, without what was measured after the repairs.
    pub assessment: Assessment,
    /// Which of its findings no longer exist as left.
    pub mended: Vec<Mended>,
}

/// A finding that was repaired on the visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mended {
    /// Its position among the findings as found.
    pub finding: usize,
    /// Whether the repair was read again at full load.
    pub proved: bool,
}

impl AsFound {
    /// The repaired findings, and whether each repair was read again at full load.
    pub fn mended(&self) -> impl Iterator<Item = (&Finding, bool)> {
        self.mended
            .iter()
            .filter_map(|m| Some((self.assessment.findings.get(m.finding)?, m.proved)))
    }
}

impl Assessment {
    /// The worst grade of its findings.
    pub fn worst(&self) -> Grade {
        let grades = self.findings.iter().map(|f| f.grade);
        grades.max().unwrap_or(Grade::Pass)
    }

    /// The outcome as a word in files. That of an incomplete inspection is its own, because what was
    /// not checked is never satisfactory.
    pub fn outcome_word(&self) -> &'static str {
        outcome_word(self.outcome, self.complete)
    }

    /// Whether charging may go on, as a word in files, for all circuits together.
    pub fn charging_word(&self) -> &'static str {
        charging_word(self.charging, self.complete)
    }

    /// The same for one circuit.
    pub fn charging_word_of(&self, circuit: &CircuitAssessment) -> &'static str {
        charging_word(circuit.charging, self.complete_for(&circuit.id))
    }

    /// Whether everything was done that a clean bill for this circuit requires.
    pub fn complete_for(&self, circuit: &str) -> bool {
        let concerns = |l: &&Limitation| l.circuit.as_deref().is_none_or(|own| own == circuit);
        let mut limitations = self.limitations.iter().filter(concerns);
        !limitations.any(|l| l.incomplete)
    }
}

/// The outcome, in files, of an incomplete inspection that found nothing unsatisfactory.
pub const INCOMPLETE: &str = "incomplete";

/// What files say about charging if nothing forbids it, but not everything was checked.
pub const NOT_FULLY_CHECKED: &str = "not-fully-checked";

/// The word for an outcome in files.
pub const fn outcome_word(outcome: Outcome, complete: bool) -> &'static str {
    match outcome {
        Outcome::Satisfactory | Outcome::SatisfactoryWithNotes if !complete => INCOMPLETE,
        outcome => outcome.word(),
    }
}

const fn charging_word(charging: Charging, complete: bool) -> &'static str {
    match charging {
        Charging::AsUsual if !complete => NOT_FULLY_CHECKED,
        charging => charging.word(),
    }
}

vocabulary! {
    /// Outcome of a certificate.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
    pub enum Outcome {
        /// Nothing worse than `pass`.
        Satisfactory = "satisfactory",
        /// A `note` or a `watch`.
        SatisfactoryWithNotes = "satisfactory-with-notes",
        /// A `repair` or a `stop`.
        Unsatisfactory = "unsatisfactory",
    }
}

/// Something that was not done or can't be determined.
#[derive(Debug, Clone, PartialEq)]
pub struct Limitation {
    /// Which limitation.
    pub id: LimitationId,
    /// Circuit id.
    pub circuit: Option<String>,
    /// Place id.
    pub place: Option<String>,
    /// Connections concerned.
    pub connections: Vec<String>,
    /// Whether it makes the visit incomplete.
    pub incomplete: bool,
    /// Further values for the wording.
    pub values: Values,
}

impl Limitation {
    /// Paths of the keys that are missing in the visit file; empty if no key would help.
    pub fn completed_by(&self) -> Vec<String> {
        match (self.id.completed_by(), self.values.get(&ValueName::Missing)) {
            (Some(path), _) => vec![path.to_owned()],
            (None, Some(Value::Text(keys))) => keys.split(", ").map(str::to_owned).collect(),
            _ => Vec::new(),
        }
    }
}

/// When to inspect again.
#[derive(Debug, Clone, PartialEq)]
pub struct NextDue {
    /// The date; `None` if the circuit must not be used before it has been repaired and inspected
    /// again.
    pub date: Option<NaiveDate>,
    /// Key of the rule that set it (`first`, `clean`, `watch`, `repair`, `incomplete`, `stop`,
    /// `trend`).
    pub basis: &'static str,
    /// Source of the interval.
    pub source: String,
}

/// What was found on one circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct CircuitAssessment {
    /// Circuit id.
    pub id: String,
    /// Connections in order from the supply.
    pub connections: Vec<ConnectionAssessment>,
    /// Circuit checks.
    pub checks: Vec<Check>,
    /// Whether charging may go on: the strictest advice of the circuit's findings and of those
    /// about the whole visit.
    pub charging: Charging,
    /// When to inspect this circuit again.
    pub next_due: NextDue,
    /// The round after which the heat still to come could not change a grade any more; `None` if it
    /// still could, if nothing was read under load, or if there was a second series after repairs.
    pub decided_in: Option<usize>,
    /// Largest current of any loaded round, as a multiple of the charger's rated current.
    pub load_fraction: Option<f64>,
}

/// What was found at one connection.
#[derive(Debug, Clone, PartialEq)]
pub struct ConnectionAssessment {
    /// Connection id.
    pub id: String,
    /// Place id.
    pub place: String,
    /// Leg.
    pub leg: String,
    /// Every round in which it was read.
    pub rounds: Vec<RoundValue>,
    /// Fit of the loaded rounds, if they allow one.
    pub settled: Option<Settled>,
    /// What it keeps without load, over the air: taken off wherever rises and legs are compared.
    pub without_load: Option<Estimate>,
    /// Rise at the charger's rated current with its expanded uncertainty, less what it keeps without
    /// load: the largest of the known values, see `rated_by`.
    pub rise_at_rated: Option<Estimate>,
    /// How the rise at rated current was obtained.
    pub rated_by: Option<RatedBy>,
    /// Whether that measured rise exceeds its own uncertainty. Where it does not, grades follow the
    /// rise as measured, not as scaled to the rated current.
    pub rise_seen: bool,
    /// Largest measured rise, scaled to the rated current: a lower bound for any heating curve.
    pub measured_at_rated: Option<Estimate>,
    /// How its heat grows from the measured rise to the settled one; `None` if the rounds do not
    /// show it.
    pub growth: Option<Growth>,
    /// Part of the standard uncertainty of `rise_at_rated` for a slow part of the device. It is the
    /// same error at every visit.
    pub slow: TemperatureDifference,
    /// Share of a joint's own excess that a reading on the insulation beside it does not show.
    pub hidden: Option<f64>,
    /// The rise at rated current with what it keeps without load, for the hottest day. Its
    /// uncertainty includes what insulation may hide.
    pub projected_rise: Option<Estimate>,
    /// Hottest expected air temperature plus that rise.
    pub projected: Option<Temperature>,
    /// Lowest temperature rating that applies, and the part it belongs to.
    pub limit: Option<(Temperature, RatingOf)>,
    /// Limit minus projected temperature.
    pub margin: Option<TemperatureDifference>,
    /// Where its rise ends by the rounds so far, and what that could still change.
    pub ends: Option<Ends>,
    /// The rise at rated current on earlier visits, oldest first, since the connection was last
    /// remade.
    pub earlier: Vec<EarlierRise>,
    /// Slope through the earlier visits and this one, if there are at least three in total.
    pub slope: Option<Slope>,
}

/// Where the rise of a connection ends at rated current, by the rounds so far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ends {
    /// Least rise, less its expanded uncertainty; `None` if no rise at rated current is known.
    pub least: Option<TemperatureDifference>,
    /// Largest rise, with its expanded uncertainty: for the largest plausible time constant if the
    /// rounds do not show where it settles; `None` if that is not known either.
    pub most: Option<TemperatureDifference>,
    /// The worst that the heat still to come could change.
    pub change: Option<Change>,
}

/// A grade that the heat still to come could change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// What is graded.
    pub check: CheckId,
    /// The worst grade that it could get.
    pub grade: Grade,
    /// The reading that would decide it; `None` if no such reading is known, because the start of
    /// charging is not, or the current varied.
    pub deciding: Option<Deciding>,
}

/// A reading after which no grade changes any more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deciding {
    /// Minutes since charging began.
    pub minutes: f64,
    /// The rise over air, or the difference between legs, that would have to be read then, at the
    /// same current: below it no grade changes any more.
    pub below: TemperatureDifference,
}

/// A connection's rise at rated current on an earlier visit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EarlierRise {
    /// Day of the visit.
    pub date: NaiveDate,
    /// The rise.
    pub rise: Estimate,
}

/// One reading converted to true temperature and rise.
#[derive(Debug, Clone, PartialEq)]
pub struct RoundValue {
    /// Index of the round in the visit.
    pub round: usize,
    /// Minutes since charging began (negative before that; `None` if it never began).
    pub minutes: Option<f64>,
    /// Current.
    pub current: Current,
    /// Air temperature, if measured.
    pub air: Option<Temperature>,
    /// As shown by the instrument (mean of repeated readings).
    pub shown: Temperature,
    /// True surface temperature.
    pub temperature: Temperature,
    /// Standard uncertainty of the true temperature.
    pub standard_uncertainty: TemperatureDifference,
    /// Part of it that differs from reading to reading; the rest is a bias common to the readings of
    /// one instrument, and the emissivity, common to those of one connection.
    pub scatter: TemperatureDifference,
    /// Part of the standard uncertainty of the rise that differs from round to round.
    pub rise_scatter: TemperatureDifference,
    /// Rise over air.
    pub rise: Option<Estimate>,
    /// Whether the temperature can be trusted. It cannot on bright metal, or if a loaded connection
    /// reads colder than the air.
    pub trusted: bool,
    /// Components of the standard uncertainty (`instrument`, `emissivity`, `repeatability`,
    /// `reflected`).
    pub budget: Budget,
}

impl RoundValue {
    /// The uncertainty of the true temperature, split into the part that all readings of the
    /// instrument have in common and the rest.
    pub fn errors(&self) -> Errors {
        let instrument = self.budget.contributions().iter();
        let instrument = instrument.filter(|c| c.name == "instrument");
        Errors::of(
            self.standard_uncertainty.kelvin(),
            instrument.map(|c| c.standard).sum(),
            self.scatter.kelvin(),
        )
    }

    /// Whether it reads colder than the air under load by more than the uncertainty. That is
    /// physically impossible for a body that sheds heat to the air: it is a reflection, a wrong
    /// spot or a wrong unit.
    pub fn colder_than_air(&self) -> bool {
        self.current.ampere() > 0.0
            && self
                .rise
                .is_some_and(|r| r.value.kelvin() < -r.expanded.kelvin())
    }
}

/// A temperature difference with its expanded uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: TemperatureDifference,
    /// Expanded uncertainty U = k·u.
    pub expanded: TemperatureDifference,
}

/// Rise at which the heating curve settles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settled {
    /// Settled rise at the current of the last loaded round, or the bound named by `how`.
    pub rise: Estimate,
    /// Time constant, minutes, if solved or fitted.
    pub time_constant_min: Option<f64>,
    /// Current the settled rise belongs to.
    pub current: Current,
    /// How it was obtained.
    pub how: SettledHow,
    /// Rate of rise at the last loaded round according to the fit, kelvin per hour.
    pub rate_k_per_h: Option<f64>,
    /// Minutes remaining after the last round until the rise is within 1 K of settled.
    pub wait_min: Option<f64>,
    /// The heat that was still to come after the last round by the curve; 0 if there is none.
    pub to_go: Estimate,
    /// Part of the standard uncertainty of `rise` for a slow part of the device, which the curve of
    /// one body does not contain: what is left of it, squared, without that of the readings.
    pub slow: TemperatureDifference,
}

/// By how much what was read grows until it is settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Growth {
    /// Settled rise over the last one on the curve, or over the largest measured one if that is
    /// more; at least 1.
    pub factor: f64,
    /// Its standard uncertainty.
    pub standard: f64,
}

vocabulary! {
    /// How a rise at rated current was obtained.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum RatedBy {
        /// The settled rise determined from the rounds.
        Settled = "settled",
        /// The rounds do not determine a settled rise. A lower last reading would have given this
        /// one, so the actual rise is at least this.
        LeastSettled = "least-settled",
        /// The largest measured rise: it exceeds the curve's value, or there is no curve.
        Measured = "measured",
    }
}

vocabulary! {
    /// How a settled rise was obtained.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum SettledHow {
        /// Solved from two loaded rounds.
        TwoRounds = "two-rounds",
        /// Fitted to three or more.
        LeastSquares = "least-squares",
        /// Equal rises in the last rounds: the plateau itself was measured.
        Measured = "measured",
        /// The rounds show no curvature: the last loaded round's rise, a lower bound.
        StillClimbing = "still-climbing",
        /// The rises are too small compared with their uncertainty to distinguish climbing from
        /// settled: the last one.
        TooUncertain = "too-uncertain",
        /// The rises contradict a body that is warming up: the largest rise.
        Contradictory = "contradictory",
        /// Only one loaded round: its rise, a lower bound.
        OneRound = "one-round",
    }
}

impl SettledHow {
    /// Whether the rise is settled, as opposed to a bound or an estimate.
    pub const fn is_settled(self) -> bool {
        match self {
            SettledHow::TwoRounds | SettledHow::LeastSquares | SettledHow::Measured => true,
            SettledHow::StillClimbing
            | SettledHow::TooUncertain
            | SettledHow::Contradictory
            | SettledHow::OneRound => false,
        }
    }
}

/// The result of comparing the circuit with one rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// Which check.
    pub rule: CheckId,
    /// Value found.
    pub value: Option<f64>,
    /// Limit.
    pub limit: Option<f64>,
    /// Unit of both (`A`, `V`, `%`, `K`, `1`).
    pub unit: &'static str,
    /// Whether the circuit passes; `None` if that cannot be determined.
    pub holds: Option<bool>,
    /// Missing keys of the visit file, if the result cannot be determined.
    pub missing: Vec<MissingKey>,
    /// Clause and edition.
    pub source: String,
    /// How thoroughly the source was checked.
    pub checked: Checked,
    /// Grade of the finding if the check fails.
    pub grade: Grade,
    /// Values for the wording.
    pub values: Values,
}
