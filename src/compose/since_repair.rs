//! What the inspection before found, and what became of it: told at a visit after a repair.

use super::document::{Block, Text};
use super::keys;
use super::mended::rise;
use super::speaker::Speaker;
use crate::assess::{Became, BeforeRepair, Finding};

/// Writes the list, below a heading of a level; nothing if the visit is not after a repair.
pub(super) fn section(speaker: &Speaker<'_>, level: u8, body: &mut Vec<Block>) {
    let items = speaker.since_repair();
    if items.is_empty() {
        return;
    }
    body.push(Block::Heading {
        level,
        text: speaker.since_repair_heading().to_owned(),
        anchor: None,
    });
    body.push(Block::List {
        numbered: false,
        items: items.into_iter().map(Text::plain).collect(),
    });
}

/// Each finding of the visit before, its sentence, and what became of it.
pub(super) fn told<'s>(
    speaker: &'s Speaker<'_>,
    before: &'s BeforeRepair,
) -> impl Iterator<Item = (&'s Finding, String, Became)> + 's {
    let then = Speaker {
        visit: &before.visit,
        assessment: &before.assessment,
        ..*speaker
    };
    before.told.iter().filter_map(move |told| {
        let finding = before.assessment.findings.get(told.finding)?;
        Some((finding, then.diagnosis_referring(finding).text, told.became))
    })
}

impl Speaker<'_> {
    /// The heading of [`Speaker::since_repair`].
    pub fn since_repair_heading(&self) -> &str {
        self.wording.word(&keys::SINCE_HEADING)
    }

    /// One paragraph for each finding of the inspection before that asked for a repair or was to be
    /// watched: what was found, and what became of it, with the rise before and after.
    pub fn since_repair(&self) -> Vec<String> {
        let Some(before) = &self.assessment.before_repair else {
            return Vec::new();
        };
        let words = self.wording;
        let date = self.numbers.date(before.visit.date);
        let number = before.visit.number.as_str();
        let paragraphs = told(self, before).map(|(finding, text, became)| {
            let found = [("date", &*date), ("number", number), ("text", &*text)];
            let mut sentences = vec![words.say(&keys::SINCE_FOUND, &found)];
            let key = match became {
                Became::Mended => &keys::SINCE_MENDED,
                Became::Remains => &keys::SINCE_REMAINS,
                Became::NotChecked => &keys::SINCE_OPEN,
            };
            sentences.push(words.word(key).to_owned());
            if let (Some(circuit), Some(id)) = (&finding.circuit, finding.connections.first())
                && let Some(then) = rise(&before.assessment, circuit, id)
                && let Some(now) = rise(self.assessment, circuit, id)
            {
                sentences.push(words.say(
                    &keys::MENDED_RISES,
                    &[
                        ("connection", id),
                        ("before", &self.numbers.difference(then.value)),
                        ("after", &self.numbers.difference(now.value)),
                    ],
                ));
            }
            sentences.join(" ")
        });
        paragraphs.collect()
    }
}
