//! Rise at rated load from visit to visit: a chart for each place that was measured before, with a
//! line through the visits if there are enough of them.

use chrono::{Datelike, NaiveDate};

use super::chart_parts;
use super::connections::{Numbered, leg_index};
use super::document::{Axis, Chart, Series};
use super::keys;
use super::speaker::Speaker;
use crate::assess::{ConnectionAssessment, Estimate};
use crate::quantity::TemperatureDifference;
use crate::visit::{Circuit, Place};

/// The charts of a place: none if none of its connections was measured on an earlier day, several
/// if it has more connections than one chart can show.
pub(super) fn charts(
    speaker: &Speaker<'_>,
    circuit: &Circuit,
    place: &Place,
    numbered: &[&Numbered<'_>],
) -> Vec<Chart> {
    let words = speaker.wording;
    let n = &speaker.numbers;
    let place_of = |c: &&&Numbered<'_>| c.place.id == place.id;
    let days = Days::of(
        speaker,
        numbered.iter().filter(place_of).filter_map(|c| c.found),
    );
    let mut dates: Vec<(f64, String)> = Vec::new();
    let mut lines: Vec<(Series, String)> = Vec::new();
    for c in numbered.iter().filter(place_of) {
        let Some((found, now)) = c.found.and_then(|f| Some((f, f.rise_at_rated?))) else {
            continue;
        };
        let (Some(first), true) = (found.earlier.first(), !c.connection.remade) else {
            continue;
        };
        let rises: Vec<(NaiveDate, Estimate)> = found
            .earlier
            .iter()
            .map(|e| (e.date, e.rise))
            .chain([(speaker.visit.date, now)])
            .collect();
        // Position of each visit among those of its day, counted from the last.
        let values: Vec<(f64, String, Estimate)> = rises
            .iter()
            .enumerate()
            .map(|(i, (date, rise))| {
                let later = rises[i + 1..].iter().filter(|r| r.0 == *date).count();
                (days.at(*date, later), days.suffix(*date, later), *rise)
            })
            .collect();
        dates.extend(
            rises
                .iter()
                .zip(&values)
                .map(|((date, _), (x, suffix, _))| {
                    // The label of a day is at its first visit.
                    let label = match suffix.as_str() {
                        "" | " (1)" => format!("{}{suffix}", n.date_cell(*date)),
                        later => later.trim_start().to_owned(),
                    };
                    (*x, label)
                }),
        );
        let mut sentence = words.say(
            &keys::HISTORY_ALT,
            &[
                ("connection", &c.connection.id),
                ("from", &n.difference(first.rise.value)),
                (
                    "first",
                    &format!(
                        "{}{}",
                        n.date(first.date),
                        values.first().map_or("", |v| v.1.as_str())
                    ),
                ),
                ("to", &n.difference(now.value)),
                (
                    "last",
                    &format!(
                        "{}{}",
                        n.date(speaker.visit.date),
                        values.last().map_or("", |v| v.1.as_str())
                    ),
                ),
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
            sentence.push(' ');
            sentence.push_str(&words.say(key, &[("slope", &pace)]));
            label = words.say(
                &keys::HISTORY_LABEL,
                &[("connection", &c.connection.id), ("slope", &pace)],
            );
        }
        let series = Series {
            label,
            points: values
                .iter()
                .map(|(x, _, rise)| [*x, n.difference_value(rise.value)])
                .collect(),
            intervals: values
                .iter()
                .map(|(.., rise)| Some(n.difference_value(rise.expanded)))
                .collect(),
            curve: line(speaker, found, first.date),
            settled: None,
            leg: Some(leg_index(circuit, &c.connection.leg)),
        };
        lines.push((series, sentence));
    }
    dates.sort_by(|a, b| a.0.total_cmp(&b.0));
    dates.dedup();
    let (Some(first), Some(last)) = (dates.first().map(|d| d.0), dates.last().map(|d| d.0)) else {
        return Vec::new();
    };
    // Room at both ends, so that the first and last values do not touch the axis.
    let spare = (last - first) * 0.03;
    let parted = chart_parts::parts(lines);
    let of = parted.len();
    let range = chart_parts::range(parted.iter().flatten().map(|(series, _)| series));
    let chart = |(i, part): (usize, Vec<(Series, String)>)| {
        let (series, sentences): (Vec<Series>, Vec<String>) = part.into_iter().unzip();
        let title = words.say(&keys::HISTORY_TITLE, &[("place", &place.name)]);
        Chart {
            title: chart_parts::title(words, title, i, of),
            alt: sentences.join(" "),
            x: Axis {
                label: words.word(&keys::HISTORY_X).to_owned(),
                range: Some([first - spare, last + spare]),
                ticks: Some(dates.clone()),
            },
            y: Axis {
                label: words.say(&keys::HISTORY_Y, &[("unit", n.difference_unit())]),
                // The axis begins at no rise, so that changes are in proportion.
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

/// Several visits on one day, distinguished by their position and a number after the date.
struct Days {
    /// Days with more than one visit, and how many they have.
    shared: Vec<(NaiveDate, usize)>,
    /// Distance from one visit of a day to the next, in days on the axis.
    apart: f64,
}

/// Distance between two visits of one day, as a share of the axis: room for both labels.
const APART: f64 = 0.25;

impl Days {
    fn of<'a>(
        speaker: &Speaker<'_>,
        found: impl Iterator<Item = &'a ConnectionAssessment>,
    ) -> Self {
        let today = speaker.visit.date;
        let mut shared: Vec<(NaiveDate, usize)> = Vec::new();
        let mut first = today;
        for found in found.filter(|f| f.rise_at_rated.is_some()) {
            let dates: Vec<NaiveDate> = found.earlier.iter().map(|e| e.date).collect();
            for date in dates.iter().chain([&today]) {
                first = first.min(*date);
                let visits =
                    dates.iter().filter(|d| *d == date).count() + usize::from(*date == today);
                match shared.iter_mut().find(|(d, _)| d == date) {
                    Some((_, most)) => *most = visits.max(*most),
                    None => shared.push((*date, visits)),
                }
            }
        }
        shared.retain(|(_, visits)| *visits > 1);
        let span = day(today) - day(first);
        Self {
            shared,
            apart: if span > 0.0 { APART * span } else { 1.0 },
        }
    }

    /// Position of a visit on the axis, given the number of later visits on its day.
    fn at(&self, date: NaiveDate, later: usize) -> f64 {
        day(date) - self.apart * later as f64
    }

    /// The number after its date.
    fn suffix(&self, date: NaiveDate, later: usize) -> String {
        let shared = self.shared.iter().find(|(d, _)| *d == date);
        shared.map_or_else(String::new, |(_, visits)| {
            format!(" ({})", visits.saturating_sub(later))
        })
    }
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
