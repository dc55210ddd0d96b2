//! The note on page 1 about a firm's own rules: that they judged the visit, and which results a
//! built-in rule set grades worse.

use super::keys;
use super::speaker::Speaker;
use crate::assess::ByBuiltIn;

/// That a firm's own rules judged the visit.
pub(super) fn own(speaker: &Speaker<'_>) -> String {
    let firm = speaker.rules;
    speaker.wording.say(
        &keys::RULES_OWN,
        &[
            ("title", &firm.title),
            ("id", &firm.id),
            ("edition", &firm.edition),
        ],
    )
}

/// The sentences; none if `by` is empty, that is, if a built-in set judged the visit. Every result
/// that the firm's rules grade milder is named with both grades.
pub fn rules_note(speaker: &Speaker<'_>, by: &[ByBuiltIn]) -> Vec<String> {
    let words = speaker.wording;
    if by.is_empty() {
        return Vec::new();
    }
    let own = own(speaker);
    let stricter = by.iter().map(|by| {
        let set = [
            ("title", by.rules.title.as_str()),
            ("id", &by.rules.id),
            ("edition", &by.rules.edition),
        ];
        let mut also = Vec::new();
        if by.incomplete(speaker.assessment) {
            also.push(words.say(&keys::RULES_INCOMPLETE, &[("title", &by.rules.title)]));
        }
        if let Some(date) = by.sooner(speaker.assessment) {
            let date = speaker.numbers.date(date);
            let values = [("title", by.rules.title.as_str()), ("date", &date)];
            also.push(words.say(&keys::RULES_SOONER, &values));
        }
        if by.stricter.is_empty() {
            if also.is_empty() {
                also.push(words.say(&keys::RULES_NOT_STRICTER, &set));
            }
            return also.join(" ");
        }
        let points = by.stricter.iter().map(|stricter| {
            let check = &stricter.check;
            words.say(
                &keys::RULES_STRICTER_POINT,
                &[
                    ("check", speaker.name(check.id)),
                    ("where", &speaker.location(check)),
                    ("there", speaker.grade(check.effective_grade())),
                    ("here", speaker.grade(stricter.here)),
                ],
            )
        });
        // A check that covers several connections at one place is one point.
        let mut points: Vec<String> = points.collect();
        let mut seen = std::collections::BTreeSet::new();
        points.retain(|point| seen.insert(point.clone()));
        let points = points.join("; ");
        also.insert(
            0,
            words.say(
                &keys::RULES_STRICTER,
                &[&set[..], &[("points", &points)]].concat(),
            ),
        );
        also.join(" ")
    });
    std::iter::once(own).chain(stricter).collect()
}
