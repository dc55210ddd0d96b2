//! Findings on heat: rise over air, projected temperature, surfaces over their rating, heat without
//! load, heat still climbing, load too low.

use super::engine::Notes;
use super::heat::by_place;
use super::model::{ConnectionAssessment, Estimate, Finding, RoundValue, SettledHow, Value};
use super::rated::{judged_rounds, little_load};
use super::thermal::uncertainty;
use crate::quantity::{Current, Duration};
use crate::rules::{Bands, Rules};
use crate::visit::{Circuit, Grade, Place};

/// What a value is held against.
#[derive(Debug, Clone, Copy)]
pub(super) struct Held {
    /// The edge of the band that the value is in; below the first, the edge that it is below.
    pub limit: Option<f64>,
    /// The edge of the next band, where that is nearer and within the expanded uncertainty: the
    /// value may as well be worse than it is graded.
    pub next: Option<f64>,
}

impl Held {
    pub fn against(bands: &Bands, value: f64, expanded: f64) -> Self {
        let Some(reached) = bands.grade(value).1 else {
            return Self {
                limit: bands.first_edge().map(|e| e.at),
                next: None,
            };
        };
        let next = bands.edges.iter().map(|e| e.at).find(|at| *at > value);
        Self {
            limit: Some(reached.at),
            next: next.filter(|at| at - value < expanded.min(value - reached.at)),
        }
    }

    /// The first edge that is a limit at all, for a value that is no finding.
    pub fn first(bands: &Bands) -> Self {
        Self {
            limit: bands.first_edge().map(|e| e.at),
            next: None,
        }
    }

    /// The finding with both limits, the uncertainty and, when the value with its uncertainty
    /// straddles the nearer of them, the probability that the true value is over that one
    /// (JCGM 106:2012, normal distribution).
    pub fn told(self, value: f64, u: f64, coverage: f64, finding: Finding) -> Finding {
        let expanded = coverage * u;
        let edge = self.next.or(self.limit);
        let borderline = edge.is_some_and(|l| uncertainty::borderline(value, expanded, l));
        Finding {
            value: Some(value),
            limit: self.limit,
            next_limit: self.next,
            uncertainty: Some(expanded),
            borderline,
            probability_over: edge
                .filter(|_| borderline)
                .map(|l| uncertainty::probability_over(value, u, l)),
            ..finding
        }
    }
}

/// A finding on a difference of temperatures, kelvin.
pub(super) fn over(
    id: &'static str,
    grade: Grade,
    value: f64,
    held: Held,
    u: f64,
    rules: &Rules,
) -> Finding {
    let finding = Finding {
        unit: "K",
        ..Finding::new(id, grade)
    };
    held.told(value, u, rules.thermal.coverage_factor.value, finding)
}

/// Grades the heat of a circuit, place by place.
pub(super) fn judge(
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
    notes: &mut Notes,
) {
    let judged = judged_rounds(circuit, rules);
    let little = little_load(circuit, &judged);
    let loaded = circuit
        .heat
        .iter()
        .flat_map(|h| &h.rounds)
        .any(|r| r.current.ampere() > 0.0);
    if loaded && judged.is_empty() {
        notes.findings.push(load_too_low(circuit, rules));
    }
    for (place, here) in by_place(circuit, connections) {
        let found = [
            over_rating(circuit, place, here, rules),
            projected(circuit, place, here, rules),
            worse(
                rise(circuit, place, here, &judged, rules),
                least_rise(circuit, place, here, &little, rules),
            ),
            without_load(circuit, place, here, rules),
        ];
        notes.findings.extend(found.into_iter().flatten());
    }
    notes
        .findings
        .extend(still_climbing(circuit, connections, rules));
}

fn at(circuit: &Circuit, place: &Place, finding: Finding) -> Finding {
    Finding {
        circuit: Some(circuit.id.clone()),
        place: Some(place.id.clone()),
        ..finding
    }
}

