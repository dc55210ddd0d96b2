//! Heat of each connection: the rise at which it settles, the rise at rated load, the temperature
//! on the hottest day and its limit.
//!
//! `readings` converts displayed values to true temperatures, `rated` determines the values at
//! rated load, and `findings` grades them.

use super::insulation;
use super::places;
use super::rated::{Curve, Load};
use super::readings::Thermometer;
use super::without_load;
use crate::assess::assessment::{
    CheckResult, ConnectionAssessment, Estimate, Limitation, RoundValue, Value, Values,
};
use crate::assess::notes::Notes;
use crate::assess::physics::spot;
use crate::quantity::{Ratio, Temperature, TemperatureDifference};
use crate::rules::{Rules, Sourced};
use crate::visit::{Circuit, Connection, ConnectionKind, Instrument, Place, Reading, Visit};
use crate::vocabulary::{CheckId, LimitationId, RatingOf, ValueName};
use std::collections::{BTreeSet, HashMap};

/// Every reading of one connection, in the order of rounds.
#[derive(Default)]
pub(crate) struct Taken<'a> {
    /// Converted to true temperature.
    pub rounds: Vec<RoundValue>,
    /// As written in the file.
    pub readings: Vec<&'a Reading>,
    /// What the connection keeps without load.
    pub kept: Option<Estimate>,
}

/// The readings of a circuit by connection, in the order of its connections.
pub(crate) fn taken<'a>(
    circuit: &'a Circuit,
    thermometer: &Thermometer<'_>,
    rules: &Rules,
) -> Vec<Taken<'a>> {
    let connections: Vec<&Connection> = circuit.connections().map(|(_, c)| c).collect();
    let mut taken: Vec<Taken> = Vec::new();
    taken.resize_with(connections.len(), Taken::default);
    let Some(heat) = &circuit.heat else {
        return taken;
    };
    let index: HashMap<&str, usize> = connections
        .iter()
        .enumerate()
        .map(|(i, c)| (c.id.as_str(), i))
        .collect();
    for t in &mut taken {
        t.rounds.reserve_exact(heat.rounds.len());
        t.readings.reserve_exact(heat.rounds.len());
    }
    for (number, round) in heat.rounds.iter().enumerate() {
        for (id, reading) in &round.readings {
            let Some(&i) = index.get(id.as_str()) else {
                continue;
            };
            taken[i]
                .rounds
                .push(thermometer.value(heat, number, round, connections[i], reading));
            taken[i].readings.push(reading);
        }
    }
    let mut rest = taken.as_mut_slice();
    for place in &circuit.places {
        let (here, after) = rest.split_at_mut(place.connections.len());
        rest = after;
        let rounds: Vec<&[RoundValue]> = here.iter().map(|t| t.rounds.as_slice()).collect();
        let kept = without_load::kept(&rounds, rules);
        for (taken, kept) in here.iter_mut().zip(kept) {
            taken.kept = kept;
        }
    }
    taken
}

/// Measures every connection of a circuit.
pub(crate) fn measure(
    visit: &Visit,
    circuit: &Circuit,
    rules: &Rules,
    notes: &mut Notes,
) -> Vec<ConnectionAssessment> {
    let instrument = circuit
        .heat
        .as_ref()
        .and_then(|h| visit.instrument(&h.with));
    let thermometer = Thermometer::of(visit, circuit, rules);
    let legs: BTreeSet<&str> = circuit.connections().map(|(_, c)| &*c.leg).collect();
    let loads: HashMap<&str, Load> = legs
        .into_iter()
        .map(|leg| (leg, Load::in_leg(visit, circuit, leg, rules)))
        .collect();
    let mut shiny = Vec::new();
    let mut mirrored = Vec::new();
    let mut colder = Vec::new();
    let mut wide: Vec<(String, Ratio)> = Vec::new();
    let connections = circuit
        .connections()
        .zip(taken(circuit, &thermometer, rules))
        .map(|((place, connection), taken)| {
            if taken.rounds.iter().any(|r| !r.trusted) {
                if thermometer.shiny(connection) {
                    shiny.push(connection.id.clone());
                } else if taken.rounds.iter().any(RoundValue::colder_than_air) {
                    colder.push(connection.id.clone());
                } else {
                    mirrored.push(connection.id.clone());
                }
            }
            if let Some(needed) = too_wide(&taken.readings, connection, instrument, rules) {
                wide.push((connection.id.clone(), needed));
            }
            whole(
                circuit,
                place,
                connection,
                taken,
                &thermometer,
                &loads[connection.leg.as_str()],
                rules,
            )
        })
        .collect();

    if !shiny.is_empty() {
        notes.checks.push(CheckResult {
            circuit: Some(circuit.id.clone()),
            connections: shiny,
            source: rules.thermal.least_emissivity.source.clone(),
            ..CheckResult::new(CheckId::ShinyTarget, rules.thermal.shiny_target.value)
        });
    }
    for (id, connections) in [
        (LimitationId::ReflectionTooStrong, mirrored),
        (LimitationId::ColderThanAir, colder),
    ] {
        if connections.is_empty() {
            continue;
        }
        notes.limitations.push(Limitation {
            id,
            circuit: Some(circuit.id.clone()),
            place: None,
            connections,
            // A loaded connection colder than the air means a wrong unit, spot or air temperature:
            // no other reading of that round is reliable either.
            incomplete: id == LimitationId::ColderThanAir,
            values: Values::new(),
        });
    }
    if let Some(needed) = wide
        .iter()
        .map(|(_, ratio)| ratio.value())
        .max_by(f64::total_cmp)
    {
        notes.checks.push(CheckResult {
            circuit: Some(circuit.id.clone()),
            connections: wide.into_iter().map(|(id, _)| id).collect(),
            source: rules.thermal.spot_share.source.clone(),
            // Rounded up, so that the ratio named is enough.
            values: [(ValueName::DistanceToSpot, Value::Number(needed.ceil()))].into(),
            ..CheckResult::new(CheckId::SpotTooWide, rules.thermal.spot_too_wide.value)
        });
    }
    connections
}

