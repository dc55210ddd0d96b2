//! Dates in a PDF (ISO 32000-1, 7.9.4).

use chrono::{DateTime, FixedOffset, NaiveDate, TimeZone, Utc};

/// Longest date: `D:YYYYMMDDHHmmSS+HH'mm'`.
const MAX_DATE_BYTES: usize = 23;

/// Whether a string is a date and nothing else.
pub(crate) fn is_date(bytes: &[u8]) -> bool {
    bytes.len() <= MAX_DATE_BYTES && parse_date(bytes).is_some()
}

/// A date of ISO 32000-1, 7.9.4, with at least its day.
pub(crate) fn parse_date(bytes: &[u8]) -> Option<DateTime<FixedOffset>> {
    let text = std::str::from_utf8(bytes).ok()?.strip_prefix("D:")?;
    if !text.is_ascii() {
        return None;
    }
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    if !(8..=14).contains(&digits) || digits % 2 != 0 {
        return None;
    }
    let number = |from: usize, to: usize| -> Option<u32> {
        if to > digits {
            return Some(0);
        }
        text.get(from..to)?.parse().ok()
    };
    let date = NaiveDate::from_ymd_opt(
        i32::try_from(number(0, 4)?).ok()?,
        number(4, 6)?,
        number(6, 8)?,
    )?;
    let time = date.and_hms_opt(number(8, 10)?, number(10, 12)?, number(12, 14)?)?;
    let zone: String = text[digits..].chars().filter(|c| *c != '\'').collect();
    let seconds = match zone.as_bytes() {
        [] | [b'Z', ..] => 0,
        [sign @ (b'+' | b'-'), rest @ ..] if rest.len() == 2 || rest.len() == 4 => {
            let rest = std::str::from_utf8(rest).ok()?;
            let hours: i32 = rest.get(..2)?.parse().ok()?;
            let minutes: i32 = rest.get(2..4).unwrap_or("00").parse().ok()?;
            let seconds = hours * 3600 + minutes * 60;
            if *sign == b'-' { -seconds } else { seconds }
        }
        _ => return None,
    };
    FixedOffset::east_opt(seconds)?
        .from_local_datetime(&time)
        .single()
        .or_else(|| Some(Utc.from_utc_datetime(&time).fixed_offset()))
}
