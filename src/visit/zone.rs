//! The site's clock: an offset from universal time, or the name of a zone in the IANA time-zone
//! database, in which case its changes are known.
//!
//! The table of zones is compiled into the program, so that a file means the same on every machine.
//! It has only the changes since 2000, before which no visit can be, and is a tenth of the database,
//! which matters to the browser.

use crate::quantity::TimeOfDay;
use chrono::{Datelike, Days, NaiveDate, NaiveDateTime, TimeDelta, Weekday};

/// A line for each clock: the names of the zones that have it, and after a tab the minutes that it was
/// ahead of universal time when 2000 began, and its changes, each as [`Change::read`] expects it.
const TABLE: &str = include_str!("../../templates/zones/zones.tsv");
/// The first year of the table.
const FIRST_YEAR: i32 = 2000;

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

/// A change of a clock that is repeated every year.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Change {
    /// The first and the last year.
    years: (i32, i32),
    month: u32,
    /// Which of the weekdays of the month, from 1; 5 is the last one.
    week: u8,
    /// Days from Sunday.
    weekday: u8,
    /// Minutes from the beginning of that day, by the clock that is then changed.
    minute: i64,
    /// Minutes ahead of universal time from then on.
    ahead: i64,
}

impl Change {
    /// `FROM-TO,MONTH.WEEK.WEEKDAY/MINUTE=AHEAD`; without a `TO` it is repeated for ever.
    fn read(text: &str) -> Option<Self> {
        let (years, rest) = text.split_once(',')?;
        let (from, to) = years.split_once('-')?;
        let to = if to.is_empty() {
            i32::MAX
        } else {
            to.parse().ok()?
        };
        let (day, rest) = rest.split_once('/')?;
        let (minute, ahead) = rest.split_once('=')?;
        let mut day = day.split('.');
        Some(Self {
            years: (from.parse().ok()?, to),
            month: day.next()?.parse().ok()?,
            week: day.next()?.parse().ok()?,
            weekday: day.next()?.parse().ok()?,
            minute: minute.parse().ok()?,
            ahead: ahead.parse().ok()?,
        })
    }

    /// What the clock shows in a year when it is changed.
    fn at(&self, year: i32) -> Option<NaiveDateTime> {
        if year < self.years.0 || year > self.years.1 {
            return None;
        }
        let weekday = Weekday::try_from((self.weekday + 6) % 7).ok()?;
        let day = |week| NaiveDate::from_weekday_of_month_opt(year, self.month, weekday, week);
        let day = if self.week == 5 {
            day(5).or_else(|| day(4))
        } else {
            day(self.week)
        };
        day?.and_hms_opt(0, 0, 0)?
            .checked_add_signed(TimeDelta::minutes(self.minute))
    }
}

/// A clock whose changes are known.
#[derive(Debug, Clone)]
pub(crate) struct Clock {
    /// Minutes ahead of universal time when the table begins.
    first: i64,
    changes: Vec<Change>,
}

/// The names of all zones.
pub(super) fn names() -> impl Iterator<Item = &'static str> {
    TABLE
        .lines()
        .filter_map(|line| line.split_once('\t'))
        .flat_map(|(names, _)| names.split(' '))
}

impl Clock {
    /// The clock of a zone, and the name of the zone as the database spells it.
    pub(super) fn named(name: &str) -> Option<(Self, String)> {
        TABLE.lines().find_map(|line| {
            let (names, clock) = line.split_once('\t')?;
            let name = names.split(' ').find(|n| n.eq_ignore_ascii_case(name))?;
            let mut parts = clock.split(' ');
            let first = parts.next()?.parse().ok()?;
            let changes = parts.map(Change::read).collect::<Option<_>>()?;
            Some((Self { first, changes }, name.to_owned()))
        })
    }

    /// The changes until the end of a year: when, in universal time, and the minutes ahead of it
    /// from then on.
    fn until(&self, year: i32) -> Vec<(NaiveDateTime, i64)> {
        let mut changes: Vec<_> = self
            .changes
            .iter()
            .flat_map(|change| {
                let years = FIRST_YEAR.max(change.years.0)..=year.min(change.years.1);
                years.filter_map(|year| Some((change.at(year)?, change.ahead)))
            })
            .collect();
        changes.sort_unstable();
        let mut before = self.first;
        for (at, ahead) in &mut changes {
            *at -= TimeDelta::minutes(before);
            before = *ahead;
        }
        changes
    }

