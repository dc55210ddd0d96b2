//! Dates on the command line, in the format of the visit file.

use chrono::NaiveDate;

/// Parses a date such as `2026-10-06`. Shorter forms are refused, because `26` would be read as the
/// year 26.
pub(super) fn parse(text: &str) -> Result<NaiveDate, String> {
    let whole = text.len() == 10 && has_whole_year(text);
    let day = whole.then(|| text.parse().ok()).flatten();
    day.ok_or_else(|| "write the date as YYYY-MM-DD, for example 2026-10-06".to_owned())
}

/// Whether a text begins with a four-digit year, 2000 or later.
pub(super) fn has_whole_year(text: &str) -> bool {
    let bytes = text.as_bytes();
    let digits = bytes.iter().take_while(|b| b.is_ascii_digit()).count();
    digits == 4 && bytes.get(4) == Some(&b'-') && text >= "2000"
}

#[cfg(test)]
mod tests {
    use super::parse;

    #[test]
    fn only_complete_dates_are_accepted() {
        assert!(parse("2026-10-06").is_ok());
        for text in [
            "26-10-06",
            "26-1-1",
            "2026-1-1",
            "2026-10-6",
            "1999-10-06",
            "2026-13-01",
            "2026-02-30",
            "+026-10-06",
            "2026/10/06",
            "2026-10-06 ",
            "",
            "heute",
        ] {
            assert!(
                parse(text).is_err_and(|why| why.contains("YYYY-MM-DD")),
                "{text}"
            );
        }
    }
}
