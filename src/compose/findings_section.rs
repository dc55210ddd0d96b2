//! The findings in one table, worst first, each with its numbers, the source of its limit and the
//! action for the electrician; briefly, what was found in order; and once, the steps for a hot
//! connection. Sentences of the first page are not repeated.

use super::connections::{Connections, signal};
use super::document::{Align, Block, Column, Columns, Row, Signal, Table, Text, lines};
use super::first_page::Listed;
use super::keys::{self, Key};
use super::numbers::NOT_TOLD;
use super::sources::Sources;
use super::speaker::{Sentence, Speaker, Steps};
use crate::assess::{Charging, CheckResult, Finding, Value, Values};
use crate::visit::Grade;
use crate::vocabulary::{CheckId, Topic, ValueName};

/// Maximum number of connections named in the row of a finding; more are printed below it, over the
/// whole width.
const MOST_BESIDE: usize = 6;
/// Maximum number of pieces of evidence in the row of a finding. If there are more, one less than
/// this is printed in the row, and the others in a line below it.
const MOST_EVIDENCE: usize = 3;
/// Maximum number of places named where one condition was in order; more are counted, because the
/// table of conditions has each.
const MOST_PLACES: usize = 6;
/// Number of characters from which an action is longer than a reference to it.
const LONG_ACTION: usize = 40;

pub(super) fn section(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    sources: &Sources<'_>,
    body: &mut Vec<Block>,
) {
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
    if !open.is_empty() {
        body.push(Block::Table(table(speaker, connections, sources, open)));
    }
    super::mended::section(speaker, 3, body);
    super::since_repair::section(speaker, 3, body);
    super::baseline::section(speaker, connections, body);
    // With one circuit, the steps for a hot connection and what was found in order fit into two
    // columns; with several, the numbers of the connections need the whole width.
    let columns = match (speaker.heat_steps(), speaker.visit.circuits.len()) {
        (Some(_), 1) => 2,
        _ => 1,
    };
    body.push(Block::Columns(Columns::Flowing(columns)));
    heat_steps(speaker, body);
    if columns == 1 {
        body.push(Block::Columns(Columns::One));
    }
    if !in_order.is_empty() {
        body.push(Block::Heading {
            level: 3,
            text: words.word(&keys::IN_ORDER_HEADING).to_owned(),
            anchor: None,
        });
        let table = in_order_table(speaker, connections, &in_order);
        body.push(Block::Table(table));
    }
    body.push(Block::Columns(Columns::One));
}

/// Every finding in one table, worst first: a row for each, with further facts below it.
fn table(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    sources: &Sources<'_>,
    findings: &[Finding],
) -> Table {
    let words = speaker.wording;
    let column = |key, align, share| Column {
        head: words.word(key).to_owned(),
        unit: None,
        align,
        share,
    };
    let listed = Listed::of(speaker);
    // An action that several findings ask for is written once.
    let mut actions: Vec<String> = Vec::new();
    let rows = findings.iter().enumerate().flat_map(|(i, finding)| {
        let said = listed.says(speaker, i);
        let mut sentence = speaker.diagnosis_referring(finding);
        // Each of these actions names its own connection, which is in its row too.
        let own = finding.connections.iter();
        let whole = own.fold(sentence.action.clone(), |text, id| text.replace(id, ""));
        let same = actions.iter().position(|other| *other == whole);
        actions.push(whole);
        if let Some(same) = same.filter(|_| sentence.action.chars().count() > LONG_ACTION) {
            let number = (same + 1).to_string();
            sentence.action = words.say(&keys::ACTION_AS, &[("number", &number)]);
        }
        rows_of(speaker, connections, sources, (i, finding, said), sentence)
    });
    Table {
        caption: words.word(&keys::FINDINGS_CAPTION).to_owned(),
        columns: vec![
            column(&keys::COLUMN_NUMBER, Align::Decimal, 0.0),
            column(&keys::FACT_GRADE, Align::Left, 0.0),
            column(&keys::COLUMN_WHERE, Align::Left, 1.3),
            column(&keys::COLUMN_SHOWN_BY, Align::Left, 2.0),
            column(&keys::FACT_ACTION, Align::Left, 2.9),
            column(&keys::FACT_DEADLINE, Align::Left, 0.8),
        ],
        rows: rows.collect(),
        row_heads: true,
    }
}

