//! Condition seen with the covers off.

use super::assessment::{CheckResult, Limitation, Value};
use super::notes::Notes;
use crate::rules::Rules;
use crate::visit::{Circuit, Condition, Grade};
use crate::vocabulary::{CheckId, LimitationId, ValueName, Variant};

pub(super) fn judge(circuit: &Circuit, rules: &Rules, notes: &mut Notes) {
    for seen in &circuit.looked_at {
        // "Clean" adds nothing when something else was seen at the same time.
        let alone = seen.seen.iter().all(|c| *c == Condition::Clean);
        for condition in seen
            .seen
            .iter()
            .filter(|c| alone || **c != Condition::Clean)
        {
            let rule = rules
                .conditions
                .iter()
                .find(|(c, _)| c == condition)
                .map(|(_, r)| r);
            // Dirt that was cleaned out is recorded, but requires no action.
            let cleaned = seen.cleaned && *condition == Condition::Dust;
            let (variant, grade) = match cleaned {
                true => (Variant::Cleaned, Grade::Pass),
                false => (
                    Variant::Seen(*condition),
                    rule.map_or(Grade::Note, |r| r.value),
                ),
            };
            let mut values: super::assessment::Values =
                [(ValueName::Condition, Value::Text(condition.to_string()))].into();
            if let Some(note) = &seen.note {
                values.insert(ValueName::Note, Value::Text(note.clone()));
            }
            notes.checks.push(CheckResult {
                circuit: Some(circuit.id.clone()),
                place: Some(seen.place.clone()),
                connections: seen.connection.iter().cloned().collect(),
                variant: Some(variant),
                source: rule.map_or_else(String::new, |r| r.source.clone()),
                values,
                ..CheckResult::new(CheckId::Condition, grade)
            });
        }
    }
    for place in &circuit.places {
        if !circuit.looked_at.iter().any(|l| l.place == place.id) {
            notes.limitations.push(Limitation {
                id: LimitationId::NotLookedAt,
                circuit: Some(circuit.id.clone()),
                place: Some(place.id.clone()),
                connections: Vec::new(),
                // Damage seen on an earlier visit may still be there.
                incomplete: true,
                values: super::assessment::Values::new(),
            });
        }
    }
}