/// The worst of a place by a value, and the connections as bad as it, worst first.
///
/// A place whose worst is a `pass` names all its connections.
fn worst<'a>(
    here: &'a [ConnectionAssessment],
    bands: &Bands,
    value: impl Fn(&ConnectionAssessment) -> Option<f64>,
) -> Option<(&'a ConnectionAssessment, f64, Grade, Vec<String>)> {
    let mut valued: Vec<(&ConnectionAssessment, f64)> =
        here.iter().filter_map(|c| Some((c, value(c)?))).collect();
    valued.sort_by(|a, b| b.1.total_cmp(&a.1));
    let &(first, most) = valued.first()?;
    let grade = bands.grade(most).0;
    let same = valued
        .iter()
        .filter(|(_, v)| bands.grade(*v).0 == grade)
        .map(|(c, _)| c.id.clone())
        .collect();
    Some((first, most, grade, same))
}

/// The rises of a connection in some of the rounds, by index: a trusted surface, air.
fn rises_in<'a>(
    connection: &'a ConnectionAssessment,
    rounds: &'a [usize],
) -> impl DoubleEndedIterator<Item = (&'a RoundValue, Estimate)> {
    connection
        .rounds
        .iter()
        .filter(|r| r.trusted && rounds.binary_search(&r.round).is_ok())
        .filter_map(|r| Some((r, r.rise?)))
}

/// The largest of them.
fn largest_in<'a>(
    connection: &'a ConnectionAssessment,
    rounds: &'a [usize],
) -> Option<(&'a RoundValue, Estimate)> {
    rises_in(connection, rounds).max_by(|a, b| a.1.value.kelvin().total_cmp(&b.1.value.kelvin()))
}

/// The rise that a connection is graded by: at rated load, or as measured where that is more,
/// which it can be only at more than rated load.
fn graded_rise(connection: &ConnectionAssessment, judged: &[usize]) -> Option<Estimate> {
    rises_in(connection, judged)
        .map(|(_, rise)| rise)
        .chain(connection.rise_at_rated)
        .reduce(|most, next| if next.value > most.value { next } else { most })
}

/// The worse of what full load tells and of what too little load shows at the least; of equals
/// the former.
pub(super) fn worse(full: Option<Finding>, least: Option<Finding>) -> Option<Finding> {
    match (full, least) {
        (Some(full), Some(least)) if least.grade > full.grade => Some(least),
        (Some(full), _) => Some(full),
        (None, least) => least,
    }
}

/// The largest rise measured in rounds with too little load to be judged, from `watch` on: at
/// rated load it is more. Milder it says nothing.
fn least_rise(
    circuit: &Circuit,
    place: &Place,
    here: &[ConnectionAssessment],
    little: &[usize],
    rules: &Rules,
) -> Option<Finding> {
    let (connection, value, grade, connections) = worst(here, &rules.thermal.rise, |c| {
        Some(largest_in(c, little)?.1.value.kelvin())
    })?;
    if grade < Grade::Watch {
        return None;
    }
    let seen = largest_in(connection, little)?;
    Some(Finding {
        connections,
        variant: Some("least"),
        ..rise_finding(circuit, place, (grade, value, seen.1), seen, rules)
    })
}

/// A finding on the rise: its grade, value and estimate, and the round that was seen with it.
fn rise_finding(
    circuit: &Circuit,
    place: &Place,
    (grade, value, rise): (Grade, f64, Estimate),
    (round, measured): (&RoundValue, Estimate),
    rules: &Rules,
) -> Finding {
    let bands = &rules.thermal.rise;
    let expanded = rise.expanded.kelvin();
    let u = expanded / rules.thermal.coverage_factor.value;
    let held = Held::against(bands, value, expanded);
    Finding {
        source: bands.source.clone(),
        values: [
            ("rated", Value::Current(circuit.charger.rated_current)),
            ("current", Value::Current(round.current)),
            ("temperature", Value::Temperature(round.temperature)),
            ("measured", Value::Difference(measured.value)),
        ]
        .into(),
        ..at(circuit, place, over("rise", grade, value, held, u, rules))
    }
}

