//! The current measured while charging, compared with the ratings of charger and overcurrent
//! device: this reveals a wrongly set charger or a meter on the wrong conductor.

use super::rated::Load;
use crate::assess::assessment::{CheckResult, Value};
use crate::assess::circuit::load_factor;
use crate::assess::notes::Notes;
use crate::quantity::Current;
use crate::rules::Rules;
use crate::visit::{Circuit, Visit};
use crate::vocabulary::{CheckId, ValueName, Variant};

/// Id `charging-current`, variant `breaker` (the current times the rule set's factor for a
/// continuous load exceeds the device's rating) or `charger` (it exceeds the charger's rated
/// current), in each case by more than the uncertainty of the current. The worse of the two; none
/// if neither applies. Values: `current`, `rated`, `rating`, `most` (the limit) and `factor`.
pub(crate) fn judge(visit: &Visit, circuit: &Circuit, rules: &Rules, notes: &mut Notes) {
    let highest = circuit
        .heat
        .iter()
        .flat_map(|h| &h.rounds)
        .map(|r| r.current)
        .reduce(|most, next| if next > most { next } else { most });
    let Some(highest) = highest else {
        return;
    };
    let u = Load::of(visit, circuit, rules).u_current(highest).ampere();
    let expanded = rules.thermal.coverage_factor.value * u;
    let sure = highest.ampere() - expanded;
    let (rated, rating) = (circuit.charger.load(), circuit.breaker.rating);
    let factor = load_factor(circuit, rules);
    let over = [
        (
            Variant::Breaker,
            rating.ampere() / factor,
            &rules.thermal.current_over_breaker,
        ),
        (
            Variant::Charger,
            rated.ampere(),
            &rules.thermal.current_over_charger,
        ),
    ];
    let worst = over
        .into_iter()
        .filter(|(_, most, _)| sure > *most)
        .max_by_key(|(_, _, rule)| rule.value);
    let Some((variant, most, rule)) = worst else {
        return;
    };
    notes.checks.push(CheckResult {
        circuit: Some(circuit.id.clone()),
        value: Some(highest.ampere()),
        limit: Some(most),
        unit: "A",
        uncertainty: Some(expanded),
        source: rule.source.clone(),
        variant: Some(variant),
        values: [
            (ValueName::Current, Value::Current(highest)),
            (ValueName::Rated, Value::Current(rated)),
            (ValueName::Rating, Value::Current(rating)),
            (ValueName::Most, Value::Current(Current::from_ampere(most))),
            (ValueName::Factor, Value::Number(factor)),
        ]
        .into(),
        ..CheckResult::new(CheckId::ChargingCurrent, rule.value)
    });
}
