//! The rows of the tables on the pages of a certificate that another version made: readings, torques,
//! limits and dates.
//!
//! Versions may differ in words, order and rounding, so a row that is not on the pages as this
//! version writes it proves nothing by itself; the reader learns how many there are. It speaks
//! against the pages only if most rows of the same table are there and its place is taken by the
//! same row with other numbers.

use super::printed_words::{MOST_NAMED, bare};
use super::recompute::{Recomputed, Record};
use super::rendered;
use crate::compose::SealFacts;
use crate::compose::document::Block;
use crate::seal::Verified;
use serde::Serialize;

/// How far the tables of a certificate that another version made were compared.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Tables {
    /// Rows that this version writes from the record.
    pub rows: usize,
    /// The rows that are on the pages, word for word and number for number.
    pub found: usize,
    /// Rows that have other numbers on the pages, each as a sentence without a full stop.
    pub differences: Vec<String>,
    /// The tables with rows that were not compared.
    pub not_compared: Vec<NotCompared>,
}

/// Rows of a table that were not compared.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NotCompared {
    /// Its title, as this version writes it; `None` for what is written as pairs of name and value.
    pub table: Option<String>,
    /// How many of its rows were not compared.
    pub rows: usize,
    /// How many rows this version writes.
    pub of: usize,
}

impl Tables {
    /// What was compared, as a sentence without a full stop.
    pub fn words(&self) -> String {
        let Self { rows, found, .. } = self;
        match self.not_compared() {
            0 => format!("all {rows} rows of its tables are those of the record"),
            _ if *found == 0 => format!(
                "none of the {rows} rows of its tables is written as this version writes it, so its tables \
                 were NOT compared"
            ),
            n => format!(
                "{found} of the {rows} rows of its tables are those of the record; {n} NOT compared, \
                 because this version writes them differently"
            ),
        }
    }

    /// How many rows were not compared.
    pub fn not_compared(&self) -> usize {
        self.rows.saturating_sub(self.found)
    }

    /// The tables with rows that were not compared, each with its number of rows.
    pub fn unread(&self) -> Vec<String> {
        let each = self.not_compared.iter().map(|left| {
            let NotCompared { table, rows, of } = left;
            match table {
                Some(table) => format!("{rows} of {of} in “{table}”"),
                None => format!("{rows} of {of} in lists of facts"),
            }
        });
        each.collect()
    }
}

/// Looks for the rows of the tables that this version writes; `None` if it cannot write them.
pub(super) fn tables(
    verified: &Verified<'_>,
    record: &Record,
    again: &Recomputed,
    seal: Option<SealFacts>,
) -> Option<Tables> {
    let document = rendered::document(verified, record, again, seal?).ok()?;
    let pages = bare(&verified.page_texts().ok()?.concat());
    let mut out = Tables {
        rows: 0,
        found: 0,
        differences: Vec::new(),
        not_compared: Vec::new(),
    };
    for block in &document.body {
        let (caption, rows): (Option<&str>, Vec<String>) = match block {
            Block::Table(table) => {
                let rows = table.rows.iter();
                let cells =
                    rows.map(|row| row.cells.iter().map(|cell| cell.characters()).collect());
                (Some(&table.caption), cells.collect())
            }
            Block::Facts(facts) => {
                let rows = facts.iter();
                let rows = rows.map(|(name, value)| format!("{name}{}", value.characters()));
                (None, rows.collect())
            }
            _ => continue,
        };
        let rows: Vec<String> = rows.iter().map(|row| bare(row)).collect();
        compare(&pages, caption, &rows, &mut out);
    }
    // Numbers that this version computes differently are no contradiction.
    if !again.differences.is_empty() {
        out.differences.clear();
    }
    out.differences.truncate(MOST_NAMED);
    Some(out)
}

/// Compares the rows of one table with the text of the pages; all are without spaces.
fn compare(pages: &str, caption: Option<&str>, rows: &[String], out: &mut Tables) {
    let mut at = 0;
    // Where each row is, looked for in their order.
    let places: Vec<Option<(usize, usize)>> = rows
        .iter()
        .map(|row| {
            let start = at + pages.get(at..)?.find(row.as_str())?;
            at = start + row.len();
            Some((start, at))
        })
        .collect();
    let found = places.iter().flatten().count();
    out.rows += rows.len();
    out.found += found;
    if found < rows.len() {
        let table = caption.map(str::to_owned);
        let (left, of) = (rows.len() - found, rows.len());
        match out.not_compared.iter_mut().find(|n| n.table == table) {
            Some(same) => (same.rows, same.of) = (same.rows + left, same.of + of),
            None => out.not_compared.push(NotCompared {
                table,
                rows: left,
                of,
            }),
        }
    }
    if 2 * found < rows.len() {
        return;
    }
    for (n, row) in rows
        .iter()
        .enumerate()
        .filter(|(n, _)| places[*n].is_none())
    {
        let before = places[..n].iter().rev().flatten().next();
        let after = places[n..].iter().flatten().next();
        let from = before.map_or(0, |(_, end)| *end);
        let to = after.map_or(pages.len(), |(start, _)| *start);
        let between = pages.get(from..to).unwrap_or_default();
        let numbers = row.bytes().any(|b| b.is_ascii_digit());
        if numbers && without_numbers(between).contains(&without_numbers(row)) {
            let caption = caption.unwrap_or("facts");
            out.differences.push(format!(
                "a row of the table “{caption}” has other numbers than the record: the record \
                 gives “{row}”"
            ));
        }
    }
}

/// Text with a single sign for each number.
fn without_numbers(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut number = false;
    for c in text.chars() {
        match c {
            c if c.is_ascii_digit() => {
                if !number {
                    out.push('#');
                }
                number = true;
            }
            '.' | ',' if number => {}
            c => {
                number = false;
                out.push(c);
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn compared(pages: &str, rows: &[&str]) -> Tables {
        let mut out = Tables {
            rows: 0,
            found: 0,
            differences: Vec::new(),
            not_compared: Vec::new(),
        };
        let rows: Vec<String> = rows.iter().map(|row| (*row).to_owned()).collect();
        compare(pages, Some("readings"), &rows, &mut out);
        out
    }

    #[test]
    fn a_row_with_other_numbers_between_its_neighbours_is_found() {
        let rows = ["breaker-L1167°F", "breaker-L2154°F", "charger-L1148°F"];
        let same = compared("xbreaker-L1167°Fbreaker-L2154°Fcharger-L1148°Fy", &rows);
        assert_eq!((same.found, same.differences.len()), (3, 0));
        let other = compared("xbreaker-L1167°Fbreaker-L2104°Fcharger-L1148°Fy", &rows);
        assert_eq!((other.found, other.differences.len()), (2, 1));
        assert!(other.differences[0].contains("“breaker-L2154°F”"));
        // Other words are not compared, nor a table of which little is there.
        let worded = compared("breaker-L1167°Fbreaker,L2154°Fcharger-L1148°F", &rows);
        assert_eq!((worded.found, worded.differences.len()), (2, 0));
        let rounded = compared("breaker-L1167.2°Fbreaker-L2154.1°Fcharger-L1148.0°F", &rows);
        assert_eq!((rounded.found, rounded.differences.len()), (0, 0));
        assert!(rounded.words().contains("NOT compared"));
        assert_eq!(rounded.unread(), ["3 of 3 in “readings”"]);
        assert_eq!(same.unread(), [""; 0]);
    }
}
