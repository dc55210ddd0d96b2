//! The certificate of one visit: its table of contents.

use super::check_line::CheckLine;
use super::connections::Connections;
use super::document::{About, Block, Columns, Document, Format};
use super::error::ComposeError;
use super::inputs::Inputs;
use super::letterhead::{author, letterhead};
use super::sources::Sources;
use super::speaker::Speaker;
use super::wording::Wording;
use super::{
    attachments, circuit_section, findings_section, heat_section, keys, method_section,
    photos_section, result_page, work_section,
};
use crate::photo::PreparedImage;

/// Composes the certificate of one visit.
///
/// # Errors
/// Only if the inputs do not belong together. Every valid visit can be composed.
pub fn certificate(inputs: Inputs<'_>) -> Result<Document, ComposeError> {
    let Inputs {
        visit,
        assessment,
        rules,
        built_in,
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
    let sources = Sources::of(&speaker);
    let attachments = attachments::all(&speaker, source, &images.photos)
        .map_err(|e| ComposeError::Json(e.to_string()))?;

    // Photos come first, so that the index of a photo is its position in the visit.
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
        built_in,
        seal.as_ref().zip(check.as_ref()),
        signature,
        &mut body,
    )?;
    let further = &visit.print.language[1.min(visit.print.language.len())..];
    for language in further {
        let other = Speaker::new(visit, assessment, rules, Wording::built_in(language)?);
        result_page::page_again(&other, built_in, wording, &mut body);
    }
    body.push(Block::NewPage);
    findings_section::section(&speaker, &connections, &sources, &mut body);
    heat_section::section(&speaker, &connections, &mut body);
    work_section::section(&speaker, &connections, &sources, &mut body);
    circuit_section::section(&speaker, &sources, &mut body);
    photos_section::section(&speaker, &connections, &pictures, &mut body);
    method_section::section(&speaker, &sources, &mut body);
    method_section::limitations(&speaker, &mut body);
    sources.list(&speaker, &mut body);
    method_section::safety(&speaker, &mut body);
    if seal.is_some() {
        method_section::countersignatures(&speaker, &mut body);
    }
    method_section::verify(&speaker, seal.as_ref(), &mut body);
    body.push(Block::Columns(Columns::One));
    if visit.print.appendix {
        body.push(Block::NewPage);
        body.push(Block::Heading {
            level: 2,
            text: wording.word(&keys::APPENDIX_HEADING).to_owned(),
            anchor: None,
        });
        heat_section::every_reading(&speaker, &connections, &mut body);
        photos_section::large(&speaker, &connections, &mut body);
    }

    let site = &visit.site.name;
    let date = speaker.numbers.date(visit.date);
    let left = wording.say(
        &keys::RUNNING_LEFT,
        &[("number", &visit.number), ("date", &date)],
    );
    // The large word across the page is only drawn; this one is text that can be read aloud and
    // searched.
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
        format: Format::Sheets(visit.print.paper),
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
