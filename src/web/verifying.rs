//! Verifying a certificate on the page.

use super::error::WebError;
use super::firm;
use super::message::Message;
use crate::firm::keys;
use crate::record::answers::Answers;
use crate::record::contents::OwnEvidence;
use crate::seal::known::KnownSigners;
use crate::seal::{Fingerprint, VerifyOptions};
use chrono::{DateTime, FixedOffset};
use serde::Deserialize;
use serde_json::json;
use std::path::Path;

/// Asks about a certificate, the first file of the request. If the firm's file is among the others, its
/// keys count as compared, and those that it revoked are refused.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Verify {
    /// The text of the page's list of known signers.
    #[serde(default)]
    known: String,
    /// A fingerprint that the reader received in another way.
    pin: Option<String>,
    /// The check line of a paper copy.
    check_line: Option<String>,
    now: DateTime<FixedOffset>,
}

impl Verify {
    /// The answers in the form of `verify --format json`, and the updated list of known signers.
    pub fn answer(self, files: Vec<(String, Vec<u8>)>) -> Result<Message, WebError> {
        let (_, pdf) = files.first().ok_or(WebError::Files)?;
        let list = KnownSigners::parse(&self.known, Path::new("known-signers"))?;
        let mut pins = Vec::new();
        if let Some(pin) = self.pin.as_deref().filter(|pin| !pin.trim().is_empty()) {
            match Fingerprint::parse(pin) {
                Some(pin) => pins.push(pin),
                None => return Err(WebError::Fingerprint),
            }
        }
        let mut options = VerifyOptions {
            pins,
            known: Some(list.clone()),
            ..VerifyOptions::default()
        };
        let firm = firm::among(files.get(1..).unwrap_or_default())?;
        if let Some(firm) = &firm {
            keys::entered(firm, true, &mut options);
        }
        let beside = OwnEvidence {
            originals: None,
            prepared: None,
            seals_only: false,
            check_line: self.check_line.as_deref(),
        };
        let answers = Answers::of(pdf, &options, &beside);
        let mut known = list;
        if let Some(key) = answers.new_key() {
            known.meet(&key, self.now.date_naive());
        }
        let acceptable = answers.good() && answers.report.key_compared();
        Ok(Message::without_files(json!({
            "answers": answers.json(acceptable, self.now),
            "good": answers.good(),
            "known": known.text(),
            "firm": firm.map(|firm| firm.letterhead.name),
        })))
    }
}
