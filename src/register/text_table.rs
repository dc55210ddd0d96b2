//! The register as a text table, as comma-separated values and as JSON lines.

use super::row::{INCOMPLETE, Row};
use crate::quantity::TemperatureDifference;
use chrono::{DateTime, FixedOffset, NaiveDate};

/// Names of the columns of CSV and Parquet, in the order of [`cells`].
pub const COLUMNS: [&str; 29] = [
    "number",
    "site",
    "circuit",
    "circuit_name",
    "date",
    "outcome",
    "complete",
    "worst_grade",
    "worst_margin_k",
    "next_due",
    "signer",
    "fingerprint",
    "signed_at",
    "valid",
    "problem",
    "units",
    "sha256",
    "replaces",
    "file",
    "sealed_sha256",
    "signatures",
    "compared",
    "remark",
    "key_compared",
    "firm",
    "charger_make",
    "charger_serial",
    "current",
    "superseded_by",
];

/// A cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell<'a> {
    /// Text.
    Text(Option<&'a str>),
    /// A date.
    Date(Option<NaiveDate>),
    /// A time.
    Moment(Option<DateTime<FixedOffset>>),
    /// Yes or no.
    Flag(Option<bool>),
    /// A number.
    Number(Option<f64>),
    /// A whole number.
    Count(Option<u32>),
}

/// The cells of a row.
pub fn cells(row: &Row) -> [Cell<'_>; COLUMNS.len()] {
    fn text(t: &Option<String>) -> Cell<'_> {
        Cell::Text(t.as_deref())
    }
    [
        text(&row.number),
        text(&row.site),
        text(&row.circuit),
        text(&row.circuit_name),
        Cell::Date(row.date),
        text(&row.outcome),
        Cell::Flag(row.complete),
        text(&row.worst_grade),
        Cell::Number(row.worst_margin_k),
        Cell::Date(row.next_due),
        text(&row.signer),
        text(&row.fingerprint),
        Cell::Moment(row.signed_at),
        Cell::Flag(Some(row.valid)),
        text(&row.problem),
        text(&row.units),
        Cell::Text(Some(&row.sha256)),
        text(&row.replaces),
        Cell::Text(Some(&row.file)),
        text(&row.sealed_sha256),
        Cell::Count(row.signatures),
        text(&row.compared),
        text(&row.remark),
        Cell::Flag(row.key_compared),
        text(&row.firm),
        text(&row.charger_make),
        text(&row.charger_serial),
        Cell::Flag(row.current),
        text(&row.superseded_by),
    ]
}

impl Cell<'_> {
    /// The text in a CSV file; empty if there is no value.
    fn csv(&self) -> String {
        match self {
            Cell::Text(t) => guarded(t.unwrap_or_default()),
            Cell::Date(d) => d.map(|d| d.to_string()).unwrap_or_default(),
            Cell::Moment(m) => m.map(|m| m.to_rfc3339()).unwrap_or_default(),
            Cell::Flag(b) => b.map(|b| b.to_string()).unwrap_or_default(),
            Cell::Number(n) => n.map(|n| n.to_string()).unwrap_or_default(),
            Cell::Count(n) => n.map(|n| n.to_string()).unwrap_or_default(),
        }
    }
}

/// Marks text that a spreadsheet would run as a formula as plain text: names may come from a
/// stranger.
pub(crate) fn guarded(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// U+FEFF in UTF-8, by which spreadsheets recognise the encoding.
pub(crate) const BYTE_ORDER_MARK: &[u8] = b"\xEF\xBB\xBF";

/// Comma-separated values with a header line, in UTF-8 with a byte-order mark (RFC 4180).
///
/// # Errors
/// Writing to memory does not fail; errors of the library are passed on.
pub fn csv(rows: &[&Row]) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(BYTE_ORDER_MARK.to_vec());
    writer.write_record(COLUMNS)?;
    for row in rows {
        writer.write_record(cells(row).iter().map(Cell::csv))?;
    }
    writer.into_inner().map_err(|e| e.into_error().into())
}

/// One JSON object per line.
pub fn json_lines(rows: &[&Row]) -> String {
    rows.iter()
        // Text, numbers and flags can always be written as JSON.
        .filter_map(|r| serde_json::to_string(r).ok())
        .map(|line| line + "\n")
        .collect()
}

/// A margin in the units of its certificate.
pub fn margin(row: &Row, kelvin: f64) -> String {
    margin_in(row.units.as_deref().unwrap_or("si"), kelvin)
}

/// A margin in a unit system, `us` or `si`.
pub fn margin_in(units: &str, kelvin: f64) -> String {
    let d = TemperatureDifference::from_kelvin(kelvin);
    match units {
        "us" => format!("{:.0} °F", d.fahrenheit_degrees()),
        _ => format!("{kelvin:.0} K"),
    }
}