    /// The possible offsets of the clock at a local time.
    pub(super) fn shown(&self, date: NaiveDate, time: TimeOfDay) -> Shown {
        let (h, m, s) = time.hms();
        let Some(local) = date.and_hms_opt(h, m, s) else {
            return Shown::Once(self.first * 60);
        };
        let changes = self.until(date.checked_add_days(Days::new(2)).unwrap_or(date).year());
        let ahead = |universal: NaiveDateTime| {
            let after = changes.partition_point(|(at, _)| *at <= universal);
            after
                .checked_sub(1)
                .map_or(self.first, |last| changes[last].1)
        };
        // No clock is more than 14 hours off, so that only these changes count.
        let near = |days| local + TimeDelta::days(days);
        let mut candidates: Vec<i64> = changes
            .iter()
            .filter(|(at, _)| (near(-1)..=near(1)).contains(at))
            .map(|(_, ahead)| *ahead)
            .chain([ahead(near(-1))])
            .filter(|candidate| ahead(local - TimeDelta::minutes(*candidate)) == *candidate)
            .collect();
        // What was further ahead was shown first.
        candidates.sort_unstable_by(|a, b| b.cmp(a));
        candidates.dedup();
        match candidates[..] {
            [] => Shown::Never,
            [once] => Shown::Once(once * 60),
            [first, second, ..] => Shown::Twice(first * 60, second * 60),
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

    /// The first year after those that the table is made from.
    const END: i32 = 2100;

    /// The changes of a zone as the crate `jiff` has them, in universal time.
    fn published(name: &str) -> (i64, Vec<(NaiveDateTime, i64)>) {
        let zone = jiff::tz::TimeZoneDatabase::bundled().get(name).unwrap();
        let instant = |text: &str| text.parse::<jiff::Timestamp>().unwrap();
        let minutes = |offset: jiff::tz::Offset| {
            assert_eq!(offset.seconds() % 60, 0, "{name}");
            i64::from(offset.seconds() / 60)
        };
        let start = instant("2000-01-01T00:00Z");
        let first = minutes(zone.to_offset(start));
        let mut before = first;
        let mut changes = Vec::new();
        for change in zone.following(start) {
            if change.timestamp() >= instant(&format!("{END}-01-01T00:00Z")) {
                break;
            }
            let ahead = minutes(change.offset());
            let at = chrono::DateTime::from_timestamp_secs(change.timestamp().as_second());
            if ahead != before {
                changes.push((at.unwrap().naive_utc(), ahead));
            }
            before = ahead;
        }
        (first, changes)
    }

    /// The changes as days that are repeated every year; neighbouring years have the same ones where
    /// that is possible.
    fn by_year(first: i64, changes: &[(NaiveDateTime, i64)]) -> String {
        let mut repeated: Vec<Change> = Vec::new();
        let mut before = first;
        for (at, ahead) in changes {
            let local = *at + TimeDelta::minutes(before);
            before = *ahead;
            let (date, year) = (local.date(), local.year());
            let week = u8::try_from((date.day() - 1) / 7 + 1).unwrap();
            let last = date.checked_add_days(Days::new(7)).unwrap().month() != date.month();
            let change = |week| Change {
                years: (year, year),
                month: date.month(),
                week,
                weekday: u8::try_from(date.weekday().num_days_from_sunday()).unwrap(),
                minute: (local - date.and_hms_opt(0, 0, 0).unwrap()).num_minutes(),
                ahead: *ahead,
            };
            let weeks = if last { vec![5, week] } else { vec![week] };
            let extended = weeks.iter().find_map(|week| {
                repeated.iter().position(|r| {
                    let same = Change {
                        years: r.years,
                        ..change(*week)
                    };
                    *r == same && r.years.1 == year - 1
                })
            });
            match extended {
                Some(known) => repeated[known].years.1 = year,
                None => repeated.push(change(weeks[0])),
            }
        }
        let words = repeated.iter().map(|c| {
            let to = if c.years.1 == END - 1 {
                String::new()
            } else {
                c.years.1.to_string()
            };
            let Change {
                month,
                week,
                weekday,
                minute,
                ahead,
                ..
            } = c;
            format!(
                " {}-{to},{month}.{week}.{weekday}/{minute}={ahead}",
                c.years.0
            )
        });
        format!("{first}{}", words.collect::<String>())
    }

    #[test]
    fn the_table_of_zones_is_that_of_the_database_and_are_current() {
        let mut lines: std::collections::BTreeMap<String, Vec<String>> = Default::default();
        for name in jiff::tz::TimeZoneDatabase::bundled().available() {
            let name = name.to_string();
            let (first, changes) = published(&name);
            lines
                .entry(by_year(first, &changes))
                .or_default()
                .push(name);
        }
        let table: String = lines
            .iter()
            .map(|(clock, names)| format!("{}\t{clock}\n", names.join(" ")))
            .collect();
        crate::generated::assert_current("templates/zones/zones.tsv", &table);
    }

    /// Every change of every zone to the minute, against the database that the table was made from.
    #[test]
    fn clocks_show_what_those_of_the_database_show() {
        for name in names() {
            let (clock, _) = Clock::named(name).unwrap();
            let (first, changes) = published(name);
            assert_eq!(clock.first, first, "{name}");
            assert_eq!(clock.until(END - 1), changes, "{name}");
        }
    }
}
