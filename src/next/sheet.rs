//! The worksheet of a visit: its boxes, and the facts about the last visit.

use super::last::Last;
use super::{blanks, last_time};
use crate::compose::worksheet::{Choices, Past, Plan, typed, worksheet};
use crate::compose::{Document, Speaker, Wording};
use crate::vocabulary::Condition;
use chrono::{DateTime, FixedOffset};

/// The sheet of the speaker's visit, made at a time.
pub fn document(
    speaker: &Speaker<'_>,
    past: Option<&Past>,
    made_at: DateTime<FixedOffset>,
) -> Document {
    let circuits = speaker.visit.circuits.iter();
    let instruments = &speaker.visit.instruments;
    let plans: Vec<Plan> = circuits
        .map(|circuit| Plan {
            pairs: blanks::pairs(circuit),
            screws: circuit
                .connections()
                .filter(|(_, c)| blanks::has_screw(c.kind))
                .map(|(_, c)| c.id.clone())
                .collect(),
            thermometers: instruments
                .iter()
                .filter(|i| blanks::THERMOMETERS.contains(&i.kind))
                .map(|i| i.id.clone())
                .collect(),
        })
        .collect();
    let word = |word: &str| typed(speaker.wording, word).to_owned();
    let choices = Choices {
        seen: Condition::ALL.map(|seen| word(seen.word())).to_vec(),
        found: ["held", "moved"].map(word).to_vec(),
    };
    worksheet(speaker, past, &plans, &choices, made_at)
}

/// The facts about the last visit on the sheet.
pub fn past(last: &Last, wording: &Wording) -> Past {
    let speaker = Speaker::new(&last.visit, &last.assessment, &last.rules, wording);
    Past {
        number: last.visit.number.clone(),
        date: last.visit.date,
        values: last_time::values(&speaker)
            .into_iter()
            .filter_map(|v| Some((v.circuit, v.connection, v.temperature?)))
            .collect(),
        points: last_time::look_first(&speaker)
            .into_iter()
            .map(|p| (p.circuit, p.grade, p.text))
            .collect(),
    }
}
