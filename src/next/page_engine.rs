//! Answers the browser application about a sheet: the visit file with the values typed so far, and the
//! findings. JSON in, JSON out; the same stages as every other command, compiled to WebAssembly.

use super::blanks;
use super::merge::{self, Values};
use crate::assess::questions::{self, About};
use crate::assess::{self, Earlier};
use crate::compose::{self, Speaker, Wording};
use crate::record::accepted::{Accepted, earlier_visit};
use crate::rules::{self, Rules};
use crate::visit::{self, Visit};
use crate::yaml::Diagnostics;
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
/// `check --format json`), for each connection the text for its rise and its limit, `questions` about
/// values that are probably slips, each with its field, and the fields of currents `over_rating`.
///
/// Or `problems` (as text), with the `field` that is to blame, if it is one, and the `kind`:
/// `doubtful` (accepted with the field `…/confirmed`), `impossible` or `unreadable`.
pub fn answer(request: Value) -> Value {
    let request: Request = match serde_json::from_value(request) {
        Ok(request) => request,
        Err(why) => return json!({ "problems": why.to_string() }),
    };
    match judged(&request) {
        Ok(answer) => answer,
        Err(trouble) => {
            let field = trouble
                .message
                .as_deref()
                .and_then(|message| blamed(&request, message));
            json!({ "problems": trouble.text, "field": field, "kind": trouble.kind })
        }
    }
}

/// Why a request has no answer.
#[derive(Debug, thiserror::Error)]
#[error("{text}")]
pub(crate) struct Trouble {
    /// In words.
    text: String,
    /// The first problem of the visit file.
    message: Option<String>,
    kind: &'static str,
}

impl From<String> for Trouble {
    fn from(text: String) -> Self {
        Self {
            text,
            message: None,
            kind: "unreadable",
        }
    }
}

impl From<Diagnostics> for Trouble {
    fn from(problems: Diagnostics) -> Self {
        let first = problems.shown.first();
        let help = first.map_or("", |problem| problem.help.as_str());
        let kind = if help.contains("confirmed: yes") {
            "doubtful"
        } else if help == visit::reader::OUT_OF_RANGE {
            "impossible"
        } else {
            "unreadable"
        };
        Self {
            message: first.map(|problem| problem.message.clone()),
            kind,
            text: problems.to_string(),
        }
    }
}

