//! Findings on heat: rise over air, projected temperature, surfaces above their rating, heat
//! without load, heat still climbing, load too low.

use super::held::{Held, over};
use super::measured::{hottest_air, known_limit};
use super::places::by_place;
use super::rated::Load;
use super::without_load::less;
use super::would_show::{self, Reading};
use crate::assess::assessment::{
    CheckResult, ConnectionAssessment, Estimate, Limitation, RoundValue, SettledHow, Value,
    WouldShow,
};
use crate::assess::judgement;
use crate::assess::notes::Notes;
use crate::assess::physics::uncertainty;
use crate::quantity::{Current, Duration, Temperature, TemperatureDifference};
use crate::rules::{Bands, Rules};
use crate::visit::{Circuit, Grade, Judgement, Place, Visit};
use crate::vocabulary::{CheckId, LimitationId, RatingOf, ValueName, Variant};

/// One place of a circuit, and the inputs of its findings.
struct Here<'a> {
    circuit: &'a Circuit,
    place: &'a Place,
    connections: &'a [ConnectionAssessment],
    rules: &'a Rules,
    load: &'a Load,
    judgements: &'a [Judgement],
}

/// Grades the heat of a circuit, place by place.
pub(crate) fn judge(
    visit: &Visit,
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
    judgements: &[Judgement],
    notes: &mut Notes,
) {
    let load = Load::of(visit, circuit, rules);
    let loaded = load.judged.clone();
    if !loaded.is_empty() && !load.enough {
        notes.checks.push(load_too_low(circuit, rules));
    }
    for (place, connections) in by_place(circuit, connections) {
        let here = Here {
            circuit,
            place,
            connections,
            rules,
            load: &load,
            judgements,
        };
        notes.checks.extend(here.over_rating());
        notes.limitations.extend(here.rating_not_told());
        notes.checks.extend(here.projected(&loaded));
        notes.checks.extend(here.rises(&loaded));
        notes.checks.extend(here.without_load());
    }
    notes
        .checks
        .extend(still_climbing(circuit, connections, rules, judgements));
}

fn at(circuit: &Circuit, place: &Place, finding: CheckResult) -> CheckResult {
    CheckResult {
        circuit: Some(circuit.id.clone()),
        place: Some(place.id.clone()),
        ..finding
    }
}

/// Maximum number of connections in a place that get separate findings: more than any enclosure of
/// one charger has. A file with more does not describe a visit to a charger, and its certificate
/// must stay readable.
const MOST_APART: usize = 24;

/// Connections of a place that share a finding: the worst of them, its value and grade, and the
/// names of all, worst first.
struct Group<'a> {
    worst: &'a ConnectionAssessment,
    value: f64,
    grade: Grade,
    connections: Vec<String>,
}

impl<'a> Here<'a> {
    /// The connections of the place ordered by a value, worst first, grouped into findings.
    ///
    /// From `watch` on, each connection gets a finding of its own, since each needs its own work,
    /// and so does one that a judgement names, because the judgement applies to no other.
    /// Connections of the same milder grade share a finding. Those that pass are reported only if
    /// the place has no other finding of this kind.
    fn groups(
        &self,
        id: CheckId,
        bands: &Bands,
        value: impl Fn(&ConnectionAssessment) -> Option<f64>,
    ) -> Vec<Group<'a>> {
        let mut valued: Vec<(&ConnectionAssessment, f64)> = self
            .connections
            .iter()
            .filter_map(|c| Some((c, value(c)?)))
            .collect();
        valued.sort_by(|a, b| b.1.total_cmp(&a.1));
        let mut groups: Vec<Group> = Vec::new();
        let mut together: Vec<(Grade, usize)> = Vec::new();
        for (worst, value) in valued {
            let grade = bands.grade(value).0;
            let apart = grade >= Grade::Watch && self.connections.len() <= MOST_APART;
            let alone = apart || self.judged_alone(id, worst);
            match together.iter().find(|(g, _)| *g == grade && !alone) {
                Some((_, at)) => groups[*at].connections.push(worst.id.clone()),
                None => {
                    if !alone {
                        together.push((grade, groups.len()));
                    }
                    groups.push(Group {
                        worst,
                        value,
                        grade,
                        connections: vec![worst.id.clone()],
                    });
                }
            }
        }
        if let Some((_, in_order)) = together.iter().find(|(g, _)| *g == Grade::Pass)
            && groups.len() > 1
        {
            groups.remove(*in_order);
        }
        groups
    }

    /// Whether a judgement names this connection for findings of this id.
    fn judged_alone(&self, id: CheckId, connection: &ConnectionAssessment) -> bool {
        judgement::names_alone(self.judgements, id, self.circuit, connection)
    }

    fn at(&self, finding: CheckResult) -> CheckResult {
        at(self.circuit, self.place, finding)
    }
}

