//! When and with which camera a photo was taken, according to its metadata; and where, which is read
//! separately, because it goes nowhere unless the visit file says so. No other metadata is read.

use chrono::{NaiveDate, NaiveDateTime};
use exif::{Exif, In, Tag, Value};
use serde::{Deserialize, Serialize};
use std::io::Cursor;

/// Maximum number of characters of a camera's name.
const LONGEST_NAME: usize = 60;

/// When and with which camera a photo was taken. Anybody can write this into a file, and a camera's
/// clock may be wrong.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Taken {
    /// Date and time on the camera's clock, without a time zone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<NaiveDateTime>,
    /// Maker and model of the camera.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub camera: Option<String>,
    /// Latitude and longitude in degrees (ISO 6709, annex H: `+48.87549-123.39252/`), where the visit
    /// file says that the place is kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
}

/// Where a photo was taken, as [`Taken::place`] has it; `None` if the file does not say, or says no
/// place on the earth.
pub(super) fn place(file: &[u8]) -> Option<String> {
    let fields = fields(file)?;
    let text = |tag: Tag| match &fields.get_field(tag, In::PRIMARY)?.value {
        Value::Ascii(texts) => texts.first().map(Vec::as_slice),
        _ => None,
    };
    let degrees = |tag: Tag, reference: Tag, [plus, minus]: [&[u8]; 2], most: f64| {
        let Value::Rational(parts) = &fields.get_field(tag, In::PRIMARY)?.value else {
            return None;
        };
        let [degrees, minutes, seconds] = parts.as_slice() else {
            return None;
        };
        let size = degrees.to_f64() + minutes.to_f64() / 60.0 + seconds.to_f64() / 3600.0;
        let sign = match text(reference)? {
            side if side == plus => 1.0,
            side if side == minus => -1.0,
            _ => return None,
        };
        (0.0..=most).contains(&size).then_some(sign * size)
    };
    let latitude = degrees(Tag::GPSLatitude, Tag::GPSLatitudeRef, [b"N", b"S"], 90.0)?;
    let longitude = degrees(Tag::GPSLongitude, Tag::GPSLongitudeRef, [b"E", b"W"], 180.0)?;
    Some(format!("{latitude:+09.5}{longitude:+010.5}/"))
}

/// The fields of an image file, as far as they are not damaged.
fn fields(file: &[u8]) -> Option<Exif> {
    let mut reader = exif::Reader::new();
    reader.continue_on_error(true);
    let fields = reader.read_from_container(&mut Cursor::new(file));
    fields.or_else(|e| e.distill_partial_result(|_| {})).ok()
}

impl Taken {
    /// Reads the bytes of an image file; missing or damaged values stay `None`.
    pub(super) fn of(file: &[u8]) -> Self {
        fields(file).map_or_else(Self::default, |fields| Self::from_fields(&fields))
    }

    fn from_fields(fields: &Exif) -> Self {
        let text = |tag: Tag| match &fields.get_field(tag, In::PRIMARY)?.value {
            Value::Ascii(texts) => texts.first().map(Vec::as_slice),
            _ => None,
        };
        let at = text(Tag::DateTimeOriginal).or_else(|| text(Tag::DateTime));
        let make = text(Tag::Make).map(name).unwrap_or_default();
        let model = text(Tag::Model).map(name).unwrap_or_default();
        // Many cameras repeat the maker in the model's name.
        let camera = if model.starts_with(&make) {
            model
        } else {
            format!("{make} {model}")
        };
        let camera: String = camera.trim().chars().take(LONGEST_NAME).collect();
        Self {
            at: at.and_then(time),
            camera: Some(camera).filter(|camera| !camera.is_empty()),
            place: None,
        }
    }

    /// Whether nothing is known.
    pub fn is_unknown(&self) -> bool {
        *self == Self::default()
    }
}

/// A name, reduced to the printable characters of EXIF (7-bit ASCII).
fn name(bytes: &[u8]) -> String {
    let printed = bytes.iter().filter(|b| b.is_ascii_graphic() || **b == b' ');
    let text: String = printed.map(|b| char::from(*b)).collect();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// `YYYY:MM:DD hh:mm:ss` (EXIF 2.32, 4.6.4); a clock that was never set writes zeros.
fn time(text: &[u8]) -> Option<NaiveDateTime> {
    let parsed = exif::DateTime::from_ascii(text).ok()?;
    let date = NaiveDate::from_ymd_opt(parsed.year.into(), parsed.month.into(), parsed.day.into())?;
    date.and_hms_opt(
        parsed.hour.into(),
        parsed.minute.into(),
        parsed.second.into(),
    )
}

#[cfg(test)]
#[allow(clippy::unwrap_used)] // tests may panic
mod tests {
    use super::*;

    #[test]
    fn times_that_no_clock_shows_are_none() {
        let at = |text: &str| time(text.as_bytes()).map(|t| t.to_string());
        let read = at("2024:11:13 09:36:12");
        assert_eq!(read.as_deref(), Some("2024-11-13 09:36:12"));
        for text in [
            "0000:00:00 00:00:00",
            "2024:13:01 09:36:12",
            "2024:02:30 09:36:12",
            "2024:11:13 25:00:00",
            "    :  :     :  :  ",
            "yesterday",
            "",
        ] {
            assert_eq!(at(text), None, "{text}");
        }
    }

    #[test]
    fn names_of_cameras_are_short_and_printable() {
        assert_eq!(
            name(b"  Example\x00\x1b[31m  Phones "),
            "Example[31m Phones"
        );
    }

    #[test]
    fn files_without_such_fields_say_nothing() {
        assert!(Taken::of(b"").is_unknown());
        assert!(Taken::of(&[0xFF, 0xD8, 0xFF, 0xD9]).is_unknown());
    }
}
