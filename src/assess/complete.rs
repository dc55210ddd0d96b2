//! What was not done: a visit without readings, a full-load round or proof of isolation is never
//! reported as a clean bill.
//!
//! A clean bill requires a temperature that can be trusted and a rise over air for every connection
//! that carries the charger's current, read at full load after about an hour of it and settled
//! enough for the final heat to be known; the torque of every screw; and the condition of every
//! place. Which connections these are follows from the parts that the circuit must have ([`parts`])
//! and from what an earlier visit listed, not from what this visit lists. If any of these is
//! missing, the visit is incomplete. What would only help to interpret the results is reported
//! without making the visit incomplete.
//!
//! A connection that could not be read under load, and is declared under `not_read:`, is an
//! exception from a complete visit, as long as its leg was read elsewhere and nothing contradicts
//! the reason.

use super::as_left::{self, Series};
use super::assessment::{
    Change, CheckResult, ConnectionAssessment, Limitation, SettledHow, Value, Values,
};
use super::earlier::Earlier;
use super::heat::{legs, measured, places};
use super::notes::Notes;
use super::parts;
use super::repairs;
use crate::quantity::{Current, Duration};
use crate::rules::Rules;
use crate::visit::{
    Circuit, Connection, ConnectionKind, Heat, Moment, NotRead, Part, Reason, Visit, WhyNotRead,
};
use crate::vocabulary::{CheckId, LimitationId, MissingKey, ValueName, Word};
use std::collections::HashSet;

pub(super) fn judge(
    visit: &Visit,
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    earlier: &[Earlier],
    rules: &Rules,
    notes: &mut Notes,
) {
    readings(visit, circuit, connections, rules, notes);
    ends(circuit, rules, notes);
    listed_before(visit, circuit, earlier, notes);
    legs_told(circuit, notes);
    torque(circuit, notes);
    surfaces(circuit, connections, notes);
    if visit.reason == Reason::Periodic && !earlier.iter().any(|e| e.date <= visit.date) {
        notes
            .limitations
            .push(limit(circuit, LimitationId::NoEarlier, false));
    }
}

/// A visit that ended before everything was done.
pub(super) fn cut_short(visit: &Visit, notes: &mut Notes) {
    let Some(end) = &visit.cut_short else { return };
    let mut values: Values = [(ValueName::Because, Value::Text(end.why.clone()))].into();
    let id = match end.return_on {
        Some(day) => {
            values.insert(ValueName::Due, Value::Date(day));
            LimitationId::CutShortReturn
        }
        None => LimitationId::CutShort,
    };
    notes.limitations.push(Limitation {
        id,
        circuit: None,
        place: None,
        connections: Vec::new(),
        incomplete: true,
        values,
    });
}

fn limit(circuit: &Circuit, id: LimitationId, incomplete: bool) -> Limitation {
    Limitation {
        id,
        circuit: Some(circuit.id.clone()),
        place: None,
        connections: Vec::new(),
        incomplete,
        values: Values::new(),
    }
}