/// The rises of a connection in the rounds with these indices, where the surface is trusted and the
/// air was measured.
fn rises_in<'a>(
    connection: &'a ConnectionAssessment,
    rounds: &'a [usize],
) -> impl DoubleEndedIterator<Item = (&'a RoundValue, Estimate)> {
    connection
        .rounds
        .iter()
        .filter(|r| r.trusted && rounds.binary_search(&r.round).is_ok())
        // The connection's own leg may have carried nothing.
        .filter(|r| r.current.ampere() > 0.0)
        .filter_map(|r| Some((r, r.rise?)))
}

/// The largest of these.
fn largest_in<'a>(
    connection: &'a ConnectionAssessment,
    rounds: &'a [usize],
) -> Option<(&'a RoundValue, Estimate)> {
    rises_in(connection, rounds).max_by(|a, b| a.1.value.kelvin().total_cmp(&b.1.value.kelvin()))
}

/// The rise that determines a connection's grade: at rated load, or as measured if that is larger,
/// which is possible only above rated load. A rise within its uncertainty gets no worse grade than
/// the one it was measured with.
fn graded_rise(
    connection: &ConnectionAssessment,
    measured: Option<Estimate>,
    at_rated: Option<Estimate>,
    grade: impl Fn(f64) -> Grade,
) -> Option<Estimate> {
    let least = measured.map_or(Grade::Pass, |m| grade(m.value.kelvin()));
    let scaled = at_rated.filter(|r| connection.rise_seen || grade(r.value.kelvin()) <= least);
    measured
        .into_iter()
        .chain(scaled)
        // Of equal ones the scaled one, whose uncertainty has every part.
        .reduce(|most, next| if next.value >= most.value { next } else { most })
}

/// The largest rise as it was read, less what the connection keeps without load.
fn own_rise(
    connection: &ConnectionAssessment,
    loaded: &[usize],
    rules: &Rules,
) -> Option<Estimate> {
    let k = rules.thermal.coverage_factor.value;
    let (_, read) = largest_in(connection, loaded)?;
    let u = read.expanded.kelvin() / k;
    let (value, u) = less(connection.without_load, read.value.kelvin(), u, k);
    Some(Estimate {
        value: TemperatureDifference::from_kelvin(value),
        expanded: TemperatureDifference::from_kelvin(k * u),
    })
}

/// A finding on the rise: its grade, value and estimate, and the round in which it was read.
fn rise_finding(
    circuit: &Circuit,
    place: &Place,
    (grade, value, rise): (Grade, f64, Estimate),
    (round, measured): (&RoundValue, Estimate),
    rules: &Rules,
) -> CheckResult {
    let bands = &rules.thermal.rise;
    let expanded = rise.expanded.kelvin();
    let u = expanded / rules.thermal.coverage_factor.value;
    let held = Held::against(bands, value, expanded);
    CheckResult {
        source: bands.source.clone(),
        values: [
            (ValueName::Rated, Value::Current(circuit.charger.load())),
            (ValueName::Current, Value::Current(round.current)),
            (
                ValueName::Temperature,
                Value::Temperature(round.temperature),
            ),
            (ValueName::Measured, Value::Difference(measured.value)),
        ]
        .into(),
        ..at(
            circuit,
            place,
            over(CheckId::Rise, grade, value, held, u, rules),
        )
    }
}

