//! Comparison with earlier visits: the same connection's rise at rated load then and now.
//!
//! A remade connection starts a new series, because its earlier state no longer describes it. If
//! the charger has been set to a different current since then, the same joint produces a different
//! amount of heat, so the earlier rise is scaled to the current rating, just as a measured rise is
//! scaled to rated load.
//!
//! If a curve was fitted, a hotter last reading can widen the uncertainty so far that a change is
//! no longer significant. The measured rise, whose uncertainty hardly grows, is therefore compared
//! as well, and the worse grade counts.

use super::held::{Held, over};
use super::rated::exponents;
use super::would_show;
use crate::assess::assessment::{
    CheckResult, ConnectionAssessment, EarlierRise, Estimate, Limitation, Value,
};
use crate::assess::instruments;
use crate::assess::physics::load_scaling::{Exponents, Factor};
use crate::assess::physics::trend;
use crate::assess::{
    earlier::{Earlier, EarlierConnection},
    notes::Notes,
};
use crate::quantity::{Current, TemperatureDifference};
use crate::rules::Rules;
use crate::visit::{Circuit, Grade, Visit};
use crate::vocabulary::{CheckId, LimitationId, ValueName};
use chrono::{Datelike, NaiveDate};
use std::collections::HashMap;

/// One connection's rise at rated load on an earlier day.
pub(crate) struct Then<'a> {
    pub date: NaiveDate,
    pub number: &'a str,
    /// At the present rated current.
    pub rise: Estimate,
    /// Rated current at that time.
    pub rated: Current,
    /// Part of its standard uncertainty for a slow part of the device, kelvin at the present rated
    /// current.
    pub slow_k: f64,
    /// Serial number of the thermometer, and the standard uncertainty of its bias as it was read.
    pub bias: Option<(&'a str, f64)>,
    /// Factor that scales the earlier rise to the present rated current: mean of (I_now/I_then)ⁿ.
    pub factor: f64,
}

/// Share of the variance of a thermometer's bias that is still the same at the next visit; the rest
/// has drifted, or was adjusted in a calibration. Common practice, no source.
const STAYS: f64 = 0.5;

/// The standard uncertainty of the bias in a connection's last reading under load, kelvin.
fn bias(found: &ConnectionAssessment) -> Option<f64> {
    let mut rounds = found.rounds.iter().rev();
    let last = rounds.find(|r| r.trusted && r.current.ampere() > 0.0)?;
    Some(last.errors().bias)
}

/// The part of the standard uncertainties then and now that is the same error, kelvin: of the bias,
/// if the thermometer is the same one (JCGM 100:2008, 5.2.2, with a covariance of STAYS·b₁·b₂). The
/// bias is taken as read, and not as scaled to the rated current, where it is larger.
pub(crate) fn common(then: &Then, now: &ConnectionAssessment, thermometer: Option<&str>) -> f64 {
    let same = then.bias.filter(|(serial, _)| Some(*serial) == thermometer);
    let both = same.zip(bias(now));
    both.map_or(0.0, |((_, then), now)| (STAYS * then * now).sqrt())
}

/// What a slow part of the device adds to the uncertainty of a change, kelvin: it is the same error
/// at every visit, and only what it differs by, because of another rise or another time, is left.
pub(crate) fn slow(then: &Then, now: &ConnectionAssessment) -> f64 {
    (now.slow.kelvin() - then.slow_k).abs()
}

/// A standard uncertainty without its part for a slow part of the device, kelvin.
pub(crate) fn without_slow(u: f64, slow: f64) -> f64 {
    ((u - slow) * (u + slow)).max(0.0).sqrt()
}

