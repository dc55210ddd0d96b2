//! The time of the last reading of a visit in universal time, as far as the file gives it.

use super::model::{Moment, Visit};
use super::zone::{Clock, Shown};
use crate::quantity::TimeOfDay;
use chrono::{Days, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};

/// Maximum offset of a site's clock ahead of UTC (IANA time zone database: Pacific/Kiritimati).
pub const FURTHEST_AHEAD: TimeDelta = TimeDelta::hours(14);

/// The last reading of a visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LastReading {
    /// On the site's clock.
    pub local: NaiveDateTime,
    /// The earliest possible time, UTC. If the file names no time zone, it is computed for the zone
    /// that is furthest ahead.
    pub earliest: NaiveDateTime,
}

impl Visit {
    /// The last round of temperatures; `None` if there was none.
    pub fn last_reading(&self) -> Option<LastReading> {
        let rounds = self.circuits.iter().flat_map(|circuit| {
            let series = [&circuit.heat, &circuit.heat_after].into_iter().flatten();
            series.flat_map(|heat| heat.rounds.iter().map(|round| round.at))
        });
        let read = |at: Moment| {
            let day = self.date.checked_add_days(Days::new(at.day.into()))?;
            let (h, m, s) = at.time.hms();
            let local = day.and_time(NaiveTime::from_hms_opt(h, m, s)?);
            let ahead = self.furthest_ahead(day, at.time);
            let earliest = local.checked_sub_signed(ahead)?;
            Some(LastReading { local, earliest })
        };
        rounds
            .filter_map(read)
            .max_by_key(|reading| reading.earliest)
    }

    /// Maximum offset by which the site's clock can have been ahead of UTC at a local time.
    fn furthest_ahead(&self, day: NaiveDate, time: TimeOfDay) -> TimeDelta {
        let zone = self.zone.as_deref();
        let offset = zone.and_then(|zone| {
            offset_s(zone).or_else(|| match Clock::named(zone)?.0.shown(day, time) {
                Shown::Once(offset) => Some(offset),
                Shown::Twice(first, second) => Some(first.max(second)),
                Shown::Never => None,
            })
        });
        offset.map_or(FURTHEST_AHEAD, TimeDelta::seconds)
    }
}

/// `±hh:mm` in seconds.
fn offset_s(zone: &str) -> Option<i64> {
    let (sign, rest) = match zone.split_at_checked(1)? {
        ("+", rest) => (1, rest),
        ("-", rest) => (-1, rest),
        _ => return None,
    };
    let (hours, minutes) = rest.split_once(':')?;
    let seconds = hours.parse::<i64>().ok()? * 3600 + minutes.parse::<i64>().ok()? * 60;
    Some(sign * seconds)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::offset_s;

    #[test]
    fn offsets_are_read_with_their_sign() {
        assert_eq!(offset_s("+05:45"), Some(20_700));
        assert_eq!(offset_s("-03:30"), Some(-12_600));
        assert_eq!(offset_s("Europe/Lisbon"), None);
    }
}
