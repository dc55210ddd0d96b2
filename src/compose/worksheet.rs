//! A sheet to fill in on site, with a pen or on a tablet: first the safety notes, then the steps of
//! the work in order, with an empty box for every value, and the last value and the limit next to
//! it.
//!
//! Where an installation is inspected as found, temperatures come before torque, because a
//! connection that was tightened first no longer shows its fault.

use super::document::{
    About, Align, Block, Column, Document, Field, Format, Letterhead, Row, Signal, Table, Text,
};
use super::keys::{self, Key};
use super::letterhead::{author, letterhead};
use super::method_section;
use super::speaker::Speaker;
use super::wording::Wording;
use crate::assess::parts;
use crate::quantity::Temperature;
use crate::visit::{Circuit, Grade, LeftState, Place, Reason, RepairDone, WhyNotRead};
use crate::vocabulary::Condition;
use chrono::{DateTime, FixedOffset, NaiveDate};

/// The previous visit.
#[derive(Debug, Clone, PartialEq)]
pub struct Past {
    /// Its certificate's number.
    pub number: String,
    /// Its day.
    pub date: NaiveDate,
    /// Circuit, connection, temperature under load.
    pub values: Vec<(String, String, Temperature)>,
    /// Circuit (`None` for the whole visit), grade, and the point to look at first.
    pub points: Vec<(Option<String>, Grade, String)>,
}

/// The text typed into a sheet for a word of the visit file.
pub fn typed<'w>(wording: &'w Wording, word: &'w str) -> &'w str {
    wording
        .find(&format!("worksheet.typed.{word}"))
        .unwrap_or(word)
}

/// The word of the visit file for a text typed into a sheet, ignoring case.
pub fn file_word(wording: &Wording, typed: &str) -> Option<&'static str> {
    let typed = typed.trim().to_lowercase();
    keys::typed().find(|word| self::typed(wording, word).to_lowercase() == typed)
}

/// Words of the sheet's page on a phone, and the entries that stop the work there: words typed for
/// a condition, and the highest voltage (V) of a circuit that counts as dead.
pub fn page_words(speaker: &Speaker<'_>) -> serde_json::Value {
    let wording = speaker.wording;
    let rules = speaker.rules;
    let stopping: Vec<&str> = Condition::ALL
        .into_iter()
        .filter(|seen| {
            let graded = rules.conditions.iter().find(|(of, _)| of == seen);
            seen.by_heat() || graded.is_some_and(|(_, rule)| rule.value == Grade::Stop)
        })
        .flat_map(|seen| [seen.word(), typed(wording, seen.word())])
        .collect();
    let grades: serde_json::Map<String, serde_json::Value> = Grade::ALL
        .into_iter()
        .map(|g| (g.word().to_owned(), wording.name(g).into()))
        .collect();
    serde_json::json!({
        "photos": wording.word(&keys::PAGE_PHOTOS),
        "take": wording.word(&keys::PAGE_TAKE),
        "photo": wording.say(&keys::PAGE_PHOTO, &[("number", "{number}")]),
        "shows": wording.word(&keys::PAGE_SHOWS),
        "delete": wording.word(&keys::PAGE_DELETE),
        "save": wording.word(&keys::PAGE_SAVE),
        "now": wording.word(&keys::PAGE_NOW),
        "rise": wording.say(&keys::PAGE_RISE, &[("rise", "{rise}")]),
        "margin": wording.say(&keys::PAGE_MARGIN, &[("margin", "{margin}")]),
        "next": wording.say(&keys::PAGE_NEXT, &[("minutes", "{minutes}")]),
        "due": wording.word(&keys::PAGE_DUE),
        "stop": wording.word(&keys::PAGE_STOP),
        "stops": { "seen": stopping, "dead": rules.isolation.dead_v.value },
        "graded": wording.say(
            &keys::PAGE_GRADED,
            &[("grade", "{grade}"), ("text", "{text}")],
        ),
        "grades": grades,
    })
}

/// Whether temperatures come before torque, which is the case if the installation is inspected as
/// found.
pub(crate) fn heat_first(reason: Reason) -> bool {
    match reason {
        Reason::Periodic | Reason::ChangeOfOwner => true,
        Reason::First | Reason::AfterRepair => false,
    }
}

