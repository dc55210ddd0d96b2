//! An index of certificates for an authority or an insurer: one entry a certificate, with the digest of
//! its file.

use super::row::{Row, of_visit};
use super::text_table::{BYTE_ORDER_MARK, guarded};
use crate::assess;
use crate::compose::index::{Covered, Entry};
use crate::typeset;
use crate::visit::{Grade, Paper, Units};
use std::collections::{BTreeSet, HashMap};

/// Names of the columns of the table.
const COLUMNS: [&str; 16] = [
    "number",
    "date",
    "site",
    "circuits",
    "outcome",
    "complete",
    "next_due",
    "superseded_by",
    "firm",
    "signer",
    "fingerprint",
    "signed_at",
    "key_compared",
    "sha256",
    "sealed_sha256",
    "file",
];

/// An index, ready to be set and sealed.
#[derive(Debug, Clone, PartialEq)]
pub struct Index {
    /// Its entries, by site, then by date.
    pub entries: Vec<Entry>,
    /// What they are together.
    pub covered: Covered,
    /// The same as comma-separated values, in UTF-8 with a byte-order mark (RFC 4180).
    pub table: Vec<u8>,
    /// Unit system of most certificates, by which dates are written.
    pub units: Units,
    /// The paper that goes with it.
    pub paper: Paper,
}

/// The index of the certificates that the wanted rows are of. Only certificates that verify are in it;
/// of several copies of one, the one with most signatures is. `place` gives the path of a file as the
/// receiver of the index will look for it.
///
/// # Errors
/// Writing the table to memory does not fail; errors of the library are passed on.
pub fn index(
    all: &[Row],
    wanted: &[&Row],
    place: &dyn Fn(&str) -> String,
) -> Result<Index, csv::Error> {
    let wanted: BTreeSet<&str> = wanted.iter().map(|row| row.certificate()).collect();
    let mut certificates: HashMap<&str, Vec<&Row>> = HashMap::new();
    for row in all.iter().filter(|row| row.valid) {
        if wanted.contains(row.certificate()) {
            certificates.entry(row.certificate()).or_default().push(row);
        }
    }
    let mut listed: Vec<Vec<&Row>> = certificates.into_values().map(of_one_file).collect();
    listed.sort_by_key(|rows| {
        rows.first()
            .map(|row| (&row.site, row.date, &row.number, &row.file))
    });
    let left_out: BTreeSet<&str> = all
        .iter()
        .filter(|row| !row.valid)
        .map(|row| row.file.as_str())
        .collect();
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(BYTE_ORDER_MARK.to_vec());
    writer.write_record(COLUMNS)?;
    let mut entries = Vec::new();
    for rows in &listed {
        let Some((entry, cells)) = entry(rows, place) else {
            continue;
        };
        writer.write_record(cells)?;
        entries.push(entry);
    }
    let us = listed
        .iter()
        .filter_map(|rows| rows.first())
        .filter(|row| row.units.as_deref() == Some("us"));
    let (units, paper) = match 2 * us.count() > entries.len() {
        true => (Units::Us, Paper::Letter),
        false => (Units::Si, Paper::A4),
    };
    let days = || entries.iter().map(|entry| entry.date);
    Ok(Index {
        covered: Covered {
            certificates: entries.len(),
            from: days().min(),
            to: days().max(),
            left_out: left_out.len(),
        },
        table: writer.into_inner().map_err(|e| e.into_error())?,
        entries,
        units,
        paper,
    })
}

/// The rows of the copy with most signatures; of equal ones the first by name.
fn of_one_file(rows: Vec<&Row>) -> Vec<&Row> {
    let best = rows
        .iter()
        .min_by_key(|row| (std::cmp::Reverse(row.signatures), &row.file))
        .map(|row| &row.file);
    let best = best.cloned();
    rows.into_iter()
        .filter(|row| Some(&row.file) == best.as_ref())
        .collect()
}

