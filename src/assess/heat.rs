//! Heat of each connection: the rise it settles to, the rise at rated load, the temperature on the
//! hottest day and its limit.
//!
//! `readings` has put the instrument's numbers into true temperatures before; `heat_findings`
//! grades what is found here.

use super::engine::Notes;
use super::model::{
    ConnectionAssessment, Estimate, Finding, RoundValue, Settled, SettledHow, Value,
};
use super::readings;
use super::thermal::{scale, settle, spot};
use crate::quantity::{Current, Length, Temperature, TemperatureDifference};
use crate::rules::Rules;
use crate::visit::{Circuit, Connection, ConnectionKind, Instrument, Place, Visit};

/// How near to settled counts as settled, kelvin: below what a spot thermometer resolves.
const WITHIN_K: f64 = 1.0;

/// Rounds, by index, that carry enough load to be judged.
pub(super) fn judged_rounds(circuit: &Circuit, rules: &Rules) -> Vec<usize> {
    let least = rules.thermal.least_load_fraction.value * circuit.charger.rated_current.ampere();
    circuit
        .heat
        .iter()
        .flat_map(|h| h.rounds.iter().enumerate())
        .filter(|(_, r)| r.current.ampere() > 0.0 && r.current.ampere() >= least)
        .map(|(i, _)| i)
        .collect()
}

/// Measures every connection of a circuit.
pub(super) fn measure(
    visit: &Visit,
    circuit: &Circuit,
    rules: &Rules,
    notes: &mut Notes,
) -> Vec<ConnectionAssessment> {
    let instrument = circuit
        .heat
        .as_ref()
        .and_then(|h| visit.instrument(&h.with));
    let mut shiny = Vec::new();
    let mut wide: Vec<(String, Length)> = Vec::new();
    let connections = circuit
        .connections()
        .map(|(place, connection)| {
            let rounds = circuit.heat.as_ref().map_or_else(Vec::new, |h| {
                readings::rounds(h, connection, instrument, rules)
            });
            if rounds.iter().any(|r| !r.trusted) {
                shiny.push(connection.id.clone());
            }
            if let Some(to) = too_far(circuit, connection, instrument, rules) {
                wide.push((connection.id.clone(), to));
            }
            whole(circuit, place, connection, rounds, rules)
        })
        .collect();

    if !shiny.is_empty() {
        notes.findings.push(Finding {
            circuit: Some(circuit.id.clone()),
            connections: shiny,
            source: rules.thermal.least_emissivity.source.clone(),
            ..Finding::new("shiny-target", rules.thermal.shiny_target.value)
        });
    }
    if let Some(nearest) = wide
        .iter()
        .map(|(_, d)| *d)
        .min_by(|a, b| a.metre().total_cmp(&b.metre()))
    {
        notes.findings.push(Finding {
            circuit: Some(circuit.id.clone()),
            connections: wide.into_iter().map(|(id, _)| id).collect(),
            source: rules.thermal.spot_share.source.clone(),
            values: [("distance", Value::Length(nearest))].into(),
            ..Finding::new("spot-too-wide", rules.thermal.spot_too_wide.value)
        });
    }
    connections
}

/// The longest distance from which every reading's spot would have fitted, where one did not.
fn too_far(
    circuit: &Circuit,
    connection: &Connection,
    instrument: Option<&Instrument>,
    rules: &Rules,
) -> Option<Length> {
    let ratio = instrument?.distance_to_spot?;
    let width = connection.width?;
    let share = rules.thermal.spot_share.value;
    circuit
        .heat
        .iter()
        .flat_map(|h| &h.rounds)
        .flat_map(|r| &r.readings)
        .filter(|(id, _)| *id == connection.id)
        .filter_map(|(_, reading)| spot::spot(reading.distance?, ratio, width, share))
        .find(|s| s.too_wide)
        .map(|s| s.go_to)
}

