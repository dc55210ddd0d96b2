//! The next visit to the same site: all known facts filled in, all measurements left out.

use super::wrap::wrapped;
use super::{blanks, last_time};
use crate::assess::Outcome;
use crate::compose::Speaker;
use crate::counted_up::counted_up;
use crate::visit::{Circuit, Comments, Reason, Visit};
use chrono::{Datelike, NaiveDate};

/// Details specific to the next visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Own {
    /// Certificate number.
    pub number: String,
    /// Date of the visit.
    pub date: NaiveDate,
    /// Reason for the visit, if somebody named one.
    pub reason: Option<Reason>,
    /// Rule set, as named from the next visit's folder.
    pub rules: String,
    /// Earlier certificates and visits, as named from that folder.
    pub earlier: Vec<String>,
    /// Whether the firm's images are in its folder.
    pub images: bool,
}

/// Derives the next visit from the last one.
///
/// After an unsatisfactory visit it is `after-repair`, otherwise `periodic`. A connection remade
/// before the last visit no longer counts as remade.
pub fn visit(last: &Visit, outcome: Outcome, own: Own) -> Visit {
    let mut next = last.clone();
    next.number = own.number;
    next.date = own.date;
    next.reason = own.reason.unwrap_or(match outcome {
        Outcome::Unsatisfactory => Reason::AfterRepair,
        Outcome::Satisfactory | Outcome::SatisfactoryWithNotes => Reason::Periodic,
    });
    next.rules = own.rules;
    next.replaces = None;
    next.earlier = own.earlier;
    next.photos.clear();
    next.judgement.clear();
    next.remarks = None;
    next.cut_short = None;
    if !own.images {
        next.inspector.logo = None;
        next.inspector.signature_image = None;
    }
    for circuit in &mut next.circuits {
        unmeasured(circuit);
    }
    next
}

/// Leaves in a visit after a repair only the circuits at which the repair order of the last one asks for a
/// repair, or for the proof of one, and returns the names of the others. If there is none, all stay.
pub fn only_repaired(next: &mut Visit, last: &Speaker<'_>) -> Vec<String> {
    let jobs = last.jobs();
    let unproved = last.assessment.as_found.iter().flat_map(|state| {
        let mended = state.mended().filter(|(_, proved)| !proved);
        mended.filter_map(|(finding, _)| finding.circuit.as_deref())
    });
    let unproved: Vec<&str> = unproved.collect();
    let named = |circuit: &Circuit| {
        let mut repairs = jobs.iter().filter(|job| job.repairs());
        repairs.any(|job| job.circuit.is_some_and(|c| c.id == circuit.id))
            || unproved.contains(&circuit.id.as_str())
    };
    if !next.circuits.iter().any(named) {
        return Vec::new();
    }
    let (kept, left_out): (Vec<Circuit>, Vec<Circuit>) = next.circuits.drain(..).partition(named);
    next.circuits = kept;
    left_out.iter().map(|c| c.title().to_owned()).collect()
}

/// Removes everything from a circuit that was measured, looked at or done on a visit.
pub fn unmeasured(circuit: &mut Circuit) {
    circuit.isolation.clear();
    circuit.removed.clear();
    circuit.not_read.clear();
    circuit.repairs.clear();
    circuit.heat_after = None;
    circuit.left_as = None;
    circuit.torque.clear();
    circuit.looked_at.clear();
    circuit.heat = None;
    for place in &mut circuit.places {
        for connection in &mut place.connections {
            connection.remade = false;
        }
    }
}

/// The number after the last one: its year replaced, its last digits incremented. Only a
/// suggestion; the firm knows which numbers are free.
pub fn number(last: &Visit, date: NaiveDate) -> String {
    let year = last.date.year().to_string();
    let (head, rest) = match last.number.strip_prefix(&year) {
        Some(rest) => (date.year().to_string(), rest),
        None => (String::new(), last.number.as_str()),
    };
    head + &counted_up(rest, "-")
}

/// Heading of every generated file for work on site.
pub(super) const SAFETY: [&str; 7] = [
    "Work on electrical equipment can kill. Switch off, lock and tag, open each cover as if",
    "everything inside were live, and prove dead at each point of work: live source, circuit, live",
    "source. With the charger's breaker off, the supply side of the panel, its busbars and the",
    "neighboring devices stay live. After the last reading, switch off, lock, tag and prove dead",
    "again before the covers are closed. Never tighten a connection that is energized or warm.",
    "Re-tighten only as the manufacturer allows; re-terminate aluminum instead. Local codes and the",
    "manufacturers' instructions come first.",
];

