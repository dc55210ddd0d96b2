//! Findings: one cause at one connection, device or circuit, with the checks that are evidence for
//! it, and whether charging may go on.

use super::check_result::CheckResult;
use crate::quantity::Current;
use crate::visit::Grade;
use crate::vocabulary::{Cause, Variant};
use chrono::NaiveDate;

/// One finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The cause.
    pub cause: Cause,
    /// Grade by the rule set: that of the worst check, or a worse one if a rule grades the
    /// combination worse.
    pub rule_grade: Grade,
    /// The grade that counts: the inspector's own if given, otherwise the rule set's.
    pub grade: Grade,
    /// Circuit id.
    pub circuit: Option<String>,
    /// Place id, if it concerns one place.
    pub place: Option<String>,
    /// Connections concerned, the one to treat first.
    pub connections: Vec<String>,
    /// Positions of its checks in [`Assessment::checks`](super::Assessment::checks), worst first.
    pub evidence: Vec<usize>,
    /// Whether charging may go on until it has been repaired.
    pub charging: Charging,
    /// Last day for the action; `None` if it comes before the circuit is used again.
    pub deadline: Option<NaiveDate>,
    /// Source of the rule that made it worse than each of its checks.
    pub combined: Option<String>,
    /// The inspector's own grade and reason, if given for the finding as a whole.
    pub judgement: Option<(Grade, String)>,
}

/// Whether charging may go on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Charging {
    /// At the charger's rated current.
    AsUsual,
    /// At no more than this current in each leg.
    AtMost(Current),
    /// Not at all.
    NotAtAll,
}

impl Charging {
    /// The stricter of two answers.
    pub fn stricter(self, other: Charging) -> Charging {
        match (self, other) {
            (Charging::NotAtAll, _) | (_, Charging::NotAtAll) => Charging::NotAtAll,
            (Charging::AtMost(a), Charging::AtMost(b)) => {
                Charging::AtMost(if a.ampere() <= b.ampere() { a } else { b })
            }
            (limited @ Charging::AtMost(_), _) | (_, limited @ Charging::AtMost(_)) => limited,
            (Charging::AsUsual, Charging::AsUsual) => Charging::AsUsual,
        }
    }

    /// The word for it in files.
    pub const fn word(self) -> &'static str {
        match self {
            Charging::AsUsual => "as-usual",
            Charging::AtMost(_) => "limited",
            Charging::NotAtAll => "not-at-all",
        }
    }

    /// The current that may be drawn, if it is limited.
    pub const fn limit(self) -> Option<Current> {
        match self {
            Charging::AtMost(current) => Some(current),
            Charging::AsUsual | Charging::NotAtAll => None,
        }
    }
}

impl Finding {
    /// Its checks, worst first.
    pub fn checks<'a>(
        &'a self,
        all: &'a [CheckResult],
    ) -> impl Iterator<Item = &'a CheckResult> + 'a {
        self.evidence.iter().filter_map(|i| all.get(*i))
    }

    /// Its worst check.
    pub fn leading<'a>(&self, all: &'a [CheckResult]) -> Option<&'a CheckResult> {
        all.get(*self.evidence.first()?)
    }

    /// The key of its own sentence among those that a wording has for its cause.
    pub fn variant(&self, grade: Grade) -> Option<Variant> {
        let Cause::Known(cause) = self.cause else {
            return None;
        };
        [Variant::Grade(grade), Variant::Any]
            .into_iter()
            .find(|v| cause.declaration().variants.contains(v))
    }
}