/// If the spot of a reading was too wide, the smallest distance-to-spot ratio with which the spot
/// of every reading would have fitted.
fn too_wide(
    readings: &[&Reading],
    connection: &Connection,
    instrument: Option<&Instrument>,
    rules: &Rules,
) -> Option<Ratio> {
    let ratio = instrument?.distance_to_spot?;
    let width = connection.width?;
    let share = rules.thermal.spot_share.value;
    readings
        .iter()
        .filter_map(|reading| spot::spot(reading.distance?, ratio, width, share))
        .filter(|s| s.too_wide)
        .map(|s| s.needed)
        .max_by(|a, b| a.value().total_cmp(&b.value()))
}

/// Connections that carry the charger's current and for which every reading in these rounds was
/// made with a spot wider than the target itself: the background contributes to such readings, so
/// they are only a lower bound on the heat.
pub(crate) fn spot_over_target(visit: &Visit, circuit: &Circuit, rounds: &[usize]) -> Vec<String> {
    let Some(heat) = &circuit.heat else {
        return Vec::new();
    };
    let Some(ratio) = visit
        .instrument(&heat.with)
        .and_then(|i| i.distance_to_spot)
    else {
        return Vec::new();
    };
    let carrying = places::carrying(circuit);
    let wider = |connection: &Connection| {
        let width = connection.width?;
        let mut spots = rounds
            .iter()
            .filter_map(|&i| heat.rounds.get(i))
            .flat_map(|r| &r.readings)
            .filter(|(id, _)| *id == connection.id)
            .map(|(_, reading)| spot::spot(reading.distance?, ratio, width, 1.0))
            .peekable();
        spots.peek()?;
        spots
            .all(|spot| spot.is_some_and(|s| s.too_wide))
            .then(|| connection.id.clone())
    };
    circuit
        .connections()
        .map(|(_, c)| c)
        .filter(|c| carrying.contains(&c.leg.as_str()))
        .filter_map(wider)
        .collect()
}

/// Connections that carry the charger's current for which the visit gives some of the target's width,
/// the distance and the thermometer's distance to spot, but not all that it needs, so that the spot
/// cannot be checked although someone evidently wants it checked.
pub(crate) fn spot_not_told(visit: &Visit, circuit: &Circuit) -> Vec<String> {
    let Some(heat) = &circuit.heat else {
        return Vec::new();
    };
    let instrument = visit.instrument(&heat.with);
    // A contact thermometer has no spot.
    let Some(instrument) = instrument.filter(|i| i.kind.infrared()) else {
        return Vec::new();
    };
    let optics = instrument.distance_to_spot.is_some();
    let mut read: HashMap<&str, bool> = HashMap::new();
    for (id, reading) in heat.rounds.iter().flat_map(|r| &r.readings) {
        *read.entry(id.as_str()).or_default() |= reading.distance.is_some();
    }
    let carrying = places::carrying(circuit);
    circuit
        .connections()
        .map(|(_, c)| c)
        .filter(|c| carrying.contains(&c.leg.as_str()))
        .filter(|c| {
            read.get(c.id.as_str()).is_some_and(|distance| {
                let (width, distance) = (c.width.is_some(), *distance);
                match optics {
                    true => width != distance,
                    false => width && distance,
                }
            })
        })
        .map(|c| c.id.clone())
        .collect()
}

