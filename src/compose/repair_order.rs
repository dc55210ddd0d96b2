//! The repair order of a certificate: the cautions first, then each job with its connections, their
//! torques and the photos on which they are marked, boxes for what was done, and what to measure
//! afterwards.
//!
//! It is not signed. It repeats what a certificate asks for, and names that certificate by its
//! SHA-256.

use super::connections::{Connections, signal};
use super::document::{
    About, Align, Block, Column, Columns, Document, Field, Format, Letterhead, Row, Signal, Table,
    Text,
};
use super::jobs::{Job, Point};
use super::keys::{self, Key};
use super::letterhead::{author, letterhead};
use super::numbers::NOT_TOLD;
use super::speaker::Speaker;
use super::{circuit_section, findings_section, method_section, photos_section};
use crate::assess::{Charging, torque::Wanted};
use crate::photo::PreparedImage;
use crate::visit::{Circuit, ConnectionKind, Photo, TorqueFound};
use chrono::{DateTime, FixedOffset};

/// The certificate that an order is made from.
#[derive(Debug, Clone)]
pub struct Origin {
    /// SHA-256 of its file as it was sealed, hexadecimal.
    pub sha256: String,
    /// Whether the reader compared the key that sealed it.
    pub compared: bool,
    /// Its photos in the order of the visit, or why they cannot be taken from it (the end of a
    /// sentence).
    pub photos: Result<Vec<PreparedImage>, String>,
}

/// Most connections of a job that have a photo each; of more, the photos are in the certificate.
const MOST_PHOTOS: usize = 6;