fn readings(
    visit: &Visit,
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
    notes: &mut Notes,
) {
    let Some(heat) = circuit.heat.as_ref().filter(|h| !h.rounds.is_empty()) else {
        notes
            .limitations
            .push(limit(circuit, LimitationId::NoHeat, true));
        return;
    };
    if connections.iter().all(|c| c.rounds.is_empty()) {
        notes
            .limitations
            .push(limit(circuit, LimitationId::NoReadings, true));
        return;
    }
    if !heat.rounds.iter().any(|r| r.current.ampere() == 0.0) {
        notes
            .limitations
            .push(limit(circuit, LimitationId::NoLoadRoundMissing, false));
    }
    let full: Vec<usize> = (0..heat.rounds.len())
        .filter(|&i| legs::is_full(circuit, i, rules))
        .collect();
    if heat.rounds.iter().any(|r| r.air.is_none()) {
        // Without the air temperature of a round at full load there is no rise to judge.
        let needed = full.iter().any(|&i| heat.rounds[i].air.is_none());
        notes
            .limitations
            .push(limit(circuit, LimitationId::AirNotMeasured, needed));
    }
    if heat.charging_from.is_none() && heat.rounds.iter().any(|r| r.current.ampere() > 0.0) {
        notes
            .limitations
            .push(limit(circuit, LimitationId::ChargingStartNotTold, false));
    }
    if start_contradicted(heat) {
        let id = LimitationId::ChargingStartContradicted;
        notes.limitations.push(limit(circuit, id, true));
    }
    if full.is_empty() {
        notes.limitations.push(no_full_load(circuit, heat));
        return;
    }
    let long: Vec<usize> = full
        .iter()
        .copied()
        .filter(|&i| {
            minutes_at_full(circuit, heat, &full, i)
                .is_some_and(|m| m >= rules.thermal.long_round_min.value)
        })
        .collect();
    if long.is_empty() {
        notes
            .limitations
            .push(no_long_round(circuit, heat, &full, connections, rules));
    }

    // Each connection must have been read when it mattered: in the long round or, if there was
    // none, in any round at full load.
    let needed = if long.is_empty() { &full } else { &long };
    let carrying = places::carrying(circuit);
    let read = |c: &ConnectionAssessment| {
        c.rounds
            .iter()
            .filter(|r| circuit.loaded(r.current, rules.thermal.full_load_fraction.value))
            .any(|r| r.trusted && r.rise.is_some() && needed.binary_search(&r.round).is_ok())
    };
    let idle = idle_legs(circuit, heat, needed, rules);
    let neutral = neutral_loaded(circuit, heat, needed, rules);
    let concerned = |leg: &String| {
        (carrying.contains(&leg.as_str()) && !idle.contains(leg)) || (neutral && leg == "N")
    };
    let (read, not_read): (Vec<_>, Vec<_>) = connections
        .iter()
        .filter(|c| concerned(&c.leg))
        .partition(|c| read(c));
    let idle_neutral: Vec<String> = circuit
        .connections()
        .filter(|(_, c)| c.leg == "N" && !carrying.contains(&"N"))
        .map(|(_, c)| c.id.clone())
        .collect();
    // Two lines feed a charger that does not use the neutral at all.
    if !neutral && carrying.len() > 2 && !idle_neutral.is_empty() {
        let mut l = limit(circuit, LimitationId::NeutralNotLoaded, false);
        l.connections = idle_neutral;
        notes.limitations.push(l);
    }
    if !idle.is_empty() {
        let mut l = limit(circuit, LimitationId::LegsNotLoaded, true);
        l.values
            .insert(ValueName::Legs, Value::Text(idle.join(", ")));
        notes.limitations.push(l);
    }
    let exceptions = exceptions(circuit, &read, &not_read);
    let excepted: HashSet<&str> = exceptions.iter().map(|(_, c)| c.id.as_str()).collect();
    // A reading that was set aside is asked for.
    let in_doubt = asked(circuit, notes, &[LimitationId::ReadingInDoubt]);
    let (repaired, unread): (Vec<String>, Vec<String>) = not_read
        .iter()
        .filter(|c| !excepted.contains(c.id.as_str()) && !in_doubt.contains(&c.id))
        .map(|c| c.id.clone())
        .partition(|id| repairs::repaired(circuit, id));
    for declared in &circuit.not_read {
        let connections: Vec<String> = exceptions
            .iter()
            .filter(|(by, _)| std::ptr::eq(*by, declared))
            .map(|(_, c)| c.id.clone())
            .collect();
        if !connections.is_empty() {
            let mut l = limit(circuit, exception_id(declared.why), false);
            l.place = Some(declared.place.clone());
            l.incomplete = !l.id.exception();
            l.connections = connections;
            notes.limitations.push(l);
        }
    }
    // One loaded reading shows how hot a connection was, not whether it stays that way.
    let once: Vec<String> = read
        .iter()
        .filter(|c| c.rounds.iter().filter(|r| r.current.ampere() > 0.0).count() == 1)
        .map(|c| c.id.clone())
        .collect();
    if !repaired.is_empty() {
        let mut l = limit(circuit, LimitationId::RepairNotProved, true);
        l.connections = repaired;
        notes.limitations.push(l);
    }
    if !unread.is_empty() {
        let mut l = limit(circuit, LimitationId::ReadingsMissing, true);
        l.connections = unread;
        notes.limitations.push(l);
    }
    let unloaded = |c: &&&ConnectionAssessment| c.rounds.iter().any(|r| r.current.ampere() == 0.0);
    let cold: Vec<String> = read
        .iter()
        .filter(|c| !unloaded(c))
        .map(|c| c.id.clone())
        .collect();
    // If nothing was read before charging, that has been reported already.
    if !cold.is_empty() && heat.rounds.iter().any(|r| r.current.ampere() == 0.0) {
        let mut l = limit(circuit, LimitationId::NoLoadReadingMissing, false);
        l.connections = cold;
        notes.limitations.push(l);
    }
    if !once.is_empty() && !long.is_empty() {
        let mut l = limit(circuit, LimitationId::ReadOnceUnderLoad, false);
        l.connections = once;
        notes.limitations.push(l);
    }

    let climbing: Vec<(&ConnectionAssessment, Change)> = connections
        .iter()
        .filter_map(|c| Some((c, c.ends?.change?)))
        .filter(|(c, _)| {
            let once = c.settled.is_some_and(|s| s.how == SettledHow::OneRound);
            (once && read.iter().any(|r| r.id == c.id)) || is_climbing(circuit, c, notes)
        })
        .collect();
    let not_settled = not_settled(circuit, heat, &climbing, rules);
    notes.limitations.extend(not_settled);

    let blurred = measured::spot_over_target(visit, circuit, needed);
    if !blurred.is_empty() {
        let mut l = limit(circuit, LimitationId::SpotOverTarget, true);
        l.connections = blurred;
        notes.limitations.push(l);
    }
    let untold = measured::spot_not_told(visit, circuit);
    if !untold.is_empty() {
        let mut l = limit(circuit, LimitationId::SpotNotTold, false);
        l.connections = untold;
        notes.limitations.push(l);
    }
}

