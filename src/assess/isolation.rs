//! Proof of isolation: the tester proved on a live source, every pair dead, the tester proved
//! again (live–dead–live), and the circuit locked.

use super::assessment::{CheckResult, Limitation, Value};
use super::notes::Notes;
use super::order::{self, Order};
use crate::quantity::Voltage;
use crate::rules::Rules;
use crate::visit::{Circuit, Grade, Isolation};
use crate::vocabulary::{CheckId, LimitationId, MissingKey, ValueName};

/// Spellings of ground in a pair.
const GROUNDS: [&str; 2] = ["G", "PE"];

pub(super) fn judge(circuit: &Circuit, rules: &Rules, notes: &mut Notes) {
    if circuit.isolation.is_empty() {
        notes
            .limitations
            .push(limitation(circuit, vec![MissingKey::Isolation.to_string()]));
    }
    if untested(circuit) {
        let missing = vec![MissingKey::IsolationAgain.to_string()];
        notes.limitations.push(limitation(circuit, missing));
    }
    if opened_untested(circuit) {
        let missing = vec![MissingKey::IsolationFirst.to_string()];
        notes.limitations.push(limitation(circuit, missing));
    }
    for isolation in &circuit.isolation {
        judge_one(circuit, isolation, rules, notes);
    }
}

/// Whether screws were touched on a side of the heat measurement on which no proof was made: the
/// circuit was energised in between.
///
/// A proof that does not say when it was made counts for one side only.
fn untested(circuit: &Circuit) -> bool {
    let heat = circuit.heat.as_ref();
    let order = |when| order::of(when, heat);
    if circuit.isolation.is_empty() {
        return false;
    }
    // What was found dead while it was charging was another circuit, or the time is wrong.
    let proofs = circuit.isolation.iter();
    let proofs = proofs.filter(|i| !heat.is_some_and(|h| order::while_charging(i.when, h)));
    let proofs: Vec<_> = proofs.map(|i| order(i.when)).collect();
    let checked = circuit.torque.iter().filter_map(|t| order(t.when));
    let repaired = circuit
        .repairs
        .iter()
        .filter_map(|r| order::of_repair(r, heat));
    let mut sides: Vec<Order> = checked.chain(repaired).collect();
    if opened(circuit) {
        sides.push(Order::Before);
    }
    let unproved = |side: Order| sides.contains(&side) && !proofs.contains(&Some(side));
    let unproved = [Order::Before, Order::After].map(unproved);
    let untold = proofs.iter().filter(|p| p.is_none()).count();
    match unproved {
        // Proofs all made later are asked for the one before, unless screws were touched first.
        [true, false] if untold == 0 => touched(circuit, Order::Before),
        _ => unproved.into_iter().filter(|u| *u).count() > untold,
    }
}

/// Whether covers were opened for readings.
fn opened(circuit: &Circuit) -> bool {
    let open = |id: &str| {
        let mut connections = circuit.connections();
        connections.any(|(place, c)| c.id == id && !place.closed)
    };
    let rounds = circuit.heat.iter().flat_map(|h| &h.rounds);
    let mut readings = rounds.flat_map(|r| &r.readings);
    readings.any(|(id, _)| open(id))
}

/// Whether a torque was checked on a side of the heat measurement.
fn touched(circuit: &Circuit, side: Order) -> bool {
    let heat = circuit.heat.as_ref();
    let mut checks = circuit.torque.iter();
    checks.any(|t| order::of(t.when, heat) == Some(side))
}

/// Whether covers were opened for readings, although every proof was made only after them.
fn opened_untested(circuit: &Circuit) -> bool {
    let heat = circuit.heat.as_ref();
    let later = |when| order::of(when, heat) == Some(Order::After);
    // If screws were touched before, the missing proof has been reported already.
    let touched_first = untested(circuit);
    let mut proofs = circuit.isolation.iter();
    opened(circuit) && !touched_first && proofs.len() > 0 && proofs.all(|i| later(i.when))
}

