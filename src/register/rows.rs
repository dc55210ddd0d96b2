//! The register: many certificates as one table, with a row for each circuit of a certificate.
//!
//! A row is read only from a certificate that can be relied on according to [`Answers`]. The row of
//! any other file has only its name, what is wrong and, if the seal is unbroken, the signer and the
//! number. Certificates are independent of each other, so that the work can be split between threads
//! and machines: rows written as JSON lines are read back unchanged, and many such files can be
//! combined to one register.

use super::summary;
use crate::compose::attachments::VISIT;
use crate::quantity::System;
use crate::record::accepted;
use crate::record::answers::Answers;
use crate::record::contents::{Beside, Contents};
use crate::record::recompute::Record;
use crate::seal::known::NewKey;
use crate::seal::report::Changes;
use crate::seal::{VerifyOptions, verify};
use crate::visit::{Circuit, Grade, Visit};
use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest, Sha256};

/// One circuit of one certificate. The fields are the columns of every format, in this order; the
/// margins by connection and the vouching keys are only in JSON lines.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// Certificate number.
    pub number: Option<String>,
    /// Name of the site.
    pub site: Option<String>,
    /// Id of the circuit.
    pub circuit: Option<String>,
    /// Its name for people.
    pub circuit_name: Option<String>,
    /// Date of the visit.
    pub date: Option<NaiveDate>,
    /// Outcome of the whole certificate.
    pub outcome: Option<String>,
    /// Whether the inspection was complete.
    pub complete: Option<bool>,
    /// Worst grade of this circuit, including findings about the whole visit.
    pub worst_grade: Option<String>,
    /// Least margin below the rating on the hottest day among its connections, kelvin.
    pub worst_margin_k: Option<f64>,
    /// Date of the next inspection; `None` if the circuit must not be used until then.
    pub next_due: Option<NaiveDate>,
    /// Who signed.
    pub signer: Option<String>,
    /// SHA-256 of the signing certificate, hexadecimal.
    pub fingerprint: Option<String>,
    /// Signing time, by the signer's clock.
    pub signed_at: Option<DateTime<FixedOffset>>,
    /// Whether it can be relied on, as reported by `verify`.
    pub valid: bool,
    /// What is wrong with the file.
    pub problem: Option<String>,
    /// Unit system that the certificate prints: `us` or `si`.
    pub units: Option<String>,
    /// SHA-256 of the file, hexadecimal.
    pub sha256: String,
    /// SHA-256 of the certificate that this one replaces, as it was sealed.
    pub replaces: Option<String>,
    /// The path of the file as given.
    pub file: String,
    /// SHA-256 of the file as it was sealed: the same in every countersigned copy.
    #[serde(default)]
    pub sealed_sha256: Option<String>,
    /// Number of signatures.
    #[serde(default)]
    pub signatures: Option<u32>,
    /// How much was compared: `whole`, or `in-part` where another version made the certificate, and
    /// this one writes other findings or words.
    #[serde(default)]
    pub compared: Option<String>,
    /// Why a valid certificate does not count: a better result sealed with a key that nobody accepted.
    #[serde(default)]
    pub remark: Option<String>,
    /// Margin of every connection that has one.
    #[serde(default)]
    pub margins: Vec<Margin>,
    /// SHA-256 of the signing certificates, among those of this register, whose keys vouch for
    /// the one that signed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub vouched_by: Vec<String>,
    /// The reader accepted the key by hand. Each run finds out by itself.
    #[serde(skip)]
    pub accepted: bool,
    /// The key, if this run may enter it in the list of known signers.
    #[serde(skip)]
    pub new_key: Option<NewKey>,
}

/// Margin of one connection.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Margin {
    /// Connection id.
    pub connection: String,
    /// Margin below the lowest rating on the hottest day, kelvin.
    pub margin_k: f64,
}

impl Row {
    /// A row for a file of which nothing else is known.
    fn of_file(file: &str, sha256: String) -> Self {
        Row {
            number: None,
            site: None,
            circuit: None,
            circuit_name: None,
            date: None,
            outcome: None,
            complete: None,
            worst_grade: None,
            worst_margin_k: None,
            next_due: None,
            signer: None,
            fingerprint: None,
            signed_at: None,
            valid: false,
            problem: None,
            units: None,
            sha256,
            replaces: None,
            file: file.to_owned(),
            sealed_sha256: None,
            signatures: None,
            compared: None,
            remark: None,
            margins: Vec::new(),
            vouched_by: Vec::new(),
            accepted: false,
            new_key: None,
        }
    }

