//! Where the heat that is still to come ends, whether it could change a grade, and the reading that
//! would decide it.
//!
//! Where the rounds do not show where a rise settles, it is bounded by the largest plausible time
//! constant τ: from r after the time t under one current, a body settles at no more than
//! r/(1 − e^(−t/τ)). If neither the rise, the projection nor the difference between legs would be
//! watched or worse at that bound than it is, the connection counts as settled.
//!
//! If one of them would, a later reading decides: after the time t nothing changes any more if what
//! is read is below E·(1 − e^(−t/τ)), where E is the edge of the next grade. The time to read again
//! is the first at which a body with an ordinary time constant is below that.

use super::{legs, measured};
use crate::assess::assessment::{
    Change, CheckResult, ConnectionAssessment, Deciding, Ends, SettledHow, Value,
};
use crate::assess::notes::Notes;
use crate::quantity::TemperatureDifference;
use crate::rules::{Bands, Rules};
use crate::visit::{Circuit, Grade, Visit};
use crate::vocabulary::{CheckId, ValueName};

/// Currents that differ by less than this fraction count as the same (our choice, no source).
const ONE_CURRENT: f64 = 0.02;

/// Time constant of an ordinary terminal in its device, minutes, with which the next reading is
/// predicted (our choice, no source).
const ORDINARY_MIN: f64 = 20.0;

/// Steps in which the time of the next reading is looked for, minutes.
const STEP_MIN: f64 = 5.0;

/// The next reading is asked for no later than this many times the largest time constant after
/// charging began: 98 % of any rise is there then.
const MOST_TIME_CONSTANTS: f64 = 4.0;

/// Sets where the rise of each connection of a circuit ends, and what that could still change.
pub(crate) fn judge(
    circuit: &Circuit,
    connections: &mut [ConnectionAssessment],
    checks: &[CheckResult],
    rules: &Rules,
) {
    for connection in connections {
        connection.ends = ends(circuit, connection, checks, rules);
    }
}

/// The round after which no grade could be changed any more by heat still to come; `None` if one
/// still can, or if nothing was read under load.
pub(crate) fn decided_in(
    visit: &Visit,
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
) -> Option<usize> {
    let heat = circuit.heat.as_ref()?;
    let open = |c: &ConnectionAssessment| c.ends.is_some_and(|e| e.change.is_some());
    if circuit.heat_after.is_some() || connections.iter().any(open) {
        return None;
    }
    let loaded = heat.rounds.iter().enumerate();
    let loaded: Vec<usize> = loaded
        .filter(|(_, r)| r.current.ampere() > 0.0)
        .map(|(i, _)| i)
        .collect();
    let last = *loaded.last()?;
    let already = |round: &usize| {
        let mut part = circuit.clone();
        if let Some(heat) = &mut part.heat {
            heat.rounds.truncate(round + 1);
        }
        let mut notes = Notes::default();
        let mut then = measured::measure(visit, &part, rules, &mut notes);
        legs::judge(visit, &part, &then, rules, &mut notes);
        judge(&part, &mut then, &notes.checks, rules);
        let known = |c: &ConnectionAssessment| c.rise_at_rated.is_some();
        let all = then
            .iter()
            .zip(connections)
            .all(|(a, b)| known(a) == known(b));
        all && !then.iter().any(open)
    };
    loaded
        .into_iter()
        .find(|round| *round == last || already(round))
}

/// Minutes under load of the last rise of a connection whose rounds do not show where it settles;
/// `None` if the start of charging is not known, or the current varied.
fn minutes_under_load(connection: &ConnectionAssessment) -> Option<f64> {
    let loaded = || {
        let rounds = connection.rounds.iter();
        rounds.filter(|r| r.trusted && r.rise.is_some() && r.current.ampere() > 0.0)
    };
    let last = loaded().next_back()?;
    let current = last.current.ampere();
    let steady = loaded().all(|r| (r.current.ampere() - current).abs() <= ONE_CURRENT * current);
    last.minutes.filter(|m| *m > 0.0 && steady)
}

/// Share of its settled rise that a body has reached.
fn reached(minutes: f64, tau: f64) -> f64 {
    -libm::expm1(-minutes / tau)
}

/// A value whose grade the heat still to come could change.
struct Growing<'a> {
    check: CheckId,
    bands: &'a Bands,
    /// Kelvin to add to a rise or difference at rated current to get what the bands grade.
    offset: f64,
    /// What is graded now, kelvin, as a rise or difference at rated current.
    now: f64,
    /// The part of it that grows.
    read: f64,
    /// Kelvin at rated current for one as read, and what was taken off before.
    factor: f64,
    kept: f64,
}

impl Growing<'_> {
    /// The grade that it would have, if that is worse and `watch` or worse.
    fn worse(&self, then: f64) -> Option<Grade> {
        let grade = |value: f64| self.bands.grade(value + self.offset).0;
        let then = grade(then.max(self.now));
        (then >= Grade::Watch && then > grade(self.now)).then_some(then)
    }

    /// What it could still become, and the reading that would decide it.
    fn change(&self, minutes: f64, tau: f64) -> Option<Change> {
        let grade = self.worse(self.read / reached(minutes, tau))?;
        let now = self.bands.grade(self.now + self.offset).0;
        let mut edges = self.bands.edges.iter();
        let edge = edges.find(|e| e.grade >= Grade::Watch && e.grade > now)?;
        let edge = edge.at - self.offset;
        let latest = MOST_TIME_CONSTANTS * tau;
        let mut at = ((minutes / STEP_MIN).floor() + 1.0) * STEP_MIN;
        let settled = self.read / reached(minutes, ORDINARY_MIN);
        while at < latest && settled * reached(at, ORDINARY_MIN) >= edge * reached(at, tau) {
            at += STEP_MIN;
        }
        let most = edge * reached(at, tau) / self.factor + self.kept;
        Some(Change {
            check: self.check,
            grade,
            deciding: Some(Deciding {
                minutes: at,
                below: TemperatureDifference::from_kelvin(most),
            }),
        })
    }
}

