//! The findings: each with its numbers, the action for the trade and the source of its limit,
//! worst first; what was found in order, briefly; the steps for a hot connection, once.

use super::connections::{Connections, signal};
use super::document::{Align, Block, Column, Columns, Row, Table, Text};
use super::keys::{self, Key};
use super::numbers::NOT_TOLD;
use super::speaker::{Speaker, Steps};
use crate::assess::{Charging, CheckResult, Finding, Value, Values};
use crate::visit::Grade;
use crate::vocabulary::{CheckId, Topic, ValueName};

/// Most rows of what was found in order that are set in two columns; a longer table runs over pages.
const MOST_IN_COLUMNS: usize = 24;

pub(super) fn section(speaker: &Speaker<'_>, connections: &Connections<'_>, body: &mut Vec<Block>) {
    let words = speaker.wording;
    let open = &speaker.assessment.findings;
    let in_order: Vec<&CheckResult> = speaker
        .assessment
        .checks
        .iter()
        .filter(|check| check.grade == Grade::Pass && check.judgement.is_none())
        .collect();
    body.push(Block::Heading {
        level: 2,
        text: words.word(&keys::FINDINGS_HEADING).to_owned(),
        anchor: Some("findings".to_owned()),
    });
    if open.is_empty() {
        body.push(Block::Paragraph(Text::plain(
            words.word(&keys::FINDINGS_NONE),
        )));
    }
    for (i, finding) in open.iter().enumerate() {
        one(speaker, connections, i + 1, finding, body);
    }
    super::mended::section(speaker, 3, body);
    if let Some((heading, steps)) = speaker.heat_steps() {
        body.push(Block::Heading {
            level: 3,
            text: heading.to_owned(),
            anchor: Some("hot-connection".to_owned()),
        });
        body.push(Block::Columns(Columns::Flowing(2)));
        body.push(Block::List {
            numbered: true,
            items: steps.into_iter().map(Text::plain).collect(),
        });
        body.push(Block::Columns(Columns::One));
    }
    super::baseline::section(speaker, connections, body);
    if !in_order.is_empty() {
        body.push(Block::Heading {
            level: 3,
            text: words.word(&keys::IN_ORDER_HEADING).to_owned(),
            anchor: None,
        });
        let table = in_order_table(speaker, connections, &in_order);
        let columns = match table.rows.len() {
            ..=MOST_IN_COLUMNS => Columns::Flowing(2),
            _ => Columns::One,
        };
        body.push(Block::Columns(columns));
        body.push(Block::Table(table));
        body.push(Block::Columns(Columns::One));
    }
}

fn one(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    number: usize,
    finding: &Finding,
    body: &mut Vec<Block>,
) {
    let words = speaker.wording;
    let sentence = speaker.diagnosis_referring(finding);
    let number = number.to_string();
    body.push(Block::Heading {
        level: 3,
        text: words.say(
            &keys::FINDING_HEADING,
            &[
                ("number", &number),
                ("name", &sentence.name),
                ("where", &speaker.found_at(finding)),
            ],
        ),
        anchor: None,
    });
    body.push(Block::Paragraph(
        Text::marked(signal(finding.grade), speaker.grade(finding.grade))
            .then(Text::plain(format!(" {}", sentence.text))),
    ));
    let checks: Vec<&CheckResult> = finding.checks(&speaker.assessment.checks).collect();
    let mut facts = Vec::new();
    if let [check] = checks.as_slice() {
        facts.extend(evidence(speaker, connections, check));
    } else {
        let table = evidence_table(speaker, connections, &number, &checks);
        body.push(Block::Table(table));
    }
    for check in &checks {
        facts.extend(background(speaker, check));
    }
    if let Some(source) = &finding.combined {
        facts.push((
            &keys::FACT_GRADE,
            Text::plain(words.say(&keys::FACT_COMBINED, &[("source", source)])),
        ));
    }
    if !sentence.action.is_empty() {
        facts.push((&keys::FACT_ACTION, Text::plain(sentence.action)));
    }
    if finding.grade > Grade::Pass {
        facts.push((
            &keys::FACT_DEADLINE,
            Text::strong(speaker.deadline(finding)),
        ));
    }
    if finding.charging != Charging::AsUsual {
        facts.push((
            &keys::CHARGING_QUESTION,
            Text::plain(speaker.may_charge(finding.charging)),
        ));
    }
    let judged = checks
        .iter()
        .filter_map(|check| Some((check.judgement.as_ref()?, check.grade)))
        .chain(finding.judgement.iter().map(|j| (j, finding.rule_grade)));
    for ((own, because), rules_grade) in judged {
        facts.push((
            &keys::FACT_JUDGEMENT,
            Text::plain(words.say(
                &keys::JUDGEMENT,
                &[
                    ("grade", speaker.grade(*own)),
                    ("because", because),
                    ("rules-grade", speaker.grade(rules_grade)),
                ],
            )),
        ));
    }
    if !facts.is_empty() {
        body.push(Block::Columns(Columns::Flowing(1)));
        body.push(Block::Facts(
            facts
                .into_iter()
                .map(|(key, text)| (words.word(key).to_owned(), text))
                .collect(),
        ));
        body.push(Block::Columns(Columns::One));
    }
}

