//! What a certificate states about its visit, and how far that is proved.

use super::answers::Answers;
use super::contents::{Contents, Findings, Paper, Photos};
use super::made_by::MadeBy;
use super::printed_words::{Compared, Pages};
use super::time_warnings;
use crate::assess::{INCOMPLETE, NOT_FULLY_CHECKED};
use crate::seal::plain::{quoted, quoted_name};
use crate::seal::report::{Answer, Report, Role, SignatureReport, Stamp};
use crate::visit::{Circuit, FURTHEST_AHEAD, LastReading, Visit};
use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::Serialize;
use serde_json::Value;

/// Number of days between visit and signature from which the delay is reported. Our choice.
const LONG_AFTER: i64 = 30;

/// The facts about the visit in the record.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stated {
    /// Outcome of the certificate; `incomplete` if that is the result of its first page.
    pub outcome: Option<String>,
    /// Whether the inspection was complete.
    pub complete: Option<bool>,
    /// Name of the site.
    pub site: String,
    /// Day of the visit.
    pub date: NaiveDate,
    /// Day by which the next inspection is due.
    pub next_due: Option<NaiveDate>,
    /// Whether charging may go on: `as-usual`, `limited`, `not-at-all`, or `not-fully-checked` if
    /// nothing forbids it and the inspection was not complete.
    pub charging: Option<String>,
    /// Largest current that may be charged with, if it is limited, ampere.
    pub charging_limit_a: Option<f64>,
    /// The circuits, in their order.
    pub circuits: Vec<StatedCircuit>,
    /// The warning about the signing time, if there is one, as a sentence without a full stop.
    pub signed: Option<String>,
}

/// What the record says of one circuit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StatedCircuit {
    /// Its id.
    pub id: String,
    /// Its name, or its id if it has none.
    pub name: String,
    /// As [`Stated::charging`].
    pub charging: Option<String>,
    /// As [`Stated::charging_limit_a`].
    pub charging_limit_a: Option<f64>,
    /// Day by which its next inspection is due.
    pub next_due: Option<NaiveDate>,
}

impl StatedCircuit {
    /// The circuits of a visit, by what the assessment says of them.
    fn all(visit: &Visit, assessment: &Value) -> Vec<Self> {
        let said = assessment["circuits"].as_array();
        let about = |id: &str| said?.iter().find(|c| c["id"].as_str() == Some(id));
        let circuit = |circuit: &Circuit| {
            let of = about(&circuit.id).unwrap_or(&Value::Null);
            // The first format has one date for all circuits.
            let due = of.get("next_due").unwrap_or(&assessment["next_due"]);
            Self {
                id: circuit.id.clone(),
                name: circuit.title().to_owned(),
                charging: of["charging"].as_str().map(str::to_owned),
                charging_limit_a: of["charging_limit_a"].as_f64(),
                next_due: due.as_str().and_then(|day| day.parse().ok()),
            }
        };
        visit.circuits.iter().map(circuit).collect()
    }

    /// Charging and the next inspection, in words.
    fn words(&self) -> String {
        let charging = charging_words(self.charging.as_deref(), self.charging_limit_a);
        let charging = charging.map_or_else(String::new, |words| format!("charging {words}; "));
        match self.next_due {
            Some(day) => format!("{charging}next due {day}"),
            None => format!("{charging}next due before it is used again"),
        }
    }
}

impl Stated {
    /// From a certificate that nothing speaks against.
    pub fn of(answers: &Answers<'_>) -> Option<Self> {
        let holds = answers.contents.as_ref().is_some_and(Contents::hold);
        let (again, record) = (answers.again.as_ref()?, answers.record.as_ref()?);
        let seal = answers.report.certification().filter(|_| holds)?;
        let text = |key: &str| record.assessment[key].as_str().map(str::to_owned);
        let date = again.visit.date;
        Some(Self {
            outcome: text("outcome"),
            complete: record.assessment["complete"].as_bool(),
            site: again.visit.site.name.clone(),
            date,
            next_due: text("next_due").and_then(|day| day.parse().ok()),
            charging: text("charging"),
            charging_limit_a: record.assessment["charging_limit_a"].as_f64(),
            circuits: StatedCircuit::all(&again.visit, &record.assessment),
            signed: {
                let last = again.visit.last_reading();
                let signed = seal.signed.at.and_then(|at| odd_time(at, date, last));
                let odd: Vec<String> = signed
                    .into_iter()
                    .chain(odd_stamp(&answers.report, last))
                    .collect();
                (!odd.is_empty()).then(|| odd.join("; "))
            },
        })
    }