/// The legs that carried less than full load in all of these rounds, although another one did.
fn idle_legs(circuit: &Circuit, heat: &Heat, rounds: &[usize], rules: &Rules) -> Vec<String> {
    let full = rules.thermal.full_load_fraction.value;
    let carrying = places::carrying(circuit);
    let loaded = |leg: &str| {
        let mut rounds = rounds.iter().filter_map(|i| heat.rounds.get(*i));
        rounds.any(|r| circuit.loaded(r.current_in(leg), full))
    };
    let idle = carrying.into_iter().filter(|leg| !loaded(leg));
    idle.map(str::to_owned).collect()
}

/// Whether the neutral carried the full load in one of these rounds, as it does when a three-phase
/// charger charges a car that uses one phase.
///
/// Known only where the current of each leg was measured.
fn neutral_loaded(circuit: &Circuit, heat: &Heat, rounds: &[usize], rules: &Rules) -> bool {
    let full = rules.thermal.full_load_fraction.value;
    let mut rounds = rounds.iter().filter_map(|i| heat.rounds.get(*i));
    circuit.supply.legs.iter().any(|leg| leg == "N")
        && rounds.any(|r| {
            let current = in_neutral(circuit, &r.legs);
            current.is_some_and(|current| circuit.loaded(current, full))
        })
}

/// Current in the neutral: as measured, or the sum of what the lines carry. With equal power factors
/// that is the magnitude of a + b·e^(j120°) + c·e^(−j120°) in three phases, and of a − b where two
/// lines are opposite each other.
fn in_neutral(circuit: &Circuit, legs: &[(String, Current)]) -> Option<Current> {
    let told = |leg: &str| legs.iter().find(|(name, _)| name == leg);
    if let Some((_, measured)) = told("N") {
        return Some(*measured);
    }
    let lines = circuit.supply.legs.iter().filter(|l| *l != "N");
    let lines: Option<Vec<f64>> = lines
        .map(|line| told(line).map(|(_, current)| current.ampere()))
        .collect();
    let sum = match lines?.as_slice() {
        [a, b, c] => (a * a + b * b + c * c - a * b - b * c - c * a)
            .max(0.0)
            .sqrt(),
        [a, b] => (a - b).abs(),
        [a] => *a,
        _ => return None,
    };
    Some(Current::from_ampere(sum))
}