/// The field without which the visit file does not have this problem; of several, one whose value the
/// problem shows.
fn blamed(request: &Request, message: &str) -> Option<String> {
    let mut guilty = None;
    for (name, value) in &request.values {
        let mut without = request.clone();
        without.values.remove(name);
        let still = match Filled::of(&without) {
            Ok(_) => false,
            Err(other) => other.text.contains(message),
        };
        if still {
            continue;
        }
        if message.contains(value.trim()) {
            return Some(name.clone());
        }
        guilty = guilty.or_else(|| Some(name.clone()));
    }
    guilty
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
    pub fn of(request: &Request) -> Result<Self, Trouble> {
        let name = "visit.yaml";
        let read = |text: &str| visit::read(text, name, &Accepted).map_err(Trouble::from);
        let before = read(&request.visit)?;
        let text = match merge::fill(&request.visit, &before, &request.values, false) {
            Ok(text) => text,
            Err(merge::FillError::Nothing) => request.visit.clone(),
            Err(why) => return Err(why.to_string().into()),
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

/// Names of the sheet's fields of a series' rounds, by their order in the visit file.
fn rounds(values: &Values, series: &str) -> Vec<String> {
    (1..=blanks::ROUNDS.len())
        .map(|n| format!("{series}/{n}"))
        .filter(|round| {
            let inside = format!("{round}/");
            let of_it = |(name, value): (&String, &String)| {
                name.starts_with(&inside) && !value.trim().is_empty()
            };
            values.iter().any(of_it)
        })
        .collect()
}

/// The field of the sheet that a question is about; questions about the file's own values have none.
fn field(values: &Values, visit: &Visit, about: &About) -> Option<String> {
    let name = match about {
        About::Reading {
            circuit,
            after,
            round,
            connection,
        } => {
            let series = if *after { "heat_after" } else { "heat" };
            let rounds = rounds(values, &format!("{circuit}/{series}"));
            format!("{}/{connection}", rounds.get(*round)?)
        }
        About::Round {
            circuit,
            after,
            round,
        } => {
            let series = if *after { "heat_after" } else { "heat" };
            let rounds = rounds(values, &format!("{circuit}/{series}"));
            format!("{}/air", rounds.get(*round)?)
        }
        About::Torque { circuit, index } => {
            let of = visit.circuits.iter().find(|c| c.id == *circuit)?;
            let connection = &of.torque.get(*index)?.connection;
            let field = |what| format!("{circuit}/torque/{connection}/{what}");
            let left = field("left");
            if values.contains_key(&left) {
                left
            } else {
                field("found")
            }
        }
        About::Setting { .. } | About::Fact { .. } => return None,
    };
    values.contains_key(&name).then_some(name)
}

/// A current that is more than this above the charger's rating, as a share of it, is asked about.
/// Authors' choice, no source: clamp meters differ by less.
const OVER_RATING: f64 = 0.05;

/// Fields of the currents that the charger can hardly have drawn.
fn over_rating(values: &Values, visit: &Visit) -> Vec<(String, crate::quantity::Current)> {
    let mut out = Vec::new();
    for circuit in &visit.circuits {
        let rated = circuit.charger.load();
        for (series, heat) in [("heat", &circuit.heat), ("heat_after", &circuit.heat_after)] {
            let fields = rounds(values, &format!("{}/{series}", circuit.id));
            let rounds = heat.iter().flat_map(|heat| &heat.rounds);
            for (field, round) in fields.iter().zip(rounds) {
                let field = format!("{field}/current");
                if round.current.ampere() > rated.ampere() * (1.0 + OVER_RATING)
                    && values.contains_key(&field)
                {
                    out.push((field, rated));
                }
            }
        }
    }
    out
}

fn judged(request: &Request) -> Result<Value, Trouble> {
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
    let questions = questions::of(visit, rules).into_iter();
    let questions: Vec<Value> = questions
        .filter_map(|question| {
            let field = field(&request.values, visit, &question.about)?;
            Some(json!({ "field": field, "text": speaker.limitation(&question.asked) }))
        })
        .collect();
    let over_rating = over_rating(&request.values, visit).into_iter();
    let over_rating: Vec<Value> = over_rating
        .map(|(field, rated)| json!({ "field": field, "rated": numbers.current(rated) }))
        .collect();
    Ok(json!({
        "visit": text,
        "rises": rises,
        "questions": questions,
        "over_rating": over_rating,
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

    const ROUND: [(&str, &str); 4] = [
        ("charging_from", "9:50"),
        ("2/at", "10:05"),
        ("2/air", "61"),
        ("2/current", "40"),
    ];

    #[test]
    fn a_slip_is_asked_about_at_its_box_and_can_be_confirmed() {
        // Half the readings at most are colder than the air.
        let mut typed = ROUND.to_vec();
        typed.extend([("2/breaker-L1", "33"), ("2/breaker-L2", "91")]);
        let answer = ask(&typed);
        assert_eq!(
            answer["questions"][0]["field"], "bay-1/heat/2/breaker-L1",
            "{answer}"
        );
        let text = answer["questions"][0]["text"].as_str().unwrap();
        assert!(text.contains("°C"), "{text}");
        typed.push(("2/breaker-L1/confirmed", "yes"));
        let answer = ask(&typed);
        assert_eq!(answer["questions"], json!([]), "{answer}");
        assert!(answer["visit"].as_str().unwrap().contains("confirmed: yes"));
    }

    #[test]
    fn a_round_in_the_other_unit_is_asked_about_at_its_air() {
        // 18 °C of air, and 27 °C at the connections, typed as °F.
        let mut typed = vec![
            ("charging_from", "9:50"),
            ("2/at", "10:05"),
            ("2/air", "18"),
        ];
        typed.extend([("2/current", "40"), ("2/breaker-L1", "27")]);
        let answer = ask(&typed);
        assert_eq!(
            answer["questions"][0]["field"], "bay-1/heat/2/air",
            "{answer}"
        );
        typed.push(("2/confirmed", "yes"));
        let answer = ask(&typed);
        assert_eq!(answer["questions"], json!([]), "{answer}");
    }

    #[test]
    fn more_current_than_the_charger_draws_is_asked_about() {
        for (current, asked) in [("40", 0), ("42", 0), ("42.1", 1), ("400", 1)] {
            let mut typed = ROUND.to_vec();
            typed[3].1 = current;
            typed.push(("2/breaker-L1", "91"));
            let answer = ask(&typed);
            let over = answer["over_rating"].as_array().unwrap();
            assert_eq!(over.len(), asked, "{current}: {answer}");
            if asked == 1 {
                assert_eq!(over[0]["field"], "bay-1/heat/2/current");
                assert_eq!(over[0]["rated"], "40\u{a0}A");
            }
        }
    }

    #[test]
    fn a_value_out_of_range_names_its_box_and_whether_it_may_be_confirmed() {
        let mut typed = ROUND.to_vec();
        typed.extend([("2/breaker-L1", "600"), ("2/breaker-L2", "91")]);
        let answer = ask(&typed);
        assert_eq!(answer["field"], "bay-1/heat/2/breaker-L1", "{answer}");
        assert_eq!(answer["kind"], "doubtful");
        typed.push(("2/breaker-L1/confirmed", "yes"));
        assert!(ask(&typed).get("problems").is_none());
        typed[3].1 = "40000";
        let answer = ask(&typed);
        assert_eq!(answer["field"], "bay-1/heat/2/current", "{answer}");
        assert_eq!(answer["kind"], "impossible");
        typed[3].1 = "much";
        assert_eq!(ask(&typed)["kind"], "unreadable");
    }

    #[test]
    fn a_value_that_cannot_be_read_is_a_problem_in_words() {
        let answer = ask(&[("1/at", "9:40"), ("1/breaker-L1", "warm")]);
        let problems = answer["problems"].as_str().unwrap();
        assert!(problems.contains("breaker-L1: warm"), "{problems}");
        assert_eq!(answer["field"], "bay-1/heat/1/breaker-L1");
        assert!(super::answer(json!({})).get("problems").is_some());
    }
}
