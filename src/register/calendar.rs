//! Reminders of what is due, as an iCalendar file (RFC 5545): a whole-day event for each
//! certificate that is the latest of one of its circuits, with an alarm two weeks before.

use super::rows::{Row, Wanted};
use chrono::{DateTime, Duration, NaiveDate, NaiveTime, Utc};
use icalendar::{Alarm, Calendar, Component, Event, EventLike, Trigger};
use std::collections::BTreeMap;

/// Days by which the alarm comes before the day; our choice, time enough to make an appointment.
const AHEAD: i64 = 14;

/// The calendar of the wanted rows.
pub fn calendar(all: &[Row], wanted: &Wanted) -> String {
    let mut due: BTreeMap<(NaiveDate, &str), Vec<&Row>> = BTreeMap::new();
    for row in wanted.latest(all) {
        if let Some(day) = row.next_due {
            due.entry((day, row.certificate())).or_default().push(row);
        }
    }
    let mut calendar = Calendar::empty();
    calendar.append_property(("VERSION", "2.0"));
    calendar.append_property((
        "PRODID",
        concat!("-//warmlug//warmlug ", env!("CARGO_PKG_VERSION"), "//EN"),
    ));
    calendar.append_property(("CALSCALE", "GREGORIAN"));
    for ((day, sha256), rows) in due {
        calendar.push(event(day, sha256, &rows));
    }
    calendar.done().to_string()
}

fn event(day: NaiveDate, sha256: &str, rows: &[&Row]) -> Event {
    let first = rows.first();
    let told = |t: Option<&Option<String>>| t.cloned().flatten().unwrap_or_default();
    let site = told(first.map(|r| &r.site));
    let number = told(first.map(|r| &r.number));
    let circuits: Vec<&str> = rows.iter().map(|r| r.title()).collect();
    let mut about = format!("Certificate {number}");
    if let Some(date) = first.and_then(|r| r.date) {
        about.push_str(&format!(" of {date}"));
    }
    about.push_str(&format!(": {}.", told(first.map(|r| &r.outcome))));
    for row in rows {
        about.push_str(&format!(
            "\n{}: {}",
            row.title(),
            row.worst_grade.as_deref().unwrap_or("?")
        ));
        if let Some(margin) = row.worst_margin_k {
            about.push_str(&format!(
                ", least margin {}",
                super::text_table::margin(row, margin)
            ));
        }
    }
    let summary = format!("Inspect EV charger: {site}, {}", circuits.join(", "));
    let stamp = stamp(first.copied());
    let mut alarm = Alarm::display(&summary, Trigger::before_start(Duration::days(AHEAD)));
    alarm
        .uid(&format!("{sha256}-alarm@warmlug"))
        .timestamp(stamp);
    let mut event = Event::new();
    // The same certificate always makes the same event, so that a calendar read twice does not
    // double it.
    event
        .uid(&format!("{sha256}@warmlug"))
        .timestamp(stamp)
        .starts(day)
        .summary(&summary)
        .location(&site)
        .description(&about)
        .alarm(alarm);
    event.done()
}

/// When the event came to be: at the signing, else at the visit.
fn stamp(row: Option<&Row>) -> DateTime<Utc> {
    row.and_then(|r| {
        r.signed_at
            .map(|t| t.to_utc())
            .or_else(|| Some(r.date?.and_time(NaiveTime::MIN).and_utc()))
    })
    .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::super::rows::tests::row;
    use super::{Wanted, calendar};

    #[test]
    fn one_event_a_certificate_the_same_every_time() {
        let rows = [
            row("2026-0001", "a", "2026-01-01", Some("2026-07-01")),
            row("2026-0001", "b", "2026-01-01", Some("2026-07-01")),
            row("2025-0001", "a", "2025-01-01", Some("2025-07-01")),
            row("2026-0002", "c", "2026-01-01", None),
        ];
        let text = calendar(&rows, &Wanted::default());
        assert_eq!(text.matches("BEGIN:VEVENT").count(), 1, "{text}");
        assert!(text.contains("DTSTART;VALUE=DATE:20260701\r\n"), "{text}");
        assert!(
            text.contains("TRIGGER;RELATED=START:-PT1209600S\r\n"),
            "{text}"
        );
        assert!(
            text.contains("SUMMARY:Inspect EV charger: Mill Lane\\, a\\, b\r\n"),
            "{text}"
        );
        assert_eq!(text, calendar(&rows, &Wanted::default()));
    }
}
