//! The list of certificate numbers that a firm has given out, `numbers.csv` beside its file.
//!
//! A number is the year, a hyphen and a count of at least four digits. Each device counts within its
//! own range, so that two devices without a network never give one number twice, and the lists of
//! both can be joined line by line.

use super::error::FirmError;
use super::file::{Firm, NumberRange};
use crate::counted_up::counted_up;
#[cfg(not(target_family = "wasm"))]
use crate::disk::{Existing, Readers, lock, whole_file};
#[cfg(not(target_family = "wasm"))]
use chrono::Datelike;
use chrono::NaiveDate;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Name of the list.
pub const NAME: &str = "numbers.csv";

/// Its first line.
const HEAD: &str = "number,date,device,site";

/// A number that was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// The certificate number.
    pub number: String,
    /// The day of the visit.
    pub date: NaiveDate,
    /// The device that gave it; empty if it was typed.
    pub device: String,
    /// The site that it is for.
    pub site: String,
}

/// The list beside a firm's file.
pub fn path(firm: &Path) -> PathBuf {
    firm.with_file_name(NAME)
}

/// The numbers in a list.
///
/// # Errors
/// A line is not one of such a list.
pub fn parse(text: &str, path: &Path) -> Result<Vec<Given>, FirmError> {
    let mut out = Vec::new();
    for (n, line) in text.lines().enumerate() {
        let line = line.trim_start_matches('\u{feff}').trim_end();
        if line.is_empty() || line == HEAD {
            continue;
        }
        let given = || {
            let [number, date, device, site] = fields(line)?;
            Some(Given {
                number,
                date: date.parse().ok()?,
                device,
                site,
            })
        };
        out.push(given().ok_or_else(|| FirmError::Ledger {
            path: path.to_owned(),
            line: n + 1,
        })?);
    }
    Ok(out)
}

/// The four fields of a line (RFC 4180, without line breaks in fields).
fn fields(line: &str) -> Option<[String; 4]> {
    let mut out = vec![String::new()];
    let mut chars = line.chars().peekable();
    let mut quoted = false;
    while let Some(c) = chars.next() {
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => {
                chars.next();
                out.last_mut()?.push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => out.push(String::new()),
            c => out.last_mut()?.push(c),
        }
    }
    out.try_into().ok()
}

fn field(text: &str) -> String {
    let text: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    match text.contains([',', '"']) {
        true => format!("\"{}\"", text.replace('"', "\"\"")),
        false => text,
    }
}

/// A number as it is printed.
fn number(year: i32, count: u16) -> String {
    format!("{year}-{count:04}")
}

/// The count in a number of this year.
fn count(number: &str, year: i32) -> Option<u16> {
    let digits = number.strip_prefix(&year.to_string())?.strip_prefix('-')?;
    digits.parse().ok().filter(|_| digits.len() >= 4)
}

/// The next free number of a range: the one after the last that was given, or a gap before it if
/// the end of the range is reached.
///
/// # Errors
/// [`FirmError::Full`].
pub fn next(given: &[Given], range: &NumberRange, year: i32) -> Result<String, FirmError> {
    let own = range.first..=range.last;
    let taken: BTreeSet<u16> = given
        .iter()
        .filter_map(|g| count(&g.number, year))
        .filter(|n| own.contains(n))
        .collect();
    let after = taken.last().map_or(range.first, |n| n.saturating_add(1));
    let free = own
        .contains(&after)
        .then_some(after)
        .or_else(|| own.clone().find(|n| !taken.contains(n)));
    free.map(|n| number(year, n))
        .ok_or_else(|| FirmError::Full {
            device: range.device.clone(),
            year,
            first: range.first,
            last: range.last,
        })
}

