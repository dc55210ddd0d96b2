//! The site's clock: an offset from universal time, or the name of a zone in the IANA time-zone
//! database, in which case its changes are known.
//!
//! The database is compiled into the program (2026 or later), so that a file means the same on
//! every machine.

use crate::quantity::TimeOfDay;
use chrono::{Datelike, NaiveDate};
use jiff::tz::{AmbiguousOffset, TimeZone, TimeZoneDatabase};

/// The times at which a wall clock showed a given time, as offsets from universal time, seconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shown {
    /// Once.
    Once(i64),
    /// Twice, because the clock was set back: the first offset, then the second.
    Twice(i64, i64),
    /// Never, because the clock was set forward past it.
    Never,
}

/// A clock whose changes are known.
#[derive(Debug, Clone)]
pub(crate) struct Clock(TimeZone);

impl Clock {
    /// The clock of a zone, and the name of the zone as the database spells it.
    pub(super) fn named(name: &str) -> Option<(Self, String)> {
        let zone = TimeZoneDatabase::bundled().get(name).ok()?;
        let canonical = zone.iana_name()?.to_owned();
        Some((Self(zone), canonical))
    }

    /// The possible offsets of the clock at a local time.
    pub(super) fn shown(&self, date: NaiveDate, time: TimeOfDay) -> Shown {
        let (h, m, s) = time.hms();
        let at = i16::try_from(date.year())
            .ok()
            .zip(i8::try_from(date.month()).ok())
            .zip(i8::try_from(date.day()).ok())
            .and_then(|((year, month), day)| {
                let [h, m, s] = [h, m, s].map(|v| i8::try_from(v).unwrap_or(0));
                jiff::civil::DateTime::new(year, month, day, h, m, s, 0).ok()
            });
        // Years outside the database's calendar are rejected long before.
        let Some(at) = at else { return Shown::Once(0) };
        match self.0.to_ambiguous_timestamp(at).offset() {
            AmbiguousOffset::Unambiguous { offset } => Shown::Once(offset.seconds().into()),
            AmbiguousOffset::Fold { before, after } => {
                Shown::Twice(before.seconds().into(), after.seconds().into())
            }
            AmbiguousOffset::Gap { .. } => Shown::Never,
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn shown(zone: &str, date: (i32, u32, u32), time: &str) -> Shown {
        let (clock, _) = Clock::named(zone).unwrap();
        let date = NaiveDate::from_ymd_opt(date.0, date.1, date.2).unwrap();
        clock.shown(date, time.parse().unwrap())
    }

    /// In the European Union clocks change at 01:00 UTC on the last Sundays of March and October
    /// (directive 2000/84/EC), in the United States at 02:00 local time on the second Sunday of
    /// March and the first of November (15 U.S.C. 260a), on Lord Howe Island by half an hour.
    #[test]
    fn clocks_change_when_the_law_says() {
        const H: i64 = 3600;
        let berlin = "Europe/Berlin";
        assert_eq!(shown(berlin, (2025, 3, 30), "01:59:59"), Shown::Once(H));
        assert_eq!(shown(berlin, (2025, 3, 30), "02:00"), Shown::Never);
        assert_eq!(shown(berlin, (2025, 3, 30), "02:59:59"), Shown::Never);
        assert_eq!(shown(berlin, (2025, 3, 30), "03:00"), Shown::Once(2 * H));
        assert_eq!(shown(berlin, (2025, 10, 26), "01:59"), Shown::Once(2 * H));
        assert_eq!(
            shown(berlin, (2025, 10, 26), "02:00"),
            Shown::Twice(2 * H, H)
        );
        assert_eq!(shown(berlin, (2025, 10, 26), "03:00"), Shown::Once(H));
        let chicago = "America/Chicago";
        assert_eq!(shown(chicago, (2025, 3, 9), "02:30"), Shown::Never);
        assert_eq!(
            shown(chicago, (2025, 11, 2), "01:30"),
            Shown::Twice(-5 * H, -6 * H)
        );
        assert_eq!(
            shown("America/Phoenix", (2025, 3, 9), "02:30"),
            Shown::Once(-7 * H)
        );
        let half = shown("Australia/Lord_Howe", (2025, 4, 6), "01:45");
        assert_eq!(half, Shown::Twice(11 * H, 10 * H + H / 2));
    }

    #[test]
    fn zones_are_spelt_as_the_database_does() {
        assert_eq!(Clock::named("europe/lisbon").unwrap().1, "Europe/Lisbon");
        assert!(Clock::named("Europe/Nowhere").is_none());
        assert!(Clock::named("").is_none());
    }
}
