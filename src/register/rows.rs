//! The register: many certificates as one table, with a row for each circuit of a certificate.
//!
//! A row is read only from a certificate that can be relied on according to [`Answers`]. The row of
//! any other file has only its name, the problem and, if the seal is unbroken, the signer and the
//! number. Certificates are independent of each other, so the work can be divided among threads and
//! machines: rows written as JSON lines are read back unchanged, and many such files can be
//! combined into one register.

use super::measured;
use super::row::{IN_PART, Margin, Row, SEALS_ONLY, of_visit};
use crate::compose::attachments::VISIT;
use crate::quantity::System;
use crate::record::accepted;
use crate::record::answers::Answers;
use crate::record::contents::{Contents, Extent, OwnEvidence};
use crate::record::recompute::{Record, grade_that_counts};
use crate::seal::report::{Changes, Trust};
use crate::seal::{VerifyOptions, verify};
use crate::visit::{Circuit, Grade, Visit};
use crate::vocabulary::LimitationId;
use chrono::NaiveDate;
use serde_json::Value;
use sha2::{Digest, Sha256};

/// The rows of one certificate: at least one, but none for an extract or a label of a certificate, for an
/// index of certificates, or for a paper that was never signed. `options` contains the signers that the
/// reader knows. With `seals_only`, the pages are not written again.
pub fn rows(file: &str, pdf: &[u8], options: &VerifyOptions, seals_only: bool) -> Vec<Row> {
    if !pdf.starts_with(b"%PDF-") {
        return vec![Row {
            problem: Some("this is not a PDF".to_owned()),
            ..Row::of_file(file, digest(pdf))
        }];
    }
    if unsigned_paper(pdf) {
        return Vec::new();
    }
    let beside = OwnEvidence {
        seals_only,
        ..OwnEvidence::default()
    };
    let answers = Answers::of(pdf, options, &beside);
    if answers.without_record() {
        return Vec::new();
    }
    let sealed = signed(file, pdf, &answers);
    let compared = match answers.contents.as_ref().map(Contents::extent) {
        Some(Extent::Whole) => "whole",
        Some(Extent::Words) if seals_only => SEALS_ONLY,
        _ => IN_PART,
    };
    let compared = Some(compared.to_owned());
    let circuits: Vec<Row> = match (&answers.again, &answers.record) {
        (Some(again), Some(record)) => {
            let circuits = again.visit.circuits.iter();
            circuits
                .map(|circuit| Row {
                    compared: compared.clone(),
                    softened: softened(&answers),
                    ..of_circuit(&sealed, &again.visit, circuit, &record.assessment)
                })
                .collect()
        }
        _ => Vec::new(),
    };
    if answers.good() && !circuits.is_empty() {
        return circuits;
    }
    let problem = answers.sentence();
    // The impostor's key may be the one that was seen first.
    if contested(&answers, options) && circuits.iter().any(Row::unsatisfactory) {
        let warnings = circuits.into_iter().filter(Row::unsatisfactory);
        return warnings
            .map(|row| Row {
                problem: Some(problem.clone()),
                valid: false,
                contested: true,
                ..row
            })
            .collect();
    }
    vec![Row {
        number: answers.standing.as_ref().map(|s| s.number.clone()),
        problem: Some(problem),
        valid: false,
        ..sealed
    }]
}

/// How the identifiers begin or end of the papers that are written without a signature: repair orders,
/// letters, worksheets, and reports of verifications.
const PAPERS: [&[u8]; 4] = [
    b"-order sha256:",
    b"-reminder-",
    b"-worksheet</dc:identifier>",
    b"<dc:identifier>verification sha256:",
];

/// Whether a file says that it is a paper without a signature, and has none. Such a file is no changed
/// certificate, and is often kept beside the certificate that it belongs to.
fn unsigned_paper(pdf: &[u8]) -> bool {
    let has = |what: &[u8]| memchr::memmem::find(pdf, what).is_some();
    !has(b"/ByteRange") && PAPERS.iter().any(|paper| has(paper))
}

/// The results of the built-in rule sets that grade something worse than the firm's own rules do.
fn softened(answers: &Answers<'_>) -> Option<String> {
    let rules = answers.contents.as_ref()?.other_rules.as_ref()?;
    let worse = rules.built_in.iter().filter(|by| !by.worse.is_empty());
    let results: Vec<String> = worse
        .map(|by| {
            format!(
                "by the built-in set {}, edition {}, “{}”",
                by.id, by.edition, by.result
            )
        })
        .collect();
    (!results.is_empty()).then(|| results.join("; "))
}

