//! A letter that reminds a client of inspections: which circuits, by when and why, what is left of a visit
//! that ended early, and what to prepare.

use super::document::{About, Block, Document, Format, Letterhead, Signal, Text, lines};
use super::keys::{self, Key};
use super::letterhead::letterhead;
use super::speaker::Speaker;
use crate::visit::{Circuit, Visit};
use chrono::{DateTime, FixedOffset, NaiveDate};

/// One circuit in a letter.
#[derive(Debug, Clone)]
pub struct Due<'a> {
    /// Speaks of its latest visit in the language of the letter.
    pub speaker: Speaker<'a>,
    /// The circuit.
    pub circuit: &'a Circuit,
    /// Day by which it is due; `None` if it must not be used before that.
    pub day: Option<NaiveDate>,
    /// Key of the rule that set the day, as in [`NextDue`](crate::assess::NextDue).
    pub basis: &'a str,
    /// Whether it must not be used.
    pub off: bool,
    /// Speaks of the visit that ended early, if the rest of it is still to be done.
    pub rest: Option<Speaker<'a>>,
}

impl Due<'_> {
    /// What the visit that ended early, or was not complete, left undone.
    pub fn left(&self) -> Vec<String> {
        let incomplete = (self.basis == "incomplete").then_some(self.speaker);
        let Some(speaker) = self.rest.or(incomplete) else {
            return Vec::new();
        };
        let own = speaker.assessment.limitations.iter().filter(|l| {
            let here = l.circuit.as_ref().is_none_or(|id| *id == self.circuit.id);
            // That it ended early is said with its reason.
            l.incomplete && here && !l.id.of_the_end()
        });
        own.map(|l| speaker.limitation_later(l)).collect()
    }

    /// Why it is due.
    pub fn reason(&self) -> String {
        let words = self.speaker.wording;
        let mut reasons = Vec::new();
        if self.off {
            reasons.push(words.word(&keys::LETTER_REASON_OFF).to_owned());
        }
        if let Some(rest) = &self.rest
            && let Some(cut) = &rest.visit.cut_short
        {
            let date = rest.numbers.date(rest.visit.date);
            let why = [("date", &*date), ("why", &*cut.why)];
            reasons.push(words.say(&keys::LETTER_REASON_CUT_SHORT, &why));
        }
        if reasons.is_empty() {
            let key = match self.basis {
                "first" => &keys::LETTER_REASON_FIRST,
                "watch" => &keys::LETTER_REASON_WATCH,
                "repair" | "stop" => &keys::LETTER_REASON_REPAIR,
                "incomplete" => &keys::LETTER_REASON_INCOMPLETE,
                "trend" => &keys::LETTER_REASON_TREND,
                _ => &keys::LETTER_REASON_CLEAN,
            };
            reasons.push(words.word(key).to_owned());
        }
        reasons.join(" ")
    }

    /// By when, with its mark.
    fn when(&self, today: NaiveDate) -> Text {
        let words = self.speaker.wording;
        let dated = |key: &Key, day| {
            let date = self.speaker.numbers.date(day);
            words.say(key, &[("date", &date)])
        };
        match self.day {
            _ if self.off => Text::marked(Signal::Danger, words.word(&keys::LETTER_OFF)),
            Some(day) if self.rest.is_some() && day >= today => {
                Text::marked(Signal::Caution, dated(&keys::LETTER_UNFINISHED, day))
            }
            None => Text::marked(Signal::Caution, words.word(&keys::LETTER_UNFINISHED_OPEN)),
            Some(day) if day < today => {
                Text::marked(Signal::Warning, dated(&keys::LETTER_OVERDUE, day))
            }
            Some(day) => Text::marked(Signal::Notice, dated(&keys::LETTER_DUE, day)),
        }
    }
}

