//! What a row says of the circuit's equipment and of each connection, so that the circuits of many
//! certificates can be compared.

use crate::assess::parts;
use crate::record::recompute::grade_that_counts;
use crate::visit::{Circuit, Grade, Visit};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// The equipment of a circuit, as far as it can differ between circuits that are otherwise alike.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Equipment {
    /// Model of the charger.
    pub charger_model: Option<String>,
    /// Configuration and grade of the receptacle.
    pub receptacle: Option<String>,
    /// Kind and rating of the overcurrent device.
    pub breaker: Option<String>,
    /// Metal of the conductors.
    pub conductors: Option<String>,
}

/// A connection as the visit found it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// Its id.
    pub connection: String,
    /// Id of its place.
    pub place: String,
    /// The part that the place is, if that is known.
    pub part: Option<String>,
    /// Kind of connection.
    pub kind: String,
    /// Worst grade of the findings about it or about its whole place, as found: also of what was
    /// repaired on the visit.
    pub worst_grade: String,
    /// Rise over air at rated current, as left, kelvin.
    pub rise_at_rated_k: Option<f64>,
    /// Its expanded uncertainty, kelvin.
    pub rise_uncertainty_k: Option<f64>,
    /// Margin below its rating on the hottest day, kelvin.
    pub margin_k: Option<f64>,
    /// Whether it was made anew or repaired since the visit before, or on this one: its rise cannot be
    /// compared with earlier ones.
    pub fresh: bool,
}

impl Point {
    /// The worst grade, as found.
    pub fn grade(&self) -> Option<Grade> {
        Grade::ALL
            .into_iter()
            .find(|grade| grade.word() == self.worst_grade)
    }
}

/// The equipment of a circuit.
pub(super) fn equipment(circuit: &Circuit) -> Equipment {
    let receptacle = circuit.receptacle.as_ref().map(|receptacle| {
        let grade = receptacle.grade.map(|grade| format!(", {}", grade.word()));
        format!("{}{}", receptacle.configuration, grade.unwrap_or_default())
    });
    let breaker = &circuit.breaker;
    let kind = breaker.kind.map_or("breaker", |kind| kind.word());
    Equipment {
        charger_model: circuit.charger.model.clone(),
        receptacle,
        breaker: Some(format!("{kind}, {} A", breaker.rating.ampere())),
        conductors: Some(circuit.conductors.material.word().to_owned()),
    }
}

/// The thermometer that a circuit was read with: model and serial number; `None` without a serial number.
pub(super) fn thermometer(visit: &Visit, circuit: &Circuit) -> Option<String> {
    let heat = circuit.heat.as_ref().or(circuit.heat_after.as_ref())?;
    let instrument = visit.instrument(&heat.with)?;
    let serial = instrument.serial.as_ref()?;
    Some(match &instrument.model {
        Some(model) => format!("{model}, {serial}"),
        None => serial.clone(),
    })
}

/// The connections of a circuit that are not points on closed covers.
pub(super) fn points(circuit: &Circuit, assessment: &Value) -> Vec<Point> {
    let list = |v: &'_ Value| v.as_array().cloned().unwrap_or_default();
    let here = |v: &Value| v.as_str() == Some(circuit.id.as_str());
    let about: Vec<Value> = ["findings", "mended"]
        .iter()
        .flat_map(|key| list(&assessment[*key]))
        .filter(|finding| here(&finding["circuit"]))
        .collect();
    let measured: Vec<Value> = list(&assessment["circuits"])
        .iter()
        .filter(|c| here(&c["id"]))
        .flat_map(|c| list(&c["connections"]))
        .collect();
    let all = circuit.connections().filter(|(place, _)| !place.closed);
    let points = all.map(|(place, connection)| {
        let concerns = |finding: &Value| {
            let named = list(&finding["connections"]);
            let own = named
                .iter()
                .any(|id| id.as_str() == Some(connection.id.as_str()));
            let whole = named.is_empty() && finding["place"].as_str() == Some(place.id.as_str());
            own || whole
        };
        let grades = about.iter().filter(|f| concerns(f));
        let worst = grades.filter_map(grade_that_counts).max();
        let values = measured
            .iter()
            .find(|c| c["id"].as_str() == Some(connection.id.as_str()));
        let number = |key: &str| values.and_then(|c| c[key].as_f64());
        let repaired = circuit
            .repairs
            .iter()
            .any(|repair| repair.connection == connection.id);
        Point {
            connection: connection.id.clone(),
            place: place.id.clone(),
            part: parts::of(place).map(|part| part.word().to_owned()),
            kind: connection.kind.word().to_owned(),
            worst_grade: worst.unwrap_or(Grade::Pass).word().to_owned(),
            rise_at_rated_k: number("rise_at_rated_k"),
            rise_uncertainty_k: number("rise_at_rated_uncertainty_k"),
            margin_k: number("margin_k"),
            fresh: connection.remade || repaired,
        }
    });
    points.collect()
}