    /// The outcome, in words.
    pub fn outcome_words(&self) -> String {
        match (self.outcome.as_deref(), self.complete) {
            (Some(INCOMPLETE), _) => {
                "incomplete: not everything was checked, so this is no clean bill".to_owned()
            }
            (Some(outcome), complete) => {
                let outcome = match outcome {
                    "satisfactory-with-notes" => "satisfactory, with points to note or to watch",
                    other => other,
                };
                match complete {
                    Some(true) => format!("{outcome}; the inspection was complete"),
                    Some(false) => format!("{outcome}; the inspection was NOT complete"),
                    None => outcome.to_owned(),
                }
            }
            (None, _) => "not stated".to_owned(),
        }
    }

    /// Whether charging may go on, in words.
    pub fn charging_words(&self) -> Option<String> {
        charging_words(self.charging.as_deref(), self.charging_limit_a)
    }

    /// Circuits about which the same is said, where it differs between circuits, as sentences without
    /// a full stop. The facts of the whole certificate are then those of its worst circuit.
    pub fn circuit_words(&self) -> Vec<String> {
        let mut groups: Vec<(String, Vec<String>)> = Vec::new();
        for circuit in &self.circuits {
            let (words, name) = (circuit.words(), quoted(&circuit.name));
            match groups.iter_mut().find(|(same, _)| *same == words) {
                Some((_, names)) => names.push(name),
                None => groups.push((words, vec![name])),
            }
        }
        if groups.len() < 2 {
            return Vec::new();
        }
        let sentence =
            |(words, names): (String, Vec<String>)| format!("{}: {words}", names.join(", "));
        groups.into_iter().map(sentence).collect()
    }
}

fn charging_words(charging: Option<&str>, limit_a: Option<f64>) -> Option<String> {
    Some(match (charging?, limit_a) {
        ("as-usual", _) => "may go on as usual".to_owned(),
        (NOT_FULLY_CHECKED, _) => {
            "nothing that was checked forbids it, but not everything was checked".to_owned()
        }
        ("limited", Some(most)) => format!("may go on at no more than {most} A"),
        ("not-at-all", _) => "must stop until the circuit is repaired".to_owned(),
        (other, _) => other.to_owned(),
    })
}

/// The warning about a signing time for a visit on this day with this last reading, if there is
/// one.
fn odd_time(
    at: DateTime<FixedOffset>,
    visit: NaiveDate,
    last: Option<LastReading>,
) -> Option<String> {
    // In the time zone that is furthest ahead, so that it is before the day of the visit in every
    // zone.
    if (at.naive_utc() + FURTHEST_AHEAD).date() < visit {
        return Some(format!("the signing time is before the visit on {visit}"));
    }
    if let Some(last) = last.filter(|last| at.naive_utc() < last.earliest) {
        return Some(format!(
            "the signing time is before the last reading, taken at {} on the site's clock",
            last.local.format("%Y-%m-%d %H:%M")
        ));
    }
    let after = (at.date_naive() - visit).num_days();
    (after > LONG_AFTER).then(|| format!("signed {after} days after the visit on {visit}"))
}

/// The warnings about the time-stamps of a file for a visit with this last reading.
fn odd_stamp(report: &Report<'_>, last: Option<LastReading>) -> Option<String> {
    let stamps = report.signatures.iter().filter_map(|s| s.stamp.as_ref());
    let first = stamps
        .filter(|stamp| stamp.valid.is_yes())
        .min_by_key(|stamp| stamp.at)?;
    let last = last.filter(|_| before_reading(first, last))?;
    Some(format!(
        "the time-stamp of {} is before the last reading, taken at {} on the site's clock",
        first.at.format("%Y-%m-%d %H:%M UTC"),
        last.local.format("%Y-%m-%d %H:%M")
    ))
}

/// Whether a time-stamp is earlier than the last reading of the visit.
fn before_reading(stamp: &Stamp, last: Option<LastReading>) -> bool {
    last.is_some_and(|last| stamp.at.naive_utc() < last.earliest)
}

/// What is known about a certificate, by how far it is proved. Each entry is a sentence without a full
/// stop.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Proof {
    /// Facts that are certain unless the cryptography fails.
    pub proved: Vec<String>,
    /// Facts that rest only on somebody's word.
    pub claimed: Vec<String>,
    /// Facts that were not checked.
    pub not_looked_at: Vec<String>,
}