/// Words for the sheet's choices: conditions and results of a torque check, as they are typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choices {
    /// Conditions.
    pub seen: Vec<String>,
    /// Results of a torque check.
    pub found: Vec<String>,
}

/// The part of one circuit's sheet that the caller provides.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// Pairs of conductors to be proved dead.
    pub pairs: Vec<String>,
    /// Ids of the connections that have a screw.
    pub screws: Vec<String>,
    /// Ids of the thermometers.
    pub thermometers: Vec<String>,
}

/// Composes the sheet. `speaker` is for the next visit; `plans` are in the order of its circuits.
pub fn worksheet(
    speaker: &Speaker<'_>,
    past: Option<&Past>,
    plans: &[Plan],
    choices: &Choices,
    created: DateTime<FixedOffset>,
) -> Document {
    let words = speaker.wording;
    let visit = speaker.visit;
    let mut body = vec![
        Block::Heading {
            level: 1,
            text: words.word(&keys::SHEET_HEADING).to_owned(),
            anchor: None,
        },
        Block::Paragraph(Text::plain(words.word(&keys::SHEET_INTRODUCTION))),
    ];
    method_section::safety(speaker, &mut body);
    if let Some(past) = past {
        points(speaker, past, None, &mut body);
    }
    for (circuit, plan) in visit.circuits.iter().zip(plans) {
        of_circuit(speaker, past, circuit, plan, choices, &mut body);
    }
    let number = &visit.number;
    Document {
        about: About {
            title: words.say(
                &keys::SHEET_TITLE,
                &[("number", number), ("site", &visit.site.name)],
            ),
            author: author(visit),
            subject: words.word(&keys::SHEET_HEADING).to_owned(),
            identifier: format!("{number}-worksheet"),
            language: words.language().to_owned(),
            further_languages: Vec::new(),
            created,
            producer: format!("warmlug {}", env!("CARGO_PKG_VERSION")),
        },
        format: Format::Sheets(visit.print.paper),
        decimal_mark: speaker.numbers.decimal_mark(),
        letterhead: Letterhead {
            logo: None,
            ..letterhead(speaker, None)
        },
        running_left: words.say(&keys::SHEET_RUNNING, &[("number", number)]),
        running_middle: visit.site.name.clone(),
        running_right: words.say(
            &keys::RUNNING_RIGHT,
            &[("page", "{page}"), ("pages", "{pages}")],
        ),
        draft: None,
        body,
        images: Vec::new(),
        attachments: Vec::new(),
    }
}

fn signal(grade: Grade) -> Signal {
    super::connections::signal(grade)
}

/// Where to look first.
fn points(speaker: &Speaker<'_>, past: &Past, circuit: Option<&str>, body: &mut Vec<Block>) {
    let items: Vec<Text> = past
        .points
        .iter()
        .filter(|(of, ..)| of.as_deref() == circuit)
        .map(|(_, grade, text)| {
            Text::marked(signal(*grade), speaker.grade(*grade))
                .then(Text::plain(format!(" {text}")))
        })
        .collect();
    if items.is_empty() {
        return;
    }
    heading(
        body,
        if circuit.is_some() { 3 } else { 2 },
        speaker.wording.say(
            &keys::SHEET_LOOK_FIRST,
            &[
                ("number", &past.number),
                ("date", &speaker.numbers.date(past.date)),
            ],
        ),
    );
    body.push(Block::List {
        numbered: false,
        items,
    });
}

fn heading(body: &mut Vec<Block>, level: u8, text: String) {
    body.push(Block::Heading {
        level,
        text,
        anchor: None,
    });
}

/// A box.
fn boxed(name: String, tip: String, figures: u8, lines: u8, choices: &[String]) -> Text {
    Text::field(Field {
        name,
        tip,
        figures,
        lines,
        choices: choices.to_vec(),
    })
}

fn column(head: &str, unit: Option<&str>, share: f32) -> Column {
    Column {
        head: head.to_owned(),
        unit: unit.map(str::to_owned),
        align: Align::Left,
        share,
    }
}

