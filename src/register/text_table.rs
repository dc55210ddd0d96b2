//! The register as a text table, as comma-separated values and as JSON lines.

use super::row::Row;
use crate::quantity::TemperatureDifference;
use chrono::NaiveDate;

/// Names of the columns of CSV and Parquet, in the order of [`cells`].
pub const COLUMNS: [&str; 24] = [
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
];

/// A cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell<'a> {
    /// Text.
    Text(Option<&'a str>),
    /// A date.
    Date(Option<NaiveDate>),
    /// A time, in RFC 3339.
    Moment(Option<String>),
    /// Yes or no.
    Flag(Option<bool>),
    /// A number.
    Number(Option<f64>),
}

/// The cells of a row.
pub fn cells(row: &Row) -> [Cell<'_>; 24] {
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
        Cell::Moment(row.signed_at.map(|t| t.to_rfc3339())),
        Cell::Flag(Some(row.valid)),
        text(&row.problem),
        text(&row.units),
        Cell::Text(Some(&row.sha256)),
        text(&row.replaces),
        Cell::Text(Some(&row.file)),
        text(&row.sealed_sha256),
        Cell::Number(row.signatures.map(f64::from)),
        text(&row.compared),
        text(&row.remark),
        Cell::Flag(row.key_compared),
    ]
}

impl Cell<'_> {
    /// The text in a CSV file; empty if there is no value.
    fn csv(&self) -> String {
        match self {
            Cell::Text(t) => guarded(t.unwrap_or_default()),
            Cell::Date(d) => d.map(|d| d.to_string()).unwrap_or_default(),
            Cell::Moment(m) => m.clone().unwrap_or_default(),
            Cell::Flag(b) => b.map(|b| b.to_string()).unwrap_or_default(),
            Cell::Number(n) => n.map(|n| n.to_string()).unwrap_or_default(),
        }
    }
}

/// Marks text that a spreadsheet would run as a formula as plain text: names may come from a
/// stranger.
fn guarded(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// Comma-separated values with a header line (RFC 4180, with line feeds as line ends).
///
/// # Errors
/// Writing to memory does not fail; errors of the library are passed on.
pub fn csv(rows: &[&Row]) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
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
    let d = TemperatureDifference::from_kelvin(kelvin);
    match row.units.as_deref() {
        Some("us") => format!("{:.0} °F", d.fahrenheit_degrees()),
        _ => format!("{kelvin:.0} K"),
    }
}

/// The text table. A certificate that is not valid is listed with its file name.
pub fn text(rows: &[&Row]) -> String {
    let head = [
        "number", "date", "site", "circuit", "outcome", "worst", "margin", "next due", "signer",
        "valid",
    ]
    .map(str::to_owned);
    let dash = || "-".to_owned();
    let told = |t: &Option<String>| t.clone().unwrap_or_else(dash);
    let lines: Vec<[String; 10]> = std::iter::once(head)
        .chain(rows.iter().map(|row| {
            [
                match &row.number {
                    Some(number) if row.valid => number.clone(),
                    _ => row.file.clone(),
                },
                row.date.map_or_else(dash, |d| d.to_string()),
                told(&row.site),
                row.subject().map_or_else(dash, |_| row.title().to_owned()),
                match (row.own_outcome().unwrap_or("-"), row.complete) {
                    (outcome, Some(false)) => format!("{outcome}, not complete"),
                    (outcome, _) => outcome.to_owned(),
                },
                told(&row.worst_grade),
                row.worst_margin_k.map_or_else(dash, |m| margin(row, m)),
                match row.next_due {
                    Some(due) => due.to_string(),
                    None if row.out_of_use() => "do not use".to_owned(),
                    None => dash(),
                },
                told(&row.signer),
                match (row.valid, &row.remark) {
                    (false, _) => "NO",
                    (true, Some(_)) => "yes, other key",
                    (true, None) if row.uncompared() => "yes, key not compared",
                    (true, None) => "yes",
                }
                .to_owned(),
            ]
            .map(|cell| printable(&cell))
        }))
        .collect();
    let mut widths = [0; 10];
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
        assert!(text.starts_with("number,site,circuit,"), "{text}");
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
        let rows = [row("2026-0001", "a", "2026-01-01", Some("2026-07-01")), bad];
        assert_eq!(
            text(&rows.iter().collect::<Vec<_>>()),
            "number        date        site       circuit  outcome       worst  margin  next due    signer   valid\n\
             2026-0001     2026-01-01  Mill Lane  a        satisfactory  pass    36 °F  2026-07-01  Ada Ohm  yes\n\
             odd\u{fffd}[31m.pdf  -           -          -        -             -           -  -           -        NO\n"
        );
    }
}