/// The range of this device; the only one, if the device has no name.
///
/// # Errors
/// [`FirmError::NoRange`].
pub fn range<'f>(firm: &'f Firm, device: Option<&str>) -> Result<&'f NumberRange, FirmError> {
    let found = match (device, firm.numbers.as_slice()) {
        (Some(device), _) => firm.range(device),
        (None, [only]) => Some(only),
        (None, _) => None,
    };
    found.ok_or_else(|| FirmError::NoRange {
        device: device.map(str::to_owned),
        known: firm
            .numbers
            .iter()
            .map(|n| n.device.as_str())
            .collect::<Vec<_>>()
            .join(", "),
    })
}

/// The day and the site of a visit that needs a number.
#[derive(Debug, Clone, Copy)]
pub struct Purpose<'a> {
    /// Day of the visit.
    pub date: NaiveDate,
    /// Name of its site.
    pub site: &'a str,
}

/// Reserves the next free number of a range and enters it in the list at `path`. Other runs wait
/// meanwhile.
///
/// # Errors
/// The range is full, or the list can't be read or written.
#[cfg(not(target_family = "wasm"))]
pub fn give(path: &Path, range: &NumberRange, purpose: Purpose<'_>) -> Result<String, FirmError> {
    let _lock = lock(path);
    let (text, given) = read(path)?;
    let number = next(&given, range, purpose.date.year())?;
    enter(path, &text, &number, &range.device, purpose)?;
    Ok(number)
}

/// Reserves this number, or the first one after it that is not in the list.
///
/// # Errors
/// The list can't be read or written.
#[cfg(not(target_family = "wasm"))]
pub fn give_from(path: &Path, number: &str, purpose: Purpose<'_>) -> Result<String, FirmError> {
    let _lock = lock(path);
    let (text, given) = read(path)?;
    let number = free_from(&given, number);
    enter(path, &text, &number, "", purpose)?;
    Ok(number)
}

/// Enters a number that was typed.
///
/// # Errors
/// [`FirmError::Given`] if it is in the list, or the list can't be read or written.
#[cfg(not(target_family = "wasm"))]
pub fn enter_typed(path: &Path, number: &str, purpose: Purpose<'_>) -> Result<(), FirmError> {
    let _lock = lock(path);
    let (text, given) = read(path)?;
    unused(&given, number)?;
    enter(path, &text, number, "", purpose)
}

#[cfg(not(target_family = "wasm"))]
fn read(path: &Path) -> Result<(String, Vec<Given>), FirmError> {
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => String::new(),
        Err(source) => {
            return Err(FirmError::Read {
                path: path.to_owned(),
                source,
            });
        }
    };
    let given = parse(&text, path)?;
    Ok((text, given))
}

#[cfg(not(target_family = "wasm"))]
fn enter(
    path: &Path,
    before: &str,
    number: &str,
    device: &str,
    purpose: Purpose<'_>,
) -> Result<(), FirmError> {
    let text = entered(before, number, device, purpose);
    whole_file(path, text.as_bytes(), Existing::Replace, Readers::AsUsual)?;
    Ok(())
}

/// This number, or the first one after it that was not given.
pub fn free_from(given: &[Given], number: &str) -> String {
    let taken: BTreeSet<&str> = given.iter().map(|g| g.number.as_str()).collect();
    let mut number = number.to_owned();
    while taken.contains(number.as_str()) {
        number = counted_up(&number, "-");
    }
    number
}

/// Whether a number was not given yet.
///
/// # Errors
/// [`FirmError::Given`].
pub fn unused(given: &[Given], number: &str) -> Result<(), FirmError> {
    match given.iter().find(|g| g.number == number) {
        Some(before) => Err(FirmError::Given {
            number: number.to_owned(),
            site: before.site.clone(),
            date: before.date.to_string(),
        }),
        None => Ok(()),
    }
}