/// From a connection's rounds to its settled rise, rise at rated load and projection.
fn whole(
    circuit: &Circuit,
    place: &Place,
    connection: &Connection,
    rounds: Vec<RoundValue>,
    rules: &Rules,
) -> ConnectionAssessment {
    let rated = circuit.charger.rated_current;
    let k = rules.thermal.coverage_factor.value;
    let settled = settled(&rounds, rules);
    let enough =
        |i: Current| i.ampere() >= rules.thermal.least_load_fraction.value * rated.ampere();
    let rise_at_rated = settled.filter(|s| enough(s.current)).and_then(|s| {
        let at = scale::AtLoad {
            rise: s.rise.value,
            u_rise: TemperatureDifference::from_kelvin(s.rise.expanded.kelvin() / k),
            current: s.current,
            u_current: Current::from_ampere(0.0),
        };
        let scaled = scale::at_rated(&at, rated, rules.thermal.exponent.value, 0.0)?;
        Some(Estimate {
            value: scaled.rise,
            expanded: TemperatureDifference::from_kelvin(scaled.budget.expanded(k)),
        })
    });
    let limit = limit(circuit, connection, rules);
    let hottest_air = circuit
        .hottest_air
        .unwrap_or(Temperature::from_celsius(rules.thermal.hottest_air_c.value));
    let projected = rise_at_rated.map(|r| hottest_air + r.value);
    ConnectionAssessment {
        id: connection.id.clone(),
        place: place.id.clone(),
        leg: connection.leg.clone(),
        rounds,
        settled,
        rise_at_rated,
        projected,
        margin: projected.map(|t| limit.0 - t),
        limit: Some(limit),
    }
}

/// Lowest temperature rating of terminal, insulation and receptacle.
///
/// A terminal whose rating the visit does not tell is taken at the rule set's value for unmarked
/// terminals.
pub(super) fn limit(
    circuit: &Circuit,
    connection: &Connection,
    rules: &Rules,
) -> (Temperature, &'static str) {
    let unmarked = Temperature::from_celsius(rules.thermal.unmarked_terminal_c.value);
    let terminal = connection
        .rating
        .or(circuit.breaker.terminal_rating)
        .map_or((unmarked, "unmarked-terminal"), |t| (t, "terminal"));
    let receptacle = circuit
        .receptacle
        .as_ref()
        .filter(|_| connection.kind == ConnectionKind::Blade)
        .and_then(|r| r.rating)
        .map(|t| (t, "receptacle"));
    [
        Some(terminal),
        Some((circuit.conductors.insulation, "insulation")),
        receptacle,
    ]
    .into_iter()
    .flatten()
    .fold(
        terminal,
        |least, next| if next.0 < least.0 { next } else { least },
    )
}

/// The rise that the loaded rounds settle to, or the bound they give.
fn settled(rounds: &[RoundValue], rules: &Rules) -> Option<Settled> {
    let k = rules.thermal.coverage_factor.value;
    let points: Vec<settle::LoadPoint> = rounds
        .iter()
        .filter(|r| r.trusted && r.current.ampere() > 0.0)
        .filter_map(|r| {
            let rise = r.rise?;
            Some(settle::LoadPoint {
                minutes: r.minutes?,
                rise_k: rise.value.kelvin(),
                u_rise_k: rise.expanded.kelvin() / k,
                current_a: r.current.ampere(),
                air_c: r.air?.celsius(),
            })
        })
        .collect();
    // A rise before charging counts as a warm start only beyond its uncertainty.
    let start = rounds
        .iter()
        .filter(|r| r.trusted && r.current.ampere() == 0.0 && r.minutes.is_some_and(|m| m <= 0.0))
        .filter_map(|r| r.rise)
        .next_back()
        .filter(|rise| rise.value > rise.expanded);
    let heating = settle::Heating {
        start_rise_k: start.map_or(0.0, |rise| rise.value.kelvin()),
        ..settle::Heating::new(rules.thermal.exponent.value)
    };
    let fit = settle::fit(&points, &heating);
    let how = match fit.how {
        settle::How::Solved => SettledHow::TwoRounds,
        settle::How::Fitted => SettledHow::LeastSquares,
        settle::How::Plateau => SettledHow::Measured,
        settle::How::StillClimbing => SettledHow::StillClimbing,
        settle::How::TooUncertain => SettledHow::TooUncertain,
        settle::How::Contradictory => SettledHow::Contradictory,
        settle::How::TooFew => SettledHow::OneRound,
    };
    Some(Settled {
        rise: Estimate {
            value: TemperatureDifference::from_kelvin(fit.rise_k?),
            expanded: TemperatureDifference::from_kelvin(k * fit.u_rise_k),
        },
        time_constant_min: fit.time_constant_min,
        current: Current::from_ampere(fit.reference_a),
        how,
        rate_k_per_h: fit.rate_k_per_h,
        wait_min: fit.minutes_to_within(WITHIN_K),
    })
}
