//! Text strings and dates (ISO 32000-1, 7.9).

use chrono::{DateTime, FixedOffset};

/// The bytes of a text string (7.9.2.2): ASCII unchanged, anything else in UTF-16.
pub fn encoded(text: &str) -> Vec<u8> {
    if text.bytes().all(|b| (0x20..0x7F).contains(&b)) {
        return text.as_bytes().to_vec();
    }
    let mut bytes = vec![0xFE, 0xFF];
    bytes.extend(text.encode_utf16().flat_map(u16::to_be_bytes));
    bytes
}

/// A text string's characters (7.9.2.2). In the one-byte form, bytes outside ASCII are read as
/// Latin-1, from which PDFDocEncoding differs in a few characters.
pub fn decoded(bytes: &[u8]) -> String {
    match bytes {
        [0xFE, 0xFF, rest @ ..] => {
            let units: Vec<u16> = rest
                .chunks_exact(2)
                .map(|pair| u16::from_be_bytes([pair[0], pair[1]]))
                .collect();
            String::from_utf16_lossy(&units)
        }
        [0xEF, 0xBB, 0xBF, rest @ ..] => String::from_utf8_lossy(rest).into_owned(),
        _ => bytes.iter().map(|&b| char::from(b)).collect(),
    }
}

/// A date in the form of 7.9.4.
pub fn date(at: DateTime<FixedOffset>) -> String {
    let offset = at.offset().local_minus_utc() / 60;
    let sign = if offset < 0 { '-' } else { '+' };
    let (hours, minutes) = (offset.abs() / 60, offset.abs() % 60);
    format!(
        "D:{}{sign}{hours:02}'{minutes:02}",
        at.format("%Y%m%d%H%M%S")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_strings_are_ascii_or_utf_16() {
        assert_eq!(encoded("Seal"), b"Seal");
        assert_eq!(encoded("°F"), [0xFE, 0xFF, 0, 0xB0, 0, b'F']);
    }

    #[test]
    fn text_strings_are_read_in_every_encoding() {
        assert_eq!(decoded(b"82 \xB0F"), "82 °F");
        assert_eq!(decoded(b"\xEF\xBB\xBF82 \xC2\xB0F"), "82 °F");
        assert_eq!(decoded(&encoded("82 °F ✓")), "82 °F ✓");
    }

    #[test]
    fn dates_carry_their_zone() {
        for (text, pdf) in [
            ("2026-10-06T11:30:00-04:00", "D:20261006113000-04'00"),
            ("2026-01-02T03:04:05+05:30", "D:20260102030405+05'30"),
            ("2026-01-02T03:04:05Z", "D:20260102030405+00'00"),
        ] {
            assert_eq!(date(DateTime::parse_from_rfc3339(text).unwrap()), pdf);
        }
    }
}