pub(crate) fn judge(
    visit: &Visit,
    circuit: &Circuit,
    connections: &mut [ConnectionAssessment],
    earlier: &[Earlier],
    rules: &Rules,
    notes: &mut Notes,
    worse_on: &mut Vec<NaiveDate>,
) {
    if earlier.is_empty() {
        return;
    }
    let today = visit.date;
    let thermometer = instruments::thermometer_serial(visit, circuit);
    let history = History::of(circuit, today, earlier, rules);
    let mut compared = false;
    let mut new = Vec::new();
    for (connection, (_, described)) in connections.iter_mut().zip(circuit.connections()) {
        let Some(now) = connection.rise_at_rated else {
            continue;
        };
        if described.remade {
            compared = true;
            continue;
        }
        let series = history.series(&connection.id);
        // Compare with each of them: slow deterioration shows first against the oldest. If all
        // pass, the latest is reported; otherwise, among equal grades, the one with the greatest
        // increase since then.
        let Some(mut finding) = series
            .iter()
            .map(|then| {
                let rated = circuit.charger.load();
                change(connection, then, (now, thermometer), rated, rules)
            })
            .max_by(|a, b| {
                let more =
                    |f: &CheckResult| f.value.filter(|_| f.grade > Grade::Pass).unwrap_or(0.0);
                a.grade
                    .cmp(&b.grade)
                    .then_with(|| more(a).total_cmp(&more(b)))
            })
        else {
            new.push(connection.id.clone());
            continue;
        };
        compared = true;
        finding.circuit = Some(circuit.id.clone());
        let k = rules.thermal.coverage_factor.value;
        let past = past(&series, today, (now, connection.slow), k);
        let trend = trend::trend(&past);
        if let Some(trend) = &trend
            && let Some(date) = reaches(trend, now, connection, rules, &mut finding)
        {
            worse_on.push(date);
        }
        notes.checks.push(finding);
        connection.slope = trend.map(|t| t.slope);
        connection.earlier = series
            .iter()
            .map(|t| EarlierRise {
                date: t.date,
                rise: t.rise,
            })
            .collect();
    }
    if compared && !new.is_empty() {
        notes.limitations.push(Limitation {
            id: LimitationId::ConnectionsNotCompared,
            circuit: Some(circuit.id.clone()),
            place: None,
            connections: new,
            incomplete: false,
            values: crate::assess::assessment::Values::new(),
        });
    }
    if !compared && connections.iter().any(|c| c.rise_at_rated.is_some()) {
        notes.limitations.push(Limitation {
            id: LimitationId::NothingToCompare,
            circuit: Some(circuit.id.clone()),
            place: None,
            connections: Vec::new(),
            incomplete: false,
            values: crate::assess::assessment::Values::new(),
        });
    }
}

/// The earlier visits to one circuit in chronological order, with their connections by id.
pub(crate) struct History<'a> {
    visits: Vec<(&'a Earlier, HashMap<&'a str, &'a EarlierConnection>)>,
    rated: Current,
    exponents: Exponents,
    coverage: f64,
}

impl<'a> History<'a> {
    /// Visits up to `today`, because two may be made on one day; if two records belong to the same certificate, the first counts.
    pub fn of(circuit: &Circuit, today: NaiveDate, earlier: &'a [Earlier], rules: &Rules) -> Self {
        let mut visits: Vec<&Earlier> = Vec::new();
        for visit in earlier.iter().filter(|e| e.date <= today) {
            let known = |v: &&Earlier| v.number == visit.number && v.date == visit.date;
            if !visits.iter().any(known) {
                visits.push(visit);
            }
        }
        visits.sort_by(|a, b| a.date.cmp(&b.date).then_with(|| a.number.cmp(&b.number)));
        let visits = visits
            .into_iter()
            .map(|visit| {
                let connections = visit
                    .circuits
                    .iter()
                    .filter(|(id, _)| *id == circuit.id)
                    .flat_map(|(_, connections)| connections)
                    .map(|c| (c.found.id.as_str(), c))
                    .collect();
                (visit, connections)
            })
            .collect();
        Self {
            visits,
            rated: circuit.charger.load(),
            exponents: exponents(rules),
            coverage: rules.thermal.coverage_factor.value,
        }
    }

    /// Earlier values of a connection in chronological order, from the last time it was remade.
    pub fn series(&self, connection: &str) -> Vec<Then<'a>> {
        let mut series = Vec::new();
        for (visit, connections) in &self.visits {
            let Some(found) = connections.get(connection) else {
                continue;
            };
            if found.remade {
                series.clear();
            }
            if let Some(earlier) = found.found.rise_at_rated {
                let factor = Factor::of(self.rated.ampere() / found.rated.ampere(), self.exponents);
                let value = factor.mean * earlier.value.kelvin();
                let expanded = libm::hypot(
                    factor.mean * earlier.expanded.kelvin(),
                    self.coverage * factor.standard * earlier.value.kelvin(),
                );
                series.push(Then {
                    date: visit.date,
                    number: &visit.number,
                    rise: Estimate {
                        value: TemperatureDifference::from_kelvin(value),
                        expanded: TemperatureDifference::from_kelvin(expanded),
                    },
                    rated: found.rated,
                    slow_k: factor.mean * found.found.slow.kelvin(),
                    bias: found.thermometer.as_deref().zip(bias(&found.found)),
                    factor: factor.mean,
                });
            }
        }
        series
    }
}

