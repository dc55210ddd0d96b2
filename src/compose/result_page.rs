//! The result page, for the owner, in plain words: the result, what to do and by when, who signed,
//! and the site and circuit.
//!
//! A visit that is not complete never reads as a clean bill: the verdict itself says so, and what
//! was not done is on the same page. Every piece of advice is next to the finding that it
//! comes from.

use super::check_code::code;
use super::check_line::CheckLine;
use super::connections::signal;
use super::document::{Align, Block, Column, Columns, Row, SealBlock, Signal, Table, Text, link};
use super::error::ComposeError;
use super::first_page::Listed;
use super::inputs::SealFacts;
use super::items::{finding_item, limitation_item, missing, untraced};
use super::keys::{self, Key};
use super::letterhead::author;
use super::mended;
use super::rules_note::rules_note;
use super::since_repair;
use super::speaker::Speaker;
use super::wording::Wording;
use crate::assess::{ByBuiltIn, Charging, Finding, Limitation, Outcome};
use crate::visit::{Circuit, Grade};

/// The result in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    /// Mark.
    pub signal: Signal,
    /// A few words.
    pub title: String,
    /// The meaning, as one or two sentences.
    pub text: Vec<String>,
}

/// Every title that a verdict can have.
pub fn verdict_titles(wording: &Wording) -> [&str; 8] {
    [
        &keys::VERDICT_STOP_TITLE,
        &keys::VERDICT_REPAIR_TITLE,
        &keys::VERDICT_WATCH_TITLE,
        &keys::VERDICT_NOTES_TITLE,
        &keys::VERDICT_INCOMPLETE_NOTES_TITLE,
        &keys::VERDICT_CLEAN_TITLE,
        &keys::VERDICT_INCOMPLETE_TITLE,
        &keys::VERDICT_EXCEPT_TITLE,
    ]
    .map(|key| wording.word(key))
}

/// Mark, title and text of a result, by outcome, completeness and worst grade alone.
pub(super) const fn verdict_of(
    outcome: Outcome,
    complete: bool,
    worst: Grade,
) -> (Signal, &'static Key, &'static Key) {
    match (outcome, complete, worst) {
        (Outcome::Unsatisfactory, _, Grade::Stop) => (
            Signal::Danger,
            &keys::VERDICT_STOP_TITLE,
            &keys::VERDICT_STOP_TEXT,
        ),
        (Outcome::Unsatisfactory, _, _) => (
            Signal::Warning,
            &keys::VERDICT_REPAIR_TITLE,
            &keys::VERDICT_REPAIR_TEXT,
        ),
        (Outcome::SatisfactoryWithNotes, true, Grade::Watch) => (
            Signal::Caution,
            &keys::VERDICT_WATCH_TITLE,
            &keys::VERDICT_WATCH_TEXT,
        ),
        (Outcome::SatisfactoryWithNotes, true, _) => (
            Signal::Notice,
            &keys::VERDICT_NOTES_TITLE,
            &keys::VERDICT_NOTES_TEXT,
        ),
        // The title mentions points to watch only if there are some.
        (Outcome::SatisfactoryWithNotes, false, Grade::Pass | Grade::Note) => (
            Signal::Unknown,
            &keys::VERDICT_INCOMPLETE_TITLE,
            &keys::VERDICT_INCOMPLETE_NOTES_TEXT,
        ),
        (Outcome::SatisfactoryWithNotes, false, _) => (
            Signal::Unknown,
            &keys::VERDICT_INCOMPLETE_NOTES_TITLE,
            &keys::VERDICT_INCOMPLETE_NOTES_TEXT,
        ),
        (Outcome::Satisfactory, true, _) => (
            Signal::Good,
            &keys::VERDICT_CLEAN_TITLE,
            &keys::VERDICT_CLEAN_TEXT,
        ),
        (Outcome::Satisfactory, false, _) => (
            Signal::Unknown,
            &keys::VERDICT_INCOMPLETE_TITLE,
            &keys::VERDICT_INCOMPLETE_TEXT,
        ),
    }
}

