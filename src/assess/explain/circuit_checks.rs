//! The checks of a circuit, with the same inputs, formulas and sources as in the assessment.

use super::explanation::{Explanation, Input, Step, input};
use crate::assess::assessment::{Check, Value};
use crate::assess::circuit::checks;
use crate::rules::Rules;
use crate::visit::Visit;

/// Explains the checks of one circuit; `None` if the visit has no such circuit.
pub fn explain_circuit(visit: &Visit, rules: &Rules, circuit: &str) -> Option<Explanation> {
    let circuit = visit.circuits.iter().find(|c| c.id == circuit)?;
    Some(Explanation {
        circuit: circuit.id.clone(),
        place: String::new(),
        connection: String::new(),
        steps: checks(circuit, rules).iter().map(step).collect(),
    })
}

fn step(check: &Check) -> Step {
    let (name, formula) =
        (check.rule.declaration().formula).map_or(("", ""), |formula| (formula.name, formula.text));
    let mut inputs = Vec::new();
    let mut notes = Vec::new();
    for (key, value) in &check.values {
        match number(value) {
            Some((value, unit)) => inputs.push(input(key.word(), key.meaning(), value, unit)),
            None => {
                if let Value::Text(text) = value {
                    notes.push(format!("{}: {text}.", key.meaning()));
                }
            }
        }
    }
    let result = |symbol: &str, name: &str, value: Option<f64>| -> Option<Input> {
        Some(input(symbol, name, value?, check.unit))
    };
    notes.push(match check.holds {
        Some(true) if check.limit.is_none() && check.rule.informs() => {
            "For information only; there is no limit.".to_owned()
        }
        Some(true) => "The condition holds.".to_owned(),
        Some(false) => "The condition does not hold.".to_owned(),
        None => format!(
            "It cannot be decided; missing in the visit file: {}.",
            super::super::engine::list(&check.missing)
        ),
    });
    Step {
        id: check.rule.word(),
        name: name.to_owned(),
        round: None,
        formula: formula.to_owned(),
        inputs,
        results: [
            result("value", "value found", check.value),
            result("limit", "limit", check.limit),
        ]
        .into_iter()
        .flatten()
        .collect(),
        uncertainty: None,
        source: format!("{} ({})", check.source, check.checked.words()),
        note: Some(notes.join(" ")),
    }
}

/// A value as a number with its unit.
fn number(value: &Value) -> Option<(f64, &'static str)> {
    Some(match value {
        Value::Temperature(t) => (t.celsius(), "°C"),
        Value::Difference(d) => (d.kelvin(), "K"),
        Value::Current(c) => (c.ampere(), "A"),
        Value::Voltage(v) => (v.volt(), "V"),
        Value::Torque(t) => (t.newton_metre(), "N·m"),
        Value::Length(l) => (l.metre(), "m"),
        Value::Power(p) => (p.watt(), "W"),
        Value::Duration(d) => (d.minute(), "min"),
        Value::Percentage(p) => (100.0 * p, "%"),
        Value::Number(n) => (*n, "1"),
        Value::Count(n) => (*n as f64, "1"),
        Value::Date(_) | Value::Text(_) => return None,
    })
}
