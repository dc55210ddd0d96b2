//! What was done with the power off: isolation, torque and the condition seen.

use super::connections::Connections;
use super::document::{Align, Block, Column, Row, Table, Text};
use super::keys::{self, Key};
use super::numbers::NOT_TOLD;
use super::speaker::Speaker;
use crate::assess::{Value, Values};
use crate::visit::{Circuit, Isolation, TorqueFound};
use crate::vocabulary::{Topic, ValueName};

pub(super) fn section(speaker: &Speaker<'_>, connections: &Connections<'_>, body: &mut Vec<Block>) {
    let words = speaker.wording;
    body.push(Block::Heading {
        level: 2,
        text: words.word(&keys::WORK_HEADING).to_owned(),
        anchor: Some("work".to_owned()),
    });
    for circuit in &speaker.visit.circuits {
        body.extend(speaker.circuit_heading(circuit));
        isolation(speaker, circuit, body);
        torque(speaker, connections, circuit, body);
        condition(speaker, circuit, body);
    }
}

fn column(speaker: &Speaker<'_>, key: &Key, unit: Option<&str>, align: Align) -> Column {
    Column {
        head: speaker.wording.word(key).to_owned(),
        unit: unit.map(str::to_owned),
        align,
        share: if align == Align::Left { 1.0 } else { 0.0 },
    }
}

fn isolation(speaker: &Speaker<'_>, circuit: &Circuit, body: &mut Vec<Block>) {
    let words = speaker.wording;
    if circuit.isolation.is_empty() {
        body.push(Block::Paragraph(Text::plain(
            words.word(&keys::ISOLATION_NOT_TOLD),
        )));
    }
    for proof in &circuit.isolation {
        body.push(Block::Small(isolation_line(speaker, proof)));
    }
}

/// One proof in one line: the tester on a live source, each pair dead, the tester again, the lock.
fn isolation_line(speaker: &Speaker<'_>, isolation: &Isolation) -> Text {
    let words = speaker.wording;
    let not_told = || words.word(&keys::NOT_RECORDED).to_owned();
    let tester = isolation
        .tester
        .as_deref()
        .and_then(|id| speaker.visit.instrument(id))
        .map_or_else(not_told, |i| super::speaker::instrument_name(speaker, i));
    let volts = |v: Option<crate::quantity::Voltage>| {
        v.map_or_else(not_told, |v| speaker.numbers.voltage(v))
    };
    let locked = words.word(match isolation.locked {
        Some(true) => &keys::YES,
        Some(false) => &keys::NO,
        None => &keys::NOT_RECORDED,
    });
    let dead = isolation.dead.iter().map(|(pair, volts)| {
        let ends = match pair.split_once('-') {
            Some((a, b)) => [("from", a), ("to", b)],
            None => [("from", pair.as_str()), ("to", NOT_TOLD)],
        };
        format!(
            "{} {} V",
            words.say(&keys::PAIR, &ends),
            speaker.numbers.fixed(volts.volt(), 1)
        )
    });
    let dead: Vec<String> = dead.collect();
    let dead = if dead.is_empty() {
        not_told()
    } else {
        dead.join(", ")
    };
    let named = |key: &Key, value: &str| {
        Text::strong(words.word(key)).then(Text::plain(format!(" {value}")))
    };
    let stop = || Text::plain("; ");
    named(&keys::FACT_TESTER, &tester)
        .then(stop())
        .then(named(
            &keys::FACT_PROVED_BEFORE,
            &volts(isolation.proved_before),
        ))
        .then(stop())
        .then(named(&keys::FACT_DEAD, &dead))
        .then(stop())
        .then(named(
            &keys::FACT_PROVED_AFTER,
            &volts(isolation.proved_after),
        ))
        .then(stop())
        .then(named(&keys::FACT_LOCKED, locked))
}