/// A small difference in a unit system, `us` or `si`.
pub fn difference_in(units: &str, kelvin: f64) -> String {
    let d = TemperatureDifference::from_kelvin(kelvin);
    match units {
        "us" => format!("{:.1} °F", d.fahrenheit_degrees()),
        _ => format!("{kelvin:.1} K"),
    }
}

/// The text table. A certificate that is not valid is listed with its file name.
pub fn text(rows: &[&Row]) -> String {
    let head = [
        "number", "date", "site", "circuit", "outcome", "worst", "margin", "next due", "current",
        "signer", "valid",
    ]
    .map(str::to_owned);
    let dash = || "-".to_owned();
    let or_dash = |t: &Option<String>| t.clone().unwrap_or_else(dash);
    let lines: Vec<[String; 11]> = std::iter::once(head)
        .chain(rows.iter().map(|row| {
            [
                match &row.number {
                    Some(number) if row.valid => number.clone(),
                    _ => row.file.clone(),
                },
                row.date.map_or_else(dash, |d| d.to_string()),
                or_dash(&row.site),
                row.subject().map_or_else(dash, |_| row.title().to_owned()),
                match (row.own_outcome().unwrap_or("-"), row.complete) {
                    (outcome, Some(false)) if outcome != INCOMPLETE => {
                        format!("{outcome}, not complete")
                    }
                    (outcome, _) => outcome.to_owned(),
                },
                or_dash(&row.worst_grade),
                row.worst_margin_k.map_or_else(dash, |m| margin(row, m)),
                match row.next_due {
                    Some(due) => due.to_string(),
                    None if row.out_of_use() => "do not use".to_owned(),
                    None => dash(),
                },
                match (row.current, &row.superseded_by) {
                    (None, _) => dash(),
                    (Some(true), _) => "yes".to_owned(),
                    (Some(false), Some(later)) => format!("no, see {later}"),
                    (Some(false), None) => "no".to_owned(),
                },
                or_dash(&row.signer),
                valid(row),
            ]
            .map(|cell| printable(&cell))
        }))
        .collect();
    let mut widths = [0; 11];
    for line in &lines {
        for (width, cell) in widths.iter_mut().zip(line) {
            *width = (*width).max(columns(cell));
        }
    }
    lines
        .iter()
        .map(|line| {
            let mut out = String::new();
            for (i, (cell, width)) in line.iter().zip(widths).enumerate() {
                let room = " ".repeat(width - columns(cell));
                // Margins are right-aligned.
                if i == 6 {
                    out.push_str(&format!("{room}{cell}  "));
                } else {
                    out.push_str(&format!("{cell}{room}  "));
                }
            }
            format!("{}\n", out.trim_end())
        })
        .collect()
}

/// Whether a row is valid, with a note if something was not compared.
fn valid(row: &Row) -> String {
    let valid = match (row.valid, &row.remark) {
        (false, _) => return "NO".to_owned(),
        (true, Some(_)) if row.own_fault => "yes, but lifts nothing",
        (true, Some(_)) => "yes, other key",
        (true, None) if row.uncompared() => "yes, key not compared",
        (true, None) => "yes",
    };
    if row.seals_only() {
        format!("{valid}, pages not written again")
    } else {
        valid.to_owned()
    }
}

fn columns(text: &str) -> usize {
    unicode_width::UnicodeWidthStr::width(text)
}

