//! The keys of a circuit that would decide its undecided checks.

use super::all::checks;
use crate::assess::parts;
use crate::rules::{Needed, Rules};
use crate::visit::Circuit;
use crate::vocabulary::MissingKey;

/// The keys that the rule set asks for and the circuit lacks, in the order of asking.
///
/// A key is asked for if a check cannot be decided without it, or fails only in the least
/// favourable case. A key that the rule set always asks for is included whenever the visit does not
/// give it.
pub fn undecided<'r>(circuit: &Circuit, rules: &'r Rules) -> Vec<&'r Needed> {
    let checks = checks(circuit, rules);
    let missing = |key: MissingKey| match key {
        MissingKey::DisconnectKind => parts::disconnect_untold(circuit),
        _ => checks.iter().any(|check| check.missing.contains(&key)),
    };
    let lacks =
        |key| key == MissingKey::BreakerTerminalRating && circuit.breaker.terminal_rating.is_none();
    let keys = rules.needed.0.iter();
    keys.filter(|n| missing(n.key) || (n.always && lacks(n.key)))
        .collect()
}