/// Composes the order; `speaker` speaks of the visit of the certificate, and `jobs` are its jobs.
pub fn repair_order(
    speaker: &Speaker<'_>,
    jobs: &[Job<'_>],
    origin: Origin,
    created: DateTime<FixedOffset>,
) -> Document {
    let words = speaker.wording;
    let visit = speaker.visit;
    let number = visit.number.as_str();
    let date = speaker.numbers.date(visit.date);
    let connections = Connections::new(visit, speaker.assessment);
    let mut body = vec![
        Block::Heading {
            level: 1,
            text: words.word(&keys::ORDER_HEADING).to_owned(),
            anchor: None,
        },
        state(speaker, jobs),
        Block::Paragraph(Text::plain(words.say(
            &keys::ORDER_UNSIGNED,
            &[("number", number), ("date", &date)],
        ))),
    ];
    if !origin.compared {
        body.push(Block::Paragraph(Text::strong(
            words.word(&keys::ORDER_UNCOMPARED),
        )));
    }
    body.push(Block::Facts(about(speaker, &origin.sha256)));
    if let Some(remarks) = &visit.remarks {
        let text = Text::strong(words.word(&keys::REMARKS));
        body.push(Block::Paragraph(
            text.then(Text::plain(format!(" {remarks}"))),
        ));
    }
    method_section::safety(speaker, &mut body);

    let mut images = Vec::new();
    let mut pictures = Pictures {
        photos: origin.photos.as_deref().unwrap_or_default(),
        images: &mut images,
        placed: Vec::new(),
    };
    // Worst first, so that those to be checked later are the last.
    let repairs = jobs.iter().take_while(|job| job.repairs()).count();
    if repairs > 0 {
        heading(2, words.word(&keys::ORDER_JOBS), &mut body);
    }
    if let Err(why) = &origin.photos {
        body.push(Block::Small(Text::plain(
            words.say(&keys::ORDER_NOT_IN_FILE, &[("why", why)]),
        )));
    }
    for (i, job) in jobs.iter().enumerate() {
        if i == repairs {
            if i > 0 {
                findings_section::heat_steps(speaker, &mut body);
            }
            heading(2, words.word(&keys::ORDER_LATER), &mut body);
        }
        of_job(
            speaker,
            &connections,
            (i + 1, job),
            &mut pictures,
            &mut body,
        );
    }
    if repairs == 0 || repairs == jobs.len() {
        findings_section::heat_steps(speaker, &mut body);
    }
    unproved(speaker, &mut body);
    after(speaker, &connections, jobs, &mut body);
    Document {
        about: About {
            title: words.say(
                &keys::ORDER_TITLE,
                &[("number", number), ("site", &visit.site.name)],
            ),
            author: author(visit),
            subject: words.word(&keys::ORDER_HEADING).to_owned(),
            identifier: format!("{number}-order sha256:{}", origin.sha256),
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
        running_left: words.say(&keys::ORDER_RUNNING, &[("number", number)]),
        running_middle: visit.site.name.clone(),
        running_right: words.say(
            &keys::RUNNING_RIGHT,
            &[("page", "{page}"), ("pages", "{pages}")],
        ),
        draft: None,
        body,
        images,
        attachments: Vec::new(),
    }
}

fn heading(level: u8, text: &str, body: &mut Vec<Block>) {
    body.push(Block::Heading {
        level,
        text: text.to_owned(),
        anchor: None,
    });
}

/// Whether the circuits have to stay off, in large type, with how each was left.
fn state(speaker: &Speaker<'_>, jobs: &[Job<'_>]) -> Block {
    let words = speaker.wording;
    let several = speaker.visit.circuits.len() > 1;
    let assessed = &speaker.assessment.circuits;
    let concerned = |circuit: &&Circuit| {
        let own = |job: &Job<'_>| job.circuit.is_none_or(|c| c.id == circuit.id);
        jobs.iter().any(own)
    };
    let mut worst = Charging::AsUsual;
    let mut text = Vec::new();
    for circuit in speaker.visit.circuits.iter().filter(concerned) {
        let charging = assessed.iter().find(|c| c.id == circuit.id);
        let charging = charging.map_or(Charging::AsUsual, |c| c.charging);
        worst = worst.stricter(charging);
        let answer = speaker.may_charge_in_row(charging, true);
        let question = words.word(&keys::CHARGING_QUESTION);
        let of = |told: String| match several {
            true => Text::strong(circuit.title()).then(Text::plain(format!(" {told}"))),
            false => Text::plain(told),
        };
        text.push(of(format!("{question} {answer}.")));
        if let Some(left) = speaker.left(circuit, charging) {
            text.push(of(words.say(
                &keys::SHOWN_AT,
                &[
                    ("place", words.word(&keys::LEFT_QUESTION)),
                    ("shown", &left),
                ],
            )));
        }
    }
    let (signal, title) = match worst {
        Charging::NotAtAll => (Signal::Danger, &keys::ORDER_OFF),
        Charging::AtMost(_) => (Signal::Warning, &keys::ORDER_LIMITED),
        Charging::AsUsual if nothing_to_repair(speaker, jobs) => {
            (Signal::Notice, &keys::ORDER_NOTHING)
        }
        Charging::AsUsual => (Signal::Notice, &keys::ORDER_IN_USE),
    };
    Block::Verdict {
        signal,
        title: words.word(title).to_owned(),
        text,
    }
}

/// The certificate, the site and the persons.
fn about(speaker: &Speaker<'_>, sha256: &str) -> Vec<(String, Text)> {
    let (words, visit) = (speaker.wording, speaker.visit);
    let place = |name: &str, address: &Option<String>| match address {
        Some(address) => format!("{name}, {}", address.replace('\n', ", ")),
        None => name.to_owned(),
    };
    let digits: Vec<char> = sha256.chars().collect();
    let groups: Vec<String> = digits.chunks(8).map(|g| g.iter().collect()).collect();
    let facts = [
        (&keys::FACT_CERTIFICATE, visit.number.clone()),
        (&keys::ORDER_DIGEST, groups.join(" ")),
        (&keys::FACT_DATE, speaker.numbers.date(visit.date)),
        (&keys::FACT_INSPECTOR, author(visit)),
        (
            &keys::FACT_SITE,
            place(&visit.site.name, &visit.site.address),
        ),
        (
            &keys::FACT_CLIENT,
            place(&visit.client.name, &visit.client.address),
        ),
    ];
    let facts = facts
        .into_iter()
        .map(|(key, value)| (words.word(key).to_owned(), Text::plain(value)));
    facts.collect()
}

/// The photos that an order shows; one that several jobs show is in it once.
struct Pictures<'p> {
    photos: &'p [PreparedImage],
    images: &'p mut Vec<PreparedImage>,
    /// Position among the visit's photos, and among the document's images.
    placed: Vec<(usize, usize)>,
}