impl Speaker<'_> {
    /// The result in words.
    pub fn verdict(&self) -> Verdict {
        let a = self.assessment;
        let worst = self.worst();
        let (mark, title, text) = match (a.outcome, a.complete, worst) {
            (Outcome::SatisfactoryWithNotes, true, Grade::Pass | Grade::Note)
                if self.excepted() =>
            {
                (
                    Signal::Notice,
                    &keys::VERDICT_EXCEPT_TITLE,
                    &keys::VERDICT_EXCEPT_TEXT,
                )
            }
            // “Nothing needs action” would be wrong if a repair was not measured again.
            (Outcome::Satisfactory | Outcome::SatisfactoryWithNotes, false, _)
                if self.unproved() =>
            {
                (
                    match a.charging {
                        Charging::AsUsual => Signal::Unknown,
                        Charging::AtMost(_) | Charging::NotAtAll => Signal::Warning,
                    },
                    match worst >= Grade::Watch {
                        true => &keys::VERDICT_INCOMPLETE_NOTES_TITLE,
                        false => &keys::VERDICT_INCOMPLETE_TITLE,
                    },
                    &keys::MENDED_UNPROVED,
                )
            }
            (Outcome::Satisfactory, true, _) if self.mended_any() => (
                Signal::Good,
                &keys::VERDICT_CLEAN_TITLE,
                &keys::MENDED_VERDICT,
            ),
            (outcome, complete, worst) => verdict_of(outcome, complete, worst),
        };
        let mut sentences = vec![self.of_circuits(text)];
        if a.outcome == Outcome::Unsatisfactory && !a.complete {
            sentences.push(self.wording.word(&keys::VERDICT_ALSO_INCOMPLETE).to_owned());
        }
        Verdict {
            signal: mark,
            title: self.wording.word(title).to_owned(),
            text: sentences,
        }
    }

    /// Whether something was found and repaired on the visit.
    fn mended_any(&self) -> bool {
        let state = self.assessment.as_found.as_ref();
        state.is_some_and(|state| !state.mended.is_empty())
    }

    /// Whether something was repaired on the visit and not read again.
    fn unproved(&self) -> bool {
        let state = self.assessment.as_found.as_ref();
        state.is_some_and(|state| state.mended().any(|(_, proved)| !proved))
    }

    /// Whether something could not be read, and is declared with its reason.
    fn excepted(&self) -> bool {
        let limitations = &self.assessment.limitations;
        limitations.iter().any(|l| l.id.exception())
    }

    /// A string about the visit's circuits: about the only one, or, if there are several, about
    /// those with the worst grade, by name.
    fn of_circuits(&self, key: &Key) -> String {
        let worst = self.worst();
        let named: Vec<&str> = self
            .visit
            .circuits
            .iter()
            .filter(|c| {
                self.assessment
                    .findings
                    .iter()
                    .any(|f| f.circuit.as_deref() == Some(c.id.as_str()) && f.grade == worst)
            })
            .map(|c| c.title())
            .collect();
        self.wording.count(
            key,
            self.visit.circuits.len(),
            &[("circuits", &self.wording.list(&named))],
        )
    }

    /// Worst grade that counts.
    pub(super) fn worst(&self) -> Grade {
        self.assessment.worst()
    }

    /// When to look again, in one sentence.
    pub fn next_due(&self) -> String {
        let due = &self.assessment.next_due;
        match due.date {
            None if due.basis == "incomplete" => {
                self.wording.word(&keys::DUE_MEASURED_BEFORE_USE).to_owned()
            }
            None => self.wording.word(&keys::DUE_BEFORE_USE).to_owned(),
            Some(date) => {
                let key = match due.basis {
                    "first" => &keys::DUE_FIRST,
                    "watch" => &keys::DUE_WATCH,
                    "repair" | "stop" => &keys::DUE_REPAIR,
                    "incomplete" => &keys::DUE_INCOMPLETE,
                    "trend" => &keys::DUE_TREND,
                    _ => &keys::DUE_CLEAN,
                };
                self.wording.say(key, &[("date", &self.numbers.date(date))])
            }
        }
    }

    /// All points that the result page lists as not done.
    pub fn what_was_not_done(&self) -> Vec<String> {
        let items = missing(self).map(|l| limitation_item(self, l));
        items
            .chain(untraced(self))
            .map(|text| text.characters())
            .collect()
    }

    /// The word for a grade.
    pub fn grade(&self, grade: Grade) -> &str {
        self.wording.name(grade)
    }
}

/// Writes the result page.
pub(super) fn page(
    speaker: &Speaker<'_>,
    built_in: &[ByBuiltIn],
    seal: Option<(&SealFacts, &CheckLine)>,
    signature: Option<usize>,
    body: &mut Vec<Block>,
) -> Result<(), ComposeError> {
    body.push(Block::Heading {
        level: 1,
        text: speaker.wording.word(&keys::RESULT_HEADING).to_owned(),
        anchor: Some("result".to_owned()),
    });
    contents(speaker, built_in, 2, body);
    body.push(Block::Seal(seal_block(speaker, seal, signature)?));
    Ok(())
}

