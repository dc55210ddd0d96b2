//! A label for the panel: what a certificate says of one circuit, small enough to be put up there.
//!
//! It is not signed. It names its certificate and has that one's check line and code, by which whoever
//! reads it can find out whether the two belong together. A small attached file names it for `verify` and
//! `register`, which have nothing to check on a label.

use super::attachments;
use super::check_code::code;
use super::check_line::CheckLine;
use super::document::{About, Attachment, Block, Document, Format, Label, LabelFact, Letterhead};
use super::error::ComposeError;
use super::inputs::SealFacts;
use super::keys::{self, Key};
use super::letterhead::author;
use super::result_page::of_circuit;
use super::rules_note;
use super::speaker::Speaker;
use crate::visit::Circuit;

/// Name of the file by which a label is recognised.
pub const LABEL: &str = "label.json";

/// The certificate that a label is of, by its own word.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LabelOf {
    /// Its number.
    pub number: String,
    /// SHA-256 of its file as it was sealed, 64 hexadecimal digits.
    pub sha256: String,
}

/// The labels of a certificate, one a page: of the circuit with this id, or of all circuits.
///
/// `source` is the visit file, `seal` what is printed of the certificate's signature, `sha256` the digest
/// of the certificate as it was sealed. With
/// `own_rules`, the label says that the firm judged by rules of its own.
///
/// # Errors
/// The check line cannot be written as a code.
pub fn labels(
    speaker: &Speaker<'_>,
    source: &[u8],
    seal: &SealFacts,
    sha256: String,
    own_rules: bool,
    only: Option<&str>,
) -> Result<Document, ComposeError> {
    let visit = speaker.visit;
    let words = speaker.wording;
    let check = CheckLine::new(&visit.number, source, &seal.fingerprint);
    let circuits = visit.circuits.iter();
    let mut body = Vec::new();
    for circuit in circuits.filter(|c| only.is_none_or(|id| c.id == id)) {
        if !body.is_empty() {
            body.push(Block::NewPage);
        }
        body.push(Block::Label(label(
            speaker, circuit, &check, seal, own_rules,
        )?));
    }
    let title = words.say(&keys::LABEL_TITLE, &[("number", &visit.number)]);
    let of = LabelOf {
        number: visit.number.clone(),
        sha256,
    };
    Ok(Document {
        about: About {
            subject: title.clone(),
            title: title.clone(),
            author: author(visit),
            identifier: format!("{}#label", attachments::identifier(visit, source)),
            language: words.language().to_owned(),
            further_languages: Vec::new(),
            created: seal.time,
            producer: format!("warmlug {}", env!("CARGO_PKG_VERSION")),
        },
        format: Format::Labels,
        decimal_mark: speaker.numbers.decimal_mark(),
        letterhead: Letterhead {
            name: String::new(),
            lines: Vec::new(),
            logo: None,
            accent: visit.inspector.accent,
        },
        running_left: String::new(),
        running_middle: String::new(),
        running_right: String::new(),
        draft: None,
        body,
        images: Vec::new(),
        attachments: vec![Attachment {
            name: LABEL.to_owned(),
            mime: "application/json".to_owned(),
            description: title.clone(),
            relationship: "Data",
            bytes: serde_json::to_vec(&of).map_err(|e| ComposeError::Json(e.to_string()))?,
        }],
    })
}

fn label(
    speaker: &Speaker<'_>,
    circuit: &Circuit,
    check: &CheckLine,
    seal: &SealFacts,
    own_rules: bool,
) -> Result<Label, ComposeError> {
    let (words, visit) = (speaker.wording, speaker.visit);
    let own = of_circuit(speaker, circuit);
    // With one circuit, the result is that of the whole certificate, in the words of its page 1.
    let (signal, title, charging) = match &visit.circuits[..] {
        [_] => {
            let verdict = speaker.verdict();
            let charging = speaker.may_charge_at_all().unwrap_or(own.charging);
            (verdict.signal, verdict.title, charging)
        }
        _ => (own.signal, own.result.to_owned(), own.charging),
    };
    let fact = |key: &Key, value: String, whole: bool| LabelFact {
        name: words.word(key).to_owned(),
        value,
        whole,
    };
    let inspector = &visit.inspector;
    let firm = inspector.firm.as_ref().unwrap_or(&inspector.name);
    let from: Vec<&str> = [Some(firm), inspector.phone.as_ref()]
        .into_iter()
        .flatten()
        .map(String::as_str)
        .collect();
    let what_it_is = words.say(
        &keys::LABEL_NOTE,
        &[
            ("number", &visit.number),
            ("time", &seal.printed_time()),
            ("firm", firm),
        ],
    );
    Ok(Label {
        from: from.join(", "),
        signal,
        title,
        charging: format!("{} {charging}", words.word(&keys::CHARGING_QUESTION)),
        facts: vec![
            fact(&keys::FACT_CIRCUIT, circuit.title().to_owned(), false),
            fact(&keys::FACT_SITE, visit.site.name.clone(), false),
            fact(&keys::FACT_DATE, speaker.numbers.date(visit.date), true),
            fact(&keys::COLUMN_NEXT, own.due, true),
            fact(&keys::FACT_CERTIFICATE, visit.number.clone(), true),
        ],
        check: words.say(&keys::SEAL_CHECK, &[("line", &check.printed())]),
        note: own_rules
            .then(|| rules_note::own(speaker))
            .into_iter()
            .chain([what_it_is])
            .collect::<Vec<_>>()
            .join(" "),
        code: code(&check.whole(), words.word(&keys::SEAL_CODE_ALT).to_owned())?,
    })
}
