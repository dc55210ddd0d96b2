//! Findings and limitations as items of lists.

use super::connections::signal;
use super::document::Text;
use super::keys;
use super::speaker::{Speaker, instrument_name};
use crate::assess::{Finding, Limitation, Value};
use crate::vocabulary::ValueName;

/// A finding as an item of the list: its grade, its sentence and its deadline.
pub(super) fn finding_item(speaker: &Speaker<'_>, finding: &Finding) -> Text {
    let words = speaker.wording;
    let grade = finding.grade;
    let text = speaker.diagnosis_referring(finding).text;
    let head = match finding.circuit.as_deref() {
        Some(id) if speaker.visit.circuits.len() > 1 => words.say(
            &keys::TO_DO_GRADE_IN_CIRCUIT,
            &[
                ("grade", speaker.grade(grade)),
                (
                    "circuit",
                    speaker.circuit(Some(id)).map_or(id, |c| c.title()),
                ),
            ],
        ),
        _ => speaker.grade(grade).to_owned(),
    };
    Text::marked(signal(grade), head)
        .then(Text::plain(format!(" {text} ")))
        .then(Text::strong(format!("{}.", speaker.deadline(finding))))
        .then(Text::plain(
            speaker
                .raised(finding)
                .map_or_else(String::new, |why| format!(" {why}")),
        ))
        .then(Text::plain(
            speaker
                .judged_milder(finding)
                .map_or_else(String::new, |judged| format!(" {judged}")),
        ))
}

/// A limitation as an item of a list, with its circuit if there are several.
pub(super) fn limitation_item(speaker: &Speaker<'_>, limitation: &Limitation) -> Text {
    let text = speaker.limitation(limitation);
    match speaker.limitation_where(limitation) {
        Some(circuit) => Text::strong(circuit).then(Text::plain(format!(" {text}"))),
        None => Text::plain(text),
    }
}

/// The limitations that make the visit incomplete, or are declared with a reason.
pub(super) fn missing<'s>(speaker: &'s Speaker<'_>) -> impl Iterator<Item = &'s Limitation> {
    let limitations = speaker.assessment.limitations.iter();
    limitations.filter(|l| l.incomplete || l.id.exception())
}

/// The item that lists instruments that cannot be traced to a standard.
pub(super) fn untraced(speaker: &Speaker<'_>) -> Option<Text> {
    let mut instruments: Vec<&str> = Vec::new();
    for limitation in &speaker.assessment.limitations {
        let named = limitation.values.get(&ValueName::Instrument);
        if let (true, Some(Value::Text(id))) = (limitation.id.untraced(), named)
            && !instruments.contains(&id.as_str())
        {
            instruments.push(id);
        }
    }
    let names: Vec<String> = instruments
        .iter()
        .filter_map(|id| speaker.visit.instrument(id))
        .map(|instrument| instrument_name(speaker, instrument))
        .collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    (!names.is_empty()).then(|| {
        Text::plain(speaker.wording.say(
            &keys::NOT_DONE_UNTRACED,
            &[("instruments", &speaker.wording.list(&names))],
        ))
    })
}
