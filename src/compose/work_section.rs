//! What was done with the power off: isolation in one line, and torque and the condition seen in one
//! table, place by place.

use super::connections::Connections;
use super::document::{Align, Block, Column, Columns, Row, Table, Text, lines};
use super::keys::{self, Key};
use super::numbers::NOT_TOLD;
use super::sources::Sources;
use super::speaker::Speaker;
use crate::assess::{Value, Values};
use crate::quantity::Torque;
use crate::visit::{Circuit, Connection, Isolation, Place, TorqueFound, When};
use crate::vocabulary::{Topic, ValueName};

/// Columns of the table; the last one is the tool.
const COLUMNS: usize = 5;

pub(super) fn section(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    sources: &Sources<'_>,
    body: &mut Vec<Block>,
) {
    let words = speaker.wording;
    let circuits = &speaker.visit.circuits;
    body.push(Block::Heading {
        level: 2,
        text: words.word(&keys::WORK_HEADING).to_owned(),
        anchor: Some("work".to_owned()),
    });
    let several = circuits.len() > 1;
    let tool = one_tool(speaker);
    let mut rows = Vec::new();
    body.push(Block::Columns(Columns::Flowing(1)));
    for circuit in circuits {
        let notes = notes(speaker, circuit);
        if several {
            // With several circuits, each has its own part of the table with a heading.
            let name = Text::strong(circuit.title());
            rows.push(across(lines(std::iter::once(name).chain(notes).collect())));
        } else {
            body.extend(notes.into_iter().map(Block::Small));
        }
        for place in places(circuit) {
            rows.push(across(condition(speaker, circuit, place)));
            let torques = torque(speaker, connections, circuit, place);
            rows.extend(torques.into_iter().map(|mut row| {
                // The last cell names the tool.
                row.cells.truncate(COLUMNS - usize::from(tool.is_some()));
                row
            }));
        }
    }
    body.push(Block::Columns(Columns::One));
    let torqued = rows.iter().any(|row| row.cells.len() > 1);
    if torqued || several {
        body.push(Block::Table(table(speaker, rows, tool.as_deref())));
    } else if !rows.is_empty() {
        // Without torques, columns have nothing to compare.
        let items = rows.into_iter().flat_map(|row| row.cells).collect();
        body.push(Block::Columns(Columns::Flowing(1)));
        body.push(Block::List {
            numbered: false,
            items,
        });
        body.push(Block::Columns(Columns::One));
    }
    fallbacks(speaker, sources, body);
}

fn across(text: Text) -> Row {
    Row {
        cells: vec![text],
        group: true,
    }
}

/// The proofs that a circuit was dead, one line each, and what was not recorded.
fn notes(speaker: &Speaker<'_>, circuit: &Circuit) -> Vec<Text> {
    let words = speaker.wording;
    let mut notes = proofs(speaker, &circuit.isolation);
    let missing = [
        (circuit.isolation.is_empty(), &keys::ISOLATION_NOT_TOLD),
        (circuit.torque.is_empty(), &keys::TORQUE_NOT_TOLD),
        (circuit.looked_at.is_empty(), &keys::CONDITION_NOT_TOLD),
    ];
    let missing = missing.iter().filter(|(missing, _)| *missing);
    notes.extend(missing.map(|(_, key)| Text::plain(words.word(key))));
    notes
}

