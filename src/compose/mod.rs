//! From an assessment to a certificate: sections, tables, charts, photos and sentences.
//!
//! [`certificate`] is the table of contents; each section has a file of its own. All words come
//! from a [`Wording`], all numbers are printed by [`numbers`], and what stands on which page is
//! left to `typeset`. [`json()`] and [`Speaker`] say the same things to machines and to the
//! terminal, so that no two outputs can differ in what they claim.

pub mod attachments;
mod check_code;
mod check_line;
mod circuit_section;
mod connections;
mod findings_section;
mod heat_section;
mod history;
#[cfg(not(target_family = "wasm"))]
pub(crate) mod html;
mod json;
mod keys;
mod locale;
mod method_section;
pub mod numbers;
mod parts;
mod photos_section;
mod result_page;
mod speaker;
pub mod tree;
mod wording;
mod work_section;
pub mod worksheet;

pub use check_line::{CheckLine, CheckLineError};
pub use json::{BUILD, json, json_text};
pub use result_page::{Verdict, verdict_titles};
pub use speaker::{Sentence, Speaker, Steps, gaps};
pub use tree::Document;
pub use wording::{Wording, WordingError, WordingKeyError};

use crate::assess::{Assessment, Finding};
use crate::photo::PreparedImage;
use crate::rules::Rules;
use crate::visit::Visit;
use chrono::{DateTime, FixedOffset};
use connections::Connections;
use tree::{About, Block, Letterhead};

/// Everything that a certificate is made from.
#[derive(Debug)]
pub struct Inputs<'a> {
    /// The visit.
    pub visit: &'a Visit,
    /// What it shows.
    pub assessment: &'a Assessment,
    /// The rule set that the assessment was made with.
    pub rules: &'a Rules,
    /// The words.
    pub wording: &'a Wording,
    /// Images ready for embedding.
    pub images: Images,
    /// Who signs; `None` for a draft.
    pub seal: Option<SealFacts>,
    /// Prints the word for a draft across every page.
    pub draft: bool,
    /// Time of making: the signing time, or of the draft.
    pub created: DateTime<FixedOffset>,
    /// Bytes of the visit file, carried inside.
    pub source: &'a [u8],
}

/// Images of a visit, ready for embedding. They move into the document uncopied.
#[derive(Debug, Default)]
pub struct Images {
    /// One for each photo of the visit, in its order.
    pub photos: Vec<PreparedImage>,
    /// The firm's logo.
    pub logo: Option<PreparedImage>,
    /// The handwritten signature.
    pub signature: Option<PreparedImage>,
}

/// What is printed of a signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SealFacts {
    /// Name in the signing certificate.
    pub signer: String,
    /// Firm.
    pub firm: Option<String>,
    /// Licence number.
    pub licence: Option<String>,
    /// Time of signing.
    pub time: DateTime<FixedOffset>,
    /// Fingerprint of the signing certificate, as it is to be printed.
    pub fingerprint: String,
    /// Whether the certificate is signed by its own key.
    pub self_signed: bool,
}

/// Why no certificate can be composed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ComposeError {
    /// The caller prepared other photos than the visit names.
    #[error(
        "the visit names {named} photos, but {prepared} were prepared; this is a fault of the program, please report it"
    )]
    Photos {
        /// Photos in the visit.
        named: usize,
        /// Photos handed in.
        prepared: usize,
    },
    /// A language in which the result page is to be printed as well is not built in.
    #[error(transparent)]
    Language(#[from] WordingError),
    /// Neither a signature nor a draft.
    #[error(
        "a certificate is either signed or a draft; this is a fault of the program, please report it"
    )]
    NeitherSignedNorDraft,
    /// The code of the check line could not be made.
    #[error(
        "the check line cannot be written as a code ({0}); this is a fault of the program, please report it"
    )]
    Code(String),
    /// The findings could not be written as JSON.
    #[error(
        "the findings cannot be written as JSON ({0}); this is a fault of the program, please report it"
    )]
    Json(String),
}