impl Pictures<'_> {
    fn place(&mut self, photo: usize) -> Option<usize> {
        if let Some((_, image)) = self.placed.iter().find(|(other, _)| *other == photo) {
            return Some(*image);
        }
        self.images.push(self.photos.get(photo)?.clone());
        self.placed.push((photo, self.images.len() - 1));
        Some(self.images.len() - 1)
    }
}

fn of_job(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    (number, job): (usize, &Job<'_>),
    pictures: &mut Pictures<'_>,
    body: &mut Vec<Block>,
) {
    let words = speaker.wording;
    let finding = job.finding;
    let told = number.to_string();
    let place = speaker.found_at(finding);
    heading(
        3,
        &words.say(
            &keys::ORDER_JOB,
            &[
                ("number", &told),
                ("name", &job.sentence.name),
                ("where", &place),
            ],
        ),
        body,
    );
    let grade = Text::marked(signal(finding.grade), speaker.grade(finding.grade));
    body.push(Block::Paragraph(
        grade.then(Text::plain(format!(" {}", job.sentence.text))),
    ));
    let mut facts = vec![(
        words.word(&keys::FACT_ACTION).to_owned(),
        Text::strong(&job.sentence.action),
    )];
    let mut fact = |key: &Key, value: String| {
        facts.push((words.word(key).to_owned(), Text::plain(value)));
    };
    let shown = speaker.evidence(finding);
    if !shown.is_empty() {
        let between = words.word(&keys::BAND_BETWEEN);
        fact(&keys::COLUMN_SHOWN_BY, shown.join(between));
    }
    if finding.charging != Charging::AsUsual {
        let answer = speaker.may_charge_in_row(finding.charging, true);
        fact(&keys::CHARGING_QUESTION, answer);
    }
    fact(&keys::FACT_DEADLINE, speaker.deadline(finding));
    // The reason often says what is to be done.
    let mut judged = findings_section::judgements(speaker, finding);
    judged.dedup();
    for said in judged {
        fact(&keys::FACT_JUDGEMENT, said);
    }
    let mut devices: Vec<String> = Vec::new();
    for point in &job.points {
        let device = job.circuit.and_then(|circuit| {
            let (name, value) = circuit_section::device(speaker, circuit, point.place)?;
            let places = [("place", &*name), ("shown", &*value)];
            Some(words.say(&keys::SHOWN_AT, &places))
        });
        devices.extend(device.filter(|device| !devices.contains(device)));
    }
    if !devices.is_empty() {
        fact(
            &keys::ORDER_PART,
            devices.join(words.word(&keys::BAND_BETWEEN)),
        );
    }
    if job.repairs() {
        body.push(Block::Facts(facts));
        body.push(Block::Table(points(
            speaker,
            connections,
            (number, job),
            &place,
        )));
        fallbacks(speaker, job, body);
    } else {
        let names: Vec<String> = job
            .points
            .iter()
            .map(|point| named(speaker, connections, job, point))
            .collect();
        if !names.is_empty() {
            let name = words.word(&keys::COLUMN_CONNECTION).to_owned();
            facts.push((name, Text::plain(names.join(", "))));
        }
        body.push(Block::Facts(facts));
    }
    photos(speaker, connections, job, pictures, body);
}

/// The connections of a job, with boxes for what was done.
fn points(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    (number, job): (usize, &Job<'_>),
    place: &str,
) -> Table {
    let words = speaker.wording;
    let told = number.to_string();
    let caption = words.say(&keys::ORDER_POINTS, &[("number", &told)]);
    let column = |key: &Key, unit: Option<&str>, align, share| Column {
        head: words.word(key).to_owned(),
        unit: unit.map(str::to_owned),
        align,
        share,
    };
    let boxed = |what: &str, key: &Key, of: &str, figures| {
        Text::field(Field {
            name: format!("{number}/{of}/{what}"),
            tip: format!("{caption}, {of}: {}", words.word(key)),
            figures,
            lines: 2,
            choices: Vec::new(),
        })
    };
    let row = |cells| Row {
        cells,
        group: false,
    };
    if job.points.is_empty() {
        return Table {
            columns: vec![
                column(&keys::COLUMN_WHERE, None, Align::Left, 1.0),
                column(&keys::ORDER_DONE, None, Align::Left, 0.0),
            ],
            rows: vec![row(vec![
                Text::plain(format!("{place}\n\u{a0}")),
                boxed("done", &keys::ORDER_DONE, "all", 22),
            ])],
            caption,
            row_heads: true,
        };
    }
    let n = &speaker.numbers;
    let unit = Some(n.torque_unit());
    let rows = job.points.iter().map(|point| {
        let id = point.connection.id.as_str();
        let wanted = match &point.wanted {
            Some(Wanted { torque, .. }) => n.torque_cell(*torque),
            None if !screwed(point) => NOT_TOLD.to_owned(),
            None => words.word(&keys::ORDER_TORQUE_UNKNOWN).to_owned(),
        };
        let found = point.checked.map(|check| match check.found {
            TorqueFound::Held => words.word(&keys::TORQUE_HELD).to_owned(),
            TorqueFound::Moved => words.word(&keys::TORQUE_MOVED).to_owned(),
            TorqueFound::Value(t) => words.say(&keys::TORQUE_MOVED_AT, &[("torque", &n.torque(t))]),
        });
        let left = point.checked.and_then(|check| check.left);
        let left = left.map_or_else(|| NOT_TOLD.to_owned(), |t| n.torque_cell(t));
        row(vec![
            // Two lines, as high as the boxes.
            Text::plain(format!(
                "{}\n{}",
                named(speaker, connections, job, point),
                point.place.name
            )),
            Text::plain(wanted),
            Text::plain(found.unwrap_or_else(|| NOT_TOLD.to_owned())),
            Text::plain(left),
            boxed("done", &keys::ORDER_DONE, id, 14),
            boxed("torque", &keys::ORDER_TORQUE_NOW, id, 6),
        ])
    });
    Table {
        columns: vec![
            column(&keys::COLUMN_CONNECTION, None, Align::Left, 1.0),
            column(&keys::COLUMN_WANTED, unit, Align::Left, 0.8),
            column(&keys::COLUMN_FOUND, None, Align::Left, 1.0),
            column(&keys::COLUMN_LEFT, unit, Align::Left, 0.0),
            column(&keys::ORDER_DONE, None, Align::Left, 0.0),
            column(&keys::ORDER_TORQUE_NOW, unit, Align::Left, 0.0),
        ],
        rows: rows.collect(),
        caption,
        row_heads: true,
    }
}

/// Whether a connection has a screw with a torque.
fn screwed(point: &Point<'_>) -> bool {
    let kind = point.connection.kind;
    matches!(kind, ConnectionKind::ScrewTerminal | ConnectionKind::Lug)
}

/// A connection with its number in the certificate.
fn named(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    job: &Job<'_>,
    point: &Point<'_>,
) -> String {
    let id = point.connection.id.as_str();
    let circuit = job.circuit.map(|c| c.id.as_str());
    match connections.find(circuit, id) {
        Some(numbered) => speaker.wording.say(
            &keys::NUMBERED_CONNECTION,
            &[("number", &numbered.number.to_string()), ("id", id)],
        ),
        None => id.to_owned(),
    }
}

/// Which torques of a job are not the manufacturer's, and where they come from.
fn fallbacks(speaker: &Speaker<'_>, job: &Job<'_>, body: &mut Vec<Block>) {
    let words = speaker.wording;
    let mut by_source: Vec<(&str, Vec<&str>)> = Vec::new();
    for point in &job.points {
        let wanted = point.wanted.as_ref();
        let Some(source) = wanted.and_then(|w| w.fallback.as_deref()) else {
            continue;
        };
        let id = point.connection.id.as_str();
        match by_source.iter_mut().find(|(other, _)| *other == source) {
            Some((_, ids)) => ids.push(id),
            None => by_source.push((source, vec![id])),
        }
    }
    for (source, ids) in by_source {
        let places = [("connection", &*words.list(&ids)), ("source", source)];
        let note = words.say(&keys::TORQUE_FALLBACK, &places);
        body.push(Block::Small(Text::plain(note)));
    }
}

/// The photos on which connections of a job are marked, with these marks alone.
fn photos(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    job: &Job<'_>,
    pictures: &mut Pictures<'_>,
    body: &mut Vec<Block>,
) {
    let own = |photo: &Photo| {
        let circuit = job.circuit.map(|c| c.id.as_str());
        photo.circuit.as_deref() == circuit
            && photo
                .marks
                .iter()
                .any(|(id, _)| job.points.iter().any(|p| p.connection.id == *id))
    };
    let all = speaker.visit.photos.iter().enumerate();
    let mut figures = Vec::new();
    for (i, photo) in all.filter(|(_, photo)| own(photo)).take(MOST_PHOTOS) {
        let Some(image) = pictures.place(i) else {
            continue;
        };
        let mut shown = photo.clone();
        shown
            .marks
            .retain(|(id, _)| job.points.iter().any(|p| p.connection.id == *id));
        let figure = photos_section::figure(speaker, connections, image, &shown);
        figures.push(Block::Photo(figure));
    }
    if figures.is_empty() {
        return;
    }
    body.push(Block::Columns(Columns::PHOTOS));
    body.extend(figures);
    body.push(Block::Columns(Columns::One));
}

/// Whether everything is in order but for points to be checked on the next visit.
fn nothing_to_repair(speaker: &Speaker<'_>, jobs: &[Job<'_>]) -> bool {
    !jobs.iter().any(Job::repairs) && !has_unproved(speaker)
}

/// Whether something was repaired on the visit and not measured again.
fn has_unproved(speaker: &Speaker<'_>) -> bool {
    let state = speaker.assessment.as_found.as_ref();
    state.is_some_and(|state| state.mended().any(|(_, proved)| !proved))
}

/// What was repaired on the visit and not measured again: no job, but not yet in order.
fn unproved(speaker: &Speaker<'_>, body: &mut Vec<Block>) {
    if !has_unproved(speaker) {
        return;
    }
    heading(2, speaker.wording.word(&keys::ORDER_UNPROVED), body);
    let items = speaker.mended_unproved();
    body.push(Block::List {
        numbered: false,
        items: items.into_iter().map(Text::plain).collect(),
    });
}

/// What to do when the work is done.
fn after(
    speaker: &Speaker<'_>,
    connections: &Connections<'_>,
    jobs: &[Job<'_>],
    body: &mut Vec<Block>,
) {
    let words = speaker.wording;
    let head = match nothing_to_repair(speaker, jobs) {
        true => &keys::ORDER_AFTER_CHECKS,
        false => &keys::ORDER_AFTER,
    };
    heading(2, words.word(head), body);
    let mut items = Vec::new();
    let mut points: Vec<String> = Vec::new();
    let several = speaker.visit.circuits.len() > 1;
    for job in jobs.iter().filter(|job| job.repairs()) {
        for point in &job.points {
            let mut name = named(speaker, connections, job, point);
            if let (true, Some(circuit)) = (several, job.circuit) {
                name = format!("{name}, {}", circuit.title());
            }
            if !points.contains(&name) {
                points.push(name);
            }
        }
    }
    if !points.is_empty() {
        let list = points.join(words.word(&keys::BAND_BETWEEN));
        items.push(words.say(&keys::ORDER_MEASURE, &[("connections", &list)]));
    }
    if jobs.iter().any(Job::stays_off) {
        items.push(words.word(&keys::ORDER_STAY_OFF).to_owned());
    }
    items.push(words.word(&keys::ORDER_RECORD).to_owned());
    body.push(Block::List {
        numbered: false,
        items: items.into_iter().map(Text::plain).collect(),
    });
}
