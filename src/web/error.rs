//! Errors of the browser application's engine, worded for the person at the page.

use crate::certify::CertifyError;
use crate::certify::ready::NotReady;
use crate::firm::FirmError;
use crate::next::copies::CopyError;
use crate::record::earlier_visits::EarlierError;
use crate::seal::SealError;
use crate::seal::identity::IdentityError;
use crate::yaml::Diagnostics;
use chrono::NaiveDate;
use serde_json::{Value, json};
use thiserror::Error;

/// Why a request has no answer.
#[derive(Debug, Error)]
pub enum WebError {
    /// The page and its engine are of different versions.
    #[error("the page and its engine are of different versions; reload the page ({0})")]
    Request(serde_json::Error),
    /// The files of a request are not as listed.
    #[error("the page and its engine are of different versions; reload the page (files)")]
    Files,
    /// The visit file, or a rules file, has problems.
    #[error(transparent)]
    Problems(#[from] Diagnostics),
    /// Problems of the values typed into a sheet.
    #[error("{0}")]
    Text(String),
    /// A circuit that can't be copied.
    #[error(transparent)]
    Copy(#[from] CopyError),
    /// A text that is too long for a code.
    #[error("this is too long for a code")]
    CodeTooLong,
    /// An edition of the code that the rule set does not have.
    #[error(transparent)]
    Edition(#[from] crate::rules::EditionError),
    /// A file that the visit file names was not chosen.
    #[error("the visit file names `{0}`; choose that file too")]
    Missing(String),
    /// A rules file that is not text.
    #[error("{0} is not UTF-8 text; save it as UTF-8")]
    NotText(String),
    /// The visit refers to a firm's file that was not chosen.
    #[error(
        "{0} refers to the firm's file; choose your firm.yaml under the visits, or with this visit"
    )]
    NoFirm(String),
    /// The firm's file, or a list of numbers, can't be used.
    #[error(transparent)]
    Firm(#[from] FirmError),
    /// An earlier visit that can't be used.
    #[error("{file}: {why}\n{}", .why.advice())]
    Earlier {
        /// Its name.
        file: String,
        /// Why not.
        why: Box<EarlierError>,
    },
    /// An earlier visit whose date is after that of the next one.
    #[error(
        "{file}: that visit was on {day}, which is in the future; correct the clock of this device"
    )]
    StillToCome {
        /// Its name.
        file: String,
        /// Its day.
        day: NaiveDate,
    },
    /// The certificate can't be sealed yet.
    #[error("{0}. Correct the clock of this device, or the date and times of the visit")]
    NotReady(NotReady),
    /// The certificate can't be made.
    #[error(transparent)]
    Certify(#[from] CertifyError),
    /// The key can't be opened.
    #[error("the key can't be opened: {0}")]
    Identity(#[from] IdentityError),
    /// Text that is not a fingerprint.
    #[error(
        "a fingerprint has 64 hexadecimal digits, optionally separated by spaces, colons or hyphens"
    )]
    Fingerprint,
    /// It can't be sealed.
    #[error(transparent)]
    Seal(#[from] SealError),
}

/// The same for an error of the firm's file.
pub(super) fn of_firm(why: &FirmError) -> Option<Value> {
    let (id, values) = match why {
        FirmError::NoTechnician { name, known } => {
            ("no-technician", json!({ "name": name, "known": known }))
        }
        FirmError::NoInstrument { id, known } => {
            ("no-instrument", json!({ "name": id, "known": known }))
        }
        FirmError::NoRange { known, .. } => ("no-range", json!({ "known": known })),
        FirmError::Full {
            device,
            first,
            last,
            ..
        } => (
            "numbers-full",
            json!({ "device": device, "first": first, "last": last }),
        ),
        FirmError::Given { number, site, date } => (
            "number-given",
            json!({ "number": number, "site": site, "date": date }),
        ),
        _ => return None,
    };
    Some(json!({ "id": id, "values": values }))
}

impl WebError {
    /// The name of the error on the page, which has a sentence of its own for it in each language, and the
    /// values in that sentence. Other errors are shown as they are.
    pub(super) fn named(&self) -> Option<Value> {
        let (id, values) = match self {
            Self::Request(_) | Self::Files => ("version", json!({})),
            Self::CodeTooLong => ("code-too-long", json!({})),
            Self::Fingerprint => ("fingerprint", json!({})),
            Self::Missing(name) => ("missing", json!({ "name": name })),
            Self::NotText(name) => ("not-text", json!({ "name": name })),
            Self::NoFirm(what) => ("no-firm", json!({ "what": what })),
            Self::Copy(CopyError::TooMany { most }) => ("too-many", json!({ "most": most })),
            Self::Identity(IdentityError::WrongPassphrase) => ("passphrase", json!({})),
            Self::Earlier { file, .. } => ("earlier", json!({ "name": file })),
            Self::StillToCome { file, day } => {
                ("still-to-come", json!({ "name": file, "day": day }))
            }
            Self::Firm(why) => return of_firm(why),
            Self::NotReady(NotReady::Placeholder { text, .. }) => {
                ("placeholder", json!({ "text": text }))
            }
            Self::NotReady(NotReady::BeforeTheDay { day, .. }) => {
                ("before-day", json!({ "day": day }))
            }
            Self::NotReady(NotReady::BeforeTheLastReading { last, .. }) => {
                let last = last.format("%Y-%m-%d %H:%M").to_string();
                ("before-reading", json!({ "at": last }))
            }
            _ => return None,
        };
        Some(json!({ "id": id, "values": values }))
    }

    /// An earlier visit that can't be used.
    pub(super) fn earlier(file: &str, why: EarlierError) -> Self {
        Self::Earlier {
            file: file.to_owned(),
            why: Box::new(why),
        }
    }
}