/// The row of a finding, and the one below it.
fn rows_of(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    sources: &Sources<'_>,
    (index, finding, said): (usize, &Finding, bool),
    sentence: Sentence,
) -> Vec<Row> {
    let cell = |text: String| Text::plain(if text.is_empty() { NOT_TOLD } else { &text });
    let circuit = finding.circuit.as_deref();
    let mut below = Vec::new();
    if !said {
        below.push(Text::plain(&sentence.text));
    }
    let mut place = vec![
        Text::strong(&sentence.name),
        Text::plain(speaker.found_at(finding)),
    ];
    if !finding.connections.is_empty() {
        let named = numbered(speaker, connections, circuit, &finding.connections);
        let named = Text::plain(named);
        if finding.connections.len() > MOST_BESIDE {
            below.push(named);
        } else {
            place.push(named);
        }
    }
    let checks = finding.checks(&speaker.assessment.checks);
    let mut shown: Vec<Text> = checks
        .map(|check| {
            evidence(
                speaker,
                connections,
                sources,
                (finding, check),
                &sentence.name,
            )
        })
        .collect();
    if shown.len() > MOST_EVIDENCE {
        let more = shown.split_off(MOST_EVIDENCE - 1);
        let more: Vec<String> = more.iter().map(Text::characters).collect();
        let name = Text::strong(speaker.wording.word(&keys::EVIDENCE_MORE));
        let more = more.join(speaker.wording.word(&keys::BAND_BETWEEN));
        below.push(name.then(Text::plain(format!(" {more}"))));
    }
    below.extend(further(speaker, sources, finding));
    let deadline = match finding.grade {
        Grade::Pass => NOT_TOLD.to_owned(),
        _ => speaker.deadline(finding),
    };
    let row = |cells| Row {
        cells,
        group: false,
    };
    let beside = row(vec![
        Text::plain((index + 1).to_string()),
        Text::marked(signal(finding.grade), speaker.grade(finding.grade)),
        lines(place),
        lines(shown),
        cell(sentence.action),
        Text::plain(deadline),
    ]);
    // The facts below the row follow one another, each beginning with its name in bold.
    let below = below.into_iter().reduce(|all, text| {
        let ended = all
            .characters()
            .ends_with(['.', '!', '?', '”', '“', '»', '"']);
        let between = Text::plain(if ended { " " } else { ". " });
        all.then(between).then(text)
    });
    let below = below.map(|text| row(vec![text]));
    std::iter::once(beside).chain(below).collect()
}

/// The steps for a hot connection, in a box that begins with what is never done.
pub(super) fn heat_steps(speaker: &Speaker<'_>, body: &mut Vec<Block>) {
    let Some((heading, steps)) = speaker.heat_steps() else {
        return;
    };
    let Some((never, steps)) = steps.split_first() else {
        return;
    };
    body.push(Block::Heading {
        level: 3,
        text: heading.to_owned(),
        anchor: Some("hot-connection".to_owned()),
    });
    body.push(Block::Caution {
        signal: Signal::Warning,
        title: (*never).to_owned(),
        numbered: true,
        items: steps.iter().map(|step| Text::plain(*step)).collect(),
    });
}