/// The entry of one certificate, and its line in the table.
fn entry(
    rows: &[&Row],
    place: &dyn Fn(&str) -> String,
) -> Option<(Entry, [String; COLUMNS.len()])> {
    let first = rows.first()?;
    let worst = rows.iter().filter_map(|row| row.grade()).max();
    let worst = worst.unwrap_or(Grade::Pass);
    let outcome = assess::outcome(worst);
    let complete = rows.iter().all(|row| row.complete != Some(false));
    // Of the circuits for which it is still the result in force.
    let current: Vec<&&Row> = rows
        .iter()
        .filter(|row| row.current != Some(false))
        .collect();
    let superseded_by = match current.is_empty() {
        true => rows.iter().find_map(|row| row.superseded_by.clone()),
        false => None,
    };
    let due = match current.is_empty() {
        true => rows.iter().map(|row| row.next_due).collect::<Vec<_>>(),
        false => current.iter().map(|row| row.next_due).collect(),
    };
    let next_due = due.iter().copied().min().flatten();
    let number = first.number.clone().unwrap_or_default();
    let site = first.site.clone().unwrap_or_default();
    let date = first.date?;
    let file = place(&first.file);
    let text = |text: &Option<String>| guarded(text.as_deref().unwrap_or_default());
    let day = |day: Option<chrono::NaiveDate>| day.map(|d| d.to_string()).unwrap_or_default();
    let cells = [
        guarded(&number),
        date.to_string(),
        guarded(&site),
        rows.len().to_string(),
        of_visit(outcome.word(), Some(complete)).to_owned(),
        complete.to_string(),
        day(next_due),
        text(&superseded_by),
        text(&first.firm),
        text(&first.signer),
        text(&first.fingerprint),
        first
            .signed_at
            .map(|at| at.to_rfc3339())
            .unwrap_or_default(),
        (first.key_compared == Some(true)).to_string(),
        first.sha256.clone(),
        text(&first.sealed_sha256),
        // With `./`, a spreadsheet takes it for text, and it is still the path of the file.
        match guarded(&file) == file {
            true => file.clone(),
            false => format!("./{file}"),
        },
    ];
    let entry = Entry {
        number: printable(&number),
        date,
        site: printable(&site),
        outcome,
        complete,
        worst,
        next_due,
        superseded_by: superseded_by.as_deref().map(printable),
        sha256: first.sha256.clone(),
        file: printable(&file),
    };
    Some((entry, cells))
}