/// What the heat still to come could change: the worst grade, and the time to read again. If no
/// reading is known that would decide it, that is the largest time constant after the last one.
fn not_settled(
    circuit: &Circuit,
    heat: &Heat,
    climbing: &[(&ConnectionAssessment, Change)],
    rules: &Rules,
) -> Option<Limitation> {
    let worst = climbing.iter().map(|(_, change)| change.grade).max()?;
    let from = |(connection, change): &(&ConnectionAssessment, Change)| {
        let last = connection.rounds.last()?;
        let tau = rules.thermal.longest_time_constant_min.value;
        Some(match (heat.charging_from, change.deciding) {
            (Some(from), Some(deciding)) => (from, deciding.minutes),
            _ => (heat.rounds.get(last.round)?.at, tau),
        })
    };
    let after = |(from, minutes): (Moment, f64)| {
        let seconds = i64::from(from.day) * DAY_S + i64::from(from.time.seconds());
        seconds + (60.0 * minutes).round() as i64
    };
    let at = climbing
        .iter()
        .filter_map(from)
        .map(after)
        .max()?
        .rem_euclid(DAY_S);
    let at = format!("{:02}:{:02}", at / 3600, at / 60 % 60);
    let mut l = limit(circuit, LimitationId::NotSettled, true);
    l.connections = climbing.iter().map(|(c, _)| c.id.clone()).collect();
    l.values.insert(ValueName::At, Value::Text(at));
    l.values
        .insert(ValueName::Grade, Value::Text(worst.word().to_owned()));
    Some(l)
}

/// Seconds of a day.
const DAY_S: i64 = 86_400;

/// Whether the rise of a connection was found to be still climbing.
fn is_climbing(circuit: &Circuit, connection: &ConnectionAssessment, notes: &Notes) -> bool {
    let found = |c: &CheckResult| {
        c.id == CheckId::StillClimbing
            && c.circuit.as_ref() == Some(&circuit.id)
            && c.connections.contains(&connection.id)
    };
    notes.checks.iter().any(found)
}

/// The connections that were not read, each with the declaration that makes it an exception.
///
/// A cover that has to stay closed while charging hides everything at its place, so if one
/// connection there was read, the others could have been read too. A leg that was not read anywhere
/// is unknown, whatever the reason.
fn exceptions<'a>(
    circuit: &'a Circuit,
    read: &[&ConnectionAssessment],
    not_read: &[&'a ConnectionAssessment],
) -> Vec<(&'a NotRead, &'a ConnectionAssessment)> {
    let declared = |c: &ConnectionAssessment| {
        circuit
            .not_read
            .iter()
            .find(|d| d.place == c.place && d.connection.as_ref().is_none_or(|only| *only == c.id))
    };
    let possible = |by: &NotRead, c: &ConnectionAssessment| {
        let opened = read.iter().any(|r| r.place == c.place);
        read.iter().any(|r| r.leg == c.leg)
            && !(by.why == WhyNotRead::ClosedWhileCharging && opened)
    };
    not_read
        .iter()
        .filter_map(|c| Some((declared(c)?, *c)))
        .filter(|(by, c)| possible(by, c))
        .collect()
}

fn exception_id(why: WhyNotRead) -> LimitationId {
    match why {
        WhyNotRead::ClosedWhileCharging => LimitationId::NotReadClosed,
        WhyNotRead::NotAccessible => LimitationId::NotReadAccess,
        WhyNotRead::UnsafeToOpen => LimitationId::NotReadUnsafe,
        WhyNotRead::CustomerRefused => LimitationId::NotReadRefused,
    }
}

/// The limitation that says that a part was not inspected.
fn not_inspected(part: Part) -> LimitationId {
    let word = format!("{part}-not-inspected");
    LimitationId::of(&word).unwrap_or(LimitationId::BreakerNotInspected)
}

