//! Answers the browser application about a sheet: the visit file with the values typed so far, and the
//! findings. JSON in, JSON out; the same stages as every other command, compiled to WebAssembly.

use super::merge::{self, Values};
use crate::assess::{self, Earlier};
use crate::compose::{self, Speaker, Wording};
use crate::record::accepted::{Accepted, earlier_visit};
use crate::rules::{self, Rules};
use crate::visit::{self, Visit};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::borrow::Cow;

/// A request from the page.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Request {
    /// The visit file as it was when the page was made.
    pub visit: String,
    /// A firm's rules file, if the visit does not use a built-in rule set.
    pub rules: Option<String>,
    /// The visit files of the earlier visits.
    pub earlier: Vec<String>,
    /// The values typed so far, by field name.
    pub values: Values,
}

/// Answers a request: `visit` (the file with the values filled in) with `findings` (as printed by
/// `check --format json`) and, for each connection, the text for its rise and its limit; or
/// `problems` (as text).
pub fn answer(request: Value) -> Value {
    let request: Request = match serde_json::from_value(request) {
        Ok(request) => request,
        Err(why) => return json!({ "problems": why.to_string() }),
    };
    match judged(&request) {
        Ok(answer) => answer,
        Err(problems) => json!({ "problems": problems }),
    }
}

/// A visit file with the values filled in, read.
pub(crate) struct Filled {
    /// Its text.
    pub text: String,
    /// The visit.
    pub visit: Visit,
    /// The rules in force.
    pub rules: Cow<'static, Rules>,
    /// The earlier visits.
    pub earlier: Vec<Earlier>,
}

impl Filled {
    /// From a request; problems are text.
    pub fn of(request: &Request) -> Result<Self, String> {
        let name = "visit.yaml";
        let read = |text: &str| visit::read(text, name, &Accepted).map_err(|e| e.to_string());
        let before = read(&request.visit)?;
        let text = match merge::fill(&request.visit, &before, &request.values, false) {
            Ok(text) => text,
            Err(merge::FillError::Nothing) => request.visit.clone(),
            Err(why) => return Err(why.to_string()),
        };
        let visit = read(&text)?;
        let edition = visit.edition.as_deref();
        let rules = match &request.rules {
            Some(source) => Cow::Owned(
                rules::load_edition(source, "rules.yaml", edition).map_err(|e| e.to_string())?,
            ),
            None => Cow::Borrowed(
                rules::built_in_edition(&visit.rules, edition)
                    .ok_or_else(|| format!("the rule set `{}` is not built in", visit.rules))?
                    .map_err(|why| why.to_string())?,
            ),
        };
        let earlier = request
            .earlier
            .iter()
            .map(|source| earlier_visit(source, name, &rules).map_err(|e| e.to_string()))
            .collect::<Result<Vec<_>, String>>()?;
        Ok(Self {
            text,
            visit,
            rules,
            earlier,
        })
    }
}

fn judged(request: &Request) -> Result<Value, String> {
    let filled = Filled::of(request)?;
    let Filled {
        text,
        visit,
        rules,
        earlier,
    } = &filled;
    let rules: &Rules = rules;
    let assessment = assess::assess(visit, rules, earlier);
    let wording = Wording::built_in(visit.print.main_language()).map_err(|e| e.to_string())?;
    let speaker = Speaker::new(visit, &assessment, rules, wording);
    let numbers = &speaker.numbers;
    let rises: Vec<Value> = assessment
        .circuits
        .iter()
        .flat_map(|circuit| circuit.connections.iter().map(move |c| (circuit, c)))
        .map(|(circuit, connection)| {
            let last = connection.rounds.last();
            json!({
                "circuit": circuit.id,
                "connection": connection.id,
                "rise": last.and_then(|r| r.rise).map(|e| numbers.difference(e.value)),
                "rise_at_rated": connection.rise_at_rated.map(|e| numbers.difference(e.value)),
                "margin": connection.margin.map(|d| numbers.difference(d)),
            })
        })
        .collect();
    Ok(json!({
        "visit": text,
        "rises": rises,
        "findings": compose::json(&assessment, visit, rules, wording),
    }))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const STARTER: &str = include_str!("../../templates/visits/starter.yaml");

    fn ask(values: &[(&str, &str)]) -> Value {
        let request = Request {
            visit: STARTER
                .replace("{number}", "2026-0001")
                .replace("{date}", "2026-11-02"),
            values: values
                .iter()
                .map(|(k, v)| (format!("bay-1/heat/{k}"), (*v).to_owned()))
                .collect(),
            ..Request::default()
        };
        answer(serde_json::to_value(&request).unwrap())
    }

    #[test]
    fn nothing_typed_yet_is_a_visit_with_nothing_done() {
        let answer = ask(&[]);
        assert_eq!(answer["findings"]["complete"], false, "{answer}");
        assert_eq!(answer["rises"][0]["rise"], Value::Null);
    }

    #[test]
    fn readings_become_rises_and_a_leg_difference() {
        let answer = ask(&[
            ("charging_from", "9:50"),
            ("2/at", "10:05"),
            ("2/air", "61"),
            ("2/current", "40"),
            ("2/breaker-L1", "91"),
            ("2/breaker-L2", "71"),
        ]);
        assert_eq!(answer["rises"][0]["rise"], "30\u{a0}°F", "{answer}");
        let legs = answer["findings"]["checks"]
            .as_array()
            .unwrap()
            .iter()
            .find(|f| f["id"] == "leg-difference")
            .unwrap();
        assert_eq!(legs["grade"], "watch", "{legs}");
    }

    #[test]
    fn a_value_that_cannot_be_read_is_a_problem_in_words() {
        let answer = ask(&[("1/at", "9:40"), ("1/breaker-L1", "warm")]);
        let problems = answer["problems"].as_str().unwrap();
        assert!(problems.contains("breaker-L1: warm"), "{problems}");
        assert!(super::answer(json!({})).get("problems").is_some());
    }
}
