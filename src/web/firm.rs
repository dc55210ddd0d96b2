//! The firm's file on the page: whom and what it names, and the numbers that this device has given.

use super::error::{WebError, of_firm};
use super::message::Message;
use crate::firm::copied::{References, referring};
use crate::firm::ledger::{self, Purpose};
use crate::firm::{Firm, FirmError};
use crate::photo::ChosenFiles;
use crate::visit::Visit;
use chrono::{Datelike, NaiveDate};
use serde::Deserialize;
use serde_json::json;
use std::path::Path;

/// The name under which the page sends the firm's file.
const NAME: &str = "firm.yaml";

/// Asks what is in the firm's file, the first file of the request.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Facts {}

/// Asks for the next free number, with the firm's file or without files; with `site` and `number`, for
/// the list of numbers with this one.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Number {
    /// The numbers that this device has given: the text of a list.
    numbers: String,
    /// The name of this device in the firm's file.
    device: Option<String>,
    date: NaiveDate,
    number: Option<String>,
    #[serde(default)]
    site: String,
}

/// The firm's file among the files of a request.
///
/// # Errors
/// It has problems.
pub(super) fn among(files: &[(String, Vec<u8>)]) -> Result<Option<Firm>, WebError> {
    let found = files.iter().find(|(name, _)| name == NAME);
    found.map(|(_, bytes)| read(bytes)).transpose()
}

fn read(bytes: &[u8]) -> Result<Firm, WebError> {
    let text = std::str::from_utf8(bytes).map_err(|_| WebError::NotText(NAME.to_owned()))?;
    Ok(Firm::read(text, NAME)?)
}

/// The text of a visit with what it takes from the firm's file, which is among the files.
///
/// # Errors
/// It refers to a firm's file, and there is none, or one that lacks what it names.
pub(super) fn filled(source: String, files: &ChosenFiles) -> Result<String, WebError> {
    let references = References::of(&source);
    let Some(what) = references.first() else {
        return Ok(source);
    };
    let named = references.file.as_deref();
    let bytes = named.and_then(|named| files.get(named));
    let bytes = bytes.or_else(|| files.get(NAME));
    let firm = read(bytes.ok_or(WebError::NoFirm(what))?)?;
    Ok(references.filled(&source, &firm)?)
}

/// The text of a new visit in which the technician and the instruments of the firm are written out, as
/// they are on the day.
///
/// # Errors
/// It can't be filled in.
pub(super) fn written(text: String, visit: &Visit, firm: &Firm) -> Result<String, WebError> {
    let text = referring(text, visit, firm);
    Ok(References::of(&text).filled(&text, firm)?)
}

impl Facts {
    /// The firm's name, its technicians, the devices that have numbers, and its rule set.
    pub fn answer(self, files: Vec<(String, Vec<u8>)>) -> Result<Message, WebError> {
        let (_, bytes) = files.first().ok_or(WebError::Files)?;
        let firm = read(bytes)?;
        let defaults = firm.defaults.as_ref();
        Ok(Message::without_files(json!({
            "firm": firm.letterhead.name,
            "technicians": firm.technicians.iter().map(|t| &t.name).collect::<Vec<_>>(),
            "devices": firm.numbers.iter().map(|n| &n.device).collect::<Vec<_>>(),
            "rules": defaults.and_then(|d| d.rules.as_deref()),
        })))
    }
}

impl Number {
    /// `number`, or `numbers`; or `wrong` with the reason.
    pub fn answer(self, files: Vec<(String, Vec<u8>)>) -> Result<Message, WebError> {
        let firm = among(&files)?;
        let given = ledger::parse(&self.numbers, Path::new(ledger::NAME))?;
        let year = self.date.year();
        let ranges = firm.as_ref().filter(|firm| !firm.numbers.is_empty());
        let wrong = |why: FirmError| json!({ "wrong": why.to_string(), "error": of_firm(&why) });
        let told = match (&self.number, ranges) {
            (Some(number), _) => match ledger::unused(&given, number) {
                Err(why) => wrong(why),
                Ok(()) => {
                    let purpose = Purpose {
                        date: self.date,
                        site: &self.site,
                    };
                    let device = self.device.as_deref().unwrap_or_default();
                    json!({ "numbers": ledger::entered(&self.numbers, number, device, purpose) })
                }
            },
            (None, Some(firm)) => {
                let range = ledger::range(firm, self.device.as_deref());
                match range.and_then(|range| ledger::next(&given, range, year)) {
                    Ok(number) => json!({ "number": number }),
                    Err(why) => wrong(why),
                }
            }
            (None, None) => {
                json!({ "number": ledger::free_from(&given, &format!("{year}-0001")) })
            }
        };
        Ok(Message::without_files(told))
    }
}