fn of_circuit(
    speaker: &Speaker<'_>,
    past: Option<&Past>,
    circuit: &Circuit,
    plan: &Plan,
    choices: &Choices,
    body: &mut Vec<Block>,
) {
    body.push(Block::NewPage);
    heading(body, 2, circuit.title().to_owned());
    if let Some(past) = past {
        points(speaker, past, Some(&circuit.id), body);
    }
    let heat_first = heat_first(speaker.visit.reason);
    let mut steps = Steps { speaker, last: 0 };
    isolation(&mut steps, circuit, plan, body);
    condition(&mut steps, circuit, choices, body);
    if heat_first {
        heat(&mut steps, past, circuit, body);
        again(&mut steps, circuit, plan, body);
        torque(&mut steps, circuit, plan, choices, true, body);
    } else {
        torque(&mut steps, circuit, plan, choices, false, body);
        heat(&mut steps, past, circuit, body);
        again(&mut steps, circuit, plan, body);
    }
    repair(&mut steps, past, circuit, plan, body);
    steps.heading(&keys::SHEET_CLOSE, body);
    steps.paragraph(&keys::SHEET_CLOSE_TEXT, body);
    left_as(&mut steps, circuit, body);
}

/// The steps of one circuit, numbered.
struct Steps<'s, 'v> {
    speaker: &'s Speaker<'v>,
    last: u8,
}

impl Steps<'_, '_> {
    fn heading(&mut self, key: &Key, body: &mut Vec<Block>) {
        self.last += 1;
        let number = self.last.to_string();
        let text = self.speaker.wording.say(key, &[("number", &number)]);
        heading(body, 3, text);
    }

    fn paragraph(&self, key: &Key, body: &mut Vec<Block>) {
        body.push(Block::Paragraph(Text::plain(
            self.speaker.wording.word(key),
        )));
    }
}

/// A table with two lines per row, so that there is space to write with a pen.
fn tall(text: &str, below: &str) -> Text {
    Text::strong(text).then(Text::plain(format!("\n{below}")))
}

fn isolation(steps: &mut Steps<'_, '_>, circuit: &Circuit, plan: &Plan, body: &mut Vec<Block>) {
    steps.heading(&keys::SHEET_ISOLATION, body);
    steps.paragraph(&keys::SHEET_ISOLATION_TEXT, body);
    proof(
        steps,
        circuit,
        plan,
        "isolation",
        &keys::SHEET_ISOLATION_CAPTION,
        body,
    );
}

/// The boxes of one proof that the circuit is dead.
fn proof(
    steps: &Steps<'_, '_>,
    circuit: &Circuit,
    plan: &Plan,
    section: &str,
    caption: &Key,
    body: &mut Vec<Block>,
) {
    let words = steps.speaker.wording;
    let said = |key: &Key| words.word(key).to_owned();
    let row = |name: &str, label: String, hint: String| {
        let field = format!("{}/{section}/{name}", circuit.id);
        Row {
            cells: vec![
                tall(&label, &hint),
                boxed(field, format!("{}: {label}", circuit.title()), 12, 2, &[]),
            ],
            group: false,
        }
    };
    let mut rows = vec![row(
        "proved_before",
        said(&keys::SHEET_BEFORE),
        said(&keys::SHEET_VOLTAGE_HINT),
    )];
    for pair in &plan.pairs {
        rows.push(row(
            &format!("dead/{pair}"),
            words.say(&keys::SHEET_BETWEEN, &[("pair", pair)]),
            said(&keys::SHEET_DEAD_HINT),
        ));
    }
    rows.push(row(
        "proved_after",
        said(&keys::SHEET_AFTER),
        said(&keys::SHEET_VOLTAGE_HINT),
    ));
    rows.push(row(
        "locked",
        said(&keys::SHEET_LOCKED),
        words.say(&keys::SHEET_YES_HINT, &[("yes", typed(words, "yes"))]),
    ));
    body.push(Block::Table(Table {
        caption: words.say(caption, &[("circuit", circuit.title())]),
        columns: vec![
            column(words.word(&keys::SHEET_STEP), None, 1.0),
            column(words.word(&keys::SHEET_FOUND), None, 0.0),
        ],
        rows,
        row_heads: true,
    }));
}

