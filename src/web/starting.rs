//! A new visit begun on the page: by questions, or from an earlier certificate.

use super::error::WebError;
use super::firm;
use super::message::Message;
use super::reading;
use crate::compose::{Speaker, Wording};
use crate::next::fact::FactError;
use crate::next::first_visit::{self, Facts};
use crate::next::needed_keys;
use crate::next::next_visit::{self, Own};
use crate::rules::{self, Rules, Starter};
use crate::visit::{self, Comments, LANGUAGES};
use crate::vocabulary::{MissingKey, Word};
use chrono::NaiveDate;
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Asks for the usual facts of a circuit under a rule set.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Usual {
    rules: String,
}

/// Asks for a new visit with these facts: the next question, or the visit file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Begin {
    rules: String,
    number: String,
    date: NaiveDate,
    /// By the names in the answer to [`Usual`].
    facts: BTreeMap<String, String>,
    /// The questions that were answered or left out, in order; an empty answer leaves one out.
    #[serde(default)]
    answers: Vec<(String, String)>,
    /// Names of places by their ids, in the language of the page, instead of English ones.
    #[serde(default)]
    names: BTreeMap<String, String>,
    /// In which language to ask and to print; English without one.
    language: Option<String>,
}

/// Asks for the visit after an earlier certificate, the first file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Next {
    date: NaiveDate,
    /// Its number, if it does not follow from that of the certificate.
    number: Option<String>,
}

fn built_in(id: &str) -> Result<(&'static Rules, &'static Starter), WebError> {
    rules::with_starter(id).ok_or_else(|| WebError::Missing(id.to_owned()))
}

impl Usual {
    /// The usual facts.
    pub fn answer(self) -> Result<Message, WebError> {
        let (_, starter) = built_in(&self.rules)?;
        let mut usual = Facts::usual(starter);
        let usual: serde_json::Map<String, Value> = usual
            .named_mut()
            .into_iter()
            .map(|(name, value)| (name.to_owned(), Value::from(value.clone())))
            .collect();
        Ok(Message::without_files(json!({ "usual": usual })))
    }
}

impl Begin {
    /// `wrong` (the name of a fact or key) with `why` and its `kind`, or `ask` with the next question, or `visit`. The
    /// firm's file may be among the files.
    pub fn answer(self, files: &[(String, Vec<u8>)]) -> Result<Message, WebError> {
        let firm = firm::among(files)?;
        let (set, starter) = built_in(&self.rules)?;
        let mut facts = Facts::usual(starter);
        for (name, slot) in facts.named_mut() {
            if let Some(given) = self.facts.get(name) {
                slot.clone_from(given);
            }
        }
        let mut asked = Vec::new();
        for (key, value) in &self.answers {
            let key = MissingKey::of(key).ok_or_else(|| WebError::Missing(key.clone()))?;
            asked.push(key);
            if !value.trim().is_empty() {
                facts.needed.push((key, value.trim().to_owned()));
            }
        }
        let visit = first_visit::visit(&facts, &self.rules, starter, &self.number, self.date);
        let mut visit = match visit {
            Ok(visit) => visit,
            Err((wrong, why)) => {
                let kind = match why {
                    FactError::Range(_) => "impossible",
                    FactError::Empty => "empty",
                    _ => "unreadable",
                };
                return Ok(Message::without_files(
                    json!({ "wrong": wrong, "why": why.to_string(), "kind": kind }),
                ));
            }
        };
        let next = visit
            .circuits
            .first()
            .and_then(|circuit| needed_keys::next(circuit, set, &asked));
        if let Some(needed) = next {
            let language = self.language.as_deref().unwrap_or("en");
            let words = Wording::built_in(language).map_err(crate::certify::CertifyError::from)?;
            return Ok(Message::without_files(json!({ "ask": {
                "key": needed.key.word(),
                "question": words.missing(needed.key),
                "choices": needed_keys::choices(needed.key).into_iter().map(|word| {
                    json!({ "word": word, "text": words.choice(needed.key, word) })
                }).collect::<Value>(),
                "example": needed_keys::example(needed.key),
                "usual": needed_keys::usual(needed.key, starter, &facts.legs),
            } })));
        }
        for place in visit.circuits.iter_mut().flat_map(|c| &mut c.places) {
            if let Some(name) = self.names.get(&place.id) {
                place.name.clone_from(name);
            }
        }
        if let Some(language) = self
            .language
            .filter(|one| LANGUAGES.contains(&one.as_str()))
        {
            visit.print.language = vec![language];
        }
        if let Some(firm) = &firm {
            crate::firm::usual(firm, &mut visit);
        }
        let mut text = visit::write_with(&visit, &first_visit::comments(&visit, set));
        if let Some(firm) = &firm {
            text = firm::written(text, &visit, firm)?;
        }
        Ok(Message::without_files(json!({ "visit": text })))
    }
}

impl Next {
    /// The visit file of the next visit. The firm's file may be among the files.
    pub fn answer(self, files: Vec<(String, Vec<u8>)>) -> Result<Message, WebError> {
        let firm = firm::among(&files)?;
        let (name, bytes) = files.into_iter().next().ok_or(WebError::Files)?;
        let last = reading::last_of(&name, &bytes)?;
        if last.visit.date > self.date {
            let day = last.visit.date;
            return Err(WebError::StillToCome { file: name, day });
        }
        let own = Own {
            reason: None,
            number: self
                .number
                .unwrap_or_else(|| next_visit::number(&last.visit, self.date)),
            date: self.date,
            rules: last.visit.rules.clone(),
            earlier: vec![name],
            images: false,
        };
        let next = next_visit::visit(&last.visit, last.assessment.outcome, own);
        let wording = Wording::built_in(last.visit.print.main_language())
            .map_err(crate::certify::CertifyError::from)?;
        let speaker = Speaker::new(&last.visit, &last.assessment, &last.rules, wording);
        let comments = Comments {
            bare_numbers: true,
            ..next_visit::comments(&speaker, &next)
        };
        let mut text = visit::write_with(&next, &comments);
        if let Some(firm) = &firm {
            text = firm::written(text, &next, firm)?;
        }
        Ok(Message::without_files(json!({ "visit": text })))
    }
}
