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
use sha2::{Digest, Sha256};

/// The identity of a certificate, and what it replaces.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Standing {
    /// Its number.
    pub number: String,
    /// SHA-256 of the file as it was sealed, 64 lower-case hexadecimal digits.
    pub sha256: String,
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
    /// Reads it from what a seal covers; `record` is the record under it.
    ///
    /// # Errors
    /// This version refuses the visit file.
    pub fn read(verified: &Verified<'_>, record: &Record) -> Result<Self, RecordError> {
        let visit = accepted::read(&record.visit, VISIT).map_err(RecordError::Visit)?;
        Ok(Self::of(verified, &visit))
    }

    /// The same for a certificate whose visit has been read.
    pub fn of(verified: &Verified<'_>, visit: &Visit) -> Self {
        Self {
            number: visit.number.clone(),
            sha256: base16ct::lower::encode_string(&Sha256::digest(verified.bytes())),
            replaces: visit.replaces.clone().map(Earlier::from),
            key: verified.fingerprint(),
        }
    }
}