/// Parts that the circuit must have but that no place describes.
fn ends(circuit: &Circuit, rules: &Rules, notes: &mut Notes) {
    let carrying = places::carrying(circuit);
    for part in parts::required(circuit) {
        let listed = parts::places(circuit, part)
            .flat_map(|place| &place.connections)
            .any(|c| carrying.contains(&c.leg.as_str()));
        if !listed {
            let id = not_inspected(part);
            notes.limitations.push(limit(circuit, id, true));
        }
    }
    // Under one cover a disconnect has two terminals for each leg: its line and its load side.
    for place in &circuit.places {
        let twice = |leg: &&str| place.connections.iter().filter(|c| c.leg == **leg).count() >= 2;
        if parts::of(place) == Some(Part::Disconnect) && !carrying.iter().all(twice) {
            let mut l = limit(circuit, LimitationId::DisconnectLoadNotInspected, true);
            l.place = Some(place.id.clone());
            notes.limitations.push(l);
        }
    }
    if parts::disconnect_untold(circuit) {
        let incomplete = rules
            .needed
            .incomplete_without_key(MissingKey::DisconnectKind);
        notes
            .limitations
            .push(limit(circuit, LimitationId::DisconnectNotTold, incomplete));
    }
    let (supply, charger) = parts::grounded_ends(circuit);
    for (listed, id) in [
        (supply, LimitationId::GroundNotInspectedAtSupply),
        (charger, LimitationId::GroundNotInspectedAtCharger),
    ] {
        if !listed {
            notes.limitations.push(limit(circuit, id, true));
        }
    }
}

/// Connections of the latest earlier visit that are neither listed now nor removed.
fn listed_before(visit: &Visit, circuit: &Circuit, earlier: &[Earlier], notes: &mut Notes) {
    let before = earlier
        .iter()
        .filter(|e| e.date <= visit.date)
        .filter_map(|e| {
            let (_, connections) = e.circuits.iter().find(|(id, _)| *id == circuit.id)?;
            Some((e, connections))
        })
        .max_by_key(|(e, _)| e.date);
    let Some((before, connections)) = before else {
        return;
    };
    let known = |id: &str, place: &str| {
        circuit.connections().any(|(_, c)| c.id == id)
            || circuit
                .removed
                .iter()
                .any(|r| r.connection.as_deref() == Some(id) || r.place.as_deref() == Some(place))
    };
    let gone: Vec<&str> = connections
        .iter()
        .filter(|c| !known(&c.found.id, &c.found.place))
        .map(|c| c.found.id.as_str())
        .collect();
    if !gone.is_empty() {
        let mut l = limit(circuit, LimitationId::EarlierNotListed, true);
        l.values
            .insert(ValueName::Earlier, Value::Text(before.number.clone()));
        l.values
            .insert(ValueName::Missing, Value::Text(gone.join(", ")));
        notes.limitations.push(l);
    }
}

/// Circuits of the latest earlier visit that are neither listed now nor removed; of those that were to be
/// `repaired`, if this visit is after a repair.
pub(super) fn circuits_listed_before(
    visit: &Visit,
    earlier: &[Earlier],
    repaired: Option<&[String]>,
    notes: &mut Notes,
) {
    let before = earlier.iter().filter(|e| e.date <= visit.date);
    let Some(before) = before.max_by_key(|e| e.date) else {
        return;
    };
    let known = |id: &str| {
        visit
            .circuits
            .iter()
            .any(|c| c.id == id || c.removed.iter().any(|r| r.circuit.as_deref() == Some(id)))
    };
    let circuits = before.circuits.iter().map(|(id, _)| id.as_str());
    let mut gone: Vec<&str> = circuits.filter(|id| !known(id)).collect();
    if let Some(repaired) = repaired {
        gone.retain(|id| repaired.iter().any(|other| other == id));
    }
    if !gone.is_empty() {
        notes.limitations.push(Limitation {
            id: LimitationId::EarlierCircuitNotListed,
            circuit: None,
            place: None,
            connections: Vec::new(),
            incomplete: true,
            values: [
                (ValueName::Earlier, Value::Text(before.number.clone())),
                (ValueName::Missing, Value::Text(gone.join(", "))),
            ]
            .into(),
        });
    }
}

/// Whether a round without current follows the stated start of charging. The minutes under load,
/// from which the final heat is computed, would then be counted from too early.
fn start_contradicted(heat: &Heat) -> bool {
    let Some(from) = heat.charging_from else {
        return false;
    };
    let mut unloaded = heat.rounds.iter().take_while(|r| r.current.ampere() == 0.0);
    let loaded = heat.rounds.iter().any(|r| r.current.ampere() > 0.0);
    loaded && unloaded.any(|r| r.at.seconds() > from.seconds())
}

