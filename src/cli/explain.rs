//! How the numbers of one connection, or the checks of one circuit, were computed, for
//! `check --explain`: each step with its inputs, formula, uncertainty and source, so that a reader
//! can repeat it with a calculator.

use super::error::CommandError;
use super::output_format::Format;
use super::terminal::{self, WIDTH};
use crate::assess::explain::{Explanation, Input, Step, explain, explain_circuit};
use crate::certify::Loaded;
use serde_json::{Value, json};
use std::fmt::Write;

/// The explanation of the connection or circuit with the id `named`. If two circuits have a
/// connection with that id, it is given as `circuit/connection`.
///
/// # Errors
/// The visit has no such connection or circuit, or several such connections.
pub(super) fn explained(
    loaded: &Loaded,
    named: &str,
    format: Format,
) -> Result<String, CommandError> {
    let rules = loaded.rules.get();
    let found = match explain_circuit(&loaded.visit, rules, named) {
        Some(found) => Some(found),
        None => {
            let (circuit, connection) = find(loaded, named)?;
            explain(&loaded.visit, rules, &loaded.compared, circuit, connection)
        }
    };
    let found = found.ok_or_else(|| unknown(loaded, named))?;
    Ok(match format {
        Format::Text => text(loaded, &found),
        Format::Json => format!("{:#}\n", machine(loaded, &found)),
    })
}

/// Circuit id and connection id of the named connection.
fn find<'a>(loaded: &'a Loaded, named: &str) -> Result<(&'a str, &'a str), CommandError> {
    let mut all = loaded
        .visit
        .circuits
        .iter()
        .flat_map(|c| c.connections().map(|(_, k)| (c.id.as_str(), k.id.as_str())))
        .filter(|(circuit, id)| match named.split_once('/') {
            Some((c, k)) => c == *circuit && k == *id,
            None => named == *id,
        });
    match (all.next(), all.next()) {
        (None, _) => Err(unknown(loaded, named)),
        (Some(one), None) => Ok(one),
        (Some(a), Some(b)) => Err(CommandError::Refused(format!(
            "several circuits have a connection `{named}`; write `{}/{}` or `{}/{}`",
            a.0, a.1, b.0, b.1
        ))),
    }
}

fn unknown(loaded: &Loaded, named: &str) -> CommandError {
    let ids: Vec<&str> = loaded
        .visit
        .circuits
        .iter()
        .flat_map(|c| c.connections().map(|(_, k)| k.id.as_str()))
        .collect();
    let circuits: Vec<&str> = loaded
        .visit
        .circuits
        .iter()
        .map(|c| c.id.as_str())
        .collect();
    CommandError::Refused(format!(
        "the visit has no connection or circuit `{named}`; its connections are {}; its circuits {}",
        ids.join(", "),
        circuits.join(", ")
    ))
}

/// The id of what is explained: a circuit, or a connection in it.
fn of(found: &Explanation) -> String {
    if found.connection.is_empty() {
        found.circuit.clone()
    } else {
        format!("{}/{}", found.circuit, found.connection)
    }
}

/// Clock time of a step's round.
fn at(loaded: &Loaded, found: &Explanation, step: &Step) -> Option<String> {
    let circuit = loaded
        .visit
        .circuits
        .iter()
        .find(|c| c.id == found.circuit)?;
    let round = circuit.heat.as_ref()?.rounds.get(step.round?)?;
    Some(round.at.time.to_string())
}

fn text(loaded: &Loaded, found: &Explanation) -> String {
    let mut out = format!(
        "{}  {}, {}\n\nValues in SI units, temperatures in °C. u: standard uncertainty; U = k·u.\n",
        of(found),
        loaded.visit.number,
        loaded.visit.date
    );
    for (i, step) in found.steps.iter().enumerate() {
        let when = at(loaded, found, step).map_or_else(String::new, |t| format!(", at {t}"));
        // Writing to a string cannot fail.
        let _ = writeln!(out, "\n{}. {}{when}", i + 1, step.name);
        item(&mut out, "formula", &step.formula);
        numbers(&mut out, "with", &step.inputs);
        numbers(&mut out, "gives", &step.results);
        if let Some(u) = &step.uncertainty {
            item(
                &mut out,
                "uncertainty",
                &format!(
                    "{}; u = {}, k = {}, U = {}",
                    u.formula,
                    number(u.standard),
                    number(u.coverage),
                    number(u.expanded)
                ),
            );
            for share in &u.shares {
                let _ = writeln!(
                    out,
                    "                 {:<14} u = {:<10} {:>5.1} %",
                    share.name,
                    number(share.standard),
                    100.0 * share.share
                );
            }
        }
        item(&mut out, "source", &step.source);
        if let Some(note) = &step.note {
            item(&mut out, "note", note);
        }
    }
    out
}

/// Column at which an item's text begins.
const INDENT: usize = 17;

fn item(out: &mut String, head: &str, text: &str) {
    let _ = writeln!(
        out,
        "   {head:<12}  {}",
        terminal::wrap(text, WIDTH, INDENT)
    );
}

fn numbers(out: &mut String, head: &str, inputs: &[Input]) {
    for (i, input) in inputs.iter().enumerate() {
        let head = if i == 0 { head } else { "" };
        let value = format!("{} = {}{}", input.symbol, number(input.value), unit(input));
        let _ = writeln!(out, "   {head:<12}  {value:<24}  {}", input.name);
    }
}

fn unit(input: &Input) -> String {
    if input.unit == "1" {
        String::new()
    } else {
        format!(" {}", input.unit)
    }
}

/// A number with six significant digits, enough to repeat the arithmetic, without trailing zeros.
fn number(x: f64) -> String {
    if x == 0.0 {
        // Without the sign of a negative zero.
        return "0".to_owned();
    }
    if !x.is_finite() {
        return format!("{x}");
    }
    let size = x.abs().log10().floor() as i32;
    let decimals = usize::try_from(5 - size).unwrap_or(0).min(12);
    let text = format!("{x:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    text.replace('-', "−")
}

fn machine(loaded: &Loaded, found: &Explanation) -> Value {
    let list = |inputs: &[Input]| -> Vec<Value> {
        inputs
            .iter()
            .map(|i| json!({"symbol": i.symbol, "name": i.name, "value": i.value, "unit": i.unit}))
            .collect()
    };
    let steps: Vec<Value> = found
        .steps
        .iter()
        .map(|s| {
            json!({
                "id": s.id,
                "name": s.name,
                "at": at(loaded, found, s),
                "formula": s.formula,
                "inputs": list(&s.inputs),
                "results": list(&s.results),
                "uncertainty": s.uncertainty.as_ref().map(|u| json!({
                    "formula": u.formula,
                    "standard": u.standard,
                    "coverage": u.coverage,
                    "expanded": u.expanded,
                    "shares": u.shares.iter().map(|p| json!({
                        "name": p.name, "standard": p.standard, "share": p.share
                    })).collect::<Vec<_>>(),
                })),
                "source": s.source,
                "note": s.note,
            })
        })
        .collect();
    let some = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    json!({
        "circuit": found.circuit,
        "place": some(&found.place),
        "connection": some(&found.connection),
        "steps": steps,
    })
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn numbers_have_six_significant_digits() {
        for (x, text) in [
            (0.0, "0"),
            (-0.0, "0"),
            (20.0, "20"),
            (15.234_567_8, "15.2346"),
            (-0.001_234_567, "−0.00123457"),
            (1_234_567.8, "1234568"),
        ] {
            assert_eq!(number(x), text);
        }
    }
}