/// Text that the face has; the names of files may be a stranger's.
fn printable(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            c if c.is_control() => ' ',
            c if typeset::prints(c) => c,
            _ => '?',
        })
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::current;
    use super::super::row::tests::row;
    use super::*;
    use crate::assess::Outcome;

    fn made(rows: &mut [Row]) -> Index {
        current::mark(rows);
        let all: Vec<&Row> = rows.iter().collect();
        index(rows, &all, &|file| format!("certificates/{file}")).unwrap()
    }

    #[test]
    fn a_certificate_is_one_entry_with_its_worst_result_and_its_first_date() {
        let mut rows = [
            row("1", "a", "2026-01-01", Some("2026-07-01")),
            row("1", "b", "2026-01-01", Some("2026-03-01")),
            row("2", "a", "2026-02-01", Some("2027-02-01")),
        ];
        rows[1].file = rows[0].file.clone();
        rows[1].worst_grade = Some("watch".to_owned());
        let index = made(&mut rows);
        assert_eq!(index.entries.len(), 2);
        let [first, second] = &index.entries[..] else {
            unreachable!()
        };
        assert_eq!((first.number.as_str(), second.number.as_str()), ("1", "2"));
        assert_eq!(first.outcome, Outcome::SatisfactoryWithNotes);
        assert_eq!(first.worst, Grade::Watch);
        // Circuit b is still in force; a is not.
        assert_eq!(first.superseded_by, None);
        assert_eq!(first.next_due.unwrap().to_string(), "2026-03-01");
        assert_eq!(first.file, "certificates/1-a.pdf");
        assert_eq!((index.covered.certificates, index.covered.left_out), (2, 0));
        assert_eq!(index.covered.to.unwrap().to_string(), "2026-02-01");
    }

    #[test]
    fn before_its_use_is_the_first_date_and_a_later_visit_supersedes() {
        let mut rows = [
            row("1", "a", "2026-01-01", None),
            row("1", "b", "2026-01-01", Some("2026-03-01")),
        ];
        rows[1].file = rows[0].file.clone();
        rows[0].worst_grade = Some("stop".to_owned());
        assert_eq!(made(&mut rows).entries[0].next_due, None);
        let mut rows = [
            row("1", "a", "2026-01-01", Some("2026-07-01")),
            row("2", "a", "2026-02-01", Some("2027-02-01")),
        ];
        let index = made(&mut rows);
        assert_eq!(index.entries[0].superseded_by.as_deref(), Some("2"));
        assert_eq!(index.entries[1].superseded_by, None);
    }

    #[test]
    fn copies_are_one_entry_and_what_does_not_verify_is_only_counted() {
        let mut plain = row("1", "a", "2026-01-01", Some("2026-07-01"));
        plain.sealed_sha256 = Some(plain.sha256.clone());
        plain.signatures = Some(1);
        let signed = Row {
            sha256: "of the copy".to_owned(),
            signatures: Some(2),
            file: "copy.pdf".to_owned(),
            ..plain.clone()
        };
        let mut rows = [
            plain,
            signed,
            Row::unreadable("b.pdf", "it was changed".to_owned()),
        ];
        let index = made(&mut rows);
        assert_eq!(index.entries.len(), 1);
        assert_eq!(index.entries[0].sha256, "of the copy");
        assert_eq!(index.covered.left_out, 1);
        let table = String::from_utf8(index.table).unwrap();
        assert_eq!(table.lines().count(), 2);
        assert!(table.contains(",of the copy,sha of 1,"), "{table}");
    }

    #[test]
    fn names_that_cannot_be_printed_are_kept_in_the_table() {
        let mut rows = [row("=1+1", "a", "2026-01-01", Some("2026-07-01"))];
        rows[0].site = Some("漢 Mill\u{7}Lane".to_owned());
        let index = made(&mut rows);
        assert_eq!(index.entries[0].site, "? Mill Lane");
        let table = String::from_utf8(index.table).unwrap();
        assert!(table.contains("'=1+1,2026-01-01,漢 Mill"), "{table}");
    }

    #[test]
    fn an_index_lists_what_was_selected_and_verifies_with_what_is_open_about_it() {
        let mut rows = [
            row("=1", "a", "2026-01-01", Some("2026-07-01")),
            row("=1", "b", "2026-01-01", Some("2026-08-01")),
            row("2", "c", "2026-02-01", Some("2027-02-01")),
            row("3", "d", "2026-03-01", None),
        ];
        rows[1].file = rows[0].file.clone();
        for row in &mut rows[..2] {
            row.site = Some("@Mill".to_owned());
            row.key_compared = Some(false);
            row.file = "=a.pdf".to_owned();
        }
        rows[0].complete = Some(false);
        // A warning under a known name: told by `register`, but no certificate that counts.
        rows[3].valid = false;
        rows[3].contested = true;
        current::mark(&mut rows);
        let all: Vec<&Row> = rows.iter().collect();
        let whole = index(&rows, &all, &str::to_owned).unwrap();
        let numbers: Vec<&str> = whole.entries.iter().map(|e| e.number.as_str()).collect();
        assert_eq!(numbers, ["=1", "2"]);
        assert!(!whole.entries[0].complete && whole.entries[1].complete);
        assert_eq!(whole.covered.from.unwrap().to_string(), "2026-01-01");
        assert_eq!(whole.covered.to.unwrap().to_string(), "2026-02-01");
        let table = String::from_utf8(whole.table.clone()).unwrap();
        let first = table.lines().nth(1).unwrap();
        assert!(
            first.starts_with("'=1,2026-01-01,'@Mill,2,incomplete,false,2026-07-01,"),
            "{table}"
        );
        assert!(
            first.contains(",false,sha of =1,") && first.ends_with(",./=a.pdf"),
            "{table}"
        );
        let second = table.lines().nth(2).unwrap();
        assert!(
            second.contains(",1,satisfactory,true,2027-02-01,")
                && second.contains(",true,sha of 2,"),
            "{table}"
        );
        // Most certificates are in °F, on letter paper.
        assert_eq!((whole.units, whole.paper), (Units::Us, Paper::Letter));
        let some = index(&rows, &[&rows[2]], &str::to_owned).unwrap();
        let numbers: Vec<&str> = some.entries.iter().map(|e| e.number.as_str()).collect();
        assert_eq!(numbers, ["2"]);
        for row in &mut rows {
            row.units = Some("si".to_owned());
        }
        let all: Vec<&Row> = rows.iter().collect();
        let si = index(&rows, &all, &str::to_owned).unwrap();
        assert_eq!((si.units, si.paper), (Units::Si, Paper::A4));
    }
}