/// Removes control characters: rows may come from a stranger.
pub(crate) fn printable(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::row::tests::row;
    use super::*;

    #[test]
    fn columns_have_the_names_of_the_rows_fields() {
        let row = row("1", "a", "2026-01-01", Some("2026-07-01"));
        let json = serde_json::to_value(&row).unwrap();
        let mut names: Vec<&str> = json
            .as_object()
            .unwrap()
            .keys()
            .map(String::as_str)
            .filter(|name| *name != "margins")
            .collect();
        // The fields' order is the columns'.
        names.retain(|name| *name != "vouched_by");
        assert_eq!(names, COLUMNS);
        assert_eq!(cells(&row).len(), COLUMNS.len());
    }

    #[test]
    fn csv_quotes_what_needs_it() {
        let mut odd = row("1", "a", "2026-01-01", None);
        odd.site = Some("Mill \"Lane\", 3\nrear".to_owned());
        odd.circuit_name = Some("=HYPERLINK(1)".to_owned());
        odd.worst_margin_k = Some(-20.0);
        let text = String::from_utf8(csv(&[&odd]).unwrap()).unwrap();
        assert!(text.starts_with("\u{feff}number,site,circuit,"), "{text}");
        // RFC 4180, 2: each record ends with CRLF.
        assert_eq!(text.matches("\r\n").count(), 2, "{text}");
        assert!(text.ends_with("\r\n"), "{text}");
        assert!(text.contains(",true,pass,-20,,Ada Ohm,"), "{text}");
        assert!(text.contains(",'=HYPERLINK(1),"), "{text}");
        assert!(
            text.contains("1,\"Mill \"\"Lane\"\", 3\nrear\",a,"),
            "{text}"
        );
    }

    #[test]
    fn a_table_for_people() {
        let mut bad = Row::unreadable("odd\u{1b}[31m.pdf", "no seal".to_owned());
        bad.valid = false;
        let mut rows = [row("2026-0001", "a", "2026-01-01", Some("2026-07-01")), bad];
        super::super::current::mark(&mut rows);
        assert_eq!(
            text(&rows.iter().collect::<Vec<_>>()),
            "number        date        site       circuit  outcome       worst  margin  next due    current  signer   valid\n\
             2026-0001     2026-01-01  Mill Lane  a        satisfactory  pass    36 °F  2026-07-01  yes      Ada Ohm  yes\n\
             odd\u{fffd}[31m.pdf  -           -          -        -             -           -  -           -        -        NO\n"
        );
    }

    #[test]
    fn an_incomplete_inspection_is_never_satisfactory() {
        let mut part = row("1", "a", "2026-01-01", Some("2026-07-01"));
        part.complete = Some(false);
        assert_eq!(part.own_outcome(), Some("incomplete"));
        assert!(
            text(&[&part]).contains("  incomplete  "),
            "{}",
            text(&[&part])
        );
        part.worst_grade = Some("stop".to_owned());
        assert_eq!(part.own_outcome(), Some("unsatisfactory"));
        assert!(text(&[&part]).contains("  unsatisfactory, not complete  "));
        // Lines of an earlier version had the outcome of the part that was done.
        part.worst_grade = Some("pass".to_owned());
        let lines = json_lines(&[&part]);
        assert!(lines.contains("\"outcome\":\"satisfactory\""), "{lines}");
        let read = super::super::rows::from_json_lines(&lines).unwrap();
        assert_eq!(read[0].outcome.as_deref(), Some("incomplete"));
    }

    /// Every column of the comma-separated values has the field of its name, and none that of another.
    #[test]
    fn every_column_has_its_own_value() {
        let text = |t: &str| Some(t.to_owned());
        let odd = Row {
            circuit_name: text("+bay"),
            outcome: text("unsatisfactory"),
            complete: Some(false),
            worst_grade: text("repair"),
            next_due: Some("2026-07-01".parse().unwrap()),
            signed_at: Some("2026-01-01T18:30:00-05:00".parse().unwrap()),
            valid: false,
            problem: text("\tit was changed"),
            replaces: text("of the one before"),
            sealed_sha256: text("of the seal"),
            signatures: Some(2),
            compared: text("whole"),
            remark: text("in question"),
            key_compared: Some(false),
            firm: text("Ohm Works"),
            charger_make: text("Nimbrel"),
            charger_serial: text("77"),
            current: Some(false),
            superseded_by: text("2"),
            ..row("1", "a", "2026-01-01", None)
        };
        let table = csv(&[&odd]).unwrap();
        let mut reader = csv::Reader::from_reader(&table[3..]);
        let told: Vec<std::collections::HashMap<String, String>> =
            reader.deserialize().map(Result::unwrap).collect();
        for (column, value) in [
            ("number", "1"),
            ("site", "Mill Lane"),
            ("circuit", "a"),
            // Neither a sign nor a tab begins a formula.
            ("circuit_name", "'+bay"),
            ("problem", "'\tit was changed"),
            ("date", "2026-01-01"),
            ("outcome", "unsatisfactory"),
            ("complete", "false"),
            ("worst_grade", "repair"),
            ("worst_margin_k", "20"),
            ("next_due", "2026-07-01"),
            ("signer", "Ada Ohm"),
            ("signed_at", "2026-01-01T18:30:00-05:00"),
            ("valid", "false"),
            ("sha256", "sha of 1"),
            ("replaces", "of the one before"),
            ("sealed_sha256", "of the seal"),
            ("signatures", "2"),
            ("remark", "in question"),
            ("key_compared", "false"),
            ("firm", "Ohm Works"),
            ("charger_make", "Nimbrel"),
            ("charger_serial", "77"),
            ("current", "false"),
            ("superseded_by", "2"),
        ] {
            assert_eq!(told[0][column], value, "{column}");
        }
    }
}
