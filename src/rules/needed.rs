//! Keys of the visit file that the circuit checks need: which check, when, and whether an
//! inspection without the key is complete.

use super::sourced::Provenance;
use crate::vocabulary::{CheckId, MissingKey};

/// One key that circuit checks need.
#[derive(Debug, Clone, PartialEq)]
pub struct Needed {
    /// The key.
    pub key: MissingKey,
    /// The checks that need it, where they cannot be decided without it.
    pub checks: Vec<CheckId>,
    /// Whether it is asked for even if every check can be decided without it.
    pub always: bool,
    /// Whether the inspection is incomplete if a check cannot be decided without it.
    pub incomplete: bool,
    /// Source of the rule that needs the key.
    pub provenance: Provenance,
}

/// The keys, in the order in which they are asked for.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct NeededKeys(pub Vec<Needed>);

impl NeededKeys {
    /// Whether an inspection is incomplete because this check lacks these keys. A key that the rule
    /// set does not list counts: nothing left out may read as sound.
    pub fn incomplete_without(&self, check: CheckId, missing: &[MissingKey]) -> bool {
        missing.iter().any(|key| {
            let listed = self.0.iter().find(|n| n.key == *key);
            listed.is_none_or(|n| n.incomplete && n.checks.contains(&check))
        })
    }

    /// Whether an inspection is incomplete if this key is not given where it is needed.
    pub fn incomplete_without_key(&self, key: MissingKey) -> bool {
        let listed = self.0.iter().find(|n| n.key == key);
        listed.is_none_or(|n| n.incomplete)
    }
}