impl Proof {
    /// From the answers about a file whose seal is unbroken, on a clock that shows `now`.
    pub fn of(answers: &Answers<'_>, now: DateTime<FixedOffset>) -> Option<Self> {
        let seal = answers.report.certification()?;
        let contents = answers.contents.as_ref();
        let of_others = answers.extract_of.is_some() || answers.index_of.is_some();
        if contents.is_none() && !of_others {
            return None;
        }
        let mut proof = Self::default();
        let mut sorted = Sorted(&mut proof);
        sorted.proved("nothing was changed since it was sealed, except what the seal permits");
        sorted.key(seal);
        for signature in &answers.report.signatures {
            sorted.countersigned(signature);
        }
        if contents.is_some() {
            sorted.claimed(
                "the readings and everything else in the record: whoever holds the key answers for \
                 it, and nobody else",
            );
        } else if answers.extract_of.is_some() {
            sorted.claimed("everything on the page: the record is only in the whole certificate");
            sorted.not_looked_at("the whole certificate and its record");
        } else {
            sorted.claimed("what it says of the certificates: their records are only in them");
            sorted.not_looked_at("the certificates themselves");
        }
        let last = answers.again.as_ref().and_then(|a| a.visit.last_reading());
        sorted.time(seal, &answers.report, last, now);
        if let Some(contents) = contents {
            sorted.contents(contents);
        }
        sorted
            .0
            .not_looked_at
            .push("whether another certificate replaces this one".to_owned());
        Some(proof)
    }
}

/// Facts that a comparison of words does not show.
const HIDDEN: &str = "whether text on the pages is hidden, covered or drawn as other letters, what \
                      screen readers say, and what pictures show";
/// What is not known of the pictures on pages that were not written again.
const PICTURES: &str =
    "whether the pictures on the pages are the certified photos (use --photos FOLDER)";

/// Sorts facts into the three lists.
struct Sorted<'p>(&'p mut Proof);