/// The proof after the temperatures.
fn again(steps: &mut Steps<'_, '_>, circuit: &Circuit, plan: &Plan, body: &mut Vec<Block>) {
    steps.heading(&keys::SHEET_AGAIN, body);
    steps.paragraph(&keys::SHEET_AGAIN_TEXT, body);
    let caption = &keys::SHEET_AGAIN_CAPTION;
    proof(steps, circuit, plan, "isolation_after", caption, body);
}

/// Words of the visit file as they are typed into the sheet.
fn choices_of<const N: usize>(words: &Wording, of: [&'static str; N]) -> Vec<String> {
    of.map(|word| typed(words, word).to_owned()).to_vec()
}

/// One label and one box per row.
fn labelled(
    steps: &Steps<'_, '_>,
    caption: String,
    section: &str,
    rows: Vec<(&str, &str, String, Vec<String>)>,
    body: &mut Vec<Block>,
) {
    let words = steps.speaker.wording;
    let rows = rows
        .into_iter()
        .map(|(name, label, hint, choices)| Row {
            cells: vec![
                // Two lines, as high as the box.
                tall(label, if hint.is_empty() { "\u{a0}" } else { &hint }),
                boxed(
                    format!("{section}/{name}"),
                    format!("{caption}: {label}"),
                    22,
                    2,
                    &choices,
                ),
            ],
            group: false,
        })
        .collect();
    body.push(Block::Table(Table {
        caption,
        columns: vec![
            column(words.word(&keys::SHEET_STEP), None, 1.0),
            column(words.word(&keys::SHEET_FOUND), None, 0.0),
        ],
        rows,
        row_heads: true,
    }));
}

/// Number of repairs for which a sheet has space per circuit.
pub(crate) const REPAIRS: usize = 2;

/// The repairs, and the readings that prove them.
fn repair(
    steps: &mut Steps<'_, '_>,
    past: Option<&Past>,
    circuit: &Circuit,
    plan: &Plan,
    body: &mut Vec<Block>,
) {
    let words = steps.speaker.wording;
    steps.heading(&keys::SHEET_REPAIR, body);
    steps.paragraph(&keys::SHEET_REPAIR_TEXT, body);
    let said = |key: &Key| words.word(key);
    let done = RepairDone::ALL.map(RepairDone::word);
    let ids = |of: Vec<&String>| of.into_iter().cloned().collect::<Vec<_>>();
    let connections = ids(circuit.connections().map(|(_, c)| &c.id).collect());
    let replaced = typed(words, RepairDone::PartReplaced.word());
    let degrees = steps.speaker.numbers.temperature_unit();
    for n in 1..=REPAIRS {
        let number = n.to_string();
        let caption = words.say(
            &keys::SHEET_REPAIR_CAPTION,
            &[("number", &number), ("circuit", circuit.title())],
        );
        let rows = vec![
            (
                "connection",
                said(&keys::COLUMN_CONNECTION),
                String::new(),
                connections.clone(),
            ),
            (
                "done",
                said(&keys::SHEET_REPAIR_DONE),
                choices_of(words, done).join(", "),
                choices_of(words, done),
            ),
            (
                "part",
                said(&keys::SHEET_REPAIR_PART),
                words.say(&keys::SHEET_REPAIR_PART_HINT, &[("replaced", replaced)]),
                Vec::new(),
            ),
            (
                "at",
                said(&keys::SHEET_REPAIR_AT),
                said(&keys::SHEET_CLOCK_HINT).to_owned(),
                Vec::new(),
            ),
            (
                "cooled_to",
                said(&keys::SHEET_REPAIR_COOLED),
                degrees.to_owned(),
                Vec::new(),
            ),
            (
                "with",
                said(&keys::SHEET_REPAIR_WITH),
                plan.thermometers.join(", "),
                plan.thermometers.clone(),
            ),
        ];
        let section = format!("{}/repairs/{n}", circuit.id);
        labelled(steps, caption, &section, rows, body);
    }
    steps.paragraph(&keys::SHEET_REPAIR_MEASURE, body);
    rounds_and_readings(steps, past, circuit, "heat_after", body);
    let caption = &keys::SHEET_LAST_CAPTION;
    proof(steps, circuit, plan, "isolation_last", caption, body);
}

/// How the circuit was left, and who has the key.
fn left_as(steps: &mut Steps<'_, '_>, circuit: &Circuit, body: &mut Vec<Block>) {
    let words = steps.speaker.wording;
    let states = LeftState::ALL.map(LeftState::word);
    let limited = typed(words, LeftState::Limited.word());
    let locked = typed(words, LeftState::OffAndLocked.word());
    let rows = vec![
        (
            "state",
            words.word(&keys::SHEET_LEFT_STATE),
            choices_of(words, states).join(", "),
            choices_of(words, states),
        ),
        (
            "current",
            words.word(&keys::SHEET_LEFT_CURRENT),
            words.say(&keys::SHEET_LEFT_CURRENT_HINT, &[("limited", limited)]),
            Vec::new(),
        ),
        (
            "key",
            words.word(&keys::SHEET_LEFT_KEY),
            words.say(&keys::SHEET_LEFT_KEY_HINT, &[("locked", locked)]),
            Vec::new(),
        ),
        (
            "note",
            words.word(&keys::SHEET_NOTE),
            String::new(),
            Vec::new(),
        ),
    ];
    let caption = words.say(&keys::SHEET_LEFT_AS, &[("circuit", circuit.title())]);
    let section = format!("{}/left_as", circuit.id);
    labelled(steps, caption, &section, rows, body);
}

/// Places that could not be read under load, and why.
fn not_read(steps: &Steps<'_, '_>, circuit: &Circuit, body: &mut Vec<Block>) {
    let words = steps.speaker.wording;
    steps.paragraph(&keys::SHEET_NOT_READ_TEXT, body);
    let reasons = choices_of(words, WhyNotRead::ALL.map(WhyNotRead::word));
    let carrying = |place: &&Place| place.connections.iter().any(|c| !parts::grounds(&c.leg));
    let places: Vec<&Place> = circuit.places.iter().filter(carrying).collect();
    let why = Noted {
        section: "not_read",
        key: "why",
        head: &keys::SHEET_WHY,
        caption: &keys::SHEET_NOT_READ,
        hint: reasons.join(", "),
        choices: &reasons,
        figures: [18, 18],
    };
    noted(words, circuit, &places, &why, body);
}

/// A table with a choice and a note for each place.
struct Noted<'a> {
    /// Section of the visit file for the entries.
    section: &'a str,
    /// Key of the choice, and the head of its column.
    key: &'a str,
    head: &'a Key,
    caption: &'a Key,
    /// Below the name of each place.
    hint: String,
    choices: &'a [String],
    /// Widths of choice and note, in digits.
    figures: [u8; 2],
}