/// A result in words: an inspection that is not complete was never satisfactory.
fn result(outcome: Outcome, complete: bool) -> &'static str {
    match (outcome, complete) {
        (Outcome::Unsatisfactory, false) => "unsatisfactory, and not complete",
        (_, false) => "not complete",
        (outcome, true) => outcome.word(),
    }
}

/// The comments in the next visit's file; `speaker` formats the results of the last one.
pub fn comments(speaker: &Speaker<'_>, next: &Visit) -> Comments {
    let last = speaker.visit;
    let items = last_time::look_first(speaker);
    let values = last_time::values(speaker);

    let mut of_visit = vec![format!(
        "Next visit after certificate {} of {}: {}.",
        last.number,
        last.date,
        result(speaker.assessment.outcome, speaker.assessment.complete)
    )];
    of_visit.extend(wrapped(&speaker.next_due().replace('\u{a0}', " "), 0));
    of_visit.extend(SAFETY.map(str::to_owned));
    of_visit.extend(left_out(speaker));
    of_visit.push("The number is a proposal: take the next free one of your firm.".to_owned());
    if next.reason == Reason::AfterRepair {
        of_visit.extend(wrapped(
            "The reason is `after-repair`. Write `remade: yes` behind every connection that was made \
             anew. The certificate will say what became of each of these points.",
            0,
        ));
    }
    let whole = last_time::points(&items, None);
    if !whole.is_empty() {
        of_visit.push("Look here first:".to_owned());
        of_visit.extend(whole);
    }
    if let Some(remarks) = &last.remarks {
        of_visit.push("Remarks of last time:".to_owned());
        of_visit.extend(remarks.lines().flat_map(|l| wrapped(&format!("  {l}"), 2)));
    }

    let circuits = next
        .circuits
        .iter()
        .map(|circuit| {
            let mut lines = Vec::new();
            let points = last_time::points(&items, Some(&circuit.id));
            if !points.is_empty() {
                lines.push(format!("Look here first (certificate {}):", last.number));
                lines.extend(points);
                lines.push(String::new());
            }
            let table = last_time::table(speaker, &circuit.id, &values);
            if !table.is_empty() {
                lines.push(format!(
                    "Last time (certificate {}, {}):",
                    last.number, last.date
                ));
                lines.extend(table.into_iter().map(|l| format!("  {l}")));
                lines.push(String::new());
            }
            lines.extend(blanks::lines(next, circuit));
            lines
        })
        .collect();

    Comments {
        visit: of_visit,
        instruments: calibrations(next),
        circuits,
        ..Comments::default()
    }
}

/// The points left out of an incomplete visit, which must be done first.
fn left_out(speaker: &Speaker<'_>) -> Vec<String> {
    let assessment = speaker.assessment;
    if assessment.complete {
        return Vec::new();
    }
    let mut lines =
        vec!["The last visit was not complete. Do first what was left out then:".to_owned()];
    for limitation in assessment.limitations.iter().filter(|l| l.incomplete) {
        let text = speaker.limitation_later(limitation).replace('\u{a0}', " ");
        lines.extend(wrapped(&format!("- {text}"), 2));
    }
    lines
}

/// Instruments whose calibration will have expired on the day of the visit.
pub(super) fn calibrations(visit: &Visit) -> Vec<String> {
    visit
        .instruments
        .iter()
        .filter_map(|i| {
            let due = i.calibration_due.filter(|due| *due < visit.date)?;
            Some(format!(
                "The calibration of {} ran out on {due}: calibrate it, then write the new dates.",
                i.id
            ))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::number;
    use crate::record::accepted::Accepted;
    use chrono::NaiveDate;

    #[test]
    fn a_number_is_counted_on() {
        let source = crate::next::first_visit::STARTER;
        let with = |n: &str| {
            let text = source
                .replace("{number}", n)
                .replace("{date}", "2025-05-14");
            let visit = crate::visit::read(&text, "visit.yaml", &Accepted).unwrap();
            number(&visit, NaiveDate::from_ymd_opt(2026, 11, 2).unwrap())
        };
        assert_eq!(with("2025-0046"), "2026-0047");
        assert_eq!(with("2025-0099"), "2026-0100");
        assert_eq!(with("A-7"), "A-8");
        assert_eq!(with("seven"), "seven-2");
        assert_eq!(with("99999999999999999999"), "99999999999999999999-2");
    }
}