    /// A row for a file that could not be read.
    pub fn unreadable(file: &str, problem: String) -> Self {
        Row {
            problem: Some(problem),
            ..Row::of_file(file, String::new())
        }
    }

    /// Identifies the certificate; a countersigned copy has the same value.
    pub fn certificate(&self) -> &str {
        self.sealed_sha256.as_deref().unwrap_or(&self.sha256)
    }

    /// Whether this certificate was sealed with the key of the earlier one, or with a key that the
    /// earlier key vouches for.
    pub fn same_hand(&self, earlier: &Row) -> bool {
        self.fingerprint == earlier.fingerprint
            || earlier
                .fingerprint
                .as_ref()
                .is_some_and(|key| self.vouched_by.contains(key))
    }

    /// Whether a better result in this certificate can lift a stop or a repair of the earlier one.
    pub fn may_lift(&self, earlier: &Row) -> bool {
        self.accepted || self.same_hand(earlier)
    }

    /// Whether another version made the certificate, so that it was compared in part only.
    pub fn in_part(&self) -> bool {
        self.compared.as_deref() == Some(IN_PART)
    }

    /// The subject of the row: site and circuit.
    pub fn subject(&self) -> Option<(&str, &str)> {
        Some((self.site.as_deref()?, self.circuit.as_deref()?))
    }

    /// Name of the circuit for people.
    pub fn title(&self) -> &str {
        let name = self.circuit_name.as_deref().or(self.circuit.as_deref());
        name.unwrap_or_default()
    }

    /// The worst grade.
    pub fn grade(&self) -> Option<Grade> {
        let word = self.worst_grade.as_deref()?;
        Grade::ALL.into_iter().find(|g| g.word() == word)
    }

    /// Outcome of this circuit alone, by its worst grade; the certificate's outcome if that is unknown.
    pub fn own_outcome(&self) -> Option<&str> {
        match self.grade() {
            Some(grade) => Some(crate::assess::outcome(grade).word()),
            None => self.outcome.as_deref(),
        }
    }

    /// Whether the circuit itself is to be repaired or must not be used.
    pub fn unsatisfactory(&self) -> bool {
        self.own_outcome() == Some(crate::assess::Outcome::Unsatisfactory.word())
    }

    /// Whether the circuit must not be used until it has been repaired and inspected again.
    pub fn out_of_use(&self) -> bool {
        self.valid && self.next_due.is_none() && self.unsatisfactory()
    }
}

/// What a row says of a certificate that was compared in part.
const IN_PART: &str = "in-part";

/// The rows of one certificate; at least one. What the reader knows signers by stands in
/// `options`.
pub fn rows(file: &str, pdf: &[u8], options: &VerifyOptions) -> Vec<Row> {
    if !pdf.starts_with(b"%PDF-") {
        return vec![Row {
            problem: Some("this is no PDF".to_owned()),
            ..Row::of_file(file, digest(pdf))
        }];
    }
    let answers = Answers::of(pdf, options, &Beside::default());
    let sealed = signed(file, pdf, &answers);
    let whole = answers
        .contents
        .as_ref()
        .is_some_and(Contents::compared_whole);
    let compared = Some(if whole { "whole" } else { IN_PART }.to_owned());
    match (&answers.again, &answers.record) {
        (Some(again), Some(record)) if answers.good() => {
            let visit = &again.visit;
            let circuits = visit.circuits.iter();
            circuits
                .map(|circuit| Row {
                    compared: compared.clone(),
                    ..of_circuit(&sealed, visit, circuit, &record.assessment)
                })
                .collect()
        }
        _ => vec![Row {
            number: answers.standing.as_ref().map(|s| s.number.clone()),
            problem: Some(answers.sentence()),
            valid: false,
            ..sealed
        }],
    }
}

/// The number of a certificate with an unbroken seal. It counts as used even if the certificate
/// does not verify otherwise.
pub fn number(pdf: &[u8]) -> Option<String> {
    let report = verify(pdf, &VerifyOptions::default());
    let record = Record::read(&report.verified()?).ok()?;
    let visit = accepted::read(&record.visit, VISIT).ok()?;
    Some(visit.number)
}

fn digest(bytes: &[u8]) -> String {
    base16ct::lower::encode_string(&Sha256::digest(bytes))
}