/// Writes the result page once more, in the language of `speaker`; `main` is the language of the
/// certificate. The signature is on the first page only.
pub(super) fn page_again(
    speaker: &Speaker<'_>,
    built_in: &[ByBuiltIn],
    main: &Wording,
    body: &mut Vec<Block>,
) {
    let words = speaker.wording;
    body.push(Block::NewPage);
    body.push(Block::Language(words.language().to_owned()));
    body.push(Block::Heading {
        level: 2,
        text: words.word(&keys::RESULT_HEADING).to_owned(),
        anchor: None,
    });
    body.push(Block::Small(Text::plain(words.say(
        &keys::RESULT_AGAIN,
        &[("language", words.language_name(main.language()))],
    ))));
    contents(speaker, built_in, 3, body);
    body.push(Block::Language(main.language().to_owned()));
    body.push(Block::NewPage);
}

/// The contents of the result page, below headings of the given level.
fn contents(speaker: &Speaker<'_>, built_in: &[ByBuiltIn], level: u8, body: &mut Vec<Block>) {
    let words = speaker.wording;
    let verdict = speaker.verdict();
    body.push(Block::Verdict {
        signal: verdict.signal,
        title: verdict.title,
        text: verdict.text.into_iter().map(Text::plain).collect(),
    });
    let note = rules_note(speaker, built_in);
    if !note.is_empty() {
        body.push(Block::Paragraph(Text::plain(note.join(" "))));
    }
    if speaker.visit.circuits.len() > 1 {
        body.push(Block::Table(circuits(speaker)));
    }
    let mut answers = Vec::new();
    if let Some(answer) = speaker.may_charge_at_all() {
        answers.push((
            words.word(&keys::CHARGING_QUESTION).to_owned(),
            Text::strong(answer),
        ));
    }
    let assessed = speaker
        .visit
        .circuits
        .iter()
        .zip(&speaker.assessment.circuits);
    for (circuit, assessed) in assessed {
        if let Some(left) = speaker.left(circuit, assessed.charging) {
            let mut question = words.word(&keys::LEFT_QUESTION).to_owned();
            if speaker.visit.circuits.len() > 1 {
                question = format!("{}, {question}", circuit.title());
            }
            answers.push((question, Text::strong(left)));
        }
    }
    if !answers.is_empty() {
        body.push(Block::Facts(answers));
    }
    to_do(speaker, level, body);
    mended::section(speaker, level, body);
    since_repair::section(speaker, level, body);
    body.push(Block::Facts(vec![(
        words.word(&keys::RESULT_BY_WHEN).to_owned(),
        Text::strong(speaker.next_due()),
    )]));
    identity(speaker, body);
    not_done(speaker, level, body);
}

/// The result of one of several circuits.
pub(super) struct OfCircuit<'s> {
    /// Its mark.
    pub signal: Signal,
    /// Its worst grade, or that it was not fully checked.
    pub result: &'s str,
    /// Whether charging may go on.
    pub charging: String,
    /// When to look again.
    pub due: String,
}

/// The result of one circuit.
pub(super) fn of_circuit<'s>(speaker: &Speaker<'s>, circuit: &Circuit) -> OfCircuit<'s> {
    let words = speaker.wording;
    let incomplete = incomplete(speaker, circuit);
    let grade = worst(speaker, circuit).map_or(Grade::Pass, |f| f.grade);
    let (signal, result) = if grade == Grade::Pass && incomplete {
        (Signal::Unknown, words.word(&keys::GRADE_NOT_COMPLETE))
    } else {
        (signal(grade), words.name(grade))
    };
    let mut assessed = speaker.assessment.circuits.iter();
    let assessed = assessed.find(|c| c.id == circuit.id);
    let charging = assessed.map_or(Charging::AsUsual, |c| c.charging);
    let due = assessed.and_then(|c| c.next_due.date);
    OfCircuit {
        signal,
        result,
        charging: speaker.may_charge_in_row(charging, !incomplete),
        due: due.map_or_else(
            || words.word(&keys::CHARGING_BEFORE_USE).to_owned(),
            |date| speaker.numbers.date(date),
        ),
    }
}