fn noted(
    words: &Wording,
    circuit: &Circuit,
    places: &[&Place],
    table: &Noted<'_>,
    body: &mut Vec<Block>,
) {
    let [wide, note] = table.figures;
    let rows = places.iter().map(|place| {
        let name = |key: &str| format!("{}/{}/{}/{key}", circuit.id, table.section, place.id);
        let tip = |key: &Key| format!("{}, {}: {}", circuit.title(), place.name, words.word(key));
        Row {
            cells: vec![
                tall(&place.name, &table.hint),
                boxed(name(table.key), tip(table.head), wide, 2, table.choices),
                boxed(name("note"), tip(&keys::SHEET_NOTE), note, 2, &[]),
            ],
            group: false,
        }
    });
    body.push(Block::Table(Table {
        caption: words.say(table.caption, &[("circuit", circuit.title())]),
        columns: vec![
            column(words.word(&keys::COLUMN_PLACE), None, 1.0),
            column(words.word(table.head), None, 0.0),
            column(words.word(&keys::SHEET_NOTE), None, 0.0),
        ],
        rows: rows.collect(),
        row_heads: true,
    }));
}

fn condition(
    steps: &mut Steps<'_, '_>,
    circuit: &Circuit,
    choices: &Choices,
    body: &mut Vec<Block>,
) {
    let words = steps.speaker.wording;
    steps.heading(&keys::SHEET_CONDITION, body);
    let stop = words.say(
        &keys::SHEET_SEEN_STOP,
        &[
            ("discoloured", typed(words, "discoloured")),
            ("melted", typed(words, "melted")),
        ],
    );
    let places: Vec<&Place> = circuit.places.iter().collect();
    let seen = Noted {
        section: "looked_at",
        key: "seen",
        head: &keys::SHEET_SEEN,
        caption: &keys::SHEET_CONDITION_CAPTION,
        hint: format!("{}\n{stop}", choices.seen.join(", ")),
        choices: &choices.seen,
        figures: [14, 24],
    };
    noted(words, circuit, &places, &seen, body);
}

