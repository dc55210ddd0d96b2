//! Contact resistance from the voltage drop measured across a connection under load, compared with
//! the lowest value among its sisters: connections of the same kind on the other legs of the same
//! place.
//!
//! The drop comes from the last round with enough load in which at least two legs of a place have
//! one, otherwise from the last such round in which one leg has one. It gives the resistance
//! between the probes, so a ratio is a reason to investigate and not a verdict.

use super::held::Held;
use super::places::carrying;
use super::rated::Load;
use crate::assess::assessment::{CheckResult, Value};
use crate::assess::notes::Notes;
use crate::assess::physics::{
    contact::{self, Contact, Drop},
    uncertainty,
};
use crate::quantity::{Current, Voltage};
use crate::rules::Rules;
use crate::visit::{
    Circuit, Connection, Grade, HalfWidth, InstrumentKind, Place, Reading, Round, Visit,
};
use crate::vocabulary::{CheckId, ValueName};
use std::collections::HashMap;

/// Least half-width of a drop, volt, if the meter's own is not specified: the last digit of a meter
/// with a resolution of a tenth of a millivolt.
const RESOLUTION_V: f64 = 0.000_05;

/// Fraction of the drop used as half-width if no meter's accuracy is specified: the coarser end of
/// what hand-held multimeters state for alternating millivolts (common practice, no source).
const ASSUMED_SHARE: f64 = 0.02;

/// One connection's resistance.
#[derive(Clone, Copy)]
pub(crate) struct Resistance<'a> {
    pub connection: &'a Connection,
    pub drop: Voltage,
    pub u_drop: Voltage,
    pub current: Current,
    pub u_current: Current,
    pub contact: Contact,
}

pub(crate) fn judge(visit: &Visit, circuit: &Circuit, rules: &Rules, notes: &mut Notes) {
    let Some(rounds) = rounds_with_drops(circuit) else {
        return;
    };
    let load = Load::of(visit, circuit, rules);
    for place in &circuit.places {
        let Some(found) = at_place(visit, circuit, place, &rounds, &load) else {
            continue;
        };
        notes.checks.push(finding(circuit, place, &found, rules));
        notes.checks.extend(drops(circuit, place, &found, rules));
    }
}

/// Resistances of a place in the round used for the comparison; empty if no drop was measured.
pub(crate) fn compared<'a>(
    visit: &Visit,
    circuit: &Circuit,
    place: &'a Place,
    load: &Load,
) -> Vec<Resistance<'a>> {
    rounds_with_drops(circuit)
        .and_then(|rounds| at_place(visit, circuit, place, &rounds, load))
        .unwrap_or_default()
}

type ByConnection<'a> = HashMap<&'a str, &'a Reading>;

/// Rounds in which any drop was measured, with their readings by connection.
fn rounds_with_drops(circuit: &Circuit) -> Option<Vec<(usize, &Round, ByConnection<'_>)>> {
    let rounds: Vec<_> = circuit
        .heat
        .as_ref()?
        .rounds
        .iter()
        .enumerate()
        .filter(|(_, r)| r.readings.iter().any(|(_, reading)| reading.drop.is_some()))
        .map(|(i, r)| {
            let readings = r
                .readings
                .iter()
                .map(|(id, reading)| (id.as_str(), reading));
            (i, r, readings.collect())
        })
        .collect();
    (!rounds.is_empty()).then_some(rounds)
}

/// Resistances of a place's current-carrying connections in the round used for the comparison.
fn at_place<'a>(
    visit: &Visit,
    circuit: &Circuit,
    place: &'a Place,
    rounds: &[(usize, &Round, ByConnection<'_>)],
    load: &Load,
) -> Option<Vec<Resistance<'a>>> {
    let carrying = carrying(circuit);
    let of_round = |(index, round, readings): &(usize, &Round, ByConnection<'_>)| {
        if load.judged.binary_search(index).is_err() {
            return Vec::new();
        }
        place
            .connections
            .iter()
            .filter(|c| carrying.contains(&c.leg.as_str()))
            .filter_map(|c| {
                let drop = readings.get(c.id.as_str())?.drop?;
                if round.current_in(&c.leg).ampere() <= 0.0 {
                    return None;
                }
                resistance(visit, c, drop, round.current_in(&c.leg), load)
            })
            .collect::<Vec<_>>()
    };
    let candidates: Vec<Vec<Resistance>> = rounds.iter().rev().map(of_round).collect();
    let compared = |found: &Vec<Resistance>| {
        found
            .iter()
            .any(|a| found.iter().any(|b| sisters(a.connection, b.connection)))
    };
    let at = candidates
        .iter()
        .position(compared)
        .or_else(|| candidates.iter().position(|found| !found.is_empty()))?;
    candidates.into_iter().nth(at)
}

fn sisters(a: &Connection, b: &Connection) -> bool {
    a.kind == b.kind && a.leg != b.leg
}