fn no_full_load(circuit: &Circuit, heat: &Heat) -> Limitation {
    let mut l = limit(circuit, LimitationId::NoFullLoadRound, true);
    let highest = heat
        .rounds
        .iter()
        .map(|r| r.current.ampere())
        .fold(0.0, f64::max);
    l.values.insert(
        ValueName::Current,
        Value::Current(Current::from_ampere(highest)),
    );
    l.values
        .insert(ValueName::Rated, Value::Current(circuit.charger.load()));
    l
}

/// Minutes at full load before a round at full load, counted from the last round that was not at
/// full load, or from the start of charging. `None` if the start of charging is not given and this
/// is the first round of its run.
///
/// It is not known when the load rose between two rounds. The earlier round shows only that it had
/// not risen yet, so the time is an upper bound.
fn minutes_at_full(circuit: &Circuit, heat: &Heat, full: &[usize], round: usize) -> Option<f64> {
    let at = |i: usize| heat.rounds[i].at.seconds();
    let Series { from, start } = as_left::series(circuit, heat, round);
    let first = (start..=round)
        .rev()
        .take_while(|i| full.binary_search(i).is_ok())
        .last()?;
    let before = first.checked_sub(1).filter(|before| *before >= start);
    let since = match (from, before) {
        (Some(from), Some(before)) => from.seconds().max(at(before)),
        (Some(from), None) => from.seconds(),
        // If the start is unknown, only the time observed at full load counts.
        (None, _) => at(first),
    };
    (from.is_some() || first < round).then(|| (at(round) - since) as f64 / 60.0)
}

fn no_long_round(
    circuit: &Circuit,
    heat: &Heat,
    full: &[usize],
    connections: &[ConnectionAssessment],
    rules: &Rules,
) -> Limitation {
    let mut l = limit(circuit, LimitationId::NoLongRound, true);
    let longest = full
        .iter()
        .filter_map(|&i| minutes_at_full(circuit, heat, full, i))
        .reduce(f64::max);
    if let Some(m) = longest {
        l.values.insert(
            ValueName::Longest,
            Value::Duration(Duration::from_minute(m)),
        );
    }
    l.values.insert(
        ValueName::Needed,
        Value::Duration(Duration::from_minute(rules.thermal.long_round_min.value)),
    );
    let wait = connections
        .iter()
        .filter_map(|c| c.settled?.wait_min)
        .reduce(f64::max);
    if let Some(wait) = wait {
        l.values.insert(
            ValueName::Wait,
            Value::Duration(Duration::from_minute(wait)),
        );
    }
    l
}

/// Legs of the supply without a described connection: nowhere in the circuit, which means that part
/// of it was not inspected, or not in one place, where a difference between legs would go
/// unnoticed.
///
/// The neutral has to be listed like a line, to be looked at and torqued: whether it carries the
/// current depends on the car.
fn legs_told(circuit: &Circuit, notes: &mut Notes) {
    let carrying = places::carrying(circuit);
    let neutral = circuit.supply.legs.iter().filter(|leg| *leg == "N");
    let mut required = carrying.clone();
    for leg in neutral.map(String::as_str) {
        if !required.contains(&leg) {
            required.push(leg);
        }
    }
    let missing = |connections: &mut dyn Iterator<Item = &Connection>| {
        let listed: HashSet<&str> = connections.map(|c| c.leg.as_str()).collect();
        required
            .iter()
            .filter(|l| !listed.contains(**l))
            .map(|l| (*l).to_owned())
            .collect::<Vec<_>>()
    };
    let nowhere = missing(&mut circuit.connections().map(|(_, c)| c));
    if !nowhere.is_empty() {
        let mut l = limit(circuit, LimitationId::LegNotInspected, true);
        l.values
            .insert(ValueName::Legs, Value::Text(nowhere.join(", ")));
        notes.limitations.push(l);
    }
    // A neutral that passes by the overcurrent device ends at a bar beside it.
    let on_a_bar = circuit.places.iter().any(|place| {
        let neutral = place.connections.iter().any(|c| c.leg == "N");
        let line = |c: &Connection| c.leg != "N" && carrying.contains(&c.leg.as_str());
        let part = parts::of(place);
        neutral && (part == Some(Part::Ground) || !place.connections.iter().any(line))
    });
    for place in &circuit.places {
        let mut here: Vec<String> = missing(&mut place.connections.iter());
        here.retain(|leg| !nowhere.contains(leg));
        let part = parts::of(place);
        if part == Some(Part::Busbar) || (part == Some(Part::Breaker) && on_a_bar) {
            here.retain(|leg| carrying.contains(&leg.as_str()));
        }
        let some = place
            .connections
            .iter()
            .any(|c| carrying.contains(&c.leg.as_str()));
        let (neutral, lines): (Vec<String>, Vec<String>) = here
            .into_iter()
            .partition(|leg| !carrying.contains(&leg.as_str()));
        for (id, here) in [
            (LimitationId::LegNotCompared, lines),
            (LimitationId::NeutralNotInspected, neutral),
        ] {
            if some && !here.is_empty() {
                let mut l = limit(circuit, id, true);
                l.place = Some(place.id.clone());
                l.values
                    .insert(ValueName::Legs, Value::Text(here.join(", ")));
                notes.limitations.push(l);
            }
        }
    }
}

