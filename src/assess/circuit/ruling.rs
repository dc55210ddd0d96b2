//! Building blocks of a check.

use crate::assess::assessment::{Check, Value, Values};
use crate::rules::circuit_limits::Basis;
use crate::rules::{Checked, Provenance};
use crate::visit::Grade;
use crate::vocabulary::{CheckId, ValueName};

/// Relative slack of comparisons: products such as 1.25 × 48 may differ from the exact value by a
/// few units in the last place, and no rule depends on a billionth.
pub(super) const SLACK: f64 = 1e-9;

/// value ≥ limit, within [`SLACK`].
pub(super) fn at_least(value: f64, limit: f64) -> bool {
    value >= limit - limit.abs() * SLACK
}

/// The result that all possible cases agree on; `None` if they differ or there are none.
pub(super) fn agreed<T: PartialEq>(cases: impl IntoIterator<Item = T>) -> Option<T> {
    let mut cases = cases.into_iter();
    let first = cases.next()?;
    cases.all(|c| c == first).then_some(first)
}

/// A check that is not decided yet.
pub(super) fn check(rule: CheckId, unit: &'static str, grade: Grade, from: &Provenance) -> Check {
    Check {
        rule,
        value: None,
        limit: None,
        unit,
        holds: None,
        missing: Vec::new(),
        source: from.source.clone(),
        checked: from.checked,
        grade,
        values: Values::new(),
    }
}

/// A check with the grade and source of its rule.
pub(super) fn ruled(rule: CheckId, unit: &'static str, basis: &Basis) -> Check {
    check(rule, unit, basis.grade, &basis.provenance)
}

/// An informational line, computed from the visit by a law of physics.
pub(super) fn informing(rule: CheckId, unit: &'static str, value: f64, source: &str) -> Check {
    Check {
        value: Some(value),
        holds: Some(true),
        ..check(
            rule,
            unit,
            Grade::Pass,
            &Provenance {
                source: source.to_owned(),
                checked: Checked::Confirmed,
                why: None,
            },
        )
    }
}

/// Names a value for the wording.
pub(super) fn with(mut check: Check, key: ValueName, value: Value) -> Check {
    check.values.insert(key, value);
    check
}