impl Here<'_> {
    /// Rises over air at rated load. If little load showed nothing beyond its uncertainty, a rise
    /// is reported only from `watch` on, as a lower bound.
    fn rises(&self, loaded: &[usize]) -> Vec<CheckResult> {
        let bands = &self.rules.thermal.rise;
        let scaled = |c: &ConnectionAssessment| c.rise_at_rated.is_some();
        let graded = |c: &ConnectionAssessment| Some(self.graded(c, loaded)?.value.kelvin());
        let least = |c: &ConnectionAssessment| {
            graded(c).filter(|v| !scaled(c) && bands.grade(*v).0 >= Grade::Watch)
        };
        let mut found: Vec<CheckResult> = self
            .groups(CheckId::Rise, bands, least)
            .into_iter()
            .filter_map(|group| self.least_rise(group, loaded))
            .collect();
        let full = |c: &ConnectionAssessment| graded(c).filter(|_| scaled(c));
        let full = self.groups(CheckId::Rise, bands, full);
        let reported = !found.is_empty();
        found.extend(
            full.into_iter()
                .filter(|group| group.grade > Grade::Pass || !reported)
                .filter_map(|group| self.rise(group, loaded)),
        );
        found
    }

    /// The rise of a connection that its grade follows.
    fn graded(&self, connection: &ConnectionAssessment, loaded: &[usize]) -> Option<Estimate> {
        let read = own_rise(connection, loaded, self.rules);
        let grade = |v| self.rules.thermal.rise.grade(v).0;
        graded_rise(connection, read, connection.rise_at_rated, grade)
    }

    /// The largest rise as it was measured.
    fn least_rise(&self, group: Group, loaded: &[usize]) -> Option<CheckResult> {
        let seen = largest_in(group.worst, loaded)?;
        Some(CheckResult {
            connections: group.connections,
            variant: Some(Variant::Least),
            ..rise_finding(
                self.circuit,
                self.place,
                (
                    group.grade,
                    group.value,
                    own_rise(group.worst, loaded, self.rules)?,
                ),
                seen,
                self.rules,
            )
        })
    }

    /// Rise over air at rated load: settled, and scaled from the load at which it was measured.
    fn rise(&self, group: Group, loaded: &[usize]) -> Option<CheckResult> {
        let rise = self.graded(group.worst, loaded)?;
        let last = rises_in(group.worst, loaded).next_back()?;
        let mut finding = CheckResult {
            connections: group.connections,
            would_show: self.reading(group.worst).and_then(|r| {
                would_show::against(&self.rules.thermal.rise, r, self.load, self.rules)
            }),
            ..rise_finding(
                self.circuit,
                self.place,
                (group.grade, group.value, rise),
                last,
                self.rules,
            )
        };
        if let Some(by) = group.worst.rated_by {
            finding
                .values
                .insert(ValueName::By, Value::Text(by.word().to_owned()));
        }
        if let Some(wait) = group.worst.settled.and_then(|s| s.wait_min) {
            finding.values.insert(
                ValueName::Wait,
                Value::Duration(Duration::from_minute(wait)),
            );
        }
        Some(finding)
    }

    /// Temperature on the hottest day at rated load, compared with the lowest rating.
    ///
    /// The bands contain negated margins, so that a larger value is worse, as everywhere else.
    ///
    /// If little load showed nothing beyond its uncertainty, it is reported only from `watch` on.
    fn projected(&self, loaded: &[usize]) -> Vec<CheckResult> {
        let bands = &self.rules.thermal.projected_margin;
        let hottest = hottest_air(self.circuit, self.rules);
        let rise = |c: &ConnectionAssessment| {
            let (rating, _) = c.limit?;
            let over = |rise: f64| rise - (rating - hottest).kelvin();
            let read = largest_in(c, loaded).map(|(_, rise)| rise);
            let rise = graded_rise(c, read, c.projected_rise, |v| bands.grade(over(v)).0)?;
            // If it was measured above rated load, the rise at rated load counts.
            let rise = c
                .projected_rise
                .filter(|r| r.value < rise.value)
                .unwrap_or(rise);
            Some((over(rise.value.kelvin()), rise.expanded.kelvin()))
        };
        let over_limit = |c: &ConnectionAssessment| {
            let over = rise(c)?.0;
            (c.rise_at_rated.is_some() || bands.grade(over).0 >= Grade::Watch).then_some(over)
        };
        self.groups(CheckId::ProjectedHeat, bands, over_limit)
            .into_iter()
            .filter_map(|group| {
                let connection = group.worst;
                let expanded = rise(connection)?.1;
                let u = expanded / self.rules.thermal.coverage_factor.value;
                let (rating, origin) = connection.limit?;
                let temperature = rating + TemperatureDifference::from_kelvin(group.value);
                let held = Held::against(bands, group.value, expanded);
                let graded = over(
                    CheckId::ProjectedHeat,
                    group.grade,
                    group.value,
                    held,
                    u,
                    self.rules,
                );
                let room = (rating - hottest).kelvin();
                let would_show = self.projected_would_show(connection, room);
                Some(CheckResult {
                    would_show,
                    // Value and limits are printed as the margin below the rating.
                    value: graded.value.map(|v| -v),
                    limit: graded.limit.map(|l| -l),
                    next_limit: graded.next_limit.map(|l| -l),
                    source: bands.source.clone(),
                    connections: group.connections,
                    variant: Some(match origin {
                        RatingOf::Cover => Variant::Cover,
                        _ => Variant::Rating(origin),
                    }),
                    values: [
                        (ValueName::Temperature, Value::Temperature(temperature)),
                        (ValueName::Rating, Value::Temperature(rating)),
                        (
                            ValueName::Rated,
                            Value::Current(self.circuit.charger.load()),
                        ),
                    ]
                    .into(),
                    ..self.at(graded)
                })
            })
            .collect()
    }

    /// How a connection's rise at rated current was read.
    fn reading(&self, connection: &ConnectionAssessment) -> Option<Reading> {
        let rise = connection.rise_at_rated?;
        let last = rises_in(connection, &self.load.judged).next_back()?.0;
        let u = rise.expanded.kelvin() / self.rules.thermal.coverage_factor.value;
        // What a slow part of the device adds to the uncertainty is in proportion to this rise, and
        // nothing that the thermometer or the current could improve.
        let slow = connection.slow.kelvin();
        let u = ((u - slow) * (u + slow)).max(0.0).sqrt();
        let current_a = *self.load.largest.get(last.round)?;
        Some(Reading::of(self.load, rise.value.kelvin(), u, current_a))
    }

    /// The smallest fault that the projection of a rise would have shown, as a margin. `room` is
    /// the rise that the rating allows on the hottest day; if that is less than the margin graded
    /// `watch`, every rise is found.
    fn projected_would_show(
        &self,
        connection: &ConnectionAssessment,
        room: f64,
    ) -> Option<WouldShow> {
        let thermal = &self.rules.thermal;
        let (watch, repair) = would_show::edges(&thermal.projected_margin)?;
        let (watch, repair) = (room + watch, room + repair);
        let shown = (watch > 0.0)
            .then_some(self.reading(connection)?)?
            .would_show(self.load, watch, repair, thermal.coverage_factor.value);
        Some(WouldShow {
            smallest: room - shown.smallest,
            ..shown
        })
    }

    /// Surfaces measured above a temperature rating that the visit states, or within the
    /// uncertainty of it, in any round; hottest first.
    fn over_rating(&self) -> Vec<CheckResult> {
        let mut found: Vec<CheckResult> = self
            .place
            .connections
            .iter()
            .zip(self.connections)
            .filter(|(described, _)| !described.on_cover())
            .filter_map(|(described, c)| {
                let rating = known_limit(self.circuit, described, self.rules);
                self.worst_over(c, rating)
            })
            .collect();
        found.sort_by(|a, b| {
            b.value
                .partial_cmp(&a.value)
                .unwrap_or(std::cmp::Ordering::Equal)
        });
        found
    }

    /// The worst round of a connection beside a rating, if one is over it or within its uncertainty.
    ///
    /// An exception to simple acceptance: a surface certainly over its rating gets the rule set's
    /// grade, one over it with less certainty at most `repair`, and one below it by no more than its
    /// expanded uncertainty at most `watch`.
    fn worst_over(
        &self,
        connection: &ConnectionAssessment,
        (rating, origin): (Temperature, RatingOf),
    ) -> Option<CheckResult> {
        let thermal = &self.rules.thermal;
        let rule = &thermal.over_rating;
        let rating_itself = Held {
            limit: Some(0.0),
            next: None,
        };
        let graded = |r: &RoundValue| {
            let by = (r.temperature - rating).kelvin();
            let u = r.standard_uncertainty.kelvin();
            if by > 0.0 {
                let p = uncertainty::probability_over(by, u, 0.0);
                let certain = p >= thermal.over_rating_certain.value;
                Some(if certain {
                    rule.value
                } else {
                    rule.value.min(Grade::Repair)
                })
            } else {
                (-by < thermal.coverage_factor.value * u).then(|| rule.value.min(Grade::Watch))
            }
        };
        let (grade, round) = connection
            .rounds
            .iter()
            .filter(|r| r.trusted)
            .filter_map(|r| Some((graded(r)?, r)))
            .max_by(|a, b| {
                let kelvin = |r: &RoundValue| r.temperature.kelvin();
                a.0.cmp(&b.0).then(kelvin(a.1).total_cmp(&kelvin(b.1)))
            })?;
        let by = (round.temperature - rating).kelvin();
        Some(CheckResult {
            connections: vec![connection.id.clone()],
            variant: Some(Variant::Rating(origin)),
            source: rule.source.clone(),
            values: [
                (
                    ValueName::Temperature,
                    Value::Temperature(round.temperature),
                ),
                (ValueName::Rating, Value::Temperature(rating)),
                (ValueName::Current, Value::Current(round.current)),
            ]
            .into(),
            ..self.at(over(
                CheckId::OverRating,
                grade,
                by,
                rating_itself,
                round.standard_uncertainty.kelvin(),
                self.rules,
            ))
        })
    }

    /// The connections whose surface reaches, within its uncertainty, the rating assumed for a
    /// terminal for which the visit states none. Whether they are over their actual rating is not
    /// known.
    fn rating_not_told(&self) -> Option<Limitation> {
        let mut assumed = None;
        let connections: Vec<String> = self
            .connections
            .iter()
            .filter_map(|c| {
                let (rating, origin) = c.limit?;
                let unknown = origin == RatingOf::UnmarkedTerminal;
                let _hot = self.worst_over(c, (rating, origin)).filter(|_| unknown)?;
                assumed = Some(rating);
                Some(c.id.clone())
            })
            .collect();
        Some(Limitation {
            id: LimitationId::RatingNotTold,
            circuit: Some(self.circuit.id.clone()),
            place: Some(self.place.id.clone()),
            connections,
            incomplete: true,
            values: [(ValueName::Rating, Value::Temperature(assumed?))].into(),
        })
    }

    /// Warm without load: above the air temperature by more than the uncertainty before charging
    /// began. Whatever warms a connection without load rarely warms only one, so the connections of
    /// a place share a finding, except one that a judgement names.
    fn without_load(&self) -> Vec<CheckResult> {
        let mut warm: Vec<(&ConnectionAssessment, f64, f64)> = self
            .connections
            .iter()
            .filter_map(|c| {
                // Only before any load: afterwards a connection is still cooling.
                let cold = c
                    .rounds
                    .iter()
                    .take_while(|r| r.current.ampere() == 0.0)
                    .find(|r| r.trusted && r.minutes.is_none_or(|m| m <= 0.0))?;
                let rise = cold.rise?;
                (rise.value > rise.expanded).then_some((
                    c,
                    rise.value.kelvin(),
                    rise.expanded.kelvin(),
                ))
            })
            .collect();
        warm.sort_by(|a, b| b.1.total_cmp(&a.1));
        let rule = &self.rules.thermal.hot_without_load;
        let alone = |(c, ..): &(&ConnectionAssessment, f64, f64)| {
            self.judged_alone(CheckId::HotWithoutLoad, c)
        };
        parted(&warm, alone, |warm| {
            let (_, value, expanded) = **warm.first()?;
            Some(CheckResult {
                connections: warm.iter().map(|(c, ..)| c.id.clone()).collect(),
                value: Some(value),
                limit: Some(expanded),
                unit: "K",
                uncertainty: Some(expanded),
                source: rule.source.clone(),
                ..self.at(CheckResult::new(CheckId::HotWithoutLoad, rule.value))
            })
        })
    }
}