/// The change since one earlier visit, graded; `now` is the rise and the serial number of the
/// thermometer.
fn change(
    connection: &ConnectionAssessment,
    then: &Then,
    (now, thermometer): (Estimate, Option<&str>),
    rated: Current,
    rules: &Rules,
) -> CheckResult {
    let bands = &rules.thermal.worse_than_before;
    let k = rules.thermal.coverage_factor.value;
    let standard = |e: &Estimate| (e.value.kelvin(), e.expanded.kelvin() / k);
    let common = common(then, connection, thermometer);
    let slow = slow(then, connection);
    let (was, u_then) = standard(&then.rise);
    let was = (was, without_slow(u_then, then.slow_k));
    let (now_k, u_now) = standard(&now);
    let settled = (now_k, without_slow(u_now, connection.slow.kelvin()));
    // A measured rise has no part for what is still to come.
    let measured = connection.measured_at_rated.as_ref().map(standard);
    let (value, u, grade) = [Some(settled), measured]
        .into_iter()
        .flatten()
        .map(|(is, u)| {
            let change = trend::change_with(was, (is, libm::hypot(u, slow)), common);
            // A change within its own uncertainty is not significant.
            let grade = if change.change_k > k * change.standard_k {
                bands.grade(change.change_k).0
            } else {
                Grade::Pass
            };
            (change.change_k, change.standard_k, grade)
        })
        .reduce(|worst, next| if next.2 > worst.2 { next } else { worst })
        .unwrap_or((0.0, 0.0, Grade::Pass));
    let would_show = would_show::edges(bands).map(|(watch, repair)| {
        let k = rules.thermal.coverage_factor.value;
        would_show::change(watch, repair, u, k, rated)
    });
    let held = if grade > Grade::Pass {
        Held::against(bands, value, rules.thermal.coverage_factor.value * u)
    } else {
        Held::first(bands)
    };
    CheckResult {
        would_show,
        place: Some(connection.place.clone()),
        connections: vec![connection.id.clone()],
        source: bands.source.clone(),
        values: [
            (ValueName::Then, Value::Difference(then.rise.value)),
            (ValueName::Now, Value::Difference(now.value)),
            (ValueName::Earlier, Value::Text(then.number.to_owned())),
            (ValueName::EarlierDate, Value::Date(then.date)),
        ]
        .into(),
        ..over(CheckId::WorseThanBefore, grade, value, held, u, rules)
    }
}

/// The date on which the slope of three or more visits reaches the next worse grade of the rise or
/// of the margin below the rating, if the slope is significant.
fn reaches(
    trend: &trend::Trend,
    now: Estimate,
    connection: &ConnectionAssessment,
    rules: &Rules,
    finding: &mut CheckResult,
) -> Option<NaiveDate> {
    finding
        .values
        .insert(ValueName::Slope, Value::Number(trend.slope.k_per_year));
    finding
        .values
        .insert(ValueName::SlopeLow, Value::Number(trend.slope.low));
    finding
        .values
        .insert(ValueName::SlopeHigh, Value::Number(trend.slope.high));
    if !trend.slope.significant {
        return None;
    }
    let (next, grade) = next_edge(now, connection, rules)?;
    let reach = trend.reaches(next)?;
    let date = |day: f64| {
        (day.abs() < 5e6)
            .then(|| NaiveDate::from_num_days_from_ce_opt(day as i32))
            .flatten()
    };
    let day = date(reach.day)?;
    finding.values.insert(ValueName::Reaches, Value::Date(day));
    finding.values.insert(
        ValueName::ReachesGrade,
        Value::Text(grade.word().to_owned()),
    );
    if let Some(earliest) = date(reach.earliest) {
        finding
            .values
            .insert(ValueName::ReachesEarliest, Value::Date(earliest));
    }
    if let Some(latest) = reach.latest.and_then(date) {
        finding
            .values
            .insert(ValueName::ReachesLatest, Value::Date(latest));
    }
    Some(day)
}

/// A series with today's value, and its standard uncertainty for a slow part of the device, at its
/// end, for computing a slope. That part is the same error at every visit, so that it counts in none.
pub(crate) fn past(
    series: &[Then],
    today: NaiveDate,
    (now, slow): (Estimate, TemperatureDifference),
    coverage: f64,
) -> Vec<trend::Past> {
    series
        .iter()
        .map(|t| (t.date, t.rise, t.slow_k))
        .chain([(today, now, slow.kelvin())])
        .map(|(date, rise, slow)| trend::Past {
            day: f64::from(date.num_days_from_ce()),
            rise_k: rise.value.kelvin(),
            u_rise_k: without_slow(rise.expanded.kelvin() / coverage, slow),
        })
        .collect()
}

/// The least increase of the present rise, kelvin, at which the rise or the margin below the rating
/// reaches a worse grade, and that grade.
pub(crate) fn next_edge(
    now: Estimate,
    connection: &ConnectionAssessment,
    rules: &Rules,
) -> Option<(f64, Grade)> {
    let rise = now.value.kelvin();
    let by_rise = rules.thermal.rise.edges.iter().map(|e| (e.at, e.grade));
    // Edges of the margin are stored negated: at edge e the rise has grown by margin + e.
    let by_margin = connection.margin.into_iter().flat_map(|margin| {
        rules
            .thermal
            .projected_margin
            .edges
            .iter()
            .map(move |e| (rise + margin.kelvin() + e.at, e.grade))
    });
    by_rise
        .chain(by_margin)
        .filter(|(at, _)| *at > rise)
        .min_by(|a, b| a.0.total_cmp(&b.0))
}