/// What shows a cause where one check does: its connections, its numbers and its source.
fn evidence(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    check: &CheckResult,
) -> Vec<(&'static Key, Text)> {
    let mut facts = Vec::new();
    if !check.connections.is_empty() {
        let named = numbered(speaker, connections, check);
        facts.push((&keys::FACT_CONNECTIONS, Text::plain(named)));
    }
    let mut shown = speaker.shown_by(check);
    if let Some(numbers) = measured(speaker, check) {
        shown = format!("{shown} ({numbers})");
    }
    facts.push((&keys::COLUMN_SHOWN_BY, Text::plain(shown)));
    if !check.source.is_empty() {
        facts.push((&keys::FACT_SOURCE, speaker.source(&check.source)));
    }
    facts
}

/// The numbers of a check as evidence: what is compared with its limit in projected heat is the
/// margin, not the temperature.
fn measured(speaker: &Speaker<'_>, check: &CheckResult) -> Option<String> {
    let numbers = numbers(speaker, check)?;
    Some(match check.id {
        CheckId::ProjectedHeat => {
            format!("{} {numbers}", speaker.wording.word(&keys::FACT_MARGIN))
        }
        _ => numbers,
    })
}

/// What shows a finding's cause: a row for each check, with its connections, its numbers and the
/// source of its limit.
fn evidence_table(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    number: &str,
    checks: &[&CheckResult],
) -> Table {
    let words = speaker.wording;
    let column = |key, share| Column {
        head: words.word(key).to_owned(),
        unit: None,
        align: Align::Left,
        share,
    };
    let told = |text: String| Text::plain(if text.is_empty() { NOT_TOLD } else { &text });
    let rows = checks
        .iter()
        .map(|check| Row {
            cells: vec![
                Text::plain(speaker.shown_by(check)),
                told(numbered(speaker, connections, check)),
                told(measured(speaker, check).unwrap_or_default()),
                if check.source.is_empty() {
                    Text::plain(NOT_TOLD)
                } else {
                    speaker.source(&check.source)
                },
            ],
            group: false,
        })
        .collect();
    Table {
        caption: words.say(&keys::EVIDENCE_CAPTION, &[("number", number)]),
        columns: vec![
            column(&keys::COLUMN_SHOWN_BY, 2.0),
            column(&keys::FACT_CONNECTIONS, 1.0),
            column(&keys::FACT_NUMBERS, 1.5),
            column(&keys::FACT_SOURCE, 2.0),
        ],
        rows,
        row_heads: true,
    }
}

/// What is known of a check besides its numbers.
fn background<'k>(speaker: &Speaker<'_>, check: &CheckResult) -> Vec<(&'k Key, Text)> {
    let words = speaker.wording;
    let mut facts = Vec::new();
    if let Some(Value::Text(note)) = check.values.get(&ValueName::Note) {
        facts.push((&keys::FACT_NOTE, Text::plain(note)));
    }
    if let Some(text) = earlier(speaker, &check.values) {
        facts.push((&keys::FACT_EARLIER, Text::plain(text)));
    }
    if let Some(text) = trend(speaker, &check.values) {
        facts.push((&keys::FACT_TREND, Text::plain(text)));
    }
    if let Some(Value::Text(source)) = check.values.get(&ValueName::Fallback) {
        facts.push((&keys::FACT_FALLBACK, Text::plain(source)));
    }
    if check.borderline {
        let next = check.next_limit;
        let text = match (check.probability_over, next) {
            (Some(p), Some(next)) => words.say(
                &keys::BORDERLINE_NEXT,
                &[
                    ("limit", &speaker.numbers.record(next, None, check.unit)),
                    ("probability", &speaker.numbers.probability(p)),
                ],
            ),
            (Some(p), None) => words.say(
                &keys::BORDERLINE_WITH_PROBABILITY,
                &[("probability", &speaker.numbers.probability(p))],
            ),
            (None, _) => words.word(&keys::BORDERLINE).to_owned(),
        };
        facts.push((&keys::FACT_BORDERLINE, Text::plain(text)));
    }
    facts
}

/// Rise at rated load then and now, for a finding against an earlier visit.
fn earlier(speaker: &Speaker<'_>, values: &Values) -> Option<String> {
    let get = |name: ValueName| values.get(&name).map(|v| speaker.numbers.value(v));
    Some(speaker.wording.say(
        &keys::EARLIER,
        &[
            ("then", &get(ValueName::Then)?),
            ("date", &get(ValueName::EarlierDate)?),
            ("number", &get(ValueName::Earlier)?),
            ("now", &get(ValueName::Now)?),
        ],
    ))
}