/// Whether the only objection to a certificate is that names in it are known with other keys, none
/// of which the reader accepted.
fn contested(answers: &Answers<'_>, options: &VerifyOptions) -> bool {
    let keys = answers.report.signatures.iter().map(|s| &s.trust);
    answers.report.unchanged()
        && answers.contents.as_ref().is_some_and(Contents::hold)
        && keys
            .filter(|trust| trust.objects())
            .all(|trust| match trust {
                Trust::OtherKey { known, .. } => !options.accepts(known),
                _ => false,
            })
}

/// The number of a certificate with an unbroken seal, and the firm whose number it is (the inspector, if
/// no firm is named). It counts as used even if the certificate does not verify otherwise.
pub fn number(pdf: &[u8]) -> Option<(String, String)> {
    let report = verify(pdf, &VerifyOptions::default());
    let record = Record::read(&report.verified()?).ok()?;
    let visit = accepted::read(&record.visit, VISIT).ok()?;
    let inspector = visit.inspector;
    Some((visit.number, inspector.firm.unwrap_or(inspector.name)))
}

fn digest(bytes: &[u8]) -> String {
    base16ct::lower::encode_string(&Sha256::digest(bytes))
}

/// The file, and, if the seal is unbroken, the signer and the signing time.
fn signed(file: &str, pdf: &[u8], answers: &Answers<'_>) -> Row {
    let report = &answers.report;
    let standing = answers.standing.as_ref();
    let sealed = standing.map(|s| s.sha256.clone());
    let whole = report.changes == Changes::None;
    let sha256 = match &sealed {
        Some(sealed) if whole => sealed.clone(),
        _ => digest(pdf),
    };
    let blank = Row::of_file(file, sha256);
    if !report.unchanged() {
        return blank;
    }
    let certification = report.certification();
    let signer = certification.and_then(|s| s.signer.as_ref());
    Row {
        signer: signer.map(|s| s.name.clone()),
        fingerprint: signer.map(|s| s.fingerprint.hex()),
        signed_at: certification.and_then(|s| s.signed.at),
        low_s_sha256: standing.and_then(|s| (s.identity != s.sha256).then(|| s.identity.clone())),
        other_form: standing.and_then(|s| s.other_form.clone()),
        signed_bytes_sha256: standing.map(|s| s.signed.clone()),
        sealed_sha256: sealed,
        signatures: u32::try_from(report.signatures.len()).ok(),
        valid: true,
        key_compared: Some(report.key_compared()),
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
        .filter_map(grade_that_counts)
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
    let whole = assessment["complete"].as_bool();
    Row {
        number: Some(visit.number.clone()),
        site: Some(visit.site.name.clone()),
        site_address: visit.site.address.clone(),
        circuit: Some(circuit.id.clone()),
        circuit_name: circuit.name.clone(),
        date: Some(visit.date),
        outcome: assessment["outcome"]
            .as_str()
            .map(|outcome| of_visit(outcome, whole).to_owned()),
        complete: complete(assessment, &circuit.id),
        worst_grade: Some(worst.word().to_owned()),
        worst_margin_k: margins.iter().map(|m| m.margin_k).min_by(f64::total_cmp),
        next_due: next_due(assessment, &circuit.id),
        units: Some(
            match visit.print.units {
                System::Us => "us",
                System::Si => "si",
            }
            .to_owned(),
        ),
        replaces: visit.replaces.as_ref().map(|r| r.sha256.clone()),
        firm: visit.inspector.firm.clone(),
        charger_make: circuit.charger.make.clone(),
        charger_serial: circuit.charger.serial.clone(),
        equipment: Some(measured::equipment(circuit)),
        thermometer: measured::thermometer(visit, circuit),
        points: measured::points(circuit, assessment),
        margins,
        ..sealed.clone()
    }
}

/// Whether the inspection of a circuit was complete: of a visit to several, it may be so although something is
/// missing at another circuit. That a visit ended early belongs to the circuits at which something is missing,
/// if that is known.
fn complete(assessment: &Value, circuit: &str) -> Option<bool> {
    let whole = assessment["complete"].as_bool()?;
    let Some(limitations) = assessment["limitations"].as_array().filter(|_| !whole) else {
        return Some(whole);
    };
    let ends = LimitationId::ALL.into_iter().filter(|id| id.of_the_end());
    let ends: Vec<&str> = ends.map(|id| id.word()).collect();
    let missing = limitations
        .iter()
        .filter(|l| l["incomplete"].as_bool() != Some(false))
        .filter(|l| !l["id"].as_str().is_some_and(|id| ends.contains(&id)));
    let at: Vec<Option<&str>> = missing.map(|l| l["circuit"].as_str()).collect();
    let elsewhere = !at.is_empty() && at.iter().all(|at| at.is_some_and(|at| at != circuit));
    Some(elsewhere)
}

/// The day by which a circuit is due. Records of earlier versions have one for the whole visit only.
fn next_due(assessment: &Value, circuit: &str) -> Option<NaiveDate> {
    let own = assessment["circuits"].as_array().and_then(|circuits| {
        let own = circuits.iter().find(|c| c["id"].as_str() == Some(circuit));
        own?.get("next_due")
    });
    let due = own.unwrap_or(&assessment["next_due"]);
    due.as_str()?.parse().ok()
}

/// The rows in a file of JSON lines written by an earlier run.
///
/// # Errors
/// The line number, counted from 1, and the error in it.
pub fn from_json_lines(text: &str) -> Result<Vec<Row>, (usize, String)> {
    text.lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty())
        .map(|(i, line)| {
            let row: Row = serde_json::from_str(line).map_err(|e| (i + 1, e.to_string()))?;
            // Earlier versions wrote the outcome of the part that had been done.
            let outcome = row.outcome.as_deref();
            let outcome = outcome.map(|outcome| of_visit(outcome, row.complete).to_owned());
            Ok(Row { outcome, ..row })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::row::tests::row;
    use super::*;

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

    #[test]
    fn a_row_has_the_results_of_its_own_circuit_and_those_of_the_whole_visit() {
        let text = include_str!("../../examples/landlord-six/visit.yaml");
        let visit = crate::visit::read(text, "visit.yaml", &accepted::Accepted).unwrap();
        let rules = crate::rules::built_in("us").unwrap();
        let assessment = crate::assess::assess(&visit, rules, &[]);
        let wording = crate::compose::Wording::built_in("en").unwrap();
        let mut json = crate::compose::json(&assessment, &visit, rules, wording);
        let sealed = Row {
            valid: true,
            ..Row::of_file("six.pdf", "5a5a".to_owned())
        };
        let of = |json: &Value, n: usize| of_circuit(&sealed, &visit, &visit.circuits[n], json);
        let (first, fourth) = (of(&json, 0), of(&json, 3));
        assert_eq!(first.worst_grade.as_deref(), Some("pass"));
        assert_eq!(fourth.worst_grade.as_deref(), Some("repair"));
        // Bay 4 is not to be used, the others are seen again after half a year.
        assert_eq!(fourth.next_due, None);
        assert_eq!(first.next_due.unwrap().to_string(), "2026-01-22");
        let margins = |n: usize| -> Vec<f64> {
            let all = json["circuits"][n]["connections"].as_array().unwrap();
            all.iter().filter_map(|c| c["margin_k"].as_f64()).collect()
        };
        for (row, n) in [(&first, 0), (&fourth, 3)] {
            let own: Vec<f64> = row.margins.iter().map(|m| m.margin_k).collect();
            assert_eq!(own, margins(n));
            let least = own.iter().copied().reduce(f64::min);
            assert_eq!(row.worst_margin_k, least);
        }
        assert!(fourth.worst_margin_k < first.worst_margin_k);
        assert_eq!(first.replaces, None);
        assert_eq!(
            fourth.circuit_name.as_deref(),
            Some("Bay 4, fourth from the stair")
        );
        assert_eq!(fourth.charger_serial.as_deref(), Some("NB32-004104"));
        // A finding of the whole visit is one of each circuit.
        let whole = serde_json::json!({ "circuit": null, "grade": "watch", "rule_grade": "watch" });
        json["findings"].as_array_mut().unwrap().push(whole);
        assert_eq!(of(&json, 0).worst_grade.as_deref(), Some("watch"));
        assert_eq!(of(&json, 3).worst_grade.as_deref(), Some("repair"));
        let mut later = visit.clone();
        later.replaces = Some(crate::visit::Replaces {
            number: "1".to_owned(),
            sha256: "of the one before".to_owned(),
        });
        let later = of_circuit(&sealed, &later, &later.circuits[0], &json);
        assert_eq!(later.replaces.as_deref(), Some("of the one before"));
    }

    #[test]
    fn papers_that_nobody_signed_are_no_certificates() {
        let paper =
            |more: &str| unsigned_paper(format!("%PDF-1.7 1-order sha256:5a {more}").as_bytes());
        assert!(paper(""));
        assert!(!paper("/ByteRange [0 1 2 3]"));
        assert!(!unsigned_paper(b"%PDF-1.7"));
    }
}
