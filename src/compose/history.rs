//! Rise at rated load from visit to visit: a chart for each place that was measured before, with
//! the line through the visits where there are enough of them.

use chrono::{Datelike, NaiveDate};

use super::chart_parts;
use super::connections::{Numbered, leg_index};
use super::document::{Axis, Chart, Series};
use super::keys;
use super::speaker::Speaker;
use crate::assess::{ConnectionAssessment, Estimate};
use crate::quantity::TemperatureDifference;
use crate::visit::{Circuit, Place};

/// The charts of a place: none where none of its connections was measured on an earlier day,
/// several when it has more of them than one can show.
pub(super) fn charts(
    speaker: &Speaker<'_>,
    circuit: &Circuit,
    place: &Place,
    numbered: &[&Numbered<'_>],
) -> Vec<Chart> {
    let words = speaker.wording;
    let n = &speaker.numbers;
    let mut dates: Vec<NaiveDate> = Vec::new();
    let mut lines: Vec<(Series, String)> = Vec::new();
    for c in numbered.iter().filter(|c| c.place.id == place.id) {
        let Some((found, now)) = c.found.and_then(|f| Some((f, f.rise_at_rated?))) else {
            continue;
        };
        let (Some(first), true) = (found.earlier.first(), !c.connection.remade) else {
            continue;
        };
        let values: Vec<(NaiveDate, Estimate)> = found
            .earlier
            .iter()
            .map(|e| (e.date, e.rise))
            .chain([(speaker.visit.date, now)])
            .collect();
        dates.extend(values.iter().map(|v| v.0));
        let mut told = words.say(
            &keys::HISTORY_ALT,
            &[
                ("connection", &c.connection.id),
                ("from", &n.difference(first.rise.value)),
                ("first", &n.date(first.date)),
                ("to", &n.difference(now.value)),
                ("last", &n.date(speaker.visit.date)),
            ],
        );
        let mut label = c.connection.id.clone();
        if let Some(slope) = found.slope {
            let pace = n.quantity(slope.k_per_year, "K/a");
            let key = if slope.significant {
                &keys::HISTORY_ALT_SLOPE
            } else {
                &keys::HISTORY_ALT_STEADY
            };
            told.push(' ');
            told.push_str(&words.say(key, &[("slope", &pace)]));
            label = words.say(
                &keys::HISTORY_LABEL,
                &[("connection", &c.connection.id), ("slope", &pace)],
            );
        }
        let series = Series {
            label,
            points: values
                .iter()
                .map(|(date, rise)| [day(*date), n.difference_value(rise.value)])
                .collect(),
            intervals: values
                .iter()
                .map(|(_, rise)| Some(n.difference_value(rise.expanded)))
                .collect(),
            curve: line(speaker, found, first.date),
            settled: None,
            leg: Some(leg_index(circuit, &c.connection.leg)),
        };
        lines.push((series, told));
    }
    dates.sort_unstable();
    dates.dedup();
    let (Some(first), Some(last)) = (dates.first().copied(), dates.last().copied()) else {
        return Vec::new();
    };
    // Room at both ends, so that the first and last values do not touch the axis.
    let spare = (day(last) - day(first)) * 0.03;
    let parted = chart_parts::parts(lines);
    let of = parted.len();
    let range = chart_parts::range(parted.iter().flatten().map(|(series, _)| series));
    let chart = |(i, part): (usize, Vec<(Series, String)>)| {
        let (series, told): (Vec<Series>, Vec<String>) = part.into_iter().unzip();
        let title = words.say(&keys::HISTORY_TITLE, &[("place", &place.name)]);
        Chart {
            title: chart_parts::title(words, title, i, of),
            alt: told.join(" "),
            x: Axis {
                label: words.word(&keys::HISTORY_X).to_owned(),
                range: Some([day(first) - spare, day(last) + spare]),
                ticks: Some(dates.iter().map(|d| (day(*d), n.date_cell(*d))).collect()),
            },
            y: Axis {
                label: words.say(&keys::HISTORY_Y, &[("unit", n.difference_unit())]),
                // From no rise at all, so that a change looks as large as it is.
                range: range.map(|[low, high]| [low.min(0.0), high]),
                ticks: None,
            },
            series,
            limits: Vec::new(),
            off_scale: String::new(),
        }
    };
    parted.into_iter().enumerate().map(chart).collect()
}

fn day(date: NaiveDate) -> f64 {
    f64::from(date.num_days_from_ce())
}

/// The line through three visits or more, from the first to today.
fn line(speaker: &Speaker<'_>, found: &ConnectionAssessment, first: NaiveDate) -> Vec<[f64; 2]> {
    let Some(slope) = found.slope else {
        return Vec::new();
    };
    [first, speaker.visit.date]
        .map(|date| {
            let rise = TemperatureDifference::from_kelvin(slope.at(day(date)));
            [day(date), speaker.numbers.difference_value(rise)]
        })
        .to_vec()
}