/// The evidence of one check: a phrase unless the finding's name says the same, the connections
/// that the finding itself does not name, the numbers and the mark of the source.
fn evidence(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    sources: &Sources<'_>,
    (finding, check): (&Finding, &CheckResult),
    name: &str,
) -> Text {
    let shown = speaker.shown_by(check);
    let mut said = if shown == name {
        String::new()
    } else {
        shown.clone()
    };
    // A phrase that says with what the hottest connection was compared names the other one.
    let named = !said.is_empty() && check.connections.first() == finding.connections.first();
    if !named && check.connections != finding.connections && !check.connections.is_empty() {
        let circuit = check.circuit.as_deref();
        let place = numbered(speaker, connections, circuit, &check.connections);
        said = if said.is_empty() {
            place
        } else {
            let parts = [("place", place.as_str()), ("shown", said.as_str())];
            speaker.wording.say(&keys::SHOWN_AT, &parts)
        };
    }
    match measured(speaker, check) {
        Some(numbers) if said.is_empty() => said = numbers,
        Some(numbers) => said = format!("{said} ({numbers})"),
        None if said.is_empty() => said = shown,
        None => {}
    }
    if let Some(mark) = sources.mark(&check.source) {
        // The mark stays on the line of the last word.
        said = format!("{said}\u{A0}{mark}");
    }
    Text::plain(said)
}

/// The numbers of a check as evidence. For projected heat, the margin is compared with the limit,
/// not the temperature. A phrase about a torque names the specified one itself.
fn measured(speaker: &Speaker<'_>, check: &CheckResult) -> Option<String> {
    let numbers = numbers(speaker, check)?;
    Some(match check.id {
        CheckId::ProjectedHeat => {
            let numbers = [("numbers", numbers.as_str())];
            speaker.wording.say(&keys::EVIDENCE_MARGIN, &numbers)
        }
        CheckId::TorqueMoved | CheckId::TorqueLeftWrong => match (check.value, check.uncertainty) {
            (Some(value), Some(u)) => speaker.numbers.record(value, Some(u), check.unit),
            _ => numbers,
        },
        _ => numbers,
    })
}

/// The inspector's own judgements on a finding and its checks, with their reasons.
pub(super) fn judgements(speaker: &Speaker<'_>, finding: &Finding) -> Vec<String> {
    let checks = finding.checks(&speaker.assessment.checks);
    let judged = checks
        .filter_map(|check| Some((check.judgement.as_ref()?, check.grade)))
        .chain(finding.judgement.iter().map(|j| (j, finding.rule_grade)));
    let told = judged.map(|((own, because), rules_grade)| {
        speaker.wording.say(
            &keys::JUDGEMENT,
            &[
                ("grade", speaker.grade(*own)),
                ("because", because),
                ("rules-grade", speaker.grade(rules_grade)),
            ],
        )
    });
    told.collect()
}

/// Further facts about a finding, one line each: whether charging may go on, the inspector's
/// judgement, and facts about its checks.
fn further(speaker: &Speaker<'_>, sources: &Sources<'_>, finding: &Finding) -> Vec<Text> {
    let words = speaker.wording;
    let checks: Vec<&CheckResult> = finding.checks(&speaker.assessment.checks).collect();
    let mut facts: Vec<(&Key, String)> = Vec::new();
    if finding.charging != Charging::AsUsual {
        let answer = speaker.may_charge_in_row(finding.charging, true);
        facts.push((&keys::CHARGING_QUESTION, answer));
    }
    let judged = judgements(speaker, finding);
    facts.extend(judged.into_iter().map(|text| (&keys::FACT_JUDGEMENT, text)));
    if let Some(source) = &finding.combined {
        let source = sources.mark(source).unwrap_or_default();
        let text = words.say(&keys::FACT_COMBINED, &[("source", &source)]);
        facts.push((&keys::FACT_GRADE, text));
    }
    for check in checks {
        facts.extend(background(speaker, sources, check));
    }
    // Several checks may have the same fact.
    let mut once: Vec<(&Key, String)> = Vec::new();
    for fact in facts {
        if !once.contains(&fact) {
            once.push(fact);
        }
    }
    let facts = once
        .into_iter()
        .map(|(key, text)| Text::strong(words.word(key)).then(Text::plain(format!(" {text}"))));
    facts.collect()
}

