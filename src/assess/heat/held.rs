//! Position of a value relative to the limits of its grades.

use crate::assess::assessment::CheckResult;
use crate::assess::physics::uncertainty;
use crate::rules::{Bands, Rules};
use crate::visit::Grade;
use crate::vocabulary::CheckId;

/// The limits that a value is compared with.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Held {
    /// The limit of the value's band; below the first band, the limit above the value.
    pub limit: Option<f64>,
    /// The limit of the next band, if it is nearer and within the expanded uncertainty: the value
    /// may then be worse than its grade.
    pub next: Option<f64>,
}

impl Held {
    pub fn against(bands: &Bands, value: f64, expanded: f64) -> Self {
        let Some(reached) = bands.grade(value).1 else {
            return Self {
                limit: bands.first_edge().map(|e| e.at),
                next: None,
            };
        };
        let next = bands.edges.iter().map(|e| e.at).find(|at| *at > value);
        Self {
            limit: Some(reached.at),
            next: next.filter(|at| at - value < expanded.min(value - reached.at)),
        }
    }

    /// The first real limit, for a value that is not a finding.
    pub fn first(bands: &Bands) -> Self {
        Self {
            limit: bands.first_edge().map(|e| e.at),
            next: None,
        }
    }

    /// The finding with both limits, the uncertainty and, if the value with its uncertainty
    /// straddles the nearer limit, the probability that the true value exceeds that limit (JCGM
    /// 106:2012, normal distribution).
    pub fn with_limits(
        self,
        value: f64,
        u: f64,
        coverage: f64,
        finding: CheckResult,
    ) -> CheckResult {
        let expanded = coverage * u;
        let edge = self.next.or(self.limit);
        let borderline = edge.is_some_and(|l| uncertainty::borderline(value, expanded, l));
        CheckResult {
            value: Some(value),
            limit: self.limit,
            next_limit: self.next,
            uncertainty: Some(expanded),
            borderline,
            probability_over: edge
                .filter(|_| borderline)
                .map(|l| uncertainty::probability_over(value, u, l)),
            ..finding
        }
    }
}

/// A finding about a temperature difference, kelvin.
pub(crate) fn over(
    id: CheckId,
    grade: Grade,
    value: f64,
    held: Held,
    u: f64,
    rules: &Rules,
) -> CheckResult {
    let finding = CheckResult {
        unit: "K",
        ..CheckResult::new(id, grade)
    };
    held.with_limits(value, u, rules.thermal.coverage_factor.value, finding)
}
