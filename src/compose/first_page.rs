//! How many findings and points that were not done the first page lists: as many as fit with the
//! seal on the same page.
//!
//! Heights are estimated from the number of characters, because pages are laid out later. If an
//! estimate is too low, the last points move to the next page.

use super::circuit_section;
use super::items::{self, finding_item, limitation_item};
use super::letterhead::author;
use super::speaker::Speaker;
use crate::assess::{Charging, Finding, Limitation};
use crate::visit::{Grade, Paper};

/// Maximum number of findings, and of points that were not done; the page gives the number of the
/// others.
pub(super) const MOST: usize = 6;
/// Rows and findings of a visit of several circuits; the table already gives the worst of each.
const MOST_WITH_TABLE: usize = 8;

/// Height from margin to margin, in points.
const fn depth(paper: Paper) -> f32 {
    match paper {
        Paper::Letter => 704.0,
        Paper::A4 => 753.0,
    }
}
/// Height of a line of running text, and its number of characters.
const LINE: (f32, f32) = (13.0, 80.0);
/// Height of a line of small text next to its name in half the width, and its number of characters.
const NARROW: (f32, f32) = (9.2, 38.0);
/// Height of a line of the reason in the table of circuits, and its number of characters; space of
/// a row.
const REASON: (f32, f32, f32) = (9.2, 46.0, 3.4);
/// Space above an item, a fact or a paragraph if spaces are reduced.
const BETWEEN: f32 = 3.0;
/// Height of the introduction to the findings.
const ADVICE: f32 = 2.0 * LINE.0 + BETWEEN;
/// Height of a heading with its space.
const HEADING: f32 = 25.0;
/// Height of letterhead, page title, frame of the result, and seal.
const FIXED: f32 = 58.0 + 35.0 + 48.0 + 85.0;

/// How much the page lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Listed {
    /// Findings.
    pub findings: usize,
    /// Points that were not done.
    pub missing: usize,
}

impl Listed {
    /// For one visit.
    pub fn of(speaker: &Speaker<'_>) -> Self {
        let circuits = speaker.visit.circuits.len();
        let most = if circuits > 1 {
            MOST_WITH_TABLE.saturating_sub(circuits).max(2)
        } else {
            MOST
        };
        let findings: Vec<f32> = speaker
            .open_findings()
            .take(most)
            .map(|finding| item(&finding_item(speaker, finding).characters()))
            .collect();
        let missing: Vec<f32> = items::missing(speaker)
            .take(MOST)
            .map(|l| item(&limitation_item(speaker, l).characters()))
            .collect();
        let all = (
            speaker.open_findings().count(),
            items::missing(speaker).count(),
        );
        let mut room = depth(speaker.visit.print.paper) - FIXED - others(speaker);
        let untraced = items::untraced(speaker);
        if !missing.is_empty() || untraced.is_some() {
            room -= HEADING;
        }
        if let Some(text) = untraced {
            room -= item(&text.characters());
        }
        let mut listed = Listed {
            findings: findings.len(),
            missing: missing.len(),
        };
        let sum = |heights: &[f32], count: usize| heights.iter().take(count).sum::<f32>();
        loop {
            // A line says how many more there are.
            let more = usize::from(listed.findings < all.0) + usize::from(listed.missing < all.1);
            let height = sum(&findings, listed.findings)
                + sum(&missing, listed.missing)
                + more as f32 * (LINE.0 + BETWEEN);
            if height <= room {
                return listed;
            }
            // The points that were not done are shortened first; each list keeps its first entry.
            match (listed.findings, listed.missing) {
                (f, m) if m > 1 && m * 2 > f => listed.missing -= 1,
                (f, _) if f > 1 => listed.findings -= 1,
                (_, m) if m > 1 => listed.missing -= 1,
                _ => return listed,
            }
        }
    }

    /// Whether the page has the sentence of the finding at this place among all of them.
    pub fn says(self, speaker: &Speaker<'_>, index: usize) -> bool {
        let findings = &speaker.assessment.findings;
        let open = |f: &&Finding| f.grade > Grade::Pass;
        let Some(finding) = findings.get(index).filter(open) else {
            return false;
        };
        let before = findings.iter().take(index);
        let listed = before.clone().filter(open).count() < self.findings;
        // With several circuits, a table has the first finding of each.
        let several = speaker.visit.circuits.len() > 1 && finding.circuit.is_some();
        listed || several && before.clone().all(|f| f.circuit != finding.circuit)
    }
}

/// Height of a text, in lines of a height and so many characters.
fn lines(text: &str, (height, characters): (f32, f32)) -> f32 {
    let count = text.chars().count() as f32 / characters;
    count.ceil().max(1.0) * height
}

fn item(text: &str) -> f32 {
    lines(text, LINE) + BETWEEN
}

/// Height of the parts that are neither fixed nor listed.
fn others(speaker: &Speaker<'_>) -> f32 {
    let words = speaker.wording;
    let visit = speaker.visit;
    let several = visit.circuits.len() > 1;
    let mut height = item(&speaker.next_due()) + HEADING + BETWEEN;
    height += speaker.verdict().text.iter().map(|t| item(t)).sum::<f32>();
    height += ADVICE;
    height += speaker.may_charge_at_all().map_or(0.0, |text| item(&text));
    for circuit in &visit.circuits {
        let assessed = speaker
            .assessment
            .circuits
            .iter()
            .find(|c| c.id == circuit.id);
        let charging = assessed.map_or(Charging::AsUsual, |c| c.charging);
        if let Some(left) = speaker.left(circuit, charging) {
            height += item(&left);
        }
        if several {
            let mut findings = speaker.assessment.findings.iter();
            let worst = findings.find(|f| f.circuit.as_deref() == Some(circuit.id.as_str()));
            let why = worst.map_or(String::new(), |f| speaker.diagnosis_referring(f).text);
            let (line, characters, space) = REASON;
            let name = lines(circuit.title(), (line, 20.0));
            height += lines(&why, (line, characters)).max(name) + space;
        }
    }
    if several {
        height += HEADING;
    }
    for told in [speaker.mended(), speaker.since_repair()] {
        if !told.is_empty() {
            height += HEADING + told.iter().map(|text| item(text)).sum::<f32>();
        }
    }
    let circuit = match &visit.circuits[..] {
        [circuit] => circuit_section::identity(speaker, circuit),
        _ => String::new(),
    };
    let address = |text: &Option<String>| text.clone().unwrap_or_default();
    let site = format!("{}, {}", visit.site.name, address(&visit.site.address));
    // Two columns, each with the names beside the values.
    let identity: f32 = [
        visit.number.clone(),
        visit.client.name.clone(),
        address(&visit.client.address),
        site,
        circuit,
        author(visit),
        words.name(visit.reason).to_owned(),
    ]
    .iter()
    .map(|text| lines(text, NARROW) + BETWEEN)
    .sum();
    height + identity / 2.0 + NARROW.0
}

/// The limitations that the page does not list.
pub(super) fn unlisted<'s>(speaker: &'s Speaker<'_>) -> Vec<&'s Limitation> {
    let most = Listed::of(speaker).missing;
    let listed: Vec<&Limitation> = items::missing(speaker).take(most).collect();
    let all = speaker.assessment.limitations.iter();
    all.filter(|l| !listed.iter().any(|other| std::ptr::eq(*l, *other)))
        .collect()
}
