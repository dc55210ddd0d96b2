//! The heat record: the circuit as a diagram with numbered connections, the margin of each
//! connection below its rating, temperature over time for each place, the rise from visit to visit,
//! and every reading with its rise, uncertainty and limit.

use super::chart_parts;
use super::connections::{Connections, Numbered, leg_index};
use super::document::{
    Align, Axis, Block, Chart, Column, Columns, Diagram, DiagramNode, Row, Series, Strip, Table,
    Text,
};
use super::keys;
use super::numbers::NOT_TOLD;
use super::speaker::Speaker;
use crate::assess::{Estimate, RoundValue};
use crate::quantity::{Duration, Temperature, TemperatureDifference};
use crate::visit::{Circuit, Heat, Place, Round};
use crate::vocabulary::CheckId;

/// Number of points of a drawn heating curve.
const CURVE_POINTS: u32 = 24;

pub(super) fn section(speaker: &Speaker<'_>, connections: &Connections<'_>, body: &mut Vec<Block>) {
    let words = speaker.wording;
    let first = body.len();
    body.push(Block::Heading {
        level: 2,
        text: words.word(&keys::HEAT_HEADING).to_owned(),
        anchor: Some("heat".to_owned()),
    });
    let (sound, open) = speaker.sound_circuits();
    let several = speaker.visit.circuits.len() > 1;
    // Sound circuits among several need no drawings, and share a table.
    let measured = |circuit: &&&Circuit| {
        let heat = circuit.heat.as_ref();
        heat.is_some_and(|heat| !heat.rounds.is_empty())
    };
    let (measured, others): (Vec<&Circuit>, Vec<&Circuit>) =
        sound.iter().partition(|circuit| measured(circuit));
    if !measured.is_empty() {
        let table = shared_results(speaker, connections, &measured);
        body.push(Block::Table(table));
    }
    for circuit in others {
        body.extend(speaker.circuit_heading(circuit));
        body.push(Block::Paragraph(Text::plain(
            words.word(&keys::HEAT_NOT_MEASURED),
        )));
    }
    for (i, circuit) in open.into_iter().enumerate() {
        // Of several circuits, each with findings has a page of its own.
        if several && (i > 0 || !sound.is_empty()) {
            body.push(Block::NewPage);
        }
        body.extend(speaker.circuit_heading(circuit));
        let numbered: Vec<&Numbered<'_>> = connections.of(circuit).collect();
        body.push(Block::Diagram(diagram(speaker, circuit, &numbered)));
        let whole = circuit.whole_heat();
        let Some(heat) = whole.as_ref().filter(|h| !h.rounds.is_empty()) else {
            body.push(Block::Paragraph(Text::plain(
                words.word(&keys::HEAT_NOT_MEASURED),
            )));
            continue;
        };
        body.push(Block::Columns(Columns::Abreast(2)));
        let introduction = introduction(speaker, circuit, heat);
        body.push(Block::Paragraph(Text::plain(introduction)));
        body.push(Block::Table(rounds(speaker, circuit, heat)));
        body.push(Block::Columns(Columns::One));
        if let Some(strip) = strip(speaker, circuit, &numbered) {
            body.push(Block::Strip(strip));
        }
        body.push(Block::Columns(Columns::Abreast(3)));
        for place in &circuit.places {
            let charts = charts(speaker, circuit, heat, place, &numbered);
            body.extend(charts.into_iter().map(Block::Chart));
        }
        let history = |place| super::history::charts(speaker, circuit, place, &numbered);
        body.extend(circuit.places.iter().flat_map(history).map(Block::Chart));
        body.push(Block::Columns(Columns::One));
        body.push(Block::Table(results(speaker, circuit, heat, &numbered)));
    }
    if body
        .iter()
        .skip(first)
        .any(|b| matches!(b, Block::Table(_)))
    {
        body.push(Block::Columns(Columns::Flowing(1)));
        body.push(Block::Small(Text::plain(
            words.word(&keys::RESULTS_EXPLAINED),
        )));
        body.push(Block::Columns(Columns::One));
    }
}

