//! The temperature that each connection would reach on the hottest day if the charger were set to a
//! lower current.

use super::error::WebError;
use super::message::Message;
use crate::assess::{self, Assessment, Charging};
use crate::compose::{Speaker, Wording};
use crate::next::page_engine::{Filled, Request};
use crate::quantity::Current;
use crate::visit::{Circuit, Visit};
use crate::vocabulary::Condition;
use serde_json::{Value, json};

/// Currents to which most chargers can be set, in amperes; used if the visit does not list them.
/// Common practice, no source.
const USUAL: [f64; 6] = [48.0, 40.0, 32.0, 24.0, 16.0, 12.0];

/// The answer to a request with the values typed so far: for each circuit the currents, and for
/// each current the connections with temperature, limit and margin in words. `refused` if the
/// circuit has damage by heat or must not be used for charging at all, because a lower current does
/// not repair anything.
pub(super) fn answer(request: &Request) -> Result<Message, WebError> {
    let filled = Filled::of(request).map_err(|why| WebError::Text(why.to_string()))?;
    let assess = |visit: &Visit| assess::assess(visit, &filled.rules, &filled.earlier);
    let now = assess(&filled.visit);
    let wording = Wording::built_in(filled.visit.print.main_language())
        .map_err(crate::certify::CertifyError::from)?;
    let mut circuits = Vec::new();
    for (index, circuit) in filled.visit.circuits.iter().enumerate() {
        if refused(circuit, &now, index) {
            circuits.push(json!({ "circuit": circuit.id, "refused": true }));
            continue;
        }
        let currents: Vec<Value> = steps(circuit)
            .into_iter()
            .map(|current| {
                let mut lower = filled.visit.clone();
                if let Some(circuit) = lower.circuits.get_mut(index) {
                    circuit.charger.rated_current = current;
                }
                let assessed = assess(&lower);
                let speaker = Speaker::new(&lower, &assessed, &filled.rules, wording);
                json!({
                    "amperes": current.ampere(),
                    "current": speaker.numbers.current(current),
                    "connections": connections(&speaker, index),
                })
            })
            .collect();
        circuits.push(json!({ "circuit": circuit.id, "refused": false, "currents": currents }));
    }
    Ok(Message::without_files(json!({ "circuits": circuits })))
}

/// Whether a lower current does not help this circuit.
fn refused(circuit: &Circuit, assessment: &Assessment, index: usize) -> bool {
    let hurt = circuit.looked_at.iter().flat_map(|look| &look.seen);
    let hurt = hurt
        .into_iter()
        .any(|seen| matches!(seen, Condition::Discoloured | Condition::Melted));
    let advice = assessment.circuits.get(index).map(|c| c.charging);
    hurt || advice == Some(Charging::NotAtAll)
}

/// From the rated current downwards.
fn steps(circuit: &Circuit) -> Vec<Current> {
    let rated = circuit.charger.rated_current;
    let mut amperes: Vec<f64> = match circuit.charger.settings.as_slice() {
        [] => USUAL.to_vec(),
        settings => settings.iter().map(|a| a.ampere()).collect(),
    };
    amperes.retain(|a| *a < rated.ampere());
    amperes.push(rated.ampere());
    amperes.sort_by(|a, b| b.total_cmp(a));
    amperes.dedup();
    amperes.into_iter().map(Current::from_ampere).collect()
}

fn connections(speaker: &Speaker<'_>, circuit: usize) -> Vec<Value> {
    let numbers = &speaker.numbers;
    let found = speaker.assessment.circuits.get(circuit);
    found
        .into_iter()
        .flat_map(|circuit| &circuit.connections)
        .filter_map(|connection| {
            let (hottest, rise) = (connection.projected?, connection.projected_rise?);
            let margin = connection.margin;
            Some(json!({
                "connection": connection.id,
                "hottest": numbers.temperature(hottest),
                "uncertainty": numbers.difference(rise.expanded),
                "limit": connection.limit.map(|(limit, _)| numbers.temperature(limit)),
                "margin": margin.map(|margin| numbers.difference(margin)),
                // Within its limit, over it, or uncertain.
                "within": margin.map(|m| m.kelvin() > rise.expanded.kelvin()),
                "over": margin.map(|m| m.kelvin() < -rise.expanded.kelvin()),
            }))
        })
        .collect()
}