/// The file, and, if the seal is unbroken, the signer and the signing time.
fn signed(file: &str, pdf: &[u8], answers: &Answers<'_>) -> Row {
    let report = &answers.report;
    let sealed = answers.standing.as_ref().map(|s| s.sha256.clone());
    let whole = report.changes == Changes::None;
    let sha256 = match &sealed {
        Some(sealed) if whole => sealed.clone(),
        _ => digest(pdf),
    };
    let blank = Row::of_file(file, sha256);
    if !report.genuine() {
        return blank;
    }
    let certification = report.certification();
    let signer = certification.and_then(|s| s.signer.as_ref());
    Row {
        signer: signer.map(|s| s.name.clone()),
        fingerprint: signer.map(|s| s.fingerprint.hex()),
        signed_at: certification.and_then(|s| s.signed.at),
        sealed_sha256: sealed,
        signatures: u32::try_from(report.signatures.len()).ok(),
        valid: true,
        new_key: answers.new_key(),
        ..blank
    }
}

fn of_circuit(sealed: &Row, visit: &Visit, circuit: &Circuit, assessment: &Value) -> Row {
    let concerns = |v: &Value| v.is_null() || v.as_str() == Some(circuit.id.as_str());
    let list = |v: &'_ Value| v.as_array().cloned().unwrap_or_default();
    let worst = list(&assessment["findings"])
        .iter()
        .filter(|f| concerns(&f["circuit"]))
        .filter_map(|f| {
            let own = f["judgement"]["grade"].as_str();
            let word = own.or_else(|| f["grade"].as_str())?;
            Grade::ALL.into_iter().find(|g| g.word() == word)
        })
        .max()
        .unwrap_or(Grade::Pass);
    let margins: Vec<Margin> = list(&assessment["circuits"])
        .iter()
        .filter(|c| c["id"].as_str() == Some(circuit.id.as_str()))
        .flat_map(|c| list(&c["connections"]))
        .filter_map(|c| {
            Some(Margin {
                connection: c["id"].as_str()?.to_owned(),
                margin_k: c["margin_k"].as_f64()?,
            })
        })
        .collect();
    Row {
        number: Some(visit.number.clone()),
        site: Some(visit.site.name.clone()),
        circuit: Some(circuit.id.clone()),
        circuit_name: circuit.name.clone(),
        date: Some(visit.date),
        outcome: assessment["outcome"].as_str().map(str::to_owned),
        complete: assessment["complete"].as_bool(),
        worst_grade: Some(worst.word().to_owned()),
        worst_margin_k: margins.iter().map(|m| m.margin_k).min_by(f64::total_cmp),
        next_due: assessment["next_due"].as_str().and_then(|d| d.parse().ok()),
        units: Some(
            match visit.print.units {
                System::Us => "us",
                System::Si => "si",
            }
            .to_owned(),
        ),
        replaces: visit.replaces.as_ref().map(|r| r.sha256.clone()),
        margins,
        ..sealed.clone()
    }
}

/// The rows in a file of JSON lines written by an earlier run.
///
/// # Errors
/// The line number, counted from 1, and the error in it.
pub fn from_json_lines(text: &str) -> Result<Vec<Row>, (usize, String)> {
    text.lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty())
        .map(|(i, line)| serde_json::from_str(line).map_err(|e| (i + 1, e.to_string())))
        .collect()
}

/// Which rows to select.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Only circuits that are due before this date, or must not be used.
    pub due_before: Option<NaiveDate>,
    /// Only circuits with one of these outcomes; all if empty.
    pub outcomes: Vec<String>,
    /// Only sites whose name contains this text, ignoring case.
    pub site: Option<String>,
}

impl Wanted {
    /// The selected rows. With `due_before`, only the latest row of each circuit counts, because it
    /// supersedes the earlier ones.
    pub fn rows<'a>(&self, all: &'a [Row]) -> Vec<&'a Row> {
        let candidates = match self.due_before {
            Some(_) => summary::latest(all),
            None => all.iter().collect(),
        };
        candidates.into_iter().filter(|r| self.holds(r)).collect()
    }

    /// The latest row of each circuit, if it is selected.
    pub fn latest<'a>(&self, all: &'a [Row]) -> Vec<&'a Row> {
        let mut latest = summary::latest(all);
        latest.retain(|r| self.holds(r));
        latest
    }

    /// Whether a row is selected, regardless of its date.
    fn holds(&self, row: &Row) -> bool {
        let due = self
            .due_before
            // A certificate without a due date has a circuit that must not be used; its other
            // circuits wait for the same repair.
            .is_none_or(|day| row.valid && row.next_due.is_none_or(|d| d < day));
        let outcome = self.outcomes.is_empty()
            || row
                .own_outcome()
                .is_some_and(|own| self.outcomes.iter().any(|o| o == own));
        let site = self.site.as_ref().is_none_or(|part| {
            row.site
                .as_ref()
                .is_some_and(|s| s.to_lowercase().contains(&part.to_lowercase()))
        });
        due && outcome && site
    }
}