/// The appendix: every reading of each circuit.
pub(super) fn every_reading(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    body: &mut Vec<Block>,
) {
    for circuit in &speaker.visit.circuits {
        if let Some(heat) = &circuit.whole_heat().filter(|h| !h.rounds.is_empty()) {
            let numbered: Vec<&Numbered<'_>> = connections.of(circuit).collect();
            body.push(Block::Table(readings(speaker, circuit, heat, &numbered)));
            let settled: Vec<_> = numbered
                .iter()
                .filter_map(|c| Some((label(c), Text::plain(settled_how(speaker, c)?))))
                .collect();
            if !settled.is_empty() {
                body.push(Block::Facts(settled));
            }
        }
    }
}

/// How a connection's settled rise was found.
fn settled_how(speaker: &Speaker<'_>, c: &Numbered<'_>) -> Option<String> {
    let words = speaker.wording;
    let settled = c.found?.settled?;
    let how = words.name(settled.how);
    Some(match settled.time_constant_min {
        Some(tau) => {
            let time = speaker.numbers.duration(Duration::from_minute(tau));
            words.say(
                &keys::SETTLED_WITH_TIME_CONSTANT,
                &[("how", how), ("time", &time)],
            )
        }
        None => how.to_owned(),
    })
}

fn introduction(speaker: &Speaker<'_>, circuit: &Circuit, heat: &Heat) -> String {
    let words = speaker.wording;
    let instrument = speaker.visit.instrument(&heat.with).map_or_else(
        || heat.with.clone(),
        |i| super::speaker::instrument_name(speaker, i),
    );
    let mut text = words.say(
        &keys::HEAT_WITH,
        &[
            ("instrument", &instrument),
            ("current", &speaker.numbers.current(circuit.charger.load())),
            (
                "least-load",
                &speaker
                    .numbers
                    .percent(speaker.rules.thermal.least_load_fraction.value),
            ),
        ],
    );
    if let Some(from) = heat.charging_from {
        text.push(' ');
        text.push_str(&words.say(
            &keys::HEAT_CHARGING_FROM,
            &[("time", &speaker.numbers.time(from.time))],
        ));
    }
    let mut assessed = speaker.assessment.circuits.iter();
    let assessed = assessed.find(|c| c.id == circuit.id);
    let connections = assessed.iter().flat_map(|c| &c.connections);
    let read = connections.filter(|c| !c.rounds.is_empty());
    if let Some(hidden) = read.filter_map(|c| c.hidden).reduce(f64::max) {
        text.push(' ');
        let share = speaker.numbers.percent((100.0 * hidden).round() / 100.0);
        text.push_str(&words.say(&keys::HEAT_INSULATION, &[("share", &share)]));
    }
    let decided = assessed.and_then(|c| c.decided_in);
    let whole = speaker.assessment.complete;
    if let Some(round) = decided.filter(|_| whole).and_then(|i| heat.rounds.get(i)) {
        text.push(' ');
        text.push_str(&words.say(
            &keys::HEAT_DECIDED,
            &[("time", &speaker.numbers.time(round.at.time))],
        ));
    }
    if let Some(zone) = &speaker.visit.zone {
        text.push(' ');
        text.push_str(&words.say(&keys::HEAT_CLOCK, &[("zone", zone)]));
    }
    text
}

fn diagram(speaker: &Speaker<'_>, circuit: &Circuit, numbered: &[&Numbered<'_>]) -> Diagram {
    let words = speaker.wording;
    let mut nodes = vec![DiagramNode {
        name: words.word(&keys::DIAGRAM_SUPPLY).to_owned(),
        detail: super::circuit_section::supply(speaker, circuit),
        connections: Vec::new(),
    }];
    nodes.extend(circuit.places.iter().map(|place| {
        DiagramNode {
            name: place.name.clone(),
            detail: String::new(),
            connections: numbered
                .iter()
                .filter(|n| n.place.id == place.id)
                .map(|n| (n.number, n.signal))
                .collect(),
        }
    }));
    nodes.push(DiagramNode {
        name: words.word(&keys::DIAGRAM_CHARGER).to_owned(),
        detail: speaker.numbers.current(circuit.charger.load()),
        connections: Vec::new(),
    });
    // The file describes one run, but not which places it connects, so it is named once, on the
    // last stretch that it can be.
    let mut runs = vec![String::new(); nodes.len() - 1];
    if let Some(last) = runs.last_mut() {
        *last = super::circuit_section::run(speaker, circuit);
    }
    let places: Vec<String> = circuit
        .places
        .iter()
        .map(|place| {
            let here: Vec<String> = numbered
                .iter()
                .filter(|n| n.place.id == place.id)
                .map(|n| {
                    words.say(
                        &keys::NUMBERED_CONNECTION,
                        &[("number", &n.number.to_string()), ("id", &n.connection.id)],
                    )
                })
                .collect();
            words.say(
                &keys::DIAGRAM_ALT_PLACE,
                &[("place", &place.name), ("connections", &words.list(&here))],
            )
        })
        .collect();
    Diagram {
        title: words.say(&keys::DIAGRAM_TITLE, &[("circuit", circuit.title())]),
        alt: words.say(
            &keys::DIAGRAM_ALT,
            &[
                ("supply", &super::circuit_section::supply(speaker, circuit)),
                ("places", &places.join("; ")),
            ],
        ),
        nodes,
        runs,
    }
}