/// Connections whose loaded rounds show no curvature yet: the settled rise is unknown.
fn still_climbing(
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    rules: &Rules,
    judgements: &[Judgement],
) -> Vec<CheckResult> {
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
    let alone = |(c, _): &(&ConnectionAssessment, f64)| {
        judgement::names_alone(judgements, CheckId::StillClimbing, circuit, c)
    };
    parted(&climbing, alone, |climbing| {
        let (_, steepest) = **climbing.first()?;
        Some(CheckResult {
            circuit: Some(circuit.id.clone()),
            connections: climbing.iter().map(|(c, _)| c.id.clone()).collect(),
            value: Some(steepest),
            limit: Some(rule.value),
            unit: "K/h",
            source: rule.source.clone(),
            ..CheckResult::new(CheckId::StillClimbing, rules.thermal.still_climbing.value)
        })
    })
}

/// One finding for all of these together, and a separate one for each connection judged on its own.
fn parted<T>(
    all: &[T],
    alone: impl Fn(&T) -> bool,
    finding: impl Fn(&[&T]) -> Option<CheckResult>,
) -> Vec<CheckResult> {
    let (alone, together): (Vec<&T>, Vec<&T>) = all.iter().partition(|one| alone(one));
    finding(&together)
        .into_iter()
        .chain(alone.into_iter().filter_map(|one| finding(&[one])))
        .collect()
}

/// Mean slope of the rise between the last two loaded rounds, kelvin per hour.
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

fn load_too_low(circuit: &Circuit, rules: &Rules) -> CheckResult {
    let rule = &rules.thermal.least_load_fraction;
    let rated = circuit.charger.load();
    let highest = circuit
        .heat
        .iter()
        .flat_map(|h| &h.rounds)
        .map(|r| r.current.ampere())
        .fold(0.0, f64::max);
    CheckResult {
        circuit: Some(circuit.id.clone()),
        value: Some(highest / rated.ampere()),
        limit: Some(rule.value),
        unit: "1",
        source: rule.source.clone(),
        values: [
            (
                ValueName::Current,
                Value::Current(Current::from_ampere(highest)),
            ),
            (ValueName::Rated, Value::Current(rated)),
        ]
        .into(),
        ..CheckResult::new(CheckId::LoadTooLow, rules.thermal.load_too_low.value)
    }
}