#[cfg(test)]
pub(super) mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// A sound certificate's row.
    pub fn row(number: &str, circuit: &str, date: &str, due: Option<&str>) -> Row {
        Row {
            number: Some(number.to_owned()),
            site: Some("Mill Lane".to_owned()),
            circuit: Some(circuit.to_owned()),
            date: Some(date.parse().unwrap()),
            outcome: Some("satisfactory".to_owned()),
            complete: Some(true),
            worst_grade: Some("pass".to_owned()),
            worst_margin_k: Some(20.0),
            next_due: due.map(|d| d.parse().unwrap()),
            signer: Some("Ada Ohm".to_owned()),
            fingerprint: Some("ab".repeat(32)),
            valid: true,
            units: Some("us".to_owned()),
            margins: vec![Margin {
                connection: "breaker-L1".to_owned(),
                margin_k: 20.0,
            }],
            ..Row::of_file(
                &format!("{number}-{circuit}.pdf"),
                format!("sha of {number}"),
            )
        }
    }

    #[test]
    fn filters_hold_what_is_wanted() {
        let a = row("1", "bay", "2026-01-01", Some("2026-07-01"));
        let mut stop = row("2", "bay", "2026-01-01", None);
        stop.outcome = Some("unsatisfactory".to_owned());
        stop.worst_grade = Some("stop".to_owned());
        let before = |day: &str| Wanted {
            due_before: Some(day.parse().unwrap()),
            ..Wanted::default()
        };
        assert!(before("2026-07-02").holds(&a));
        assert!(!before("2026-07-01").holds(&a), "before the day, not on it");
        assert!(
            before("2026-02-01").holds(&stop),
            "out of use is due at once"
        );
        let site = |s: &str| Wanted {
            site: Some(s.to_owned()),
            ..Wanted::default()
        };
        assert!(site("mill").holds(&a) && !site("yard").holds(&a));
        let outcome = Wanted {
            outcomes: vec!["unsatisfactory".to_owned()],
            ..Wanted::default()
        };
        assert!(outcome.holds(&stop) && !outcome.holds(&a));
        // A sound circuit on the same certificate: neither unsatisfactory nor out of use itself.
        let mut beside = stop.clone();
        beside.worst_grade = Some("pass".to_owned());
        assert!(!outcome.holds(&beside) && !beside.out_of_use() && stop.out_of_use());
        assert!(before("2026-02-01").holds(&beside), "it has no later day");
    }

    #[test]
    fn an_earlier_certificate_of_a_circuit_is_not_due_again() {
        let all = [
            row("1", "bay", "2025-01-01", Some("2025-07-01")),
            row("2", "bay", "2025-06-20", Some("2027-06-20")),
        ];
        let wanted = Wanted {
            due_before: Some("2026-01-01".parse().unwrap()),
            ..Wanted::default()
        };
        assert!(wanted.rows(&all).is_empty());
        assert_eq!(Wanted::default().rows(&all).len(), 2);
        assert_eq!(Wanted::default().latest(&all).len(), 1);
        assert!(!super::super::calendar::calendar(&all, &wanted).contains("VEVENT"));
    }

    #[test]
    fn numbers_read_back_to_the_last_digit() {
        let mut odd = row("1", "bay", "2026-01-01", None);
        odd.worst_margin_k = Some(-1.996_999_999_999_999_9);
        let text = super::super::text_table::json_lines(&[&odd]);
        assert_eq!(from_json_lines(&text).unwrap(), [odd]);
    }

    #[test]
    fn json_lines_read_back_and_tell_the_line_that_is_wrong() {
        let rows = vec![
            row("1", "bay", "2026-01-01", Some("2026-07-01")),
            Row::unreadable("x.pdf", "gone".to_owned()),
        ];
        let text = super::super::text_table::json_lines(&rows.iter().collect::<Vec<_>>());
        assert_eq!(from_json_lines(&text).unwrap(), rows);
        let (line, why) = from_json_lines(&format!("{text}{{\"nmber\": 1}}\n")).unwrap_err();
        assert_eq!(line, 3);
        assert!(why.contains("nmber"), "{why}");
    }
}