/// The margin of each connection below its rating, if the rounds show it.
fn strip(speaker: &Speaker<'_>, circuit: &Circuit, numbered: &[&Numbered<'_>]) -> Option<Strip> {
    let words = speaker.wording;
    let n = &speaker.numbers;
    let judged: Vec<_> = numbered
        .iter()
        .filter_map(|c| {
            let found = c.found?;
            Some((
                c,
                found.projected?,
                found.limit?.0,
                found.margin?,
                found.projected_rise?.expanded,
            ))
        })
        .collect();
    let (worst, projected, limit, margin, _) = judged
        .iter()
        .min_by(|a, b| a.3.kelvin().total_cmp(&b.3.kelvin()))?;
    let alt = words.say(
        &keys::STRIP_ALT,
        &[
            ("connection", &worst.connection.id),
            ("projected", &n.temperature(*projected)),
            ("limit", &n.temperature(*limit)),
            ("margin", &n.difference_between(*margin)),
        ],
    );
    Some(Strip {
        title: words.say(&keys::STRIP_TITLE, &[("circuit", circuit.title())]),
        alt,
        axis: words.say(&keys::STRIP_AXIS, &[("unit", n.temperature_unit())]),
        items: judged
            .iter()
            .map(|(c, projected, limit, _, expanded)| {
                (
                    label(c),
                    n.temperature_value(*projected),
                    n.difference_value(*expanded),
                    n.temperature_value(*limit),
                    c.signal,
                )
            })
            .collect(),
    })
}

fn label(numbered: &Numbered<'_>) -> String {
    format!("{} {}", numbered.number, numbered.connection.id)
}

/// Minutes on a chart's axis: since charging began, or since the first round if the start is not
/// given.
fn minutes(heat: &Heat, round: usize) -> Option<f64> {
    let from = heat
        .charging_from
        .or_else(|| heat.rounds.first().map(|r| r.at))?;
    let at = heat.rounds.get(round)?.at;
    Some((at.seconds() - from.seconds()) as f64 / 60.0)
}