/// Where the rise of a connection ends at rated current, and what that could still change.
fn ends(
    circuit: &Circuit,
    connection: &ConnectionAssessment,
    checks: &[CheckResult],
    rules: &Rules,
) -> Option<Ends> {
    let how = connection.settled?.how;
    let unknown = matches!(how, SettledHow::StillClimbing | SettledHow::OneRound);
    let rise = connection.rise_at_rated;
    let value = rise.map(|r| r.value.kelvin());
    let expanded = rise.map_or(0.0, |r| r.expanded.kelvin());
    let tau = rules.thermal.longest_time_constant_min.value;
    // Where the rises are too small to show anything, they may still be growing.
    let minutes = minutes_under_load(connection);
    let bounded = unknown || how == SettledHow::TooUncertain;
    let read = connection.measured_at_rated.map(|m| m.value.kelvin());
    let grown = match (bounded, minutes) {
        (false, _) => value,
        (true, Some(minutes)) => value
            .zip(read.or(value))
            .map(|(value, read)| value.max(read / reached(minutes, tau))),
        (true, None) => None,
    };
    let kelvin = TemperatureDifference::from_kelvin;
    Some(Ends {
        // A slow part of the device can only add to what settles.
        least: value.map(|v| {
            let slow = rules.thermal.coverage_factor.value * connection.slow.kelvin();
            let readings = (expanded - slow) * (expanded + slow);
            kelvin(v - readings.max(0.0).sqrt())
        }),
        most: grown.map(|v| kelvin(v + expanded)),
        change: unknown
            .then(|| change(circuit, connection, checks, minutes, rules))
            .flatten(),
    })
}

/// The worst that the heat still to come could change at a connection, and the latest reading that
/// would decide it.
fn change(
    circuit: &Circuit,
    connection: &ConnectionAssessment,
    checks: &[CheckResult],
    minutes: Option<f64>,
    rules: &Rules,
) -> Option<Change> {
    let Some(minutes) = minutes else {
        return Some(Change {
            check: CheckId::Rise,
            grade: Grade::Repair,
            deciding: None,
        });
    };
    let thermal = &rules.thermal;
    let mut growing = Vec::new();
    if let Some(rise) = connection.rise_at_rated {
        let now = rise.value.kelvin();
        let read = connection
            .measured_at_rated
            .map_or(now, |m| m.value.kelvin());
        let kept = connection.without_load.map_or(0.0, |e| e.value.kelvin());
        let mut rounds = connection.rounds.iter().rev();
        let last = rounds.find(|r| r.trusted && r.rise.is_some() && r.current.ampere() > 0.0);
        let own = last.and_then(|r| r.rise).map(|e| e.value.kelvin() - kept);
        let factor = own.filter(|own| *own > 0.0).map_or(1.0, |own| read / own);
        let of = |check, bands, offset| Growing {
            check,
            bands,
            offset,
            now,
            read,
            factor: factor.max(f64::MIN_POSITIVE),
            kept,
        };
        growing.push(of(CheckId::Rise, &thermal.rise, 0.0));
        // Edges of the margin are stored negated, and the margin shrinks by what the rise grows.
        growing.extend(connection.margin.map(|margin| {
            let offset = -now - margin.kelvin();
            of(CheckId::ProjectedHeat, &thermal.projected_margin, offset)
        }));
    }
    let differences = checks
        .iter()
        .filter(|c| c.id == CheckId::LegDifference && c.circuit.as_ref() == Some(&circuit.id))
        .filter(|c| c.place.as_ref() == Some(&connection.place));
    growing.extend(differences.filter_map(|c| {
        let now = c.value?;
        let number = |name| match c.values.get(&name) {
            Some(Value::Difference(d)) => Some(d.kelvin()),
            Some(Value::Number(n)) => Some(*n),
            _ => None,
        };
        // What was read, at rated current: `now` may contain what the hotter one still grows by.
        let read = number(ValueName::Measured).unwrap_or(now);
        let factor = number(ValueName::Factor).unwrap_or(1.0);
        // Another connection than the hotter one of the pair grows from its own difference.
        let own = || match (
            c.values.get(&ValueName::Round),
            c.values.get(&ValueName::Cool),
        ) {
            (Some(Value::Count(round)), Some(Value::Temperature(cool))) => {
                let mut rounds = connection.rounds.iter();
                let own = rounds.find(|r| r.round == *round && r.trusted)?;
                Some((own.temperature - *cool).kelvin().min(read))
            }
            _ => None,
        };
        let read = match c.connections.first() == Some(&connection.id) {
            true => read,
            false => own()?,
        };
        (read > 0.0).then_some(Growing {
            check: CheckId::LegDifference,
            bands: &thermal.leg_difference,
            offset: 0.0,
            now,
            read: factor * read,
            factor,
            kept: 0.0,
        })
    }));
    let tau = thermal.longest_time_constant_min.value;
    let changes = growing.iter().filter_map(|g| g.change(minutes, tau));
    let later = |c: &Change| c.deciding.map_or(0.0, |d| d.minutes);
    changes.reduce(|a, b| {
        let (first, second) = ((a.grade, later(&a)), (b.grade, later(&b)));
        if second > first { b } else { a }
    })
}