/// The first of the worst findings on a circuit, as the findings are ordered.
fn worst<'s>(speaker: &Speaker<'s>, circuit: &Circuit) -> Option<&'s Finding> {
    let mut findings = speaker.assessment.findings.iter();
    findings.find(|f| f.circuit.as_deref() == Some(circuit.id.as_str()))
}

/// Whether something that a clean bill for this circuit requires was not done.
fn incomplete(speaker: &Speaker<'_>, circuit: &Circuit) -> bool {
    !speaker.assessment.complete_for(&circuit.id)
}

/// One row per circuit: its worst grade and the reason.
fn circuits(speaker: &Speaker<'_>) -> Table {
    let words = speaker.wording;
    let column = |key: &Key, share: f32| Column {
        head: words.word(key).to_owned(),
        unit: None,
        align: Align::Left,
        share,
    };
    let rows = speaker
        .visit
        .circuits
        .iter()
        .map(|circuit| {
            let own = of_circuit(speaker, circuit);
            let why = match worst(speaker, circuit).filter(|f| f.grade > Grade::Pass) {
                Some(finding) => speaker.diagnosis(finding).text,
                None if incomplete(speaker, circuit) => {
                    words.word(&keys::CIRCUITS_INCOMPLETE).to_owned()
                }
                None => words.word(&keys::CIRCUITS_IN_ORDER).to_owned(),
            };
            Row {
                cells: vec![
                    Text::plain(circuit.title()),
                    Text::marked(own.signal, own.result),
                    Text::plain(own.charging),
                    Text::plain(why),
                    Text::plain(own.due),
                ],
                group: false,
            }
        })
        .collect();
    Table {
        caption: words.word(&keys::CIRCUITS_CAPTION).to_owned(),
        columns: vec![
            column(&keys::COLUMN_CIRCUIT, 1.0),
            column(&keys::COLUMN_RESULT, 0.0),
            column(&keys::CHARGING_QUESTION, 1.0),
            column(&keys::COLUMN_WHY, 3.0),
            column(&keys::COLUMN_NEXT, 1.0),
        ],
        rows,
        row_heads: true,
    }
}

fn to_do(speaker: &Speaker<'_>, level: u8, body: &mut Vec<Block>) {
    let words = speaker.wording;
    let findings: Vec<&Finding> = speaker.open_findings().collect();
    body.push(Block::Heading {
        level,
        text: words.word(&keys::TO_DO_HEADING).to_owned(),
        anchor: None,
    });
    if findings.is_empty() {
        let key = if speaker.assessment.complete {
            &keys::TO_DO_NOTHING
        } else {
            &keys::TO_DO_FINISH
        };
        body.push(Block::Paragraph(Text::plain(words.word(key))));
        return;
    }
    // If the inspection is not complete, the page does not say that charging may go on.
    let advice = match (speaker.worst(), speaker.assessment.complete) {
        (Grade::Stop, _) => &keys::TO_DO_STOP,
        (Grade::Repair, _) => &keys::TO_DO_REPAIR,
        (_, false) => &keys::TO_DO_FINISH_AND_LOOK,
        (Grade::Watch, true) => &keys::TO_DO_WATCH,
        (Grade::Note | Grade::Pass, true) => &keys::TO_DO_NOTE,
    };
    body.push(Block::Paragraph(Text::plain(speaker.of_circuits(advice))));
    let most = Listed::of(speaker).findings;
    let mut items: Vec<Text> = findings
        .iter()
        .take(most)
        .map(|finding| finding_item(speaker, finding))
        .collect();
    if let Some(more) = findings.len().checked_sub(most).filter(|m| *m > 0) {
        items.push(link(
            &words.count(&keys::TO_DO_MORE, more, &[]),
            "#findings",
        ));
    }
    body.push(Block::List {
        numbered: false,
        items,
    });
}

/// The reasons why a visit is incomplete are on the first page too, not only under the limitations.
fn not_done(speaker: &Speaker<'_>, level: u8, body: &mut Vec<Block>) {
    let words = speaker.wording;
    let missing: Vec<&Limitation> = missing(speaker).collect();
    let untraced = untraced(speaker);
    if missing.is_empty() && untraced.is_none() {
        return;
    }
    body.push(Block::Heading {
        level,
        text: words.word(&keys::NOT_DONE_HEADING).to_owned(),
        anchor: None,
    });
    let most = Listed::of(speaker).missing;
    let mut items: Vec<Text> = missing
        .iter()
        .take(most)
        .map(|l| limitation_item(speaker, l))
        .collect();
    if let Some(more) = missing.len().checked_sub(most).filter(|m| *m > 0) {
        items.push(link(
            &words.count(&keys::NOT_DONE_MORE, more, &[]),
            "#limitations",
        ));
    }
    items.extend(untraced);
    body.push(Block::List {
        numbered: false,
        items,
    });
}

