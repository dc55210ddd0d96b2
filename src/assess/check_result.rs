//! The result of one check, and the values that its sentences use.

use crate::quantity::{Current, Temperature, TemperatureDifference};
use crate::visit::Grade;
use crate::vocabulary::{CheckId, ValueName, Variant};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// Named values for a wording, printed in the visit's units.
pub type Values = BTreeMap<ValueName, Value>;

/// A value for a wording or a finding.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A temperature.
    Temperature(Temperature),
    /// A difference of temperatures.
    Difference(TemperatureDifference),
    /// A current.
    Current(Current),
    /// A voltage.
    Voltage(crate::quantity::Voltage),
    /// A torque.
    Torque(crate::quantity::Torque),
    /// A length.
    Length(crate::quantity::Length),
    /// A power.
    Power(crate::quantity::Power),
    /// A duration.
    Duration(crate::quantity::Duration),
    /// A proportion, stored as a fraction.
    Percentage(f64),
    /// A dimensionless number.
    Number(f64),
    /// A count.
    Count(usize),
    /// A date.
    Date(NaiveDate),
    /// Text from the visit file, or an id, printed unchanged.
    Text(String),
}

/// The smallest fault that a check would have shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WouldShow {
    /// The smallest fault at rated current that gets at least `watch` with 95 % probability, in the
    /// unit and sense of the check's value.
    pub smallest: f64,
    /// Whether a fault to be repaired is among those that would have been shown.
    pub shows_repair: bool,
    /// The least current at which it would be shown with the same instrument; the rated current if
    /// there is none.
    pub current: Current,
    /// The half-width of an instrument's accuracy with which it would be shown at the same current.
    pub accuracy: TemperatureDifference,
}

/// The result of one check.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckResult {
    /// Which check.
    pub id: CheckId,
    /// Grade by the rule set.
    pub grade: Grade,
    /// Circuit id.
    pub circuit: Option<String>,
    /// Place id.
    pub place: Option<String>,
    /// Connections concerned, hottest first.
    pub connections: Vec<String>,
    /// Value, in `unit`.
    pub value: Option<f64>,
    /// Limit in the same unit.
    pub limit: Option<f64>,
    /// Unit of value and limit, SI (`K`, `A`, `N·m`, `V`, `1`).
    pub unit: &'static str,
    /// Expanded uncertainty in the same unit.
    pub uncertainty: Option<f64>,
    /// The limit of the next worse grade in the same unit, if the value is nearer to that limit
    /// than to its own and reaches it within the uncertainty.
    pub next_limit: Option<f64>,
    /// Value ± uncertainty straddles the limit, or the next limit if there is one.
    pub borderline: bool,
    /// Probability (0–1) that the true value exceeds that limit, for borderline cases.
    pub probability_over: Option<f64>,
    /// What it would have shown, for a check of heat.
    pub would_show: Option<WouldShow>,
    /// Source of the limit.
    pub source: String,
    /// The inspector's own grade and reason, if given.
    pub judgement: Option<(Grade, String)>,
    /// The variant of the wording, if it does not follow from the grade.
    pub variant: Option<Variant>,
    /// Values for the wording.
    pub values: Values,
}

impl CheckResult {
    /// A result that has only its id and grade so far.
    pub(super) fn new(id: CheckId, grade: Grade) -> Self {
        Self {
            id,
            grade,
            circuit: None,
            place: None,
            connections: Vec::new(),
            value: None,
            limit: None,
            unit: "1",
            uncertainty: None,
            next_limit: None,
            borderline: false,
            probability_over: None,
            would_show: None,
            source: String::new(),
            judgement: None,
            variant: None,
            values: Values::new(),
        }
    }

    /// Whether the check found nothing worse than a `note`, but could have missed a fault to be
    /// repaired.
    pub fn cannot_tell(&self) -> bool {
        self.grade < Grade::Watch && self.would_show.is_some_and(|w| !w.shows_repair)
    }

    /// The grade that counts: the inspector's own if given, otherwise the rule set's.
    ///
    /// A judgement cannot override a `stop`, and one that is milder than the rule set leaves at
    /// least a `note`, so that the finding is listed on the first page.
    pub fn effective_grade(&self) -> Grade {
        let Some((judged, _)) = self.judgement else {
            return self.grade;
        };
        floored(self.grade, judged)
    }
}

/// The grade that counts if the inspector judged a result that the rule set grades: a `stop` stays
/// a `stop`, and a milder judgement leaves at least a `note`.
pub(super) fn floored(grade: Grade, judged: Grade) -> Grade {
    let least = match grade {
        Grade::Stop => Grade::Stop,
        Grade::Pass => Grade::Pass,
        _ => Grade::Note,
    };
    judged.max(least)
}