/// Determines the settled rise, rise at rated load and projection from a connection's rounds.
fn whole(
    circuit: &Circuit,
    place: &Place,
    connection: &Connection,
    taken: Taken<'_>,
    thermometer: &Thermometer<'_>,
    load: &Load,
    rules: &Rules,
) -> ConnectionAssessment {
    let at_rated = circuit.heat.as_ref().map(|heat| {
        Curve {
            heat,
            connection,
            rounds: &taken.rounds,
            readings: &taken.readings,
            thermometer,
            load,
            kept: taken.kept,
            rules,
        }
        .at_rated()
    });
    let seen = at_rated.as_ref().is_some_and(|a| a.seen);
    let rise = at_rated.as_ref().and_then(|a| a.rise);
    let growth = at_rated.as_ref().and_then(|a| a.growth);
    let slow = at_rated.as_ref().map_or(0.0, |a| a.slow_k);
    let limit = limit(circuit, connection, rules);
    let hidden = insulation::hidden(circuit, connection);
    let projected_rise = at_rated
        .as_ref()
        .and_then(|a| a.projected)
        .map(|rise| insulation::widened(rise, hidden, rules.thermal.coverage_factor.value));
    let projected = projected_rise.map(|r| hottest_air(circuit, rules) + r.value);
    ConnectionAssessment {
        id: connection.id.clone(),
        place: place.id.clone(),
        leg: connection.leg.clone(),
        rounds: taken.rounds,
        settled: at_rated.as_ref().and_then(|a| a.settled),
        without_load: taken.kept,
        rise_at_rated: rise.map(|(r, _)| r),
        rated_by: rise.map(|(_, by)| by),
        rise_seen: seen,
        measured_at_rated: at_rated.and_then(|a| a.measured),
        growth,
        slow: TemperatureDifference::from_kelvin(slow),
        hidden,
        projected_rise,
        projected,
        margin: projected.map(|t| limit.0 - t),
        limit: Some(limit),
        ends: None,
        earlier: Vec::new(),
        slope: None,
    }
}

/// Hottest expected air temperature: as specified, otherwise the rule set's; at least the highest
/// measured one.
pub(crate) fn hottest_air(circuit: &Circuit, rules: &Rules) -> Temperature {
    let stated = circuit
        .hottest_air
        .unwrap_or(Temperature::from_celsius(rules.thermal.hottest_air_c.value));
    let rounds = circuit.heat.iter().flat_map(|h| &h.rounds);
    rounds.filter_map(|r| r.air).fold(
        stated,
        |hottest, air| if air > hottest { air } else { hottest },
    )
}

/// Lowest temperature rating of terminal, insulation and receptacle.
///
/// If the visit names a product standard for the device, the temperature it allows on the hottest
/// day counts. If neither rating nor standard of a terminal is specified, the rule set's value for
/// unmarked terminals applies. A closed cover has none of these; see [`known_limit`].
pub(crate) fn limit(
    circuit: &Circuit,
    connection: &Connection,
    rules: &Rules,
) -> (Temperature, RatingOf) {
    let known = known_limit(circuit, connection, rules);
    if connection.on_cover() || terminal_told(circuit, connection, rules) {
        return known;
    }
    let unmarked = Temperature::from_celsius(rules.thermal.unmarked_terminal_c.value);
    if known.0 < unmarked {
        known
    } else {
        (unmarked, RatingOf::UnmarkedTerminal)
    }
}

/// Whether the visit states the rating of a connection's terminal, or its product standard.
fn terminal_told(circuit: &Circuit, connection: &Connection, rules: &Rules) -> bool {
    connection.rating.is_some()
        || circuit.breaker.terminal_rating.is_some()
        || product_rise(connection, rules).is_some()
}

/// Lowest temperature rating that the visit states, without anything assumed for a terminal that is
/// not marked. For a point on a closed cover, the temperature up to which it may be touched on the
/// hottest day.
pub(crate) fn known_limit(
    circuit: &Circuit,
    connection: &Connection,
    rules: &Rules,
) -> (Temperature, RatingOf) {
    let over_air =
        |rise: f64| hottest_air(circuit, rules) + TemperatureDifference::from_kelvin(rise);
    if connection.on_cover() {
        return (over_air(rules.thermal.cover_rise_k.value), RatingOf::Cover);
    }
    let terminal = connection
        .rating
        .or(circuit.breaker.terminal_rating)
        .map(|t| (t, RatingOf::Terminal));
    let product = product_rise(connection, rules)
        .map(|rise| (over_air(rise.value), RatingOf::ProductStandard));
    let insulation = (circuit.conductors.insulation, RatingOf::Insulation);
    let receptacle = circuit
        .receptacle
        .as_ref()
        .filter(|_| connection.kind == ConnectionKind::Blade)
        .and_then(|r| r.rating)
        .map(|t| (t, RatingOf::Receptacle));
    [terminal, product, Some(insulation), receptacle]
        .into_iter()
        .flatten()
        .reduce(|least, next| if next.0 < least.0 { next } else { least })
        .unwrap_or(insulation)
}

/// Maximum temperature rise allowed by the product standard that a connection names, kelvin.
pub(crate) fn product_rise<'r>(
    connection: &Connection,
    rules: &'r Rules,
) -> Option<&'r Sourced<f64>> {
    let standard = connection.standard?;
    let rises = &rules.thermal.terminal_rises_k;
    let found = rises.iter().find(|(known, _)| *known == standard);
    found.map(|(_, rise)| rise)
}