/// The text of a list with one more number at its end.
pub fn entered(before: &str, number: &str, device: &str, purpose: Purpose<'_>) -> String {
    let mut text = match before.is_empty() {
        true => format!("{HEAD}\n"),
        false => before.to_owned(),
    };
    if !text.ends_with('\n') {
        text.push('\n');
    }
    let Purpose { date, site } = purpose;
    text.push_str(&format!(
        "{},{date},{},{}\n",
        field(number),
        field(device),
        field(site)
    ));
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn range_of(first: u16, last: u16) -> NumberRange {
        NumberRange {
            device: "van-1".into(),
            first,
            last,
        }
    }

    fn purpose(site: &str) -> Purpose<'_> {
        Purpose {
            date: NaiveDate::from_ymd_opt(2026, 11, 2).unwrap(),
            site,
        }
    }

    #[test]
    fn no_number_is_given_twice_and_each_year_begins_anew() {
        let folder = tempfile::tempdir().unwrap();
        let list = folder.path().join(NAME);
        let range = range_of(500, 501);
        assert_eq!(
            give(&list, &range, purpose("A, \"B\"")).unwrap(),
            "2026-0500"
        );
        assert_eq!(give(&list, &range, purpose("C\nD")).unwrap(), "2026-0501");
        let full = give(&list, &range, purpose("E")).unwrap_err();
        assert!(full.to_string().contains("500 to 501"), "{full}");
        let later = Purpose {
            date: NaiveDate::from_ymd_opt(2027, 1, 2).unwrap(),
            site: "E",
        };
        assert_eq!(give(&list, &range, later).unwrap(), "2027-0500");

        let text = std::fs::read_to_string(&list).unwrap();
        let given = parse(&text, &list).unwrap();
        assert_eq!(given.len(), 3, "{text}");
        assert_eq!(given[0].site, "A, \"B\"");
        assert_eq!(given[1].site, "C D");
        let twice = enter_typed(&list, "2026-0501", purpose("F")).unwrap_err();
        assert!(twice.to_string().contains("was given to C D"), "{twice}");
    }

    #[test]
    fn without_ranges_the_next_free_number_after_a_proposal_is_given() {
        let folder = tempfile::tempdir().unwrap();
        let list = folder.path().join(NAME);
        for number in ["2026-0001", "2026-0002", "2026-0003"] {
            assert_eq!(give_from(&list, "2026-0001", purpose("A")).unwrap(), number);
        }
        assert_eq!(
            give_from(&list, "2026-0099", purpose("A")).unwrap(),
            "2026-0099"
        );
        assert_eq!(give_from(&list, "B", purpose("A")).unwrap(), "B");
        assert_eq!(give_from(&list, "B", purpose("A")).unwrap(), "B-2");
    }

    #[test]
    fn numbers_of_other_devices_do_not_count() {
        let folder = tempfile::tempdir().unwrap();
        let list = folder.path().join(NAME);
        enter_typed(&list, "2026-0900", purpose("A")).unwrap();
        enter_typed(&list, "2026-0003", purpose("B")).unwrap();
        enter_typed(&list, "special", purpose("B")).unwrap();
        assert_eq!(
            give(&list, &range_of(1, 499), purpose("C")).unwrap(),
            "2026-0004"
        );
    }

    #[test]
    fn simultaneous_runs_get_numbers_of_their_own() {
        let folder = tempfile::tempdir().unwrap();
        let list = folder.path().join(NAME);
        let numbers: BTreeSet<String> = std::thread::scope(|scope| {
            let runs: Vec<_> = (0..8)
                .map(|_| {
                    scope.spawn(|| {
                        let range = range_of(1, 99);
                        (0..5)
                            .map(|_| give(&list, &range, purpose("A")).unwrap())
                            .collect::<Vec<_>>()
                    })
                })
                .collect();
            runs.into_iter()
                .flat_map(|run| run.join().unwrap())
                .collect()
        });
        assert_eq!(numbers.len(), 40);
    }

    #[test]
    fn a_damaged_line_is_named() {
        let damaged = parse(
            "number,date,device,site\n2026-0001,today,,A\n",
            Path::new("n.csv"),
        );
        assert!(damaged.unwrap_err().to_string().contains("n.csv: line 2"));
    }
}
