//! Whether a visit can be sealed at a given time.

use crate::next::first_visit;
use crate::visit::{FURTHEST_AHEAD, Visit};
use chrono::{DateTime, FixedOffset, NaiveDate, NaiveDateTime};
use thiserror::Error;

/// Why a visit can't be sealed yet.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum NotReady {
    /// A text of the starter visit was never replaced.
    #[error("“{text}” is a placeholder and cannot be signed. Write the real name at `{key}`")]
    Placeholder {
        /// Its key.
        key: &'static str,
        /// The text.
        text: String,
    },
    /// The day of the visit has not begun yet in any time zone.
    #[error(
        "it would be signed at {}, before the day of the visit, {day}",
        at.format("%Y-%m-%d %H:%M %:z")
    )]
    BeforeTheDay {
        /// The signing time.
        at: DateTime<FixedOffset>,
        /// The day of the visit.
        day: NaiveDate,
    },
    /// The signing time is before the last reading; if no time zone is named, in every time zone.
    #[error(
        "it would be signed at {}, before the last reading, {} on the site's clock{}",
        at.format("%Y-%m-%d %H:%M %:z"),
        last.format("%Y-%m-%d %H:%M"),
        zone.as_ref().map_or_else(|| ", in every time zone".to_owned(), |zone| format!(" ({zone})"))
    )]
    BeforeTheLastReading {
        /// The signing time.
        at: DateTime<FixedOffset>,
        /// The last reading, on the site's clock.
        last: NaiveDateTime,
        /// The site's time zone, if the file names it.
        zone: Option<String>,
    },
}

/// Refuses to seal a visit that cannot have taken place yet, or that still has texts of the starter
/// file.
///
/// # Errors
/// [`NotReady`].
pub fn ready(visit: &Visit, at: DateTime<FixedOffset>) -> Result<(), NotReady> {
    if let Some((key, text)) = first_visit::untouched(visit) {
        return Err(NotReady::Placeholder { key, text });
    }
    if before_the_day(at, visit.date) {
        return Err(NotReady::BeforeTheDay {
            at,
            day: visit.date,
        });
    }
    match visit.last_reading() {
        Some(last) if at.naive_utc() < last.earliest => Err(NotReady::BeforeTheLastReading {
            at,
            last: last.local,
            zone: visit.zone.clone(),
        }),
        _ => Ok(()),
    }
}

/// Whether a time is before a day in every time zone.
fn before_the_day(at: DateTime<FixedOffset>, day: NaiveDate) -> bool {
    let latest = at.naive_utc().checked_add_signed(FURTHEST_AHEAD);
    latest.is_some_and(|latest| latest.date() < day)
}