/// A connection's resistance from its voltage drop.
pub(crate) fn resistance<'a>(
    visit: &Visit,
    connection: &'a Connection,
    drop: Voltage,
    current: Current,
    load: &Load,
) -> Option<Resistance<'a>> {
    let meter = visit
        .instruments
        .iter()
        .filter(|i| i.kind == InstrumentKind::Multimeter)
        .find_map(|i| {
            let a = i.accuracy?;
            match a.at_least {
                Some(HalfWidth::Voltage(v)) => {
                    Some((a.of_reading.map_or(0.0, |p| p.fraction()), v.volt()))
                }
                None => Some((a.of_reading?.fraction(), RESOLUTION_V)),
                _ => None,
            }
        });
    let (share, least) = meter.unwrap_or((ASSUMED_SHARE, RESOLUTION_V));
    let half_width = (share * drop.volt()).max(least);
    let u_drop = Voltage::from_volt(uncertainty::rectangular(half_width));
    let u_current = load.u_current(current);
    let contact = contact::contact(&Drop {
        voltage: drop,
        u_voltage: u_drop,
        current,
        u_current,
    })?;
    Some(Resistance {
        connection,
        drop,
        u_drop,
        current,
        u_current,
        contact,
    })
}

/// The ratio to the lowest of the sisters with its standard uncertainty, and that sister.
///
/// Both carry the same current, measured once: its error cancels in the ratio, so only the two
/// drops contribute to the uncertainty.
pub(crate) fn against_sister<'a, 'b>(
    this: &Resistance,
    all: &'b [Resistance<'a>],
) -> Option<(f64, f64, &'b Resistance<'a>)> {
    let sister = all
        .iter()
        .filter(|r| sisters(this.connection, r.connection) && r.contact.ohm > 0.0)
        .min_by(|a, b| a.contact.ohm.total_cmp(&b.contact.ohm))?;
    let of_drop = |r: &Resistance| Contact {
        u_ohm: r.u_drop.volt() / r.current.ampere(),
        ..r.contact
    };
    let (ratio, u) = contact::ratio(&of_drop(this), &of_drop(sister))?;
    Some((ratio, u, sister))
}

/// The voltage drops of a place at rated current that exceed, by more than their uncertainty, the
/// maximum for a sound clamp, largest first. Equally bad joints in all legs are detected only this
/// way.
fn drops(
    circuit: &Circuit,
    place: &Place,
    found: &[Resistance],
    rules: &Rules,
) -> Vec<CheckResult> {
    let bands = &rules.thermal.contact_drop;
    let k = rules.thermal.coverage_factor.value;
    let rated = circuit.charger.load();
    let mut found: Vec<&Resistance> = found.iter().collect();
    found.sort_by(|a, b| b.contact.ohm.total_cmp(&a.contact.ohm));
    found
        .into_iter()
        .filter_map(|r| {
            let value = r.contact.ohm * rated.ampere();
            let u = r.contact.u_ohm * rated.ampere();
            let grade = bands.grade(value - k * u).0;
            let limit = bands.first_edge()?.at;
            (grade > bands.below).then(|| CheckResult {
                circuit: Some(circuit.id.clone()),
                place: Some(place.id.clone()),
                connections: vec![r.connection.id.clone()],
                value: Some(value * 1e3),
                limit: Some(limit * 1e3),
                unit: "mV",
                uncertainty: Some(k * u * 1e3),
                source: bands.source.clone(),
                values: [
                    (ValueName::Drop, Value::Voltage(r.drop)),
                    (ValueName::Current, Value::Current(r.current)),
                    (ValueName::Rated, Value::Current(rated)),
                    (ValueName::Power, Value::Power(r.contact.power)),
                ]
                .into(),
                ..CheckResult::new(CheckId::ContactDrop, grade)
            })
        })
        .collect()
}

fn finding(circuit: &Circuit, place: &Place, found: &[Resistance], rules: &Rules) -> CheckResult {
    let bands = &rules.thermal.contact_resistance;
    let k = rules.thermal.coverage_factor.value;
    let worst = found
        .iter()
        .filter_map(|r| {
            let (ratio, u, sister) = against_sister(r, found)?;
            Some((r, ratio, u, sister))
        })
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let values = |r: &Resistance| {
        crate::assess::assessment::Values::from([
            (ValueName::Drop, Value::Voltage(r.drop)),
            (ValueName::Current, Value::Current(r.current)),
            (ValueName::Milliohm, Value::Number(r.contact.ohm * 1e3)),
            (ValueName::Power, Value::Power(r.contact.power)),
        ])
    };
    let base = CheckResult {
        circuit: Some(circuit.id.clone()),
        place: Some(place.id.clone()),
        source: bands.source.clone(),
        ..CheckResult::new(CheckId::ContactResistance, Grade::Pass)
    };
    let Some((r, ratio, u, sister)) = worst else {
        // Nothing to compare with: report only the largest value.
        let largest = found
            .iter()
            .max_by(|a, b| a.contact.ohm.total_cmp(&b.contact.ohm));
        return CheckResult {
            connections: largest.iter().map(|r| r.connection.id.clone()).collect(),
            values: largest.map(values).unwrap_or_default(),
            ..base
        };
    };
    // The two sisters are equal within the meter's accuracy.
    let grade = if ratio > 1.0 + k * u {
        bands.grade(ratio).0
    } else {
        Grade::Pass
    };
    let held = Held::against(bands, ratio, k * u);
    let mut values = values(r);
    values.insert(ValueName::Sister, Value::Text(sister.connection.id.clone()));
    values.insert(
        ValueName::SisterMilliohm,
        Value::Number(sister.contact.ohm * 1e3),
    );
    let graded = CheckResult {
        grade,
        connections: vec![r.connection.id.clone(), sister.connection.id.clone()],
        values,
        ..base
    };
    held.with_limits(ratio, u, k, graded)
}
