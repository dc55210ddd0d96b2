//! An index of certificates, for an authority or an insurer: which there are, and the digest of each
//! file. It is sealed, and has nothing of what the certificates contain beyond their results.
//!
//! A small attached file says what the index covers; by it, `verify` recognises an index. The table is
//! attached besides, for programs.

use super::document::{
    About, Align, Attachment, Block, Column, Document, Format, Letterhead, Row, SealBlock, Table,
    Text,
};
use super::error::ComposeError;
use super::inputs::SealFacts;
use super::keys::{self, Key};
use super::numbers::Numbers;
use super::result_page::verdict_of;
use super::wording::Wording;
use crate::assess::Outcome;
use crate::visit::{Grade, Paper, Units};
use chrono::NaiveDate;

/// Name of the file by which an index is recognised.
pub const INDEX: &str = "index.json";
/// Name of the table inside.
pub const TABLE: &str = "index.csv";

/// What an index covers.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Covered {
    /// Number of certificates.
    pub certificates: usize,
    /// Day of the earliest visit.
    pub from: Option<NaiveDate>,
    /// Day of the latest visit.
    pub to: Option<NaiveDate>,
    /// Number of files that are not listed, because they do not verify.
    pub left_out: usize,
}

/// A certificate in an index. Its texts have only characters that can be printed.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Its number.
    pub number: String,
    /// Day of the visit.
    pub date: NaiveDate,
    /// Name of the site.
    pub site: String,
    /// Outcome, without regard to whether the inspection was complete.
    pub outcome: Outcome,
    /// Whether it was.
    pub complete: bool,
    /// Worst grade of its circuits.
    pub worst: Grade,
    /// Day of the next inspection; `None` before a circuit is used again.
    pub next_due: Option<NaiveDate>,
    /// Number of the certificate that superseded it, if one did.
    pub superseded_by: Option<String>,
    /// SHA-256 of the file, 64 hexadecimal digits.
    pub sha256: String,
    /// Path of the file, as the receiver of the index will look for it.
    pub file: String,
}

/// What an index is made from.
#[derive(Debug)]
pub struct IndexInputs<'a> {
    /// The certificates, in the order of the index.
    pub entries: &'a [Entry],
    /// What they are together.
    pub covered: &'a Covered,
    /// The same as a table (CSV).
    pub table: Vec<u8>,
    /// The words.
    pub wording: &'a Wording,
    /// Unit system, by which dates are written.
    pub units: Units,
    /// Paper.
    pub paper: Paper,
    /// Who seals it, and when.
    pub seal: SealFacts,
}

/// The index as a document, with an empty place for the seal.
///
/// # Errors
/// The attached file cannot be written.
pub fn index(inputs: IndexInputs<'_>) -> Result<Document, ComposeError> {
    let IndexInputs {
        entries,
        covered,
        table,
        wording: words,
        units,
        paper,
        seal,
    } = inputs;
    let numbers = Numbers::new(units, words);
    let day = seal.time.date_naive();
    let firm = seal.firm.as_ref().unwrap_or(&seal.signer);
    let title = words.say(&keys::INDEX_RUNNING, &[("date", &numbers.date(day))]);
    let mut facts = vec![(
        words.word(&keys::INDEX_CERTIFICATES).to_owned(),
        Text::strong(covered.certificates.to_string()),
    )];
    if let (Some(from), Some(to)) = (covered.from, covered.to) {
        let range = words.say(
            &keys::PAIR,
            &[("from", &numbers.date(from)), ("to", &numbers.date(to))],
        );
        let told = if from == to {
            numbers.date(from)
        } else {
            range
        };
        facts.push((
            words.word(&keys::INDEX_VISITS).to_owned(),
            Text::plain(told),
        ));
    }
    let mut body = vec![
        Block::Heading {
            level: 1,
            text: words.word(&keys::INDEX_HEADING).to_owned(),
            anchor: None,
        },
        Block::Paragraph(Text::plain(words.word(&keys::INDEX_NOTE))),
        Block::Facts(facts),
    ];
    if covered.left_out > 0 {
        let told = words.count(&keys::INDEX_LEFT_OUT, covered.left_out, &[]);
        body.push(Block::Paragraph(Text::plain(told)));
    }
    body.push(Block::Seal(seal_block(words, &seal)));
    if !entries.is_empty() {
        body.push(Block::Table(listed(entries, words, &numbers)));
    }
    let json = serde_json::to_vec(covered).map_err(|e| ComposeError::Json(e.to_string()))?;
    Ok(Document {
        about: About {
            title: title.clone(),
            author: seal.signer.clone(),
            subject: words.word(&keys::INDEX_HEADING).to_owned(),
            identifier: format!("index {}", seal.printed_time()),
            language: words.language().to_owned(),
            further_languages: Vec::new(),
            created: seal.time,
            producer: format!("warmlug {}", env!("CARGO_PKG_VERSION")),
        },
        format: Format::Sheets(paper),
        decimal_mark: numbers.decimal_mark(),
        letterhead: Letterhead {
            name: firm.clone(),
            lines: Vec::new(),
            logo: None,
            accent: None,
        },
        running_left: title,
        running_middle: firm.clone(),
        running_right: words.say(
            &keys::RUNNING_RIGHT,
            &[("page", "{page}"), ("pages", "{pages}")],
        ),
        draft: None,
        body,
        images: Vec::new(),
        attachments: vec![
            Attachment {
                name: INDEX.to_owned(),
                mime: "application/json".to_owned(),
                description: words.word(&keys::INDEX_ABOUT).to_owned(),
                relationship: "Data",
                bytes: json,
            },
            Attachment {
                name: TABLE.to_owned(),
                mime: "text/csv".to_owned(),
                description: words.word(&keys::INDEX_TABLE).to_owned(),
                relationship: "Data",
                bytes: table,
            },
        ],
    })
}

