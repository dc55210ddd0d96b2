//! Checks of the circuit against the rules of installation: one file a subject.
//!
//! Each check says whether its rule holds, does not hold, or cannot be told from what the visit
//! gives, and then what is missing. A check that the rule set does not name, or that does not
//! concern the circuit, is not made. A line that only informs has a value without a limit and
//! holds.
//!
//! Where a fact is not told, the check is tried with everything that it could be; it is decided
//! only when all of them agree. A value printed for an undecided check is the least favourable.

mod aluminium;
mod conductor;
mod continuous;
mod disconnect;
mod individual;
mod loss;
mod methods;
mod poles;
mod protection;
mod receptacle;
mod residual;
mod splices;
mod supply;
mod voltage_drop;

pub(super) use continuous::load_factor;

use super::assessment::{Check, Value, Values};
use crate::rules::circuit_limits::Basis;
use crate::rules::{Checked, Provenance, Rules};
use crate::visit::{Circuit, Grade};

/// All checks of one circuit, in the order in which a reader follows them: the load, its
/// breaker, the conductors, the run, the connection of the charger.
pub fn checks(circuit: &Circuit, rules: &Rules) -> Vec<Check> {
    let mut checks = vec![supply::power(circuit)];
    checks.extend(continuous::device(circuit, rules));
    checks.extend(continuous::standard_rating(circuit, rules));
    checks.extend(poles::check(circuit, rules));
    checks.extend(conductor::checks(circuit, rules));
    checks.extend(protection::small_conductor(circuit, rules));
    checks.extend(voltage_drop::checks(circuit, rules));
    checks.extend(loss::yearly(circuit, rules));
    checks.extend(aluminium::check(circuit, rules));
    checks.extend(splices::check(circuit, rules));
    checks.extend(receptacle::checks(circuit, rules));
    checks.extend(individual::check(circuit, rules));
    checks.extend(residual::checks(circuit, rules));
    checks.extend(disconnect::check(circuit, rules));
    checks
}

/// Slack of comparisons, relative: products such as 1.25 × 48 may miss their exact value by a
/// few units in the last place, and no rule turns on a billionth.
const SLACK: f64 = 1e-9;

/// value ≥ limit, within [`SLACK`].
fn at_least(value: f64, limit: f64) -> bool {
    value >= limit - limit.abs() * SLACK
}

/// What several possible cases agree on; `None` when they do not, or there is none.
fn agreed<T: PartialEq>(cases: impl IntoIterator<Item = T>) -> Option<T> {
    let mut cases = cases.into_iter();
    let first = cases.next()?;
    cases.all(|c| c == first).then_some(first)
}

/// A check that is not decided yet.
fn check(rule: &'static str, unit: &'static str, grade: Grade, from: &Provenance) -> Check {
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
fn ruled(rule: &'static str, unit: &'static str, basis: &Basis) -> Check {
    check(rule, unit, basis.grade, &basis.provenance)
}

/// A line that only informs: computed from the visit by a law of physics.
fn informing(rule: &'static str, unit: &'static str, value: f64, source: &str) -> Check {
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
fn with(mut check: Check, key: &'static str, value: Value) -> Check {
    check.values.insert(key, value);
    check
}
