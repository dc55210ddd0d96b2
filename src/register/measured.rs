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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::{Point, equipment, points, thermometer};
    use crate::record::accepted::Accepted;
    use crate::visit::Visit;
    use serde_json::{Value, json};

    fn visit(changes: &[(&str, &str)]) -> Visit {
        let mut text = include_str!("../../examples/landlord-six/visit.yaml").to_owned();
        for (from, to) in changes {
            assert!(text.contains(from), "{from}");
            text = text.replacen(from, to, 1);
        }
        crate::visit::read(&text, "visit.yaml", &Accepted).unwrap()
    }

    fn assessment(visit: &Visit) -> Value {
        let rules = crate::rules::built_in("us").unwrap();
        let assessment = crate::assess::assess(visit, rules, &[]);
        let wording = crate::compose::Wording::built_in("en").unwrap();
        crate::compose::json(&assessment, visit, rules, wording)
    }

    fn of(visit: &Visit, circuit: usize, assessment: &Value) -> Vec<Point> {
        points(&visit.circuits[circuit], assessment)
    }

    fn worst<'p>(points: &'p [Point], connection: &str) -> &'p str {
        let own = points.iter().find(|p| p.connection == connection);
        &own.unwrap().worst_grade
    }

    #[test]
    fn a_connection_has_the_numbers_and_the_worst_grade_of_its_own() {
        let visit = visit(&[]);
        let json = assessment(&visit);
        // Bay 4: breaker-L2 is to be repaired, its neighbours and all other bays are not.
        let own = of(&visit, 3, &json);
        assert_eq!(worst(&own, "breaker-L2"), "repair");
        assert_eq!(worst(&own, "breaker-L1"), "pass");
        assert_eq!(worst(&of(&visit, 0, &json), "breaker-L2"), "pass");
        let sealed = json["circuits"][3]["connections"].as_array().unwrap();
        for point in &own {
            let same = sealed.iter().find(|c| c["id"] == point.connection.as_str());
            let number = |key: &str| same.and_then(|c| c[key].as_f64());
            assert_eq!(point.rise_at_rated_k, number("rise_at_rated_k"));
            assert_eq!(point.margin_k, number("margin_k"));
            assert_eq!(
                point.rise_uncertainty_k,
                number("rise_at_rated_uncertainty_k")
            );
        }
        assert!(
            own.iter()
                .any(|p| p.margin_k.is_some() && p.margin_k != p.rise_at_rated_k)
        );
    }

    #[test]
    fn a_finding_of_a_place_is_of_all_its_connections_and_of_no_other_place() {
        let visit = visit(&[]);
        let mut json = assessment(&visit);
        let found = |connections: Value| {
            json!([{ "circuit": "bay-1", "place": "charger", "connections": connections,
                "grade": "watch", "rule_grade": "watch", "cause": "condition" }])
        };
        json["mended"] = json!([]);
        json["findings"] = found(json!([]));
        let own = of(&visit, 0, &json);
        assert_eq!(worst(&own, "charger-L1"), "watch");
        assert_eq!(worst(&own, "charger-L2"), "watch");
        assert_eq!(worst(&own, "breaker-L1"), "pass");
        assert_eq!(worst(&of(&visit, 1, &json), "charger-L1"), "pass");
        json["findings"] = found(json!(["charger-L2"]));
        let own = of(&visit, 0, &json);
        assert_eq!(worst(&own, "charger-L1"), "pass");
        assert_eq!(worst(&own, "charger-L2"), "watch");
    }

    #[test]
    fn what_was_made_anew_or_repaired_begins_again_and_a_closed_cover_is_no_connection() {
        let fresh = |visit: &Visit| -> Vec<String> {
            let all = of(visit, 0, &assessment(visit));
            all.into_iter()
                .filter(|p| p.fresh)
                .map(|p| p.connection)
                .collect()
        };
        let mut changed = visit(&[]);
        assert_eq!(fresh(&changed), [""; 0]);
        changed.circuits[0].places[0].connections[0].remade = true;
        let first = changed.circuits[0].places[0].connections[0].id.clone();
        assert_eq!(fresh(&changed), [first.as_str()]);
        let before = of(&changed, 0, &assessment(&changed)).len();
        changed.circuits[0].places[0].closed = true;
        let after = of(&changed, 0, &assessment(&changed)).len();
        assert_eq!(
            before - after,
            changed.circuits[0].places[0].connections.len()
        );
        let repaired = visit(&[(
            "    heat:\n",
            "    repairs: [{ connection: charger-L2, done: re-torqued, at: \"15:00\" }]\n    heat:\n",
        )]);
        assert_eq!(fresh(&repaired), ["charger-L2"]);
    }

    #[test]
    fn a_thermometer_is_known_by_its_serial_number_also_where_only_a_repair_was_measured() {
        let visit = visit(&[]);
        let circuit = &visit.circuits[0];
        let imager = visit
            .instrument(&circuit.heat.as_ref().unwrap().with)
            .unwrap();
        let serial = imager.serial.as_deref().unwrap();
        let named = thermometer(&visit, circuit).unwrap();
        assert!(
            named.ends_with(serial) && !named.contains(&imager.id),
            "{named}"
        );
        let mut after = circuit.clone();
        after.heat_after = after.heat.take();
        assert_eq!(thermometer(&visit, &after).as_deref(), Some(named.as_str()));
        let mut nameless = visit.clone();
        for instrument in &mut nameless.instruments {
            instrument.serial = None;
        }
        assert_eq!(thermometer(&nameless, circuit), None);
        let own = equipment(circuit);
        assert_eq!(own.charger_model.as_deref(), Some("NB-32"));
        assert!(own.breaker.unwrap().ends_with(", 40 A"));
        assert_eq!(own.conductors.as_deref(), Some("copper"));
    }
}