/// When the next grade would be reached at the pace of three or more visits.
fn trend(speaker: &Speaker<'_>, values: &Values) -> Option<String> {
    let words = speaker.wording;
    let get = |name: ValueName| values.get(&name).map(|v| speaker.numbers.value(v));
    let slope = match values.get(&ValueName::Slope)? {
        Value::Number(k_per_year) => speaker.numbers.quantity(*k_per_year, "K/a"),
        other => speaker.numbers.value(other),
    };
    let Some(date) = get(ValueName::Reaches) else {
        return Some(words.say(&keys::TREND_SLOPE, &[("slope", &slope)]));
    };
    let grade = match values.get(&ValueName::ReachesGrade) {
        Some(Value::Text(word)) => Grade::ALL
            .into_iter()
            .find(|g| g.word() == word)
            .map_or(word.as_str(), |g| speaker.grade(g)),
        _ => return Some(words.say(&keys::TREND_SLOPE, &[("slope", &slope)])),
    };
    let mut text = words.say(
        &keys::TREND_REACHES,
        &[("slope", &slope), ("grade", grade), ("date", &date)],
    );
    if let Some(earliest) = get(ValueName::ReachesEarliest) {
        text.push(' ');
        text.push_str(&words.say(&keys::TREND_EARLIEST, &[("date", &earliest)]));
    }
    Some(text)
}

/// The connections of a finding with their numbers: “1 breaker-L1 and 2 breaker-L2”.
fn numbered(speaker: &Speaker<'_>, connections: &Connections<'_>, finding: &CheckResult) -> String {
    let names: Vec<String> = finding
        .connections
        .iter()
        .map(
            |id| match connections.find(finding.circuit.as_deref(), id) {
                Some(n) => speaker.wording.say(
                    &keys::NUMBERED_CONNECTION,
                    &[("number", &n.number.to_string()), ("id", id)],
                ),
                None => id.clone(),
            },
        )
        .collect();
    speaker.wording.list(&names)
}

/// Value, uncertainty and limit of a finding in one line.
fn numbers(speaker: &Speaker<'_>, finding: &CheckResult) -> Option<String> {
    let words = speaker.wording;
    let (value, limit) = speaker.value_and_limit(finding);
    let value = match finding.uncertainty {
        Some(u) => speaker
            .numbers
            .record(finding.value?, Some(u), finding.unit),
        None => value?,
    };
    let Some(limit) = limit else {
        return Some(value);
    };
    // A torque has a value to be at, not a limit to stay under.
    let key = if finding.id.about() == Topic::Torque {
        &keys::VALUE_AND_WANTED
    } else {
        &keys::VALUE_AND_LIMIT
    };
    Some(words.say(key, &[("value", &value), ("limit", &limit)]))
}

/// Whether a value is over its limit by less than its uncertainty.
fn over_within_uncertainty(check: &CheckResult) -> bool {
    let upper = matches!(
        check.id,
        CheckId::Rise | CheckId::LegDifference | CheckId::WorseThanBefore
    );
    match (check.value, check.limit, check.uncertainty) {
        (Some(value), Some(limit), Some(u)) if upper => value > limit && value - u <= limit,
        _ => false,
    }
}

fn in_order_table(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    findings: &[&CheckResult],
) -> Table {
    let words = speaker.wording;
    let column = |key, share| Column {
        head: words.word(key).to_owned(),
        unit: None,
        align: Align::Left,
        share,
    };
    // What was checked and found alike is one row with all its places.
    let mut rows: Vec<([String; 2], Vec<String>)> = Vec::new();
    for finding in findings {
        let name = speaker.finding_with(finding, Steps::Referred).0.name;
        let place = if finding.connections.is_empty() {
            speaker.location(finding)
        } else {
            numbered(speaker, connections, finding)
        };
        let found = match numbers(speaker, finding) {
            None => words.name(Grade::Pass).to_owned(),
            // In order although over the limit: never without the reason.
            Some(numbers) if over_within_uncertainty(finding) => {
                words.say(&keys::WITHIN_UNCERTAINTY, &[("numbers", &numbers)])
            }
            Some(numbers) => numbers,
        };
        let alike = [name, found];
        match rows.iter_mut().find(|(row, _)| *row == alike) {
            Some((_, places)) if !places.contains(&place) => places.push(place),
            Some(_) => {}
            None => rows.push((alike, vec![place])),
        }
    }
    let rows = rows
        .into_iter()
        .map(|([name, found], places)| Row {
            cells: vec![
                Text::plain(name),
                Text::plain(places.join("; ")),
                Text::plain(found),
            ],
            group: false,
        })
        .collect();
    Table {
        caption: words.word(&keys::IN_ORDER_CAPTION).to_owned(),
        columns: vec![
            column(&keys::COLUMN_CHECKED, 1.0),
            column(&keys::COLUMN_WHERE, 2.0),
            column(&keys::COLUMN_FOUND, 2.0),
        ],
        rows,
        row_heads: true,
    }
}
