//! Errors of the browser application's engine, worded for the person at the page.

use crate::certify::CertifyError;
use crate::certify::ready::NotReady;
use crate::seal::SealError;
use crate::seal::identity::IdentityError;
use crate::yaml::Diagnostics;
use thiserror::Error;

/// Why a request has no answer.
#[derive(Debug, Error)]
pub enum WebError {
    /// The page and its engine do not fit together.
    #[error("the page and its engine are of different versions; reload the page ({0})")]
    Request(serde_json::Error),
    /// The files of a request are not as listed.
    #[error("the page and its engine are of different versions; reload the page (files)")]
    Files,
    /// The visit file, or a rules file, has problems.
    #[error(transparent)]
    Problems(#[from] Diagnostics),
    /// A file that the visit file names was not chosen.
    #[error("the visit file names `{0}`; choose that file too")]
    Missing(String),
    /// An earlier certificate that can't be relied on.
    #[error("{file}: {why}\nAn earlier certificate is used only if its signature is valid.")]
    Earlier {
        /// Its name.
        file: String,
        /// Why not.
        why: String,
    },
    /// An earlier visit that is not earlier.
    #[error(
        "{file}: it is not earlier than this visit; correct the date, or remove it from `earlier:`"
    )]
    NotEarlier {
        /// Its name.
        file: String,
    },
    /// It can't be sealed yet.
    #[error("{0}. Correct the clock of this device, or the date and times of the visit")]
    NotReady(NotReady),
    /// The certificate can't be made.
    #[error(transparent)]
    Certify(#[from] CertifyError),
    /// The key can't be opened.
    #[error("the key can't be opened: {0}")]
    Identity(#[from] IdentityError),
    /// A fingerprint that is none.
    #[error(
        "a fingerprint has 64 hexadecimal digits, optionally separated by spaces, colons or hyphens"
    )]
    Fingerprint,
    /// It can't be sealed.
    #[error(transparent)]
    Seal(#[from] SealError),
}