/// Rise over air at rated load: settled, scaled from the load it was measured at.
fn rise(
    circuit: &Circuit,
    place: &Place,
    here: &[ConnectionAssessment],
    judged: &[usize],
    rules: &Rules,
) -> Option<Finding> {
    let (connection, value, grade, connections) = worst(here, &rules.thermal.rise, |c| {
        Some(graded_rise(c, judged)?.value.kelvin())
    })?;
    let rise = graded_rise(connection, judged)?;
    let last = rises_in(connection, judged).next_back()?;
    let mut finding = Finding {
        connections,
        ..rise_finding(circuit, place, (grade, value, rise), last, rules)
    };
    if let Some(by) = connection.rated_by {
        finding
            .values
            .insert("by", Value::Text(by.word().to_owned()));
    }
    if let Some(wait) = connection.settled.and_then(|s| s.wait_min) {
        finding
            .values
            .insert("wait", Value::Duration(Duration::from_minute(wait)));
    }
    Some(finding)
}

/// Temperature on the hottest day at rated load against the lowest rating.
///
/// The bands hold negated margins, so that worse is larger as everywhere else.
fn projected(
    circuit: &Circuit,
    place: &Place,
    here: &[ConnectionAssessment],
    rules: &Rules,
) -> Option<Finding> {
    let bands = &rules.thermal.projected_margin;
    let (connection, over_limit, grade, connections) =
        worst(here, bands, |c| Some(-c.margin?.kelvin()))?;
    let expanded = connection.rise_at_rated?.expanded.kelvin();
    let u = expanded / rules.thermal.coverage_factor.value;
    let (rating, origin) = connection.limit?;
    let temperature = connection.projected?;
    let held = Held::against(bands, over_limit, expanded);
    let graded = over("projected-heat", grade, over_limit, held, u, rules);
    Some(Finding {
        // Value and limits are printed as what is left below the rating, the margin.
        value: graded.value.map(|v| -v),
        limit: graded.limit.map(|l| -l),
        next_limit: graded.next_limit.map(|l| -l),
        source: bands.source.clone(),
        connections,
        variant: Some(origin),
        values: [
            ("temperature", Value::Temperature(temperature)),
            ("rating", Value::Temperature(rating)),
            ("rated", Value::Current(circuit.charger.rated_current)),
        ]
        .into(),
        ..at(circuit, place, graded)
    })
}

/// Surfaces that were measured hotter than their rating allows, in any round.
fn over_rating(
    circuit: &Circuit,
    place: &Place,
    here: &[ConnectionAssessment],
    rules: &Rules,
) -> Option<Finding> {
    let mut over_by: Vec<(&ConnectionAssessment, &RoundValue, f64)> = here
        .iter()
        .filter_map(|c| {
            let (rating, _) = c.limit?;
            let hottest = c
                .rounds
                .iter()
                .filter(|r| r.trusted)
                .max_by(|a, b| a.temperature.kelvin().total_cmp(&b.temperature.kelvin()))?;
            let by = (hottest.temperature - rating).kelvin();
            (by > 0.0).then_some((c, hottest, by))
        })
        .collect();
    over_by.sort_by(|a, b| b.2.total_cmp(&a.2));
    let &(connection, hottest, by) = over_by.first()?;
    let (rating, origin) = connection.limit?;
    let rule = &rules.thermal.over_rating;
    let rating_itself = Held {
        limit: Some(0.0),
        next: None,
    };
    let u = hottest.standard_uncertainty.kelvin();
    Some(Finding {
        connections: over_by.iter().map(|(c, _, _)| c.id.clone()).collect(),
        variant: Some(origin),
        source: rule.source.clone(),
        values: [
            ("temperature", Value::Temperature(hottest.temperature)),
            ("rating", Value::Temperature(rating)),
            ("current", Value::Current(hottest.current)),
        ]
        .into(),
        ..at(
            circuit,
            place,
            over("over-rating", rule.value, by, rating_itself, u, rules),
        )
    })
}

