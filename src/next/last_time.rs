//! The state of each connection at the end of the last visit: its values, its limits, and the
//! points to look at first.

use super::wrap::wrapped;
use crate::assess::ConnectionAssessment;
use crate::compose::Speaker;
use crate::quantity::{Temperature, TemperatureDifference, Torque};
use crate::visit::Grade;
use crate::vocabulary::CheckId;

/// The last visit's values at one connection.
#[derive(Debug, Clone, PartialEq)]
pub struct LastTime {
    /// Circuit id.
    pub circuit: String,
    /// Connection id.
    pub connection: String,
    /// Temperature in the last loaded round, corrected for emissivity.
    pub temperature: Option<Temperature>,
    /// Rise over air at the charger's rated current.
    pub rise_at_rated: Option<TemperatureDifference>,
    /// Lowest rating minus the temperature on the hottest day.
    pub margin: Option<TemperatureDifference>,
    /// Torque at which the screw was left.
    pub torque_left: Option<Torque>,
}

/// Points to look at first in one circuit, or in the whole visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LookFirst {
    /// Circuit id; `None` for the whole visit.
    pub circuit: Option<String>,
    /// Grade that counts.
    pub grade: Grade,
    /// What was found, and what to do about it.
    pub text: String,
}

/// The last visit's values at every connection, in the order of the visit.
pub fn values(speaker: &Speaker<'_>) -> Vec<LastTime> {
    let (visit, assessment) = (speaker.visit, speaker.assessment);
    let mut out = Vec::new();
    for (circuit, found) in visit.circuits.iter().zip(&assessment.circuits) {
        for connection in &found.connections {
            out.push(LastTime {
                circuit: circuit.id.clone(),
                connection: connection.id.clone(),
                temperature: loaded(connection),
                rise_at_rated: connection.rise_at_rated.map(|e| e.value),
                margin: connection.margin,
                torque_left: circuit
                    .torque
                    .iter()
                    .rev()
                    .find(|t| t.connection == connection.id)
                    .and_then(|t| t.left),
            });
        }
    }
    out
}

/// Temperature in the last round under load.
fn loaded(connection: &ConnectionAssessment) -> Option<Temperature> {
    connection
        .rounds
        .iter()
        .rev()
        .find(|r| r.current.ampere() > 0.0)
        .map(|r| r.temperature)
}

/// Points that need a second look: everything from `watch` on, and screws that had moved.
pub fn look_first(speaker: &Speaker<'_>) -> Vec<LookFirst> {
    let mut out: Vec<LookFirst> = Vec::new();
    let checks = &speaker.assessment.checks;
    for finding in &speaker.assessment.findings {
        let grade = finding.grade;
        let moved = finding.checks(checks).any(|c| c.id == CheckId::TorqueMoved);
        if grade < Grade::Watch && (!moved || grade == Grade::Pass) {
            continue;
        }
        let mut text = speaker.diagnosis_referring(finding).text;
        let judged = finding.checks(checks).filter_map(|c| c.judgement.as_ref());
        for (_, because) in judged.chain(&finding.judgement) {
            text = format!("{text} {}", speaker.inspector_said(because));
        }
        let item = LookFirst {
            circuit: finding.circuit.clone(),
            grade,
            text,
        };
        if !out.contains(&item) {
            out.push(item);
        }
    }
    out
}

/// The table of the last visit's values of one circuit, as lines.
pub(super) fn table(speaker: &Speaker<'_>, circuit: &str, values: &[LastTime]) -> Vec<String> {
    let n = &speaker.numbers;
    let dash = || "-".to_owned();
    let rows: Vec<[String; 5]> = values
        .iter()
        .filter(|v| v.circuit == circuit)
        .map(|v| {
            [
                v.connection.clone(),
                v.temperature.map_or_else(dash, |t| n.temperature(t)),
                v.rise_at_rated.map_or_else(dash, |d| n.difference(d)),
                v.margin.map_or_else(dash, |d| n.difference(d)),
                v.torque_left.map_or_else(dash, |t| n.torque(t)),
            ]
        })
        .collect();
    if rows.iter().all(|r| r[1..].iter().all(|c| c == "-")) {
        return Vec::new();
    }
    let head = [
        "connection",
        "under load",
        "rise at full load",
        "margin, hottest day",
        "torque left",
    ]
    .map(str::to_owned);
    let rows: Vec<[String; 5]> = std::iter::once(head).chain(rows).collect();
    let mut widths = [0; 5];
    for row in &rows {
        for (width, cell) in widths.iter_mut().zip(row) {
            *width = (*width).max(cell.chars().count());
        }
    }
    rows.iter()
        .map(|row| {
            let mut line = String::new();
            for (cell, width) in row.iter().zip(widths) {
                // Comments are edited by hand, so only ordinary spaces and characters are used.
                let cell = cell.replace('\u{a0}', " ");
                line.push_str(&format!("{cell:<width$}  "));
            }
            line.trim_end().to_owned()
        })
        .collect()
}

/// The points to look at first, as lines.
pub(super) fn points(items: &[LookFirst], circuit: Option<&str>) -> Vec<String> {
    items
        .iter()
        .filter(|i| i.circuit.as_deref() == circuit)
        .flat_map(|i| {
            let text = format!("- {}: {}", i.grade.word(), i.text.replace('\u{a0}', " "));
            wrapped(&text, 2)
        })
        .collect()
}