fn judge_one(circuit: &Circuit, isolation: &Isolation, rules: &Rules, notes: &mut Notes) {
    let dead_v = rules.isolation.dead_v.value;
    let live: Vec<&(String, Voltage)> = isolation
        .dead
        .iter()
        .filter(|(_, v)| v.volt().abs() > dead_v)
        .collect();
    if let Some((pair, volts)) = live
        .iter()
        .max_by(|a, b| a.1.volt().abs().total_cmp(&b.1.volt().abs()))
    {
        notes.checks.push(CheckResult {
            value: Some(volts.volt().abs()),
            limit: Some(dead_v),
            unit: "V",
            values: [
                (ValueName::Pair, Value::Text(pair.clone())),
                (ValueName::Voltage, Value::Voltage(*volts)),
            ]
            .into(),
            ..finding(
                circuit,
                CheckId::IsolationNotDead,
                rules.isolation.not_dead.value,
                rules,
            )
        });
    }

    let missing = missing(circuit, isolation, rules.isolation.live_v.value);
    if !missing.is_empty() {
        notes.limitations.push(limitation(circuit, missing));
    } else if live.is_empty() {
        let highest = isolation
            .dead
            .iter()
            .map(|(_, v)| v.volt().abs())
            .fold(0.0, f64::max);
        notes.checks.push(CheckResult {
            value: Some(highest),
            limit: Some(dead_v),
            unit: "V",
            ..finding(circuit, CheckId::IsolationProved, Grade::Pass, rules)
        });
    }
}

fn finding(circuit: &Circuit, id: CheckId, grade: Grade, rules: &Rules) -> CheckResult {
    CheckResult {
        source: rules.isolation.dead_v.source.clone(),
        circuit: Some(circuit.id.clone()),
        ..CheckResult::new(id, grade)
    }
}

fn limitation(circuit: &Circuit, missing: Vec<String>) -> Limitation {
    Limitation {
        id: LimitationId::IsolationNotProved,
        circuit: Some(circuit.id.clone()),
        place: None,
        connections: Vec::new(),
        incomplete: true,
        values: [(ValueName::Missing, Value::Text(missing.join(", ")))].into(),
    }
}

/// What is missing in the proof, as keys of the visit file.
///
/// A tester is proved on a source of at least `live_v` volts. Required are all phase-to-phase and
/// phase-to-ground pairs (NFPA 70E-2021 120.5(7)), and, if the circuit has a neutral, each leg to it
/// and the neutral to ground: an interrupted neutral is as live as the legs.
fn missing(circuit: &Circuit, isolation: &Isolation, live_v: f64) -> Vec<String> {
    let proved = |v: Option<Voltage>| v.is_some_and(|v| v.volt().abs() >= live_v);
    let mut missing = Vec::new();
    for (key, there) in [
        (MissingKey::Tester, isolation.tester.is_some()),
        (MissingKey::ProvedBefore, proved(isolation.proved_before)),
        (MissingKey::ProvedAfter, proved(isolation.proved_after)),
        (MissingKey::Locked, isolation.locked == Some(true)),
    ] {
        if !there {
            missing.push(key.to_string());
        }
    }
    let legs = &circuit.supply.legs;
    for (i, a) in legs.iter().enumerate() {
        for b in &legs[i + 1..] {
            if !measured(isolation, a, &[b]) {
                missing.push(format!("{a}-{b}"));
            }
        }
        if !measured(isolation, a, &GROUNDS) {
            missing.push(format!("{a}-G"));
        }
    }
    missing
}

fn measured(isolation: &Isolation, a: &str, others: &[&str]) -> bool {
    isolation.dead.iter().any(|(pair, _)| {
        pair.split_once('-').is_some_and(|(x, y)| {
            (x == a && others.contains(&y)) || (y == a && others.contains(&x))
        })
    })
}
