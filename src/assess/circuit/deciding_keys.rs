//! The keys of a circuit that would decide what its checks cannot.

use super::all::checks;
use crate::assess::parts;
use crate::rules::{Needed, Rules};
use crate::visit::Circuit;
use crate::vocabulary::MissingKey;

/// The keys that the rule set asks for and the circuit lacks, in the order of asking.
///
/// A key is asked for where a check cannot be decided without it, or fails only in the least
/// favourable case; one that is always asked for, wherever it is not given.
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