fn torque(
    steps: &mut Steps<'_, '_>,
    circuit: &Circuit,
    plan: &Plan,
    choices: &Choices,
    after_heat: bool,
    body: &mut Vec<Block>,
) {
    let speaker = steps.speaker;
    let words = speaker.wording;
    let when = choices_of(words, ["before", "after"]);
    let rows: Vec<Row> = circuit
        .connections()
        .filter(|(_, c)| plan.screws.contains(&c.id))
        .map(|(place, connection)| {
            let wanted = match connection.torque {
                Some(torque) => words.say(
                    &keys::SHEET_WANTED,
                    &[("torque", &speaker.numbers.torque(torque))],
                ),
                None => words.word(&keys::SHEET_WANTED_UNKNOWN).to_owned(),
            };
            let name = |what: &str| format!("{}/torque/{}/{what}", circuit.id, connection.id);
            let tip = |key: &Key| format!("{}: {}", connection.id, words.word(key));
            Row {
                cells: vec![
                    tall(&connection.id, &format!("{}; {wanted}", place.name)),
                    boxed(
                        name("found"),
                        tip(&keys::SHEET_FOUND),
                        12,
                        2,
                        &choices.found,
                    ),
                    boxed(name("left"), tip(&keys::SHEET_LEFT), 10, 2, &[]),
                    boxed(name("when"), tip(&keys::SHEET_WHEN), 8, 2, &when),
                ],
                group: false,
            }
        })
        .collect();
    if rows.is_empty() {
        return;
    }
    steps.heading(&keys::SHEET_TORQUE, body);
    if after_heat {
        steps.paragraph(&keys::SHEET_TORQUE_AGAIN, body);
    }
    steps.paragraph(&keys::SHEET_TORQUE_TEXT, body);
    let unit = speaker.numbers.torque_unit();
    body.push(Block::Table(Table {
        caption: words.say(&keys::SHEET_TORQUE_CAPTION, &[("circuit", circuit.title())]),
        columns: vec![
            column(words.word(&keys::COLUMN_CONNECTION), None, 1.0),
            column(
                words.word(&keys::SHEET_FOUND),
                Some(&words.say(
                    &keys::SHEET_FOUND_UNIT,
                    &[
                        ("held", typed(words, "held")),
                        ("moved", typed(words, "moved")),
                        ("unit", unit),
                    ],
                )),
                0.0,
            ),
            column(words.word(&keys::SHEET_LEFT), Some(unit), 0.0),
            column(
                words.word(&keys::SHEET_WHEN),
                Some(&words.say(
                    &keys::SHEET_WHEN_HINT,
                    &[("before", &when[0]), ("after", &when[1])],
                )),
                0.0,
            ),
        ],
        rows,
        row_heads: true,
    }));
}

/// Number of rounds of a complete measurement.
const ROUNDS: [&Key; 3] = [
    &keys::SHEET_ROUND_NONE,
    &keys::SHEET_ROUND_QUARTER,
    &keys::SHEET_ROUND_HOUR,
];

fn heat(steps: &mut Steps<'_, '_>, past: Option<&Past>, circuit: &Circuit, body: &mut Vec<Block>) {
    steps.heading(&keys::SHEET_HEAT, body);
    steps.paragraph(&keys::SHEET_HEAT_STOP, body);
    steps.paragraph(&keys::SHEET_HEAT_TEXT, body);
    rounds_and_readings(steps, past, circuit, "heat", body);
    not_read(steps, circuit, body);
}

