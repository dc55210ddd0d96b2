//! Findings that were repaired on the same visit: the state as found, the repair, and the readings
//! before and after it.

use super::document::{Block, Text};
use super::keys;
use super::speaker::Speaker;
use crate::assess::{Assessment, Estimate, Finding};
use crate::visit::{Circuit, Repair, RepairDone};

/// Writes the list of repaired findings below a heading of the given level; nothing if there are
/// none.
pub(super) fn section(speaker: &Speaker<'_>, level: u8, body: &mut Vec<Block>) {
    let items = speaker.mended();
    if items.is_empty() {
        return;
    }
    body.push(Block::Heading {
        level,
        text: speaker.wording.word(&keys::MENDED_HEADING).to_owned(),
        anchor: None,
    });
    body.push(Block::List {
        numbered: false,
        items: items.into_iter().map(Text::plain).collect(),
    });
}

/// The repairs of a finding: those of its connections, or of its place if none of these was
/// repaired.
pub(super) fn repairs<'a>(circuit: &'a Circuit, finding: &Finding) -> Vec<&'a Repair> {
    let of = |wanted: &dyn Fn(&str) -> bool| -> Vec<&'a Repair> {
        let all = circuit.repairs.iter();
        all.filter(|r| wanted(&r.connection)).collect()
    };
    let own = of(&|id| finding.connections.iter().any(|c| c == id));
    if !own.is_empty() {
        return own;
    }
    let place = finding.place.as_deref();
    of(&|id| {
        circuit
            .connections()
            .any(|(p, c)| c.id == id && Some(p.id.as_str()) == place)
    })
}

/// Rise of a connection at rated current in one state of a visit.
pub(super) fn rise(assessment: &Assessment, circuit: &str, connection: &str) -> Option<Estimate> {
    assessment
        .circuits
        .iter()
        .filter(|c| c.id == circuit)
        .flat_map(|c| &c.connections)
        .find(|c| c.id == connection)?
        .rise_at_rated
}

impl Speaker<'_> {
    /// The heading of [`Speaker::mended`].
    pub fn mended_heading(&self) -> &str {
        self.wording.word(&keys::MENDED_HEADING)
    }

    /// One paragraph for each finding that was repaired on the visit: as found, repair, before and
    /// after.
    pub fn mended(&self) -> Vec<String> {
        let Some(state) = &self.assessment.as_found else {
            return Vec::new();
        };
        let before = Speaker {
            assessment: &state.assessment,
            ..*self
        };
        self.told(&before, state.mended())
    }

    /// The same of what was mended and not measured again at full current.
    pub(super) fn mended_unproved(&self) -> Vec<String> {
        let Some(state) = &self.assessment.as_found else {
            return Vec::new();
        };
        let before = Speaker {
            assessment: &state.assessment,
            ..*self
        };
        self.told(&before, state.mended().filter(|(_, proved)| !proved))
    }

    fn told<'f>(
        &self,
        before: &Speaker<'_>,
        mended: impl Iterator<Item = (&'f Finding, bool)>,
    ) -> Vec<String> {
        let paragraphs = mended.filter_map(|(finding, proved)| {
            let circuit = self.circuit(finding.circuit.as_deref())?;
            let found = before.diagnosis_referring(finding).text;
            let mut sentences = vec![
                self.wording
                    .say(&keys::MENDED_AS_FOUND, &[("text", &found)]),
            ];
            for repair in repairs(circuit, finding) {
                sentences.extend(self.repair(circuit, repair, before.assessment));
            }
            if !proved {
                sentences.push(self.wording.word(&keys::MENDED_NOT_PROVED).to_owned());
            }
            Some(sentences.join(" "))
        });
        paragraphs.collect()
    }

    fn repair(&self, circuit: &Circuit, repair: &Repair, found: &Assessment) -> Vec<String> {
        let words = self.wording;
        let connection = ("connection", repair.connection.as_str());
        let time = self.numbers.time(repair.at);
        let time = ("time", time.as_str());
        let mut sentences = vec![match (repair.done, &repair.part) {
            (RepairDone::PartReplaced, Some(part)) => words.say(
                &keys::MENDED_PART_REPLACED,
                &[connection, ("part", part), time],
            ),
            (RepairDone::ReTorqued, _) => words.say(&keys::MENDED_RE_TORQUED, &[connection, time]),
            _ => words.say(&keys::MENDED_REMADE, &[connection, time]),
        }];
        if let Some(cooled) = repair.cooled_to {
            let temperature = self.numbers.temperature(cooled);
            sentences.push(words.say(&keys::MENDED_COOLED, &[("temperature", &temperature)]));
        }
        let of = |state: &Assessment| rise(state, &circuit.id, &repair.connection);
        if let (Some(before), Some(after)) = (of(found), of(self.assessment)) {
            let text = |e: Estimate| self.numbers.difference(e.value);
            sentences.push(words.say(
                &keys::MENDED_RISES,
                &[
                    connection,
                    ("before", &text(before)),
                    ("after", &text(after)),
                ],
            ));
        }
        sentences
    }
}
