//! Leg difference: the largest minus the smallest temperature among connections of different
//! legs in one place and round. Legs of one circuit carry like current through like parts, so a
//! difference points at one of the parts.

use super::engine::Notes;
use super::heat::judged_rounds;
use super::heat_findings::over;
use super::model::{ConnectionAssessment, Finding, RoundValue, Value};
use crate::rules::Rules;
use crate::visit::{Circuit, Grade, Place};

pub(super) fn judge(
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
    notes: &mut Notes,
) {
    let judged = judged_rounds(circuit, rules);
    for place in &circuit.places {
        // The last judged round in which at least two legs were read here.
        let found = judged
            .iter()
            .rev()
            .find_map(|&r| widest(place, circuit, connections, r));
        if let Some(pair) = found {
            notes.findings.push(finding(circuit, place, &pair, rules));
        }
    }
}

/// Hotter and cooler connection of the widest pair on different legs.
struct Pair<'a> {
    hot: (&'a ConnectionAssessment, &'a RoundValue),
    cool: (&'a ConnectionAssessment, &'a RoundValue),
    round: usize,
}

fn widest<'a>(
    place: &Place,
    circuit: &Circuit,
    connections: &'a [ConnectionAssessment],
    round: usize,
) -> Option<Pair<'a>> {
    let here: Vec<(&ConnectionAssessment, &RoundValue)> = connections
        .iter()
        .filter(|c| c.place == place.id && c.leg != "N" && circuit.supply.legs.contains(&c.leg))
        .filter_map(|c| c.rounds.iter().find(|r| r.round == round).map(|r| (c, r)))
        .filter(|(_, r)| r.trusted)
        .collect();
    let mut best: Option<(f64, Pair)> = None;
    for &hot in &here {
        for &cool in here.iter().filter(|c| c.0.leg != hot.0.leg) {
            let d = (hot.1.temperature - cool.1.temperature).kelvin();
            if d >= 0.0 && best.as_ref().is_none_or(|(b, _)| d > *b) {
                best = Some((d, Pair { hot, cool, round }));
            }
        }
    }
    best.map(|(_, pair)| pair)
}

fn finding(circuit: &Circuit, place: &Place, pair: &Pair, rules: &Rules) -> Finding {
    let bands = &rules.thermal.leg_difference;
    let (hot, cool) = (pair.hot.1, pair.cool.1);
    let difference = hot.temperature - cool.temperature;
    let u = hot
        .standard_uncertainty
        .kelvin()
        .hypot(cool.standard_uncertainty.kelvin());
    let expanded = rules.thermal.coverage_factor.value * u;
    let (mut grade, edge) = bands.grade(difference.kelvin());
    // Within the instrument's accuracy a small difference is no finding. From `watch` on the
    // value decides: a poor instrument must not talk a large difference away.
    if grade <= Grade::Note && difference.kelvin() <= expanded {
        grade = Grade::Pass;
    }
    let limit = edge
        .filter(|_| grade > Grade::Pass)
        .or_else(|| bands.first_edge());
    Finding {
        circuit: Some(circuit.id.clone()),
        place: Some(place.id.clone()),
        connections: vec![pair.hot.0.id.clone(), pair.cool.0.id.clone()],
        source: bands.source.clone(),
        values: [
            ("hot", Value::Temperature(hot.temperature)),
            ("cool", Value::Temperature(cool.temperature)),
            ("hot_leg", Value::Text(pair.hot.0.leg.clone())),
            ("cool_leg", Value::Text(pair.cool.0.leg.clone())),
            ("current", Value::Current(hot.current)),
            ("round", Value::Count(pair.round)),
        ]
        .into(),
        ..over(
            "leg-difference",
            grade,
            difference.kelvin(),
            limit.map(|e| e.at),
            u,
            rules,
        )
    }
}