/// A line for each proof of isolation, beginning with when it was done. Proofs before and after the
/// heat measurement that say the same share a line.
fn proofs(speaker: &Speaker<'_>, isolation: &[Isolation]) -> Vec<Text> {
    let words = speaker.wording;
    let mut lines: Vec<(Vec<When>, Text)> = Vec::new();
    for proof in isolation {
        let line = isolation_line(speaker, proof);
        let alike = lines
            .iter_mut()
            .find(|(times, other)| *other == line && !times.is_empty());
        match (alike, proof.when) {
            (Some((times, _)), Some(when)) => times.push(when),
            (_, when) => lines.push((when.into_iter().collect(), line)),
        }
    }
    let lines = lines.into_iter().map(|(times, line)| {
        if times.is_empty() {
            return line;
        }
        let when = match times.as_slice() {
            [When::Before, When::After] => words.word(&keys::WORK_BEFORE_AND_AFTER).to_owned(),
            _ => {
                let named: Vec<String> = times
                    .iter()
                    .map(|when| match when {
                        When::Before => words.word(&keys::WORK_BEFORE).to_owned(),
                        When::After => words.word(&keys::WORK_AFTER).to_owned(),
                        When::At(time) => time.to_string(),
                    })
                    .collect();
                words.list(&named)
            }
        };
        Text::strong(words.word(&keys::FACT_WHEN))
            .then(Text::plain(format!(
                " {when}{}",
                words.word(&keys::BAND_BETWEEN)
            )))
            .then(line)
    });
    lines.collect()
}

/// The places of a circuit that were looked at or where a torque was checked, in order from the
/// supply.
fn places(circuit: &Circuit) -> Vec<&Place> {
    let checked = |place: &&Place| {
        let torqued = |c: &Connection| circuit.torque.iter().any(|t| t.connection == c.id);
        circuit.looked_at.iter().any(|l| l.place == place.id)
            || place.connections.iter().any(torqued)
    };
    circuit.places.iter().filter(checked).collect()
}

/// The condition of a place, after its name.
fn condition(speaker: &Speaker<'_>, circuit: &Circuit, place: &Place) -> Text {
    let words = speaker.wording;
    let seen = circuit.looked_at.iter().filter(|l| l.place == place.id);
    let seen = seen.map(|looked| {
        let seen: Vec<&str> = looked.seen.iter().map(|c| words.name(*c)).collect();
        let seen = seen.join(", ");
        let parts = [
            looked.connection.as_deref(),
            Some(&seen),
            looked.note.as_deref(),
        ];
        parts
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join(words.word(&keys::BAND_BETWEEN))
    });
    let seen: Vec<String> = seen.collect();
    let name = Text::strong(&place.name);
    if seen.is_empty() {
        return name;
    }
    name.then(Text::plain(format!(" {}", seen.join(". "))))
}

/// The tool of all torque checks, where it is the same one: the table then names it once.
fn one_tool(speaker: &Speaker<'_>) -> Option<String> {
    let circuits = speaker.visit.circuits.iter();
    let mut checks = circuits.flat_map(|circuit| &circuit.torque);
    let first = checks.next()?.with.as_deref()?;
    let same = checks.all(|check| check.with.as_deref() == Some(first));
    let tool = speaker.visit.instrument(first).filter(|_| same)?;
    Some(super::speaker::instrument_name(speaker, tool))
}