/// Further facts about a check.
fn background<'k>(
    speaker: &Speaker<'_>,
    sources: &Sources<'_>,
    check: &CheckResult,
) -> Vec<(&'k Key, String)> {
    let words = speaker.wording;
    let mut facts = Vec::new();
    if let Some(Value::Text(note)) = check.values.get(&ValueName::Note) {
        facts.push((&keys::FACT_NOTE, note.clone()));
    }
    if let Some(text) = earlier(speaker, &check.values) {
        facts.push((&keys::FACT_EARLIER, text));
    }
    if let Some(text) = trend(speaker, &check.values) {
        facts.push((&keys::FACT_TREND, text));
    }
    if let Some(Value::Text(source)) = check.values.get(&ValueName::Fallback) {
        let mark = sources.mark(source).unwrap_or_default();
        facts.push((&keys::FACT_FALLBACK, mark));
    }
    if check.borderline {
        let next = check.next_limit;
        // Several checks of a finding may be borderline, so each is named.
        let name = speaker.finding_with(check, Steps::Referred).0.name;
        let name = ("check", name.as_str());
        let text = match (check.probability_over, next) {
            (Some(p), Some(next)) => words.say(
                &keys::BORDERLINE_NEXT,
                &[
                    name,
                    ("limit", &speaker.numbers.record(next, None, check.unit)),
                    ("probability", &speaker.numbers.probability(p)),
                ],
            ),
            (Some(p), None) => words.say(
                &keys::BORDERLINE_WITH_PROBABILITY,
                &[name, ("probability", &speaker.numbers.probability(p))],
            ),
            (None, _) => words.say(&keys::BORDERLINE, &[name]),
        };
        facts.push((&keys::FACT_BORDERLINE, text));
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

/// When the next grade would be reached at the slope of three or more visits.
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

/// Connections of a circuit with their numbers: “1 (breaker-L1) and 2 (breaker-L2)”.
fn numbered(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    circuit: Option<&str>,
    ids: &[String],
) -> String {
    let names: Vec<String> = ids
        .iter()
        .map(|id| match connections.find(circuit, id) {
            Some(n) => speaker.wording.say(
                &keys::NUMBERED_CONNECTION,
                &[("number", &n.number.to_string()), ("id", id)],
            ),
            None => id.clone(),
        })
        .collect();
    speaker.wording.list(&names)
}

/// Value, uncertainty and limit of a check in one line.
fn numbers(speaker: &Speaker<'_>, check: &CheckResult) -> Option<String> {
    let words = speaker.wording;
    let (value, limit) = parts(speaker, check)?;
    let Some(limit) = limit else {
        return Some(value);
    };
    // A torque has a target value, not an upper limit.
    let key = if check.id.about() == Topic::Torque {
        &keys::VALUE_AND_WANTED
    } else {
        &keys::VALUE_AND_LIMIT
    };
    Some(words.say(key, &[("value", &value), ("limit", &limit)]))
}

/// Value with its uncertainty, and limit, of a check.
fn parts(speaker: &Speaker<'_>, finding: &CheckResult) -> Option<(String, Option<String>)> {
    let words = speaker.wording;
    let (value, limit) = speaker.value_and_limit(finding);
    let value = match finding.uncertainty {
        Some(u) => speaker
            .numbers
            .record(finding.value?, Some(u), finding.unit),
        None => value?,
    };
    Some(match (finding.id, limit) {
        (CheckId::ContactResistance, Some(limit)) => {
            let times = |value: &str| words.say(&keys::RATIO, &[("value", value)]);
            (times(&value), Some(times(&limit)))
        }
        (_, limit) => (value, limit),
    })
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

/// The checks that passed: a row for each check, with every place and its value.
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
    let mut rows: Vec<(String, Vec<InOrder>)> = Vec::new();
    for finding in findings {
        let name = speaker.finding_with(finding, Steps::Referred).0.name;
        let numbered = !finding.connections.is_empty();
        let place = if numbered {
            let circuit = finding.circuit.as_deref();
            numbers_of(speaker, connections, circuit, &finding.connections)
        } else {
            speaker.location(finding)
        };
        // A torque has a target value of its own.
        let (value, limit) = match parts(speaker, finding) {
            None => (words.name(Grade::Pass).to_owned(), None),
            Some(parts) if finding.id.about() != Topic::Torque => parts,
            Some(parts) => (numbers(speaker, finding).unwrap_or(parts.0), None),
        };
        let found = InOrder {
            value,
            limit,
            within: over_within_uncertainty(finding),
            numbered,
            places: Vec::new(),
        };
        let row = match rows.iter_mut().position(|(other, _)| *other == name) {
            Some(row) => row,
            None => {
                rows.push((name, Vec::new()));
                rows.len() - 1
            }
        };
        let Some((_, row)) = rows.get_mut(row) else {
            continue;
        };
        let same = match row.iter().position(|other| other.alike(&found)) {
            Some(same) => same,
            None => {
                row.push(found);
                row.len() - 1
            }
        };
        if let Some(found) = row.get_mut(same) {
            found.numbered |= numbered;
            if !found.places.contains(&place) {
                found.places.push(place);
            }
        }
    }
    let rows = rows
        .into_iter()
        .map(|(name, found)| Row {
            cells: vec![Text::plain(name), in_order_cell(speaker, &found)],
            group: false,
        })
        .collect();
    Table {
        caption: words.word(&keys::IN_ORDER_CAPTION).to_owned(),
        columns: vec![
            column(&keys::COLUMN_CHECKED, 1.0),
            column(&keys::COLUMN_FOUND, 3.0),
        ],
        rows,
        row_heads: true,
    }
}

/// What was found in order at some places.
struct InOrder {
    value: String,
    limit: Option<String>,
    /// Whether it is over the limit by less than its uncertainty.
    within: bool,
    /// Whether numbers of connections are among the places.
    numbered: bool,
    places: Vec<String>,
}

impl InOrder {
    /// Whether the same was found elsewhere.
    fn alike(&self, other: &InOrder) -> bool {
        (&self.value, &self.limit, self.within) == (&other.value, &other.limit, other.within)
    }
}

/// Everything that a check found in order: places and value one after another. A limit that is the
/// same for all is written once.
fn in_order_cell(speaker: &Speaker<'_>, found: &[InOrder]) -> Text {
    let words = speaker.wording;
    let first = found.first().and_then(|first| first.limit.as_deref());
    let shared = first
        .filter(|limit| found.len() > 1 && found.iter().all(|f| f.limit.as_deref() == Some(limit)));
    let mut cell = Text::default();
    for (i, found) in found.iter().enumerate() {
        let mut said = found.value.clone();
        if let Some(limit) = found.limit.as_deref().filter(|_| shared.is_none()) {
            said = words.say(
                &keys::VALUE_AND_LIMIT,
                &[("value", &said), ("limit", limit)],
            );
        }
        // A value that passes although it is over the limit is never printed without the reason.
        if found.within {
            said = words.say(&keys::WITHIN_UNCERTAINTY, &[("numbers", &said)]);
        }
        let places = if !found.numbered && found.places.len() > MOST_PLACES {
            let count = found.places.len().to_string();
            words.say(&keys::IN_ORDER_PLACES, &[("count", &count)])
        } else {
            found.places.join(", ")
        };
        let between = if i > 0 { ". " } else { "" };
        cell = cell
            .then(Text::plain(between))
            .then(Text::strong(places))
            .then(Text::plain(format!("\u{A0}\u{A0}{said}")));
    }
    match shared {
        Some(limit) => {
            let limit = words.say(&keys::IN_ORDER_LIMIT, &[("limit", limit)]);
            cell.then(Text::plain(format!(". {limit}")))
        }
        None => cell,
    }
}

/// Connections of a circuit by their numbers alone: “1, 2”.
fn numbers_of(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    circuit: Option<&str>,
    ids: &[String],
) -> String {
    let numbers: Option<Vec<usize>> = ids
        .iter()
        .map(|id| Some(connections.find(circuit, id)?.number))
        .collect();
    match numbers {
        Some(mut numbers) => {
            numbers.sort_unstable();
            let numbers: Vec<String> = numbers.iter().map(usize::to_string).collect();
            numbers.join(", ")
        }
        None => numbered(speaker, connections, circuit, ids),
    }
}