/// Composes the letter to the client of `latest`, the newest visit among those of `due`; it comes from the
/// firm of that visit.
pub fn letter(
    latest: &Speaker<'_>,
    due: &[Due<'_>],
    today: NaiveDate,
    created: DateTime<FixedOffset>,
) -> Document {
    let words = latest.wording;
    let visit = latest.visit;
    let date = latest.numbers.date(today);
    let mut body = vec![
        Block::Heading {
            level: 1,
            text: words.word(&keys::LETTER_TITLE).to_owned(),
            anchor: None,
        },
        Block::Paragraph(lines(
            std::iter::once(Text::strong(&visit.client.name))
                .chain(address(visit))
                .collect(),
        )),
        Block::Small(Text::plain(&date)),
        Block::Paragraph(Text::plain(words.count(
            &keys::LETTER_INTRODUCTION,
            due.len(),
            &[],
        ))),
    ];
    for due in due {
        of_circuit(due, today, &mut body);
    }
    prepare(words.word(&keys::LETTER_PREPARE), due, latest, &mut body);
    body.push(Block::Paragraph(Text::plain(
        words.word(&keys::LETTER_TROUBLE),
    )));
    let inspector = &visit.inspector;
    // The letterhead has the other ways to reach the firm.
    let appointment = match &inspector.phone {
        None => words.word(&keys::LETTER_APPOINTMENT_OPEN).to_owned(),
        Some(phone) => words.say(&keys::LETTER_APPOINTMENT, &[("contact", phone)]),
    };
    body.push(Block::Paragraph(Text::plain(appointment)));
    let firm = inspector.firm.as_ref().unwrap_or(&inspector.name);
    body.push(Block::Paragraph(Text::strong(firm)));
    Document {
        about: About {
            title: subject(latest, due),
            author: firm.clone(),
            subject: words.word(&keys::LETTER_TITLE).to_owned(),
            identifier: format!("{}-reminder-{today}", visit.number),
            language: words.language().to_owned(),
            further_languages: Vec::new(),
            created,
            producer: format!("warmlug {}", env!("CARGO_PKG_VERSION")),
        },
        format: Format::Sheets(visit.print.paper),
        decimal_mark: latest.numbers.decimal_mark(),
        letterhead: Letterhead {
            logo: None,
            ..letterhead(latest, None)
        },
        running_left: words.say(&keys::LETTER_RUNNING, &[("date", &date)]),
        running_middle: visit.client.name.clone(),
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

/// The subject line: the sites that the letter is about.
pub fn subject(latest: &Speaker<'_>, due: &[Due<'_>]) -> String {
    let mut sites: Vec<&str> = Vec::new();
    for due in due {
        let site = due.speaker.visit.site.name.as_str();
        if !sites.contains(&site) {
            sites.push(site);
        }
    }
    let sites = latest.wording.list(&sites);
    latest
        .wording
        .say(&keys::LETTER_SUBJECT, &[("sites", &sites)])
}

fn address(visit: &Visit) -> impl Iterator<Item = Text> + '_ {
    let address = visit.client.address.as_deref().unwrap_or_default();
    address.lines().map(Text::plain)
}

/// A circuit with its site.
fn named(due: &Due<'_>) -> String {
    let site = &due.speaker.visit.site.name;
    let places = [("circuit", due.circuit.title()), ("site", &**site)];
    due.speaker.wording.say(&keys::LETTER_ABOUT, &places)
}

fn of_circuit(due: &Due<'_>, today: NaiveDate, body: &mut Vec<Block>) {
    let words = due.speaker.wording;
    let visit = due.speaker.visit;
    body.push(Block::Heading {
        level: 2,
        text: named(due),
        anchor: None,
    });
    body.push(Block::Paragraph(due.when(today)));
    let date = due.speaker.numbers.date(visit.date);
    let last = [("date", &*date), ("number", visit.number.as_str())];
    let fact = |key: &Key, text: String| (words.word(key).to_owned(), Text::plain(text));
    let mut facts = vec![
        fact(&keys::LETTER_WHY, due.reason()),
        fact(&keys::LETTER_LAST, words.say(&keys::LETTER_LAST_OF, &last)),
    ];
    if let Some(address) = &visit.site.address {
        facts.insert(0, fact(&keys::FACT_SITE, address.replace('\n', ", ")));
    }
    let left = due.left();
    if !left.is_empty() {
        facts.push(fact(&keys::LETTER_LEFT, left.join(" ")));
    }
    body.push(Block::Facts(facts));
}

fn prepare(head: &str, due: &[Due<'_>], latest: &Speaker<'_>, body: &mut Vec<Block>) {
    let words = latest.wording;
    body.push(Block::Heading {
        level: 2,
        text: head.to_owned(),
        anchor: None,
    });
    let mut items: Vec<String> = Vec::new();
    let site = |due: &Due<'_>| due.speaker.visit.site.name.clone();
    let one_site = due.windows(2).all(|two| site(&two[0]) == site(&two[1]));
    for due in due {
        let current = due.speaker.numbers.current(due.circuit.charger.load());
        let key = match due.off {
            true => &keys::LETTER_CAR_AFTER,
            false => &keys::LETTER_CAR,
        };
        let circuit = match one_site {
            true => due.circuit.title().to_owned(),
            false => named(due),
        };
        let places = [("circuit", &*circuit), ("current", &*current)];
        let item = words.say(key, &places);
        if !items.contains(&item) {
            items.push(item);
        }
    }
    let rest = [
        &keys::LETTER_ACCESS,
        &keys::LETTER_POWER,
        &keys::LETTER_HANDS_OFF,
    ];
    items.extend(rest.map(|key| words.word(key).to_owned()));
    body.push(Block::List {
        numbered: false,
        items: items.into_iter().map(Text::plain).collect(),
    });
}

/// A letter as plain text, for an e-mail.
pub fn plain(letter: &Document) -> String {
    let mut out = String::new();
    let mut put = |text: &str| {
        out.push_str(text);
        out.push('\n');
    };
    let head = &letter.letterhead;
    put(&head.name);
    head.lines.iter().for_each(|line| put(line));
    for block in &letter.body {
        put("");
        match block {
            Block::Heading { level: 1, text, .. } => put(&text.to_uppercase()),
            Block::Heading { text, .. } => {
                put(text);
                put(&"-".repeat(text.chars().count()));
            }
            Block::Paragraph(text) | Block::Small(text) => put(&text.characters()),
            Block::List { items, .. } => {
                items
                    .iter()
                    .for_each(|item| put(&format!("- {}", item.characters())));
            }
            Block::Facts(facts) => facts
                .iter()
                .for_each(|(name, text)| put(&format!("{name}: {}", text.characters()))),
            _ => {}
        }
    }
    out.replace(['\u{a0}', '\u{202f}'], " ")
}