/// Warm without load: by more than its uncertainty over air before charging began.
fn without_load(
    circuit: &Circuit,
    place: &Place,
    here: &[ConnectionAssessment],
    rules: &Rules,
) -> Option<Finding> {
    let mut warm: Vec<(&ConnectionAssessment, f64, f64)> = here
        .iter()
        .filter_map(|c| {
            // Only before any load: afterwards a connection is still cooling.
            let cold = c
                .rounds
                .iter()
                .take_while(|r| r.current.ampere() == 0.0)
                .find(|r| r.trusted && r.minutes.is_none_or(|m| m <= 0.0))?;
            let rise = cold.rise?;
            (rise.value > rise.expanded).then_some((c, rise.value.kelvin(), rise.expanded.kelvin()))
        })
        .collect();
    warm.sort_by(|a, b| b.1.total_cmp(&a.1));
    let &(_, value, expanded) = warm.first()?;
    let rule = &rules.thermal.hot_without_load;
    Some(Finding {
        connections: warm.iter().map(|(c, _, _)| c.id.clone()).collect(),
        value: Some(value),
        limit: Some(expanded),
        unit: "K",
        uncertainty: Some(expanded),
        source: rule.source.clone(),
        ..at(circuit, place, Finding::new("hot-without-load", rule.value))
    })
}

/// Connections whose loaded rounds show no bend yet: what they settle to is not known.
fn still_climbing(
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
) -> Option<Finding> {
    let rule = &rules.thermal.still_climbing_k_per_h;
    let mut climbing: Vec<(&ConnectionAssessment, f64)> = connections
        .iter()
        .filter(|c| {
            c.settled
                .is_some_and(|s| s.how == SettledHow::StillClimbing)
        })
        .filter_map(|c| Some((c, slope_k_per_h(c)?)))
        .filter(|(_, slope)| *slope > rule.value)
        .collect();
    climbing.sort_by(|a, b| b.1.total_cmp(&a.1));
    let &(_, steepest) = climbing.first()?;
    Some(Finding {
        circuit: Some(circuit.id.clone()),
        connections: climbing.iter().map(|(c, _)| c.id.clone()).collect(),
        value: Some(steepest),
        limit: Some(rule.value),
        unit: "K/h",
        source: rule.source.clone(),
        ..Finding::new("still-climbing", rules.thermal.still_climbing.value)
    })
}

/// Mean slope of the rise between the last two loaded rounds, kelvin an hour.
fn slope_k_per_h(connection: &ConnectionAssessment) -> Option<f64> {
    let mut loaded = connection
        .rounds
        .iter()
        .rev()
        .filter(|r| r.trusted && r.current.ampere() > 0.0);
    let (last, before) = (loaded.next()?, loaded.next()?);
    let hours = (last.minutes? - before.minutes?) / 60.0;
    let climbed = (last.rise?.value.kelvin()) - (before.rise?.value.kelvin());
    (hours > 0.0).then(|| climbed / hours)
}

fn load_too_low(circuit: &Circuit, rules: &Rules) -> Finding {
    let rule = &rules.thermal.least_load_fraction;
    let rated = circuit.charger.rated_current;
    let highest = circuit
        .heat
        .iter()
        .flat_map(|h| &h.rounds)
        .map(|r| r.current.ampere())
        .fold(0.0, f64::max);
    Finding {
        circuit: Some(circuit.id.clone()),
        value: Some(highest / rated.ampere()),
        limit: Some(rule.value),
        unit: "1",
        source: rule.source.clone(),
        values: [
            ("current", Value::Current(Current::from_ampere(highest))),
            ("rated", Value::Current(rated)),
        ]
        .into(),
        ..Finding::new("load-too-low", rules.thermal.load_too_low.value)
    }
}