impl Sorted<'_> {
    fn proved(&mut self, what: &str) {
        self.0.proved.push(what.to_owned());
    }

    fn claimed(&mut self, what: &str) {
        self.0.claimed.push(what.to_owned());
    }

    fn not_looked_at(&mut self, what: &str) {
        self.0.not_looked_at.push(what.to_owned());
    }

    fn key(&mut self, seal: &SignatureReport) {
        let Some(signer) = &seal.signer else { return };
        let name = signer.named();
        if seal.trust.objects() {
            self.claimed(&format!(
                "the key calls itself {name}, which is contradicted: {}",
                seal.trust.sentence()
            ));
        } else if seal.trust.compared() {
            self.proved(&format!("the key of {name}, which you compared, sealed it"));
        } else {
            self.claimed(&format!(
                "the name of the key, {name}: nobody has compared the key"
            ));
        }
        if let Some(licence) = &signer.licence {
            self.claimed(&format!("the licence {}", quoted_name(licence)));
        }
        if !signer.self_signed && matches!(seal.not_revoked, Answer::NotDetermined(_)) {
            self.not_looked_at("whether the issuer has revoked the key");
        }
    }

    /// Who countersigned, which is as unproved as the name of a seal's key.
    fn countersigned(&mut self, signature: &SignatureReport) {
        let Some(signer) = &signature.signer else {
            return;
        };
        if signature.role != Role::Approval {
            return;
        }
        let name = signer.named();
        if signature.trust.compared() {
            self.proved(&format!(
                "the key of {name}, which you compared, countersigned it"
            ));
        } else {
            self.claimed(&format!(
                "the name of the key that countersigned, {name}: nobody has compared that key"
            ));
        }
    }

    /// The time of the seal. A time-stamp of the seal and one of the whole file prove the same:
    /// that the seal existed by then. A time-stamp that contradicts the certificate proves nothing.
    fn time(
        &mut self,
        seal: &SignatureReport,
        report: &Report<'_>,
        last: Option<LastReading>,
        now: DateTime<FixedOffset>,
    ) {
        let whole = report.signatures.iter();
        let whole = whole.filter(|s| s.role == Role::DocumentStamp);
        let stamps = whole.chain([seal]).filter_map(|s| s.stamp.as_ref());
        let odd = |stamp: &Stamp| {
            !time_warnings::contradictions(stamp, Some(seal), now).is_empty()
                || before_reading(stamp, last)
        };
        let stamp = stamps
            .filter(|stamp| stamp.valid.is_yes())
            .min_by_key(|stamp| (!stamp.trusted.is_yes() || odd(stamp), stamp.at));
        match stamp {
            Some(stamp) if odd(stamp) => self.claimed(&format!(
                "the time of the time-stamp, by {}, which contradicts the certificate",
                stamp.by()
            )),
            Some(stamp) if stamp.trusted.is_yes() => {
                self.proved(&format!(
                    "it was sealed by {}, as a time-stamp shows",
                    stamp.at.to_rfc3339()
                ));
            }
            Some(stamp) => self.claimed(&format!(
                "the time of the time-stamp, by {}, which you do not trust",
                stamp.by()
            )),
            None => self.claimed("the signing time, by the signer's own clock"),
        }
    }

    fn contents(&mut self, contents: &Contents) {
        match &contents.findings {
            Findings::Yes { .. } if contents.other_rules.is_some() => self.proved(
                "the findings follow from the readings in the record by the firm's own rules, which \
                 are inside",
            ),
            Findings::Yes { .. } => {
                self.proved("the findings follow from the readings in the record");
            }
            Findings::OtherVersion { .. } => self.claimed(
                "the findings: another version computed them, and this one computes different \
                 findings",
            ),
            Findings::No { .. } => {
                self.claimed("the findings, which do NOT follow from the record")
            }
            Findings::NotDetermined { .. } => self.not_looked_at("the findings and the record"),
        }
        match &contents.pages {
            Pages::Yes {
                compared: Compared::Pages,
                ..
            } => {
                self.proved(
                    "the pages are exactly what this version of warmlug writes from this record, with \
                     their fonts, tags and attachments",
                );
                if !matches!(contents.photos, Photos::Yes { shown: true, .. }) {
                    self.not_looked_at("what the pictures on the pages show");
                }
            }
            Pages::Yes {
                compared: Compared::Words,
                ..
            } => {
                self.proved("the record's sentences and facts are among the words of the pages");
                self.not_looked_at(HIDDEN);
            }
            Pages::Yes { .. } => {
                self.proved("the record's number, dates, persons and findings are on the pages");
                self.not_looked_at("the other words of the pages");
                self.not_looked_at(HIDDEN);
            }
            Pages::No { .. } => self.claimed("the pages, which do NOT agree with the record"),
            Pages::NotDetermined { .. } => self.not_looked_at("the words of the pages"),
        }
        if let Some(tables) = &contents.tables {
            match tables.not_compared() {
                0 => self.proved(&format!(
                    "the {} rows of the record's tables are on the pages",
                    tables.rows
                )),
                n => self.not_looked_at(&format!(
                    "{n} of the {} rows of the tables on the pages: readings, torques, limits and dates",
                    tables.rows
                )),
            }
        } else if matches!(contents.made_by, Some(MadeBy::OtherVersion { .. })) {
            self.not_looked_at("the tables on the pages: readings, torques, limits and dates");
        }
        let rendered = matches!(
            contents.pages,
            Pages::Yes {
                compared: Compared::Pages,
                ..
            }
        );
        let other = matches!(contents.made_by, Some(MadeBy::OtherVersion { .. }));
        if !rendered && other && matches!(contents.photos, Photos::Digests { .. }) {
            self.not_looked_at(PICTURES);
        }
        match &contents.photos {
            Photos::None => {}
            Photos::Yes { shown, .. } => {
                self.proved("the original photos are the certified ones");
                if *shown {
                    self.proved("the pages show these photos");
                } else {
                    self.not_looked_at("whether the pages show these photos");
                }
            }
            Photos::No { .. } => self.claimed("the photos, which are NOT the certified ones"),
            Photos::Digests { .. } | Photos::Missing { .. } | Photos::NotDetermined { .. } => {
                self.not_looked_at("the original photos (use --photos FOLDER)");
            }
        }
        match &contents.paper {
            Paper::Yes => self.proved("the paper copy's check line is that of this file"),
            Paper::No { .. } => self.claimed("the paper copy, which does NOT match this file"),
            Paper::NotAsked | Paper::NotDetermined { .. } => {
                self.not_looked_at("paper copies (use --check-line LINE)");
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_signing_time_is_odd_before_the_last_reading_or_long_after_the_visit() {
        let warning = |at: &str, earliest: Option<&str>| {
            let at = DateTime::parse_from_rfc3339(at).unwrap();
            let last = earliest.map(|earliest| LastReading {
                local: "2026-10-06T10:55:00".parse().unwrap(),
                earliest: earliest.parse().unwrap(),
            });
            odd_time(at, "2026-10-06".parse().unwrap(), last)
        };
        let before = Some("the signing time is before the visit on 2026-10-06".to_owned());
        assert_eq!(warning("2026-10-05T09:59:00Z", None), before);
        assert_eq!(warning("2026-10-05T23:59:00+14:00", None), before);
        // It is the day of the visit somewhere.
        assert_eq!(warning("2026-10-05T10:00:00Z", None), None);
        // 10:55 at -04:00 is 14:55 UTC.
        let early = warning("2026-10-06T10:54:59-04:00", Some("2026-10-06T14:55:00"));
        let told_early = "the signing time is before the last reading, taken at 2026-10-06 10:55 on the site's clock";
        assert_eq!(early.as_deref(), Some(told_early));
        assert_eq!(
            warning("2026-10-06T14:55:00Z", Some("2026-10-06T14:55:00")),
            None
        );
        assert_eq!(warning("2026-11-05T12:00:00Z", None), None);
        let late = "signed 31 days after the visit on 2026-10-06";
        assert_eq!(warning("2026-11-06T12:00:00Z", None).as_deref(), Some(late));
    }
}
