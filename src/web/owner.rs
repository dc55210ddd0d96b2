//! The owner's check: the contents of a label on the panel, and the comparison of the owner's
//! readings with it.

use super::error::WebError;
use super::message::Message;
use crate::assess;
use crate::assess::owner_look::{self, Point, Seen, Verdict};
use crate::next::page_engine::{Filled, Request};
use crate::quantity::{Current, Temperature, TemperatureDifference};
use crate::rules;
use serde::Deserialize;
use serde_json::{Value, json};

/// Asks for a comparison of the owner's readings.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Look {
    /// Rule set of the first visit, one that is built in.
    rules: String,
    /// Rated current of the charger on the first visit, ampere.
    rated_a: f64,
    /// Current that the charger or the car shows, ampere.
    current_a: f64,
    /// Air, degrees Celsius.
    air_c: f64,
    points: Vec<Reading>,
}

/// A reading of a point, with the values of the first visit.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Reading {
    /// Rise at rated current and its expanded uncertainty, kelvin.
    rise_k: f64,
    uncertainty_k: f64,
    /// As the thermometer shows it, degrees Celsius.
    reading_c: f64,
}

/// The contents of a label for each circuit with points on closed covers, after a sound first
/// visit.
pub(super) fn label(request: &Request) -> Result<Message, WebError> {
    let filled = Filled::of(request).map_err(|why| WebError::Text(why.to_string()))?;
    let visit = &filled.visit;
    let assessment = assess::assess(visit, &filled.rules, &filled.earlier);
    let labels: Vec<Value> = visit
        .circuits
        .iter()
        .filter_map(|circuit| {
            let all = assessment.baseline.iter();
            let points: Vec<Value> = all
                .filter(|b| b.closed && b.circuit == circuit.id)
                .map(|b| {
                    let place = circuit.places.iter().find(|place| place.id == b.place);
                    json!({
                        "name": place.map_or(b.place.as_str(), |place| &place.name),
                        "rise_k": (b.rise.value.kelvin() * 10.0).round() / 10.0,
                        "uncertainty_k": (b.rise.expanded.kelvin() * 10.0).round() / 10.0,
                    })
                })
                .collect();
            (!points.is_empty()).then(|| {
                json!({
                    "number": visit.number,
                    "date": visit.date,
                    "circuit": circuit.title(),
                    "firm": visit.inspector.firm.as_ref().unwrap_or(&visit.inspector.name),
                    // A firm's own rules are not on the label; the built-in set that they extend
                    // is.
                    "rules": if rules::built_in(&visit.rules).is_some() { visit.rules.as_str() } else { "us" },
                    "rated_a": circuit.charger.rated_current.ampere(),
                    "points": points,
                })
            })
        })
        .collect();
    Ok(Message::without_files(json!({ "labels": labels })))
}

impl Look {
    /// For each point `like-baseline`, `call` or `too-little`.
    pub fn answer(self) -> Result<Message, WebError> {
        let set =
            rules::built_in(&self.rules).ok_or_else(|| WebError::Missing(self.rules.clone()))?;
        let rated = Current::from_ampere(self.rated_a);
        let verdicts: Vec<&str> = self
            .points
            .iter()
            .map(|reading| {
                let point = Point {
                    rise: TemperatureDifference::from_kelvin(reading.rise_k),
                    expanded: TemperatureDifference::from_kelvin(reading.uncertainty_k),
                };
                let seen = Seen {
                    reading: Temperature::from_celsius(reading.reading_c),
                    air: Temperature::from_celsius(self.air_c),
                    current: Current::from_ampere(self.current_a),
                };
                match owner_look::compare(&point, &seen, rated, set) {
                    Verdict::LikeBaseline => "like-baseline",
                    Verdict::Call => "call",
                    Verdict::TooLittle => "too-little",
                }
            })
            .collect();
        Ok(Message::without_files(json!({ "verdicts": verdicts })))
    }
}
