//! The identity of a certificate, and what it replaces.
//!
//! The digest is that of the file as it was sealed, so that countersignatures added later do not
//! change the certificate's identity.

use super::accepted;
use super::recompute::{Record, RecordError};
use crate::compose::attachments::VISIT;
use crate::seal::{Fingerprint, Verified};
use crate::visit::{Replaces, Visit};
use serde::Serialize;

/// The identity of a certificate, and what it replaces.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Standing {
    /// Its number.
    pub number: String,
    /// SHA-256 of the file as it was sealed, 64 lower-case hexadecimal digits.
    pub sha256: String,
    /// SHA-256 of the same file with the other form of its signature value, if it has two. It identifies
    /// the same certificate.
    #[serde(skip)]
    pub other_form: Option<String>,
    /// SHA-256 of the signed bytes, which does not depend on the time-stamp in the signature.
    #[serde(skip)]
    pub signed: String,
    /// The digest that is the same for either form.
    #[serde(skip)]
    pub identity: String,
    /// Number of the certificate that it replaces.
    pub replaces: Option<Earlier>,
    /// SHA-256 of the certificate that sealed it.
    #[serde(skip)]
    pub key: Fingerprint,
}

/// The certificate that another one replaces.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Earlier {
    /// Its number.
    pub number: String,
    /// SHA-256 of the file as it was sealed.
    pub sha256: String,
}

impl From<Replaces> for Earlier {
    fn from(replaces: Replaces) -> Self {
        Self {
            number: replaces.number,
            sha256: replaces.sha256,
        }
    }
}

impl Standing {
    /// Reads it from the sealed bytes; `record` is the record in them.
    ///
    /// # Errors
    /// This version refuses the visit file.
    pub fn read(verified: &Verified<'_>, record: &Record) -> Result<Self, RecordError> {
        let visit = accepted::read(&record.visit, VISIT).map_err(RecordError::Visit)?;
        Ok(Self::of(verified, &visit))
    }

    /// Whether a digest is that of this certificate: of the file, in either form of its signature, or
    /// of the signed bytes.
    pub fn has_digest(&self, sha256: &str) -> bool {
        self.sha256 == sha256 || self.other_form.as_deref() == Some(sha256) || self.signed == sha256
    }

    /// The same for a certificate whose visit has been read.
    pub fn of(verified: &Verified<'_>, visit: &Visit) -> Self {
        let digests = verified.digests();
        Self {
            number: visit.number.clone(),
            sha256: digests.sha256,
            other_form: digests.other_form,
            signed: digests.signed,
            identity: digests.identity,
            replaces: visit.replaces.clone().map(Earlier::from),
            key: verified.fingerprint(),
        }
    }
}