/// Two lines a certificate: what it says, and which file it is.
fn listed(entries: &[Entry], words: &Wording, numbers: &Numbers<'_>) -> Table {
    let column = |key: &Key, share: f32| Column {
        head: words.word(key).to_owned(),
        unit: None,
        align: Align::Left,
        share,
    };
    let rows = entries.iter().flat_map(|entry| {
        let (signal, result, _) = verdict_of(entry.outcome, entry.complete, entry.worst);
        let next = match (&entry.superseded_by, entry.next_due) {
            (Some(number), _) => words.say(&keys::INDEX_SUPERSEDED, &[("number", number)]),
            (None, Some(day)) => numbers.date_cell(day),
            (None, None) => words.word(&keys::CHARGING_BEFORE_USE).to_owned(),
        };
        let file = words.say(
            &keys::INDEX_FILE,
            &[("file", &entry.file), ("digest", &entry.sha256)],
        );
        let row = |cells, group| Row { cells, group };
        [
            row(
                vec![
                    Text::strong(&entry.number),
                    Text::plain(numbers.date_cell(entry.date)),
                    Text::plain(&entry.site),
                    Text::marked(signal, words.word(result)),
                    Text::plain(next),
                ],
                true,
            ),
            row(vec![Text::plain(file)], false),
        ]
    });
    Table {
        caption: words.word(&keys::INDEX_CAPTION).to_owned(),
        columns: vec![
            column(&keys::FACT_CERTIFICATE, 1.2),
            column(&keys::FACT_DATE, 0.0),
            column(&keys::FACT_SITE, 2.0),
            column(&keys::COLUMN_RESULT, 1.8),
            column(&keys::COLUMN_NEXT, 1.2),
        ],
        rows: rows.collect(),
        row_heads: true,
    }
}

fn seal_block(words: &Wording, seal: &SealFacts) -> SealBlock {
    let license = seal
        .licence
        .as_ref()
        .map(|license| words.say(&keys::LICENSE, &[("license", license)]));
    let standing: Vec<String> = license.into_iter().chain(seal.firm.clone()).collect();
    let mut lines = vec![Text::strong(
        words.say(&keys::SEAL_SIGNED_BY, &[("name", &seal.signer)]),
    )];
    if !standing.is_empty() {
        lines.push(Text::plain(standing.join(", ")));
    }
    lines.push(Text::plain(
        words.say(&keys::SEAL_TIME, &[("time", &seal.printed_time())]),
    ));
    lines.push(Text::plain(words.say(
        &keys::SEAL_FINGERPRINT,
        &[("fingerprint", &seal.fingerprint)],
    )));
    // A reader announces the field by this text alone, so it contains all that is printed in the field.
    let said: Vec<String> = lines.iter().map(Text::characters).collect();
    SealBlock {
        alt: words.say(&keys::SEAL_ALT, &[("lines", &said.join(". "))]),
        lines,
        image: None,
        code: None,
    }
}
