//! Rendering the pages again: they are composed and typeset from the record, with the embedded
//! images unchanged, and compared with the sealed pages. This proves that the pages contain
//! nothing, visible or hidden, that does not follow from the record. It is possible only for a
//! record of the same build.

use super::embedded_images::{self, ImagesError};
use super::recompute::{Recomputed, Record, attachments};
use crate::compose::document::Document;
use crate::compose::{self, ComposeError, Inputs, SealFacts, Wording, WordingError};
use crate::pdf::Packing;
use crate::seal::report::SignatureReport;
use crate::seal::{SealError, Verified};
use crate::typeset::{self, Options, TypesetError};

/// Why the pages cannot be written again, as the end of a sentence.
#[derive(Debug, thiserror::Error)]
pub(super) enum RenderedError {
    #[error(transparent)]
    Images(#[from] ImagesError),
    #[error(transparent)]
    Compose(#[from] ComposeError),
    #[error(transparent)]
    Wording(#[from] WordingError),
    #[error(transparent)]
    Typeset(#[from] TypesetError),
    #[error(transparent)]
    Seal(#[from] SealError),
}

/// The differences between a certificate and what this version writes from its record; empty if
/// there are none.
///
/// # Errors
/// See [`RenderedError`].
pub(super) fn differences(
    verified: &Verified<'_>,
    record: &Record,
    again: &Recomputed,
    seal: SealFacts,
) -> Result<Vec<String>, RenderedError> {
    let document = document(verified, record, again, seal)?;
    let options = Options {
        identifier: verified.identifier(),
        packing: Packing::Quick,
        ..Options::default()
    };
    let expected = typeset::render_with(&document, options)?;
    Ok(verified.differences(&expected)?)
}

/// The document that this version writes from a record.
///
/// # Errors
/// See [`RenderedError`].
pub(super) fn document(
    verified: &Verified<'_>,
    record: &Record,
    again: &Recomputed,
    seal: SealFacts,
) -> Result<Document, RenderedError> {
    let visit = &again.visit;
    let images = embedded_images::read(verified.bytes(), visit, record)?;
    let mut document = compose::certificate(Inputs {
        visit,
        assessment: &again.assessment,
        rules: &again.rules,
        built_in: &again.built_in,
        wording: Wording::built_in(visit.print.main_language())?,
        images,
        created: seal.time,
        seal: Some(seal),
        draft: false,
        source: record.visit.as_bytes(),
    })?;
    document
        .attachments
        .extend(attachments(record.rules.as_deref(), &record.earlier));
    Ok(document)
}

/// The facts about a seal that the pages print; `None` if it does not state a time.
pub(super) fn seal_facts(seal: &SignatureReport) -> Option<SealFacts> {
    let signer = seal.signer.as_ref()?;
    Some(SealFacts {
        signer: signer.name.clone(),
        firm: signer.firm.clone(),
        licence: signer.licence.clone(),
        time: seal.signed.at?,
        fingerprint: signer.fingerprint.to_string(),
        self_signed: signer.self_signed,
    })
}