/// The charts of a place: none if nothing was measured there, several if it has more connections
/// than one chart can show.
fn charts(
    speaker: &Speaker<'_>,
    circuit: &Circuit,
    heat: &Heat,
    place: &Place,
    numbered: &[&Numbered<'_>],
) -> Vec<Chart> {
    let words = speaker.wording;
    let n = &speaker.numbers;
    let here: Vec<&Numbered<'_>> = numbered
        .iter()
        .filter(|c| {
            c.place.id == place.id && c.found.is_some_and(|f| f.rounds.iter().any(|r| r.trusted))
        })
        .copied()
        .collect();
    let lines: Option<Vec<_>> = here
        .iter()
        .map(|c| connection_line(speaker, circuit, heat, c))
        .collect();
    let parted = chart_parts::parts(lines.unwrap_or_default());
    let air = air_line(speaker, heat);
    let limit = here
        .iter()
        .filter_map(|c| c.found?.limit)
        .min_by(|a, b| a.0.kelvin().total_cmp(&b.0.kelvin()))
        .map(|(t, _)| t);
    let of = parted.len();
    let shared = parted.iter().flatten().map(|(series, _)| series);
    let range = chart_parts::range(shared.chain(air.as_ref().map(|(series, _)| series)));
    let x = if heat.charging_from.is_some() {
        &keys::CHART_X
    } else {
        &keys::CHART_X_UNCHARGED
    };
    let chart = |(i, part): (usize, Vec<(Series, String)>)| {
        let (series, mut sentences): (Vec<Series>, Vec<String>) =
            part.into_iter().chain(air.clone()).unzip();
        sentences.retain(|sentence| !sentence.is_empty());
        if let Some(t) = limit {
            sentences.push(words.say(&keys::CHART_ALT_LIMIT, &[("limit", &n.temperature(t))]));
        }
        let title = words.say(&keys::CHART_TITLE, &[("place", &place.name)]);
        Chart {
            title: chart_parts::title(words, title, i, of),
            alt: sentences.join(" "),
            x: Axis {
                label: words.word(x).to_owned(),
                range: None,
                ticks: None,
            },
            y: Axis {
                label: words.say(&keys::CHART_Y, &[("unit", n.temperature_unit())]),
                range: range.filter(|_| of > 1),
                ticks: None,
            },
            series,
            limits: limit
                .map(|t| {
                    (
                        n.temperature_value(t),
                        words.say(&keys::CHART_LIMIT, &[("limit", &n.temperature(t))]),
                    )
                })
                .into_iter()
                .collect(),
            off_scale: words.word(&keys::CHART_OFF_SCALE).to_owned(),
        }
    };
    parted.into_iter().enumerate().map(chart).collect()
}

/// The air's series and the sentence that describes it.
fn air_line(speaker: &Speaker<'_>, heat: &Heat) -> Option<(Series, String)> {
    let points: Vec<[f64; 2]> = heat
        .rounds
        .iter()
        .enumerate()
        .filter_map(|(i, r)| Some([minutes(heat, i)?, speaker.numbers.temperature_value(r.air?)]))
        .collect();
    if points.is_empty() {
        return None;
    }
    let series = Series {
        label: speaker.wording.word(&keys::CHART_AIR).to_owned(),
        intervals: vec![None; points.len()],
        points,
        curve: Vec::new(),
        settled: None,
        leg: None,
    };
    Some((series, air_sentence(speaker, heat).unwrap_or_default()))
}

/// A connection's series and the sentence that describes it.
fn connection_line(
    speaker: &Speaker<'_>,
    circuit: &Circuit,
    heat: &Heat,
    c: &Numbered<'_>,
) -> Option<(Series, String)> {
    let words = speaker.wording;
    let n = &speaker.numbers;
    let found = c.found?;
    let coverage = speaker.rules.thermal.coverage_factor.value;
    let rounds: Vec<&RoundValue> = found.rounds.iter().filter(|r| r.trusted).collect();
    let points: Vec<[f64; 2]> = rounds
        .iter()
        .filter_map(|r| Some([minutes(heat, r.round)?, n.temperature_value(r.temperature)]))
        .collect();
    let intervals = rounds
        .iter()
        .map(|r| {
            Some(n.difference_value(TemperatureDifference::from_kelvin(
                coverage * r.standard_uncertainty.kelvin(),
            )))
        })
        .collect();
    let (first, last) = (rounds.first()?, rounds.last()?);
    let mut sentence = if rounds.len() == 1 {
        words.say(
            &keys::CHART_ALT_ONE,
            &[
                ("connection", &c.connection.id),
                ("temperature", &n.temperature(first.temperature)),
            ],
        )
    } else {
        let span = minutes(heat, last.round)? - minutes(heat, first.round)?;
        words.say(
            &keys::CHART_ALT_LINE,
            &[
                ("connection", &c.connection.id),
                ("from", &n.temperature(first.temperature)),
                ("to", &n.temperature(last.temperature)),
                ("time", &n.duration(Duration::from_minute(span))),
            ],
        )
    };
    let air = rounds.iter().rev().find_map(|r| r.air);
    let fitted = found.settled.filter(|s| s.how.is_settled()).zip(air);
    let settled = fitted.map(|(s, air)| {
        let at = air + s.rise.value;
        sentence.push(' ');
        sentence.push_str(&words.say(
            &keys::CHART_ALT_SETTLES,
            &[("temperature", &n.temperature(at))],
        ));
        (n.temperature_value(at), n.difference_value(s.rise.expanded))
    });
    let curve = fitted
        .and_then(|(s, air)| {
            let tau = s.time_constant_min.filter(|t| *t > 0.0)?;
            let end = points.last()?[0];
            (heat.charging_from.is_some() && end > 0.0)
                .then(|| curve(speaker, air, s.rise.value, tau, end))
        })
        .unwrap_or_default();
    Some((
        Series {
            label: c.connection.id.clone(),
            points,
            intervals,
            curve,
            settled,
            leg: Some(leg_index(circuit, &c.connection.leg)),
        },
        sentence,
    ))
}

/// The heating curve T(t) = A + R·(1 − e^(−t/τ)) from the beginning of charging.
fn curve(
    speaker: &Speaker<'_>,
    air: Temperature,
    rise: TemperatureDifference,
    tau_min: f64,
    end_min: f64,
) -> Vec<[f64; 2]> {
    (0..=CURVE_POINTS)
        .map(|i| {
            let t = end_min * f64::from(i) / f64::from(CURVE_POINTS);
            let share = -(-t / tau_min).exp_m1();
            let at = air + TemperatureDifference::from_kelvin(rise.kelvin() * share);
            [t, speaker.numbers.temperature_value(at)]
        })
        .collect()
}

fn air_sentence(speaker: &Speaker<'_>, heat: &Heat) -> Option<String> {
    let airs = || heat.rounds.iter().filter_map(|r| r.air);
    let low = airs().min_by(|a, b| a.kelvin().total_cmp(&b.kelvin()))?;
    let high = airs().max_by(|a, b| a.kelvin().total_cmp(&b.kelvin()))?;
    let (low, high) = (
        speaker.numbers.temperature(low),
        speaker.numbers.temperature(high),
    );
    Some(if low == high {
        speaker
            .wording
            .say(&keys::CHART_ALT_AIR_STEADY, &[("temperature", &low)])
    } else {
        speaker
            .wording
            .say(&keys::CHART_ALT_AIR, &[("low", &low), ("high", &high)])
    })
}

// Tables

fn column(speaker: &Speaker<'_>, key: &keys::Key, unit: Option<&str>, align: Align) -> Column {
    Column {
        head: speaker.wording.word(key).to_owned(),
        unit: unit.map(str::to_owned),
        align,
        share: if align == Align::Left { 1.0 } else { 0.0 },
    }
}

fn cell(text: Option<String>) -> Text {
    Text::plain(text.unwrap_or_else(|| NOT_TOLD.to_owned()))
}

fn rounds(speaker: &Speaker<'_>, circuit: &Circuit, heat: &Heat) -> Table {
    let n = &speaker.numbers;
    let rows = heat
        .rounds
        .iter()
        .enumerate()
        .map(|(i, round)| Row {
            cells: vec![
                Text::plain(n.time(round.at.time)),
                cell(
                    heat.charging_from
                        .and_then(|_| minutes(heat, i))
                        .map(|m| n.fixed(m, 0)),
                ),
                Text::plain(currents(n, round)),
                cell(round.voltage.map(|v| n.fixed(v.volt(), 0))),
                cell(round.air.map(|t| n.temperature_cell(t))),
                Text::plain(round.readings.len().to_string()),
            ],
            group: false,
        })
        .collect();
    Table {
        caption: speaker
            .wording
            .say(&keys::ROUNDS_CAPTION, &[("circuit", circuit.title())]),
        columns: vec![
            column(speaker, &keys::COLUMN_TIME, None, Align::Centre),
            column(speaker, &keys::COLUMN_CHARGING, Some("min"), Align::Decimal),
            column(speaker, &keys::COLUMN_CURRENT, Some("A"), Align::Decimal),
            column(speaker, &keys::COLUMN_VOLTAGE, Some("V"), Align::Decimal),
            column(
                speaker,
                &keys::COLUMN_AIR,
                Some(n.temperature_unit()),
                Align::Decimal,
            ),
            column(speaker, &keys::COLUMN_READINGS, None, Align::Decimal),
        ],
        rows,
        row_heads: true,
    }
}

/// The rise, unless no number can be trusted on this surface.
fn trusted_rise(r: &RoundValue) -> Option<Estimate> {
    r.rise.filter(|_| r.trusted)
}

fn readings(
    speaker: &Speaker<'_>,
    circuit: &Circuit,
    heat: &Heat,
    numbered: &[&Numbered<'_>],
) -> Table {
    let n = &speaker.numbers;
    let limit = speaker
        .rules
        .thermal
        .rise
        .first_edge()
        .map(|e| n.difference_cell(TemperatureDifference::from_kelvin(e.at)));
    // The limit applies to rounds with enough load to be judged.
    let least = speaker.rules.thermal.least_load_fraction.value;
    let row = |c: &Numbered<'_>, r: &RoundValue, first: bool| Row {
        cells: vec![
            Text::plain(c.number.to_string()),
            Text::plain(&c.connection.id),
            cell(heat.rounds.get(r.round).map(|round| n.time(round.at.time))),
            Text::plain(n.fixed(r.current.ampere(), 1)),
            cell(r.air.map(|t| n.temperature_cell(t))),
            Text::plain(n.temperature_cell(r.shown)),
            cell(r.trusted.then(|| n.temperature_cell(r.temperature))),
            cell(trusted_rise(r).map(|e| n.difference_cell(e.value))),
            cell(trusted_rise(r).map(|e| n.difference_cell(e.expanded))),
            cell(limit.clone().filter(|_| circuit.loaded(r.current, least))),
        ],
        group: first,
    };
    let rows = numbered
        .iter()
        .flat_map(|c| {
            c.found
                .into_iter()
                .flat_map(|f| &f.rounds)
                .enumerate()
                .map(|(i, r)| row(c, r, i == 0))
        })
        .collect();
    let t = Some(n.temperature_unit());
    let d = Some(n.difference_unit());
    Table {
        caption: speaker
            .wording
            .say(&keys::READINGS_CAPTION, &[("circuit", circuit.title())]),
        columns: vec![
            column(speaker, &keys::COLUMN_NUMBER, None, Align::Decimal),
            column(speaker, &keys::COLUMN_CONNECTION, None, Align::Left),
            column(speaker, &keys::COLUMN_TIME, None, Align::Centre),
            column(speaker, &keys::COLUMN_CURRENT, Some("A"), Align::Decimal),
            column(speaker, &keys::COLUMN_AIR, t, Align::Decimal),
            column(speaker, &keys::COLUMN_SHOWN, t, Align::Decimal),
            column(speaker, &keys::COLUMN_SURFACE, t, Align::Decimal),
            column(speaker, &keys::COLUMN_RISE, d, Align::Decimal),
            column(speaker, &keys::COLUMN_UNCERTAINTY, d, Align::Decimal),
            column(speaker, &keys::COLUMN_RISE_LIMIT, d, Align::Decimal),
        ],
        rows,
        row_heads: true,
    }
}

/// Maximum number of rounds with a column in the results: the first one and the last ones.
const ROUNDS_SHOWN: usize = 4;

/// The rounds whose rises are shown next to the results.
fn shown_rounds(heat: &Heat) -> Vec<usize> {
    let count = heat.rounds.len();
    let from = count.saturating_sub(ROUNDS_SHOWN - 1).max(1);
    std::iter::once(0).chain(from..count).collect()
}

/// The results of several circuits, without the rises of their rounds, whose times differ.
fn shared_results(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    circuits: &[&Circuit],
) -> Table {
    let mut shared: Option<Table> = None;
    let mut titles = Vec::new();
    for circuit in circuits {
        let Some(heat) = &circuit.heat else { continue };
        titles.push(circuit.title());
        let numbered: Vec<&Numbered<'_>> = connections.of(circuit).collect();
        let mut table = results(speaker, circuit, heat, &numbered);
        // Number and connection come first, then a column for each round.
        let rounds = 2..2 + shown_rounds(heat).len();
        table.columns.drain(rounds.clone());
        for row in &mut table.rows {
            row.cells.drain(rounds.clone());
        }
        let head = Row {
            cells: vec![Text::strong(circuit.title())],
            group: true,
        };
        table.rows.insert(0, head);
        match &mut shared {
            Some(shared) => shared.rows.append(&mut table.rows),
            None => shared = Some(table),
        }
    }
    let caption = speaker.wording.list(&titles);
    let caption = speaker
        .wording
        .say(&keys::RESULTS_CAPTION, &[("circuit", &caption)]);
    shared.map_or_else(Table::default, |table| Table { caption, ..table })
}

/// One row for each connection: the rise of each round, settled, and at rated current, and the
/// margin on the hottest day.
fn results(
    speaker: &Speaker<'_>,
    circuit: &Circuit,
    heat: &Heat,
    numbered: &[&Numbered<'_>],
) -> Table {
    let n = &speaker.numbers;
    let words = speaker.wording;
    let rounds = shown_rounds(heat);
    let t = Some(n.temperature_unit());
    let d = Some(n.difference_unit());
    let row = |c: &&Numbered<'_>| {
        let found = c.found.filter(|f| !f.rounds.is_empty())?;
        let rise = |round: &usize| {
            let read = found.rounds.iter().find(|r| r.round == *round);
            cell(
                read.and_then(trusted_rise)
                    .map(|e| n.difference_cell(e.value)),
            )
        };
        let settled = found.settled.map(|s| {
            let value = n.difference_cell(s.rise.value);
            if s.how.is_settled() {
                return format!("{value} ± {}", n.difference_cell(s.rise.expanded));
            }
            // Where the heat still to come ends, if that is known for the current that was read.
            let rated = circuit.charger.load() == s.current && found.without_load.is_none();
            match found.ends.and_then(|e| e.most).filter(|_| rated) {
                Some(most) => format!("{value}–{}", n.difference_cell(most)),
                None => format!("≥ {value}"),
            }
        });
        let head = [
            Text::plain(c.number.to_string()),
            Text::plain(&c.connection.id),
        ];
        let tail = [
            cell(settled),
            cell(found.rise_at_rated.map(|e| n.difference_cell(e.value))),
            cell(found.rise_at_rated.map(|e| n.difference_cell(e.expanded))),
            cell(shows_from(speaker, circuit, c).map(|d| n.difference_cell(d))),
            cell(found.projected.map(|t| n.temperature_cell(t))),
            cell(found.limit.map(|(t, _)| n.temperature_cell(t))),
            cell(found.margin.map(|d| n.difference_cell(d))),
        ];
        Some(Row {
            cells: head
                .into_iter()
                .chain(rounds.iter().map(rise))
                .chain(tail)
                .collect(),
            group: false,
        })
    };
    let at = |round: &usize| Column {
        head: heat
            .rounds
            .get(*round)
            .map(|r| n.time(r.at.time))
            .unwrap_or_default(),
        unit: d.map(str::to_owned),
        align: Align::Decimal,
        share: 0.0,
    };
    let head = [
        column(speaker, &keys::COLUMN_NUMBER, None, Align::Decimal),
        column(speaker, &keys::COLUMN_CONNECTION, None, Align::Left),
    ];
    let tail = [
        column(speaker, &keys::COLUMN_SETTLED, d, Align::Decimal),
        column(speaker, &keys::COLUMN_AT_RATED, d, Align::Decimal),
        column(speaker, &keys::COLUMN_UNCERTAINTY, d, Align::Decimal),
        column(speaker, &keys::COLUMN_SHOWS_FROM, d, Align::Decimal),
        column(speaker, &keys::COLUMN_PROJECTED, t, Align::Decimal),
        column(speaker, &keys::COLUMN_RATING, t, Align::Decimal),
        column(speaker, &keys::COLUMN_MARGIN, d, Align::Decimal),
    ];
    Table {
        caption: words.say(&keys::RESULTS_CAPTION, &[("circuit", circuit.title())]),
        columns: head
            .into_iter()
            .chain(rounds.iter().map(at))
            .chain(tail)
            .collect(),
        rows: numbered.iter().filter_map(row).collect(),
        row_heads: true,
    }
}

/// The smallest fault at rated current that the readings of a connection's place would have shown,
/// as a rise or a difference between legs, whichever shows more.
fn shows_from(
    speaker: &Speaker<'_>,
    circuit: &Circuit,
    c: &Numbered<'_>,
) -> Option<TemperatureDifference> {
    let checks = speaker.assessment.checks.iter();
    let here = checks
        .filter(|check| matches!(check.id, CheckId::LegDifference | CheckId::Rise))
        .filter(|check| check.circuit.as_ref() == Some(&circuit.id))
        .filter(|check| check.place.as_ref() == Some(&c.place.id));
    let known = c.found.is_some_and(|f| f.rise_at_rated.is_some());
    here.filter(|_| known)
        .filter_map(|check| Some(check.would_show?.smallest))
        .reduce(f64::min)
        .map(TemperatureDifference::from_kelvin)
}

/// The current of a round, or that of each leg, ampere.
fn currents(n: &super::numbers::Numbers, round: &Round) -> String {
    if round.legs.is_empty() {
        return n.fixed(round.current.ampere(), 1);
    }
    let each = round.legs.iter();
    let each: Vec<_> = each
        .map(|(leg, i)| format!("{leg} {}", n.fixed(i.ampere(), 1)))
        .collect();
    each.join(" · ")
}