fn identity(speaker: &Speaker<'_>, body: &mut Vec<Block>) {
    let words = speaker.wording;
    let visit = speaker.visit;
    let lines = |parts: &[Option<&String>]| {
        Text::plain(
            parts
                .iter()
                .flatten()
                .map(|s| s.as_str())
                .collect::<Vec<_>>()
                .join(", "),
        )
    };
    let mut facts = vec![
        (&keys::FACT_CERTIFICATE, Text::plain(&visit.number)),
        (
            &keys::FACT_DATE,
            Text::plain(words.say(
                &keys::FACT_DATE_AND_REASON,
                &[
                    ("date", &speaker.numbers.date(visit.date)),
                    ("reason", words.name(visit.reason)),
                ],
            )),
        ),
    ];
    if let Some(replaces) = &visit.replaces {
        let digest: String = replaces.sha256.chars().take(16).collect();
        facts.push((
            &keys::FACT_REPLACES,
            Text::plain(words.say(
                &keys::FACT_REPLACES_AND_DIGEST,
                &[("number", &replaces.number), ("digest", &digest)],
            )),
        ));
    }
    facts.push((
        &keys::FACT_SITE,
        lines(&[Some(&visit.site.name), visit.site.address.as_ref()]),
    ));
    // Several are named in the table above, and given in full with their checks.
    if let [circuit] = &visit.circuits[..] {
        let circuit = super::circuit_section::identity(speaker, circuit);
        facts.push((&keys::FACT_CIRCUIT, Text::plain(circuit)));
    }
    facts.push((
        &keys::FACT_CLIENT,
        Text::plain(words.say(
            &keys::FACT_CLIENT_AND_ROLE,
            &[
                ("name", &visit.client.name),
                ("role", words.name(visit.client.role)),
            ],
        )),
    ));
    if let Some(address) = &visit.client.address {
        facts.push((&keys::FACT_CLIENT_ADDRESS, Text::plain(address)));
    }
    facts.push((&keys::FACT_INSPECTOR, Text::plain(author(visit))));
    body.push(Block::Columns(Columns::Flowing(2)));
    body.push(Block::Facts(
        facts
            .into_iter()
            .map(|(key, text)| (words.word(key).to_owned(), text))
            .collect(),
    ));
    body.push(Block::Columns(Columns::One));
}

fn seal_block(
    speaker: &Speaker<'_>,
    seal: Option<(&SealFacts, &CheckLine)>,
    signature: Option<usize>,
) -> Result<SealBlock, ComposeError> {
    let words = speaker.wording;
    let Some((seal, check)) = seal else {
        return Ok(SealBlock {
            lines: vec![Text::strong(words.word(&keys::SEAL_UNSIGNED))],
            image: None,
            alt: words.word(&keys::SEAL_UNSIGNED).to_owned(),
            code: None,
        });
    };
    let time = seal.printed_time();
    let mut lines = vec![Text::strong(
        words.say(&keys::SEAL_SIGNED_BY, &[("name", &seal.signer)]),
    )];
    // One line, because the first page has no space for more.
    let license = seal
        .licence
        .as_ref()
        .map(|license| words.say(&keys::LICENSE, &[("license", license)]));
    let standing: Vec<String> = license.into_iter().chain(seal.firm.clone()).collect();
    if !standing.is_empty() {
        lines.push(Text::plain(standing.join(", ")));
    }
    lines.push(Text::plain(words.say(&keys::SEAL_TIME, &[("time", &time)])));
    lines.push(Text::plain(words.say(
        &keys::SEAL_FINGERPRINT,
        &[("fingerprint", &seal.fingerprint)],
    )));
    let printed = check.printed();
    lines.push(Text::plain(
        words.say(&keys::SEAL_CHECK, &[("line", &printed)]),
    ));
    // A screen reader announces the field only by this text, so it contains everything that is
    // printed in the field.
    let said: Vec<String> = lines.iter().map(Text::characters).collect();
    let alt = words.say(&keys::SEAL_ALT, &[("lines", &said.join(". "))]);
    Ok(SealBlock {
        lines,
        image: signature,
        alt,
        code: Some(code(
            &check.whole(),
            words.word(&keys::SEAL_CODE_ALT).to_owned(),
        )?),
    })
}