/// Composes the certificate of one visit.
///
/// # Errors
/// Only for inputs that do not belong together; whatever a valid visit says can be composed.
pub fn certificate(inputs: Inputs<'_>) -> Result<Document, ComposeError> {
    let Inputs {
        visit,
        assessment,
        rules,
        wording,
        images,
        seal,
        draft,
        created,
        source,
    } = inputs;
    if images.photos.len() != visit.photos.len() {
        return Err(ComposeError::Photos {
            named: visit.photos.len(),
            prepared: images.photos.len(),
        });
    }
    if seal.is_none() && !draft {
        return Err(ComposeError::NeitherSignedNorDraft);
    }

    let speaker = Speaker::new(visit, assessment, rules, wording);
    let connections = Connections::new(visit, assessment);
    let attachments = attachments::all(&speaker, source, &images.photos)
        .map_err(|e| ComposeError::Json(e.to_string()))?;

    // Photos come first, so that a photo's index is its place in the visit.
    let mut pictures = images.photos;
    let mut put = |image: Option<PreparedImage>| {
        image.map(|image| {
            pictures.push(image);
            pictures.len() - 1
        })
    };
    let logo = put(images.logo);
    let signature = put(images.signature);

    let check = seal
        .as_ref()
        .map(|seal| CheckLine::new(&visit.number, source, &seal.fingerprint));
    let mut body: Vec<Block> = Vec::new();
    result_page::page(
        &speaker,
        seal.as_ref().zip(check.as_ref()),
        signature,
        &mut body,
    )?;
    let further = &visit.print.language[1.min(visit.print.language.len())..];
    for language in further {
        let other = Speaker::new(visit, assessment, rules, Wording::built_in(language)?);
        result_page::page_again(&other, wording, &mut body);
    }
    findings_section::section(&speaker, &connections, &mut body);
    heat_section::section(&speaker, &connections, &mut body);
    work_section::section(&speaker, &connections, &mut body);
    circuit_section::section(&speaker, &mut body);
    photos_section::section(&speaker, &connections, &mut body);
    method_section::section(&speaker, &mut body);
    method_section::limitations(&speaker, &mut body);
    method_section::safety(&speaker, &mut body);
    method_section::verify(&speaker, seal.as_ref(), &mut body);

    let site = &visit.site.name;
    let date = speaker.numbers.date(visit.date);
    let left = wording.say(
        &keys::RUNNING_LEFT,
        &[("number", &visit.number), ("date", &date)],
    );
    // The large word lies across the page; this one can be read aloud and searched for.
    let running_left = if draft {
        format!("{} · {left}", wording.word(&keys::DRAFT))
    } else {
        left
    };
    Ok(Document {
        about: About {
            title: wording.say(
                &keys::DOCUMENT_TITLE,
                &[("number", &visit.number), ("site", site)],
            ),
            author: author(visit),
            subject: wording.say(
                &keys::DOCUMENT_SUBJECT,
                &[
                    (
                        "circuits",
                        &wording
                            .list(&visit.circuits.iter().map(|c| c.title()).collect::<Vec<_>>()),
                    ),
                    ("site", site),
                    ("date", &date),
                ],
            ),
            identifier: attachments::identifier(visit, source),
            language: wording.language().to_owned(),
            further_languages: further.to_vec(),
            created,
            producer: format!("warmlug {}", env!("CARGO_PKG_VERSION")),
        },
        paper: visit.print.paper,
        decimal_mark: speaker.numbers.decimal_mark(),
        letterhead: letterhead(&speaker, logo),
        running_left,
        running_middle: site.clone(),
        running_right: wording.say(
            &keys::RUNNING_RIGHT,
            &[("page", "{page}"), ("pages", "{pages}")],
        ),
        draft: draft.then(|| wording.word(&keys::DRAFT).to_owned()),
        body,
        images: pictures,
        attachments,
    })
}

/// A finding's sentence and action, for the terminal.
pub fn sentence(speaker: &Speaker<'_>, finding: &Finding) -> (String, String) {
    let sentence = speaker.finding(finding);
    (sentence.text, sentence.action)
}

fn author(visit: &Visit) -> String {
    match &visit.inspector.firm {
        Some(firm) => format!("{}, {firm}", visit.inspector.name),
        None => visit.inspector.name.clone(),
    }
}

fn letterhead(speaker: &Speaker<'_>, logo: Option<usize>) -> Letterhead {
    let inspector = &speaker.visit.inspector;
    let name = inspector.firm.as_ref().unwrap_or(&inspector.name);
    let licence = inspector
        .licence
        .as_ref()
        .map(|l| speaker.wording.say(&keys::LICENSE, &[("license", l)]));
    Letterhead {
        name: name.clone(),
        lines: [
            &inspector.address,
            &licence,
            &inspector.phone,
            &inspector.email,
        ]
        .into_iter()
        .flatten()
        .cloned()
        .collect(),
        logo: logo.map(|i| (i, speaker.wording.say(&keys::LOGO_ALT, &[("firm", name)]))),
        accent: inspector.accent,
    }
}