fn torque(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    circuit: &Circuit,
    body: &mut Vec<Block>,
) {
    let words = speaker.wording;
    if circuit.torque.is_empty() {
        body.push(Block::Paragraph(Text::plain(
            words.word(&keys::TORQUE_NOT_TOLD),
        )));
        return;
    }
    let n = &speaker.numbers;
    let unit = Some(n.torque_unit());
    let mut fallbacks: Vec<(String, &str)> = Vec::new();
    let rows = circuit
        .torque
        .iter()
        .map(|check| {
            let numbered = connections.find(Some(&circuit.id), &check.connection);
            let values = judged(speaker, circuit, &check.connection);
            let wanted = match values.and_then(|v| v.get(&ValueName::Wanted)) {
                Some(Value::Torque(t)) => Some(*t),
                _ => numbered.and_then(|c| c.connection.torque),
            };
            if let Some(Value::Text(source)) = values.and_then(|v| v.get(&ValueName::Fallback)) {
                fallbacks.push((check.connection.clone(), source));
            }
            let cell = |t: Option<crate::quantity::Torque>| {
                Text::plain(t.map_or_else(|| NOT_TOLD.to_owned(), |t| n.torque_cell(t)))
            };
            Row {
                cells: vec![
                    Text::plain(
                        numbered.map_or_else(|| NOT_TOLD.to_owned(), |c| c.number.to_string()),
                    ),
                    Text::plain(&check.connection),
                    cell(wanted),
                    Text::plain(match check.found {
                        TorqueFound::Held => words.word(&keys::TORQUE_HELD).to_owned(),
                        TorqueFound::Moved => words.word(&keys::TORQUE_MOVED).to_owned(),
                        TorqueFound::Value(t) => {
                            words.say(&keys::TORQUE_MOVED_AT, &[("torque", &n.torque(t))])
                        }
                    }),
                    cell(check.left),
                    Text::plain(
                        check
                            .with
                            .as_deref()
                            .and_then(|id| speaker.visit.instrument(id))
                            .map_or_else(
                                || words.word(&keys::NOT_RECORDED).to_owned(),
                                |i| super::speaker::instrument_name(speaker, i),
                            ),
                    ),
                ],
                group: false,
            }
        })
        .collect();
    body.push(Block::Table(Table {
        caption: words.say(&keys::TORQUE_CAPTION, &[("circuit", circuit.title())]),
        columns: vec![
            column(speaker, &keys::COLUMN_NUMBER, None, Align::Decimal),
            column(speaker, &keys::COLUMN_CONNECTION, None, Align::Left),
            column(speaker, &keys::COLUMN_WANTED, unit, Align::Decimal),
            column(speaker, &keys::COLUMN_FOUND, None, Align::Left),
            column(speaker, &keys::COLUMN_LEFT, unit, Align::Decimal),
            column(speaker, &keys::COLUMN_TOOL, None, Align::Left),
        ],
        rows,
        row_heads: true,
    }));
    for (connection, source) in fallbacks {
        body.push(Block::Small(Text::plain(words.say(
            &keys::TORQUE_FALLBACK,
            &[("connection", &connection), ("source", source)],
        ))));
    }
}

/// What the torque check of a connection was judged by.
fn judged<'a>(speaker: &Speaker<'a>, circuit: &Circuit, connection: &str) -> Option<&'a Values> {
    speaker
        .assessment
        .checks
        .iter()
        .find(|f| {
            f.id.about() == Topic::Torque
                && f.circuit.as_deref() == Some(circuit.id.as_str())
                && f.connections.iter().any(|c| c == connection)
        })
        .map(|f| &f.values)
}

fn condition(speaker: &Speaker<'_>, circuit: &Circuit, body: &mut Vec<Block>) {
    let words = speaker.wording;
    if circuit.looked_at.is_empty() {
        body.push(Block::Paragraph(Text::plain(
            words.word(&keys::CONDITION_NOT_TOLD),
        )));
        return;
    }
    let rows = circuit
        .looked_at
        .iter()
        .map(|looked| {
            let place = circuit
                .places
                .iter()
                .find(|p| p.id == looked.place)
                .map_or(looked.place.as_str(), |p| p.name.as_str());
            let seen: Vec<&str> = looked.seen.iter().map(|c| words.name(*c)).collect();
            Row {
                cells: vec![
                    Text::plain(place),
                    Text::plain(looked.connection.as_deref().unwrap_or(NOT_TOLD)),
                    Text::plain(seen.join("; ")),
                    Text::plain(looked.note.as_deref().unwrap_or(NOT_TOLD)),
                ],
                group: false,
            }
        })
        .collect();
    body.push(Block::Table(Table {
        caption: words.say(&keys::CONDITION_CAPTION, &[("circuit", circuit.title())]),
        columns: vec![
            column(speaker, &keys::COLUMN_PLACE, None, Align::Left),
            column(speaker, &keys::COLUMN_CONNECTION, None, Align::Left),
            column(speaker, &keys::COLUMN_SEEN, None, Align::Left),
            column(speaker, &keys::COLUMN_NOTE, None, Align::Left),
        ],
        rows,
        row_heads: true,
    }));
}