/// The connections about which the visit has one of these questions to answer.
fn asked(circuit: &Circuit, notes: &Notes, questions: &[LimitationId]) -> HashSet<String> {
    let own = |l: &&Limitation| {
        questions.contains(&l.id) && l.circuit.as_deref() == Some(circuit.id.as_str())
    };
    let questions = notes.limitations.iter().filter(own);
    questions.flat_map(|l| l.connections.clone()).collect()
}

fn torque(circuit: &Circuit, notes: &mut Notes) {
    let checked: HashSet<&str> = circuit
        .torque
        .iter()
        .map(|t| t.connection.as_str())
        .collect();
    // What was set aside is asked for, and not reported once more.
    let asked = asked(
        circuit,
        notes,
        &[
            LimitationId::TorqueInDoubt,
            LimitationId::TorqueWantedInDoubt,
        ],
    );
    let unchecked: Vec<String> = circuit
        .connections()
        .filter(|(_, c)| {
            matches!(c.kind, ConnectionKind::ScrewTerminal | ConnectionKind::Lug)
                && !checked.contains(c.id.as_str())
                && !asked.contains(&c.id)
        })
        .map(|(_, c)| c.id.clone())
        .collect();
    if !unchecked.is_empty() {
        // One loose screw is enough for a fire: a screw that nobody checked rules out a clean bill.
        let mut l = limit(circuit, LimitationId::TorqueNotChecked, true);
        l.connections = unchecked;
        notes.limitations.push(l);
    }
    // A torque without a named tool is not a check: its calibration is unknown.
    let by_hand: Vec<String> = circuit
        .torque
        .iter()
        .filter(|t| t.with.is_none())
        .map(|t| t.connection.clone())
        .collect();
    if !by_hand.is_empty() {
        let mut l = limit(circuit, LimitationId::TorqueToolNotTold, true);
        l.connections = by_hand;
        notes.limitations.push(l);
    }
}

fn surfaces(circuit: &Circuit, connections: &[ConnectionAssessment], notes: &mut Notes) {
    let untold: Vec<String> = circuit
        .connections()
        .zip(connections)
        .filter(|((_, c), found)| {
            c.surface.is_none() && c.emissivity.is_none() && !found.rounds.is_empty()
        })
        .map(|((_, c), _)| c.id.clone())
        .collect();
    if !untold.is_empty() {
        let mut l = limit(circuit, LimitationId::SurfaceNotTold, false);
        l.connections = untold;
        notes.limitations.push(l);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_that_a_circuit_must_have_is_named_when_it_is_missing() {
        for part in [
            Part::Breaker,
            Part::DisconnectLine,
            Part::DisconnectLoad,
            Part::Charger,
            Part::Receptacle,
            Part::Plug,
        ] {
            let path = format!("places: part: {part}");
            assert_eq!(not_inspected(part).completed_by(), Some(&*path));
        }
    }
}