fn table(speaker: &Speaker<'_>, rows: Vec<Row>, tool: Option<&str>) -> Table {
    let words = speaker.wording;
    let column = |key: &Key, unit: Option<&str>, align, share| Column {
        head: words.word(key).to_owned(),
        unit: unit.map(str::to_owned),
        align,
        share,
    };
    let unit = Some(speaker.numbers.torque_unit());
    let mut columns = vec![
        column(&keys::COLUMN_CONNECTION, None, Align::Left, 2.0),
        column(&keys::COLUMN_WANTED, unit, Align::Decimal, 0.0),
        column(&keys::COLUMN_FOUND, None, Align::Left, 1.0),
        column(&keys::COLUMN_LEFT, unit, Align::Decimal, 0.0),
        column(&keys::COLUMN_TOOL, None, Align::Left, 1.0),
    ];
    let caption = match tool {
        Some(tool) => {
            columns.truncate(COLUMNS - 1);
            words.say(&keys::WORK_CAPTION_WITH, &[("tool", tool)])
        }
        None => words.word(&keys::WORK_CAPTION).to_owned(),
    };
    Table {
        caption,
        columns,
        rows,
        row_heads: true,
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
    let stop = || Text::plain(words.word(&keys::BAND_BETWEEN));
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

/// The torques of a place; connections with equal torques share a row.
fn torque(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    circuit: &Circuit,
    place: &Place,
) -> Vec<Row> {
    let words = speaker.wording;
    let n = &speaker.numbers;
    let cell = |t: Option<Torque>| t.map_or_else(|| NOT_TOLD.to_owned(), |t| n.torque_cell(t));
    let mut rows: Vec<(Vec<String>, [String; 4])> = Vec::new();
    for check in &circuit.torque {
        if !place.connections.iter().any(|c| c.id == check.connection) {
            continue;
        }
        let numbered = connections.find(Some(&circuit.id), &check.connection);
        let values = judged(speaker, circuit, &check.connection);
        let wanted = match values.and_then(|v| v.get(&ValueName::Wanted)) {
            Some(Value::Torque(t)) => Some(*t),
            _ => numbered.and_then(|c| c.connection.torque),
        };
        let found = match check.found {
            TorqueFound::Held => words.word(&keys::TORQUE_HELD).to_owned(),
            TorqueFound::Moved => words.word(&keys::TORQUE_MOVED).to_owned(),
            TorqueFound::Value(t) => words.say(&keys::TORQUE_MOVED_AT, &[("torque", &n.torque(t))]),
        };
        let tool = check
            .with
            .as_deref()
            .and_then(|id| speaker.visit.instrument(id));
        let tool = tool.map_or_else(
            || words.word(&keys::NOT_RECORDED).to_owned(),
            |tool| super::speaker::instrument_name(speaker, tool),
        );
        let values = [cell(wanted), found, cell(check.left), tool];
        let name = numbered.map_or_else(
            || check.connection.clone(),
            |c| {
                let number = c.number.to_string();
                let places = [("number", number.as_str()), ("id", &check.connection)];
                words.say(&keys::NUMBERED_CONNECTION, &places)
            },
        );
        match rows.iter_mut().find(|(_, alike)| *alike == values) {
            Some((names, _)) => names.push(name),
            None => rows.push((vec![name], values)),
        }
    }
    rows.into_iter()
        .map(|(names, values)| Row {
            cells: std::iter::once(names.join(", "))
                .chain(values)
                .map(Text::plain)
                .collect(),
            group: false,
        })
        .collect()
}

/// The torques that are not the manufacturer's, and their sources, one entry per source.
fn fallbacks(speaker: &Speaker<'_>, sources: &Sources<'_>, body: &mut Vec<Block>) {
    let words = speaker.wording;
    let mut by_source: Vec<(&str, Vec<&str>)> = Vec::new();
    for circuit in &speaker.visit.circuits {
        for check in &circuit.torque {
            let values = judged(speaker, circuit, &check.connection);
            let Some(Value::Text(source)) = values.and_then(|v| v.get(&ValueName::Fallback)) else {
                continue;
            };
            let name = check.connection.as_str();
            match by_source.iter_mut().find(|(other, _)| other == source) {
                Some((_, names)) if !names.contains(&name) => names.push(name),
                Some(_) => {}
                None => by_source.push((source, vec![name])),
            }
        }
    }
    if by_source.is_empty() {
        return;
    }
    let notes = by_source.iter().map(|(source, names)| {
        let mark = sources.mark(source).unwrap_or_default();
        let names = words.list(names);
        let places = [("connection", names.as_str()), ("source", &mark)];
        words.say(&keys::TORQUE_FALLBACK, &places)
    });
    let notes: Vec<String> = notes.collect();
    body.push(Block::Columns(Columns::Flowing(1)));
    body.push(Block::Small(Text::plain(notes.join(" "))));
    body.push(Block::Columns(Columns::One));
}

/// The torque by which the check of a connection was judged.
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
