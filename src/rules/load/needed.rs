//! Reads the table of keys that the circuit checks need.

use crate::rules::needed::{Needed, NeededKeys};
use crate::rules::typed_values::At;
use crate::vocabulary::{CheckId, MissingKey, Topic, Word};

pub(super) fn read(at: At) -> Option<NeededKeys> {
    let m = at.map()?;
    let all = m.each(|key, a| {
        let key = MissingKey::of(key).or_else(|| {
            a.report("is not a key that a check needs", "take it out");
            None
        });
        let of_circuits: Vec<_> = CheckId::choices()
            .filter(|(_, check)| check.about() == Topic::Circuit)
            .collect();
        let m = a.map()?;
        let checks = m.read("checks", |a| a.list(|a| a.word(&of_circuits)));
        let yes_no = [("yes", true), ("no", false)];
        let always = m.optional("always", |a| a.word(&yes_no));
        let incomplete = m.read("incomplete", |a| a.word(&yes_no));
        let provenance = m.provenance();
        m.finish();
        Some(Needed {
            key: key?,
            checks: checks?,
            always: always.unwrap_or(false),
            incomplete: incomplete?,
            provenance: provenance?,
        })
    })?;
    Some(NeededKeys(all))
}
