//! Checks of the circuit against the rules of installation: one file a subject.
//!
//! Each check says whether its rule holds, does not hold, or cannot be told from what the visit
//! gives, and then what is missing. A check that the rule set does not name is not made. A line
//! that only informs has a value without a limit and holds.

mod continuous;

use super::model::Check;
use crate::rules::Rules;
use crate::visit::Circuit;

/// All checks of one circuit, in the order in which a reader follows them: the load, its
/// breaker, the conductors, the run, the connection of the charger.
pub fn checks(circuit: &Circuit, rules: &Rules) -> Vec<Check> {
    let rules = &rules.circuit;
    [continuous::check(circuit, rules)]
        .into_iter()
        .flatten()
        .collect()
}

/// Slack of comparisons, relative: products such as 1.25 × 48 may miss their exact value by a
/// few units in the last place, and no rule turns on a millionth.
const SLACK: f64 = 1e-9;

/// value ≥ limit, within [`SLACK`].
fn at_least(value: f64, limit: f64) -> bool {
    value >= limit - limit.abs() * SLACK
}