/// The boxes of one heat series: `heat`, or `heat_after` a repair.
fn rounds_and_readings(
    steps: &Steps<'_, '_>,
    past: Option<&Past>,
    circuit: &Circuit,
    section: &str,
    body: &mut Vec<Block>,
) {
    let speaker = steps.speaker;
    let words = speaker.wording;
    let (rounds_caption, readings_caption) = match section {
        "heat" => (&keys::SHEET_ROUNDS_CAPTION, &keys::SHEET_READINGS_CAPTION),
        _ => (&keys::SHEET_ROUNDS_AFTER, &keys::SHEET_READINGS_AFTER),
    };
    let degrees = speaker.numbers.temperature_unit();
    let name = |what: String| format!("{}/{section}/{what}", circuit.id);

    let mut rows: Vec<Row> = ROUNDS
        .iter()
        .enumerate()
        .map(|(i, round)| {
            let round_name = words.word(round);
            let cell = |what: &str, label: &Key| {
                boxed(
                    name(format!("{}/{what}", i + 1)),
                    format!("{}, {round_name}: {}", circuit.title(), words.word(label)),
                    9,
                    2,
                    &[],
                )
            };
            Row {
                cells: vec![
                    tall(round_name, words.word(&keys::SHEET_CLOCK_HINT)),
                    cell("at", &keys::COLUMN_TIME),
                    cell("air", &keys::COLUMN_AIR),
                    cell("current", &keys::COLUMN_CURRENT),
                    cell("voltage", &keys::COLUMN_VOLTAGE),
                ],
                group: false,
            }
        })
        .collect();
    let began = words.word(&keys::SHEET_BEGAN);
    rows.insert(
        1,
        Row {
            cells: vec![
                tall(began, words.word(&keys::SHEET_CLOCK_HINT)),
                boxed(
                    name("charging_from".to_owned()),
                    format!("{}: {began}", circuit.title()),
                    9,
                    2,
                    &[],
                ),
                Text::plain(""),
                Text::plain(""),
                Text::plain(""),
            ],
            group: false,
        },
    );
    body.push(Block::Table(Table {
        caption: words.say(rounds_caption, &[("circuit", circuit.title())]),
        columns: vec![
            column(words.word(&keys::SHEET_ROUND), None, 1.0),
            column(words.word(&keys::COLUMN_TIME), None, 0.0),
            column(words.word(&keys::COLUMN_AIR), Some(degrees), 0.0),
            column(words.word(&keys::COLUMN_CURRENT), Some("A"), 0.0),
            column(words.word(&keys::COLUMN_VOLTAGE), Some("V"), 0.0),
        ],
        rows,
        row_heads: true,
    }));

    let found = speaker
        .assessment
        .circuits
        .iter()
        .find(|c| c.id == circuit.id);
    let rows = circuit
        .connections()
        .map(|(place, connection)| {
            let mut about = vec![place.name.clone()];
            let before = past.and_then(|p| {
                p.values
                    .iter()
                    .find(|(c, id, _)| *c == circuit.id && *id == connection.id)
            });
            if let Some((.., temperature)) = before {
                let temperature = speaker.numbers.temperature(*temperature);
                about.push(words.say(&keys::SHEET_LAST, &[("temperature", &temperature)]));
            }
            let limit = found
                .and_then(|c| c.connections.iter().find(|c| c.id == connection.id))
                .and_then(|c| c.limit);
            if let Some((limit, _)) = limit {
                let limit = speaker.numbers.temperature(limit);
                about.push(words.say(&keys::SHEET_LIMIT, &[("limit", &limit)]));
            }
            let mut cells = vec![tall(
                &format!("{} ({})", connection.id, connection.leg),
                &about.join("; "),
            )];
            for (i, round) in ROUNDS.iter().enumerate() {
                cells.push(boxed(
                    name(format!("{}/{}", i + 1, connection.id)),
                    format!("{}: {}", connection.id, words.word(round)),
                    10,
                    2,
                    &[],
                ));
            }
            Row {
                cells,
                group: false,
            }
        })
        .collect();
    body.push(Block::Table(Table {
        caption: words.say(readings_caption, &[("circuit", circuit.title())]),
        columns: std::iter::once(column(words.word(&keys::COLUMN_CONNECTION), None, 1.0))
            .chain(
                [
                    &keys::SHEET_SHORT_NONE,
                    &keys::SHEET_SHORT_QUARTER,
                    &keys::SHEET_SHORT_HOUR,
                ]
                .map(|key| column(words.word(key), Some(degrees), 0.0)),
            )
            .collect(),
        rows,
        row_heads: true,
    }));
}
