//! A certificate before it is sealed: its pages, with its record attached.

use super::error::CertifyError;
use super::loaded::Loaded;
use super::visit_images::images;
use crate::assess;
use crate::compose::{self, Inputs, SealFacts};
use crate::photo::Detail;
use crate::record::recompute;
use crate::rules::Rules;
use crate::seal::Identity;
use crate::typeset;
use chrono::{DateTime, FixedOffset};

/// The bytes of a certificate before sealing: with an identity, of the certificate to be signed at
/// `at`; without one, of a draft.
///
/// # Errors
/// Why the certificate can't be made.
pub fn unsealed(
    loaded: &Loaded,
    detail: Detail,
    identity: Option<&Identity>,
    at: DateTime<FixedOffset>,
) -> Result<Vec<u8>, CertifyError> {
    let seal = identity.map(|identity| {
        let person = identity.subject();
        SealFacts {
            signer: person.name,
            firm: person.firm,
            licence: person.licence,
            time: at,
            fingerprint: identity.fingerprint().to_string(),
            self_signed: identity.is_self_signed(),
        }
    });
    let assessed = |rules: &Rules| recompute::assessed(&loaded.earlier, rules);
    let built_in = assess::by_built_in(
        &loaded.visit,
        loaded.rules.get(),
        &loaded.assessment,
        assessed,
    )?;
    let mut document = compose::certificate(Inputs {
        visit: &loaded.visit,
        assessment: &loaded.assessment,
        rules: loaded.rules.get(),
        built_in: &built_in,
        wording: loaded.wording()?,
        images: images(loaded, detail)?,
        draft: seal.is_none(),
        seal,
        created: at,
        source: loaded.source.as_bytes(),
    })?;
    let record = recompute::attachments(loaded.rules.source(), &loaded.earlier);
    document.attachments.extend(record);
    Ok(typeset::render(&document)?)
}
