//! Comparison with earlier visits: the same connection's rise at rated load then and now.
//!
//! A connection made anew starts its series again: what it was before says nothing of what it is.

use super::engine::{Earlier, Notes};
use super::heat_findings::over;
use super::model::{ConnectionAssessment, Estimate, Finding, Value};
use super::thermal::trend;
use crate::rules::Rules;
use crate::visit::{Circuit, Grade};
use chrono::{Datelike, NaiveDate};

/// One connection's rise at rated load on a day.
struct Then {
    date: NaiveDate,
    number: String,
    rise: Estimate,
}

pub(super) fn judge(
    circuit: &Circuit,
    connections: &[ConnectionAssessment],
    today: NaiveDate,
    earlier: &[Earlier],
    rules: &Rules,
    notes: &mut Notes,
    worse_on: &mut Vec<NaiveDate>,
) {
    if earlier.is_empty() {
        return;
    }
    for (connection, (_, described)) in connections.iter().zip(circuit.connections()) {
        let Some(now) = connection.rise_at_rated else {
            continue;
        };
        if described.remade {
            continue;
        }
        let series = series(&circuit.id, &connection.id, today, earlier);
        let Some(last) = series.last() else { continue };
        let mut finding = change(connection, last, now, rules);
        finding.circuit = Some(circuit.id.clone());
        if let Some(date) = reaches(&series, today, now, rules, &mut finding) {
            worse_on.push(date);
        }
        notes.findings.push(finding);
    }
}

/// Earlier values in the order of time, cut where the connection was made anew.
fn series(circuit: &str, connection: &str, today: NaiveDate, earlier: &[Earlier]) -> Vec<Then> {
    let mut visits: Vec<&Earlier> = earlier.iter().filter(|e| e.date < today).collect();
    visits.sort_by_key(|e| e.date);
    let mut series = Vec::new();
    for visit in visits {
        let found = visit
            .circuits
            .iter()
            .filter(|(id, _)| id == circuit)
            .flat_map(|(_, connections)| connections)
            .find(|c| c.found.id == connection);
        let Some(found) = found else { continue };
        if found.remade {
            series.clear();
        }
        if let Some(rise) = found.found.rise_at_rated {
            series.push(Then {
                date: visit.date,
                number: visit.number.clone(),
                rise,
            });
        }
    }
    series
}

fn change(connection: &ConnectionAssessment, then: &Then, now: Estimate, rules: &Rules) -> Finding {
    let bands = &rules.thermal.worse_than_before;
    let k = rules.thermal.coverage_factor.value;
    let standard = |e: &Estimate| (e.value.kelvin(), e.expanded.kelvin() / k);
    let change = trend::change(standard(&then.rise), standard(&now));
    let (mut grade, edge) = bands.grade(change.change_k);
    // A change within its own uncertainty shows nothing.
    if change.change_k <= k * change.standard_k {
        grade = Grade::Pass;
    }
    let limit = edge
        .filter(|_| grade > Grade::Pass)
        .or_else(|| bands.first_edge())
        .map(|e| e.at);
    Finding {
        place: Some(connection.place.clone()),
        connections: vec![connection.id.clone()],
        source: bands.source.clone(),
        values: [
            ("then", Value::Difference(then.rise.value)),
            ("now", Value::Difference(now.value)),
            ("earlier", Value::Text(then.number.clone())),
            ("earlier_date", Value::Date(then.date)),
        ]
        .into(),
        ..over(
            "worse-than-before",
            grade,
            change.change_k,
            limit,
            change.standard_k,
            rules,
        )
    }
}

/// The date on which three or more visits' slope reaches the next band of the rise, when the
/// slope is beyond doubt.
fn reaches(
    series: &[Then],
    today: NaiveDate,
    now: Estimate,
    rules: &Rules,
    finding: &mut Finding,
) -> Option<NaiveDate> {
    let k = rules.thermal.coverage_factor.value;
    let past: Vec<trend::Past> = series
        .iter()
        .map(|t| (t.date, t.rise))
        .chain([(today, now)])
        .map(|(date, rise)| trend::Past {
            day: f64::from(date.num_days_from_ce()),
            rise_k: rise.value.kelvin(),
            u_rise_k: rise.expanded.kelvin() / k,
        })
        .collect();
    let trend = trend::trend(&past)?;
    finding
        .values
        .insert("slope", Value::Number(trend.slope.k_per_year));
    finding
        .values
        .insert("slope_low", Value::Number(trend.slope.low));
    finding
        .values
        .insert("slope_high", Value::Number(trend.slope.high));
    if !trend.slope.significant {
        return None;
    }
    let next = rules
        .thermal
        .rise
        .edges
        .iter()
        .find(|e| e.at > now.value.kelvin())?;
    let reach = trend.reaches(next.at)?;
    let date = |day: f64| {
        (day.abs() < 5e6)
            .then(|| NaiveDate::from_num_days_from_ce_opt(day as i32))
            .flatten()
    };
    let day = date(reach.day)?;
    finding.values.insert("reaches", Value::Date(day));
    finding
        .values
        .insert("reaches_grade", Value::Text(next.grade.word().to_owned()));
    if let Some(earliest) = date(reach.earliest) {
        finding
            .values
            .insert("reaches_earliest", Value::Date(earliest));
    }
    if let Some(latest) = reach.latest.and_then(date) {
        finding.values.insert("reaches_latest", Value::Date(latest));
    }
    Some(day)
}
