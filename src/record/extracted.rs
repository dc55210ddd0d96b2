//! Sealed files without a record: extracts, which are page 1 of a certificate sealed by the same key, and
//! indexes of certificates.

use super::recompute::{Record, RecordError};
use super::rendered::{self, RenderedError};
use crate::compose::extract::{EXTRACT, Whole, extract};
use crate::compose::index::{Covered, INDEX, TABLE};
use crate::compose::{SealFacts, Wording};
use crate::record::made_by::MadeBy;
use crate::seal::report::Report;
use crate::seal::{Identity, Verified};
use crate::typeset;
use chrono::{DateTime, FixedOffset};

/// Why no extract can be made of a certificate.
#[derive(Debug, thiserror::Error)]
pub enum ExtractError {
    /// It is an extract itself.
    #[error("this is an extract already: page 1 of certificate {0}")]
    Already(String),
    /// Its record cannot be read or recomputed.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// Another version made it, whose page 1 this one cannot write.
    #[error("{0} made this certificate; only that version can write its page 1 again")]
    OtherVersion(String),
    /// Its pages cannot be written again.
    #[error("page 1 cannot be written again: {0}")]
    Rendered(String),
    /// The key is not that of the certificate.
    #[error(
        "an extract is sealed with the key of the certificate, {certificate}; this key is {given}. \
         Name the right one with --identity"
    )]
    OtherKey {
        /// Fingerprint of the certificate's key.
        certificate: String,
        /// Fingerprint of the key given.
        given: String,
    },
}

/// The certificate of which a sealed file is an extract; `None` if it is not an extract.
pub fn whole(verified: &Verified<'_>) -> Option<Whole> {
    let files = verified.attachments().ok()?;
    let [file] = &files[..] else { return None };
    let file = Some(file).filter(|file| file.name == EXTRACT)?;
    serde_json::from_slice(&file.bytes).ok()
}

/// What a sealed file is an index of; nothing if it is none.
pub fn index(verified: &Verified<'_>) -> Option<Covered> {
    let files = verified.attachments().ok()?;
    let named = |name: &str| files.iter().find(|file| file.name == name);
    if files.len() != 2 {
        return None;
    }
    let (about, _) = (named(INDEX)?, named(TABLE)?);
    serde_json::from_slice(&about.bytes).ok()
}

/// Page 1 of a certificate, ready to be sealed at a time with the key of the certificate.
///
/// # Errors
/// See [`ExtractError`].
pub fn first_page(
    report: &Report<'_>,
    verified: &Verified<'_>,
    identity: &Identity,
    at: DateTime<FixedOffset>,
) -> Result<Vec<u8>, ExtractError> {
    if let Some(whole) = whole(verified) {
        return Err(ExtractError::Already(whole.number));
    }
    let (certificate, given) = (verified.fingerprint(), identity.fingerprint());
    if certificate != given {
        return Err(ExtractError::OtherKey {
            certificate: certificate.to_string(),
            given: given.to_string(),
        });
    }
    let record = Record::read(verified)?;
    if record.made_by != MadeBy::ThisVersion {
        return Err(ExtractError::OtherVersion(record.made_by.words()));
    }
    let again = record.recompute()?;
    let sealed = report.certification().and_then(rendered::seal_facts);
    let person = identity.subject();
    let seal = SealFacts {
        signer: person.name,
        firm: person.firm,
        licence: person.licence,
        time: at,
        fingerprint: given.to_string(),
        self_signed: identity.is_self_signed(),
    };
    let fail = |why: RenderedError| ExtractError::Rendered(why.to_string());
    let document = rendered::document(verified, &record, &again, seal).map_err(fail)?;
    let whole = Whole {
        number: again.visit.number.clone(),
        sha256: verified.digests().sha256,
        sealed: sealed.map_or_else(String::new, |seal| seal.printed_time()),
    };
    let wording = Wording::built_in(again.visit.print.main_language());
    let wording = wording.map_err(|e| fail(e.into()))?;
    let page = extract(document, &whole, wording).map_err(|e| fail(e.into()))?;
    typeset::render(&page).map_err(|e| fail(e.into()))
}
