//! Reminders of due inspections as an iCalendar file (RFC 5545): an all-day event for each certificate
//! that is the latest of at least one of its circuits, with an alarm two weeks before. Circuits that
//! must not be used have an event on the day on which the calendar is written.

use super::row::{INCOMPLETE, Row};
use super::wanted::Wanted;
use chrono::{DateTime, Duration, NaiveDate, NaiveTime, Utc};
use std::collections::BTreeMap;

/// Number of days between the alarm and the due date. Our choice: enough time for an appointment.
const AHEAD: i64 = 14;

/// The calendar of the wanted rows, written today.
pub fn calendar(all: &[Row], wanted: &Wanted, today: NaiveDate) -> String {
    let mut due: BTreeMap<(NaiveDate, &str), Vec<&Row>> = BTreeMap::new();
    let mut out_of_use: BTreeMap<&str, Vec<&Row>> = BTreeMap::new();
    for row in wanted.latest(all) {
        if let Some(day) = row.next_due {
            due.entry((day, row.certificate())).or_default().push(row);
        } else if row.out_of_use() {
            out_of_use.entry(row.certificate()).or_default().push(row);
        }
    }
    let mut out = begun();
    for (sha256, rows) in out_of_use {
        let event = Event {
            day: today,
            ahead: 0,
            what: "DO NOT USE before repair: EV charger",
            uid: format!("{sha256}-stop"),
        };
        event.write(&mut out, &rows);
    }
    for ((day, sha256), rows) in due {
        let what = if rows.iter().any(|row| row.own_outcome() == Some(INCOMPLETE)) {
            "Complete the inspection of EV charger"
        } else {
            "Inspect EV charger"
        };
        let event = Event {
            day,
            ahead: AHEAD,
            what,
            uid: format!("{sha256}-{}", day.format("%Y%m%d")),
        };
        event.write(&mut out, &rows);
    }
    line(&mut out, "END:VCALENDAR");
    out
}

/// The lines of a calendar above its events.
pub(crate) fn begun() -> String {
    let mut out = String::new();
    line(&mut out, "BEGIN:VCALENDAR");
    line(&mut out, "VERSION:2.0");
    let version = env!("CARGO_PKG_VERSION");
    line(
        &mut out,
        &format!("PRODID:-//warmlug//warmlug {version}//EN"),
    );
    line(&mut out, "CALSCALE:GREGORIAN");
    out
}

/// An event of one certificate.
struct Event {
    day: NaiveDate,
    /// Days between the alarm and the event.
    ahead: i64,
    what: &'static str,
    /// The same certificate always gives the same event, so that importing a calendar twice does
    /// not duplicate it.
    uid: String,
}

impl Event {
    fn write(&self, out: &mut String, rows: &[&Row]) {
        let Self { uid, what, .. } = self;
        let first = rows.first();
        let value_of = |t: Option<&Option<String>>| t.cloned().flatten().unwrap_or_default();
        let site = value_of(first.map(|r| &r.site));
        let number = value_of(first.map(|r| &r.number));
        let circuits: Vec<&str> = rows.iter().map(|r| r.title()).collect();
        let mut about = format!("Certificate {number}");
        if let Some(date) = first.and_then(|r| r.date) {
            about.push_str(&format!(" of {date}"));
        }
        about.push_str(&format!(": {}.", value_of(first.map(|r| &r.outcome))));
        for row in rows {
            about.push_str(&format!(
                "\n{}: {}",
                row.title(),
                row.worst_grade.as_deref().unwrap_or("?")
            ));
            if row.complete == Some(false) {
                about.push_str(", inspection not complete");
            }
            if let Some(margin) = row.worst_margin_k {
                about.push_str(&format!(
                    ", least margin {}",
                    super::text_table::margin(row, margin)
                ));
            }
        }
        let summary = format!("{what}: {site}, {}", circuits.join(", "));
        let stamp = stamp(first.copied()).format("%Y%m%dT%H%M%SZ");
        let day = self.day.format("%Y%m%d");
        let ahead = Duration::days(self.ahead).num_seconds();
        line(out, "BEGIN:VEVENT");
        line(out, &format!("DESCRIPTION:{}", text(&about)));
        line(out, &format!("DTSTAMP:{stamp}"));
        line(out, &format!("DTSTART;VALUE=DATE:{day}"));
        line(out, &format!("LOCATION:{}", text(&site)));
        line(out, &format!("SUMMARY:{}", text(&summary)));
        line(out, &format!("UID:{uid}@warmlug"));
        line(out, "BEGIN:VALARM");
        line(out, "ACTION:DISPLAY");
        line(out, &format!("DESCRIPTION:{}", text(&summary)));
        line(out, &format!("DTSTAMP:{stamp}"));
        line(out, &format!("TRIGGER;RELATED=START:-PT{ahead}S"));
        line(out, &format!("UID:{uid}-alarm@warmlug"));
        line(out, "END:VALARM");
        line(out, "END:VEVENT");
    }
}

/// Longest line, in bytes without its end (RFC 5545, 3.1).
const LONGEST: usize = 75;

/// Writes a content line, folded between characters (RFC 5545, 3.1).
pub(crate) fn line(out: &mut String, content: &str) {
    let mut room = LONGEST;
    for c in content.chars() {
        if c.len_utf8() > room {
            out.push_str("\r\n ");
            // The space counts.
            room = LONGEST - 1;
        }
        out.push(c);
        room -= c.len_utf8();
    }
    out.push_str("\r\n");
}

/// A text as a property's value (RFC 5545, 3.3.11): escaped, and without other control characters,
/// which the format does not allow.
pub(crate) fn text(value: &str) -> String {
    let mut out = String::with_capacity(value.len() + 8);
    for c in value.chars() {
        match c {
            '\\' | ',' | ';' => out.extend(['\\', c]),
            '\n' => out.push_str("\\n"),
            c if c.is_ascii_control() && c != '\t' => {}
            c => out.push(c),
        }
    }
    out
}

/// Time of creation of the event: the signing time, otherwise the date of the visit.
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
    #![allow(clippy::unwrap_used, clippy::panic)]
    use super::super::row::tests::row;
    use super::{Wanted, calendar, line, text};

    #[test]
    fn one_event_a_certificate_the_same_every_time() {
        let rows = [
            row("2026-0001", "a", "2026-01-01", Some("2026-07-01")),
            row("2026-0001", "b", "2026-01-01", Some("2026-07-01")),
            row("2025-0001", "a", "2025-01-01", Some("2025-07-01")),
            row("2026-0002", "c", "2026-01-01", None),
        ];
        let today = "2026-03-01".parse().unwrap();
        let text = calendar(&rows, &Wanted::default(), today);
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
        assert_eq!(text, calendar(&rows, &Wanted::default(), today));
    }

    #[test]
    fn what_must_not_be_used_and_what_is_not_complete_has_its_event() {
        let mut stop = row("2026-0001", "a", "2026-01-01", None);
        stop.worst_grade = Some("stop".to_owned());
        stop.outcome = Some("unsatisfactory".to_owned());
        let beside = row("2026-0001", "b", "2026-01-01", Some("2026-07-01"));
        let mut part = row("2026-0002", "c", "2026-01-01", Some("2026-02-01"));
        part.complete = Some(false);
        let today = "2026-03-01".parse().unwrap();
        let text = calendar(&[stop, beside, part], &Wanted::default(), today);
        let whole = text.replace("\r\n ", "");
        assert_eq!(whole.matches("BEGIN:VEVENT").count(), 3, "{whole}");
        let event = |what: &str| {
            let mut events = whole.split("BEGIN:VEVENT");
            events
                .find(|e| e.contains(what))
                .unwrap_or_else(|| panic!("{what}: {whole}"))
        };
        let stop = event("SUMMARY:DO NOT USE before repair: EV charger: Mill Lane\\, a\r\n");
        assert!(stop.contains("DTSTART;VALUE=DATE:20260301\r\n"), "{stop}");
        assert!(stop.contains("TRIGGER;RELATED=START:-PT0S\r\n"), "{stop}");
        assert!(event("SUMMARY:Inspect EV charger: Mill Lane\\, b\r\n").contains("20260701"));
        let part = event("SUMMARY:Complete the inspection of EV charger: Mill Lane\\, c");
        assert!(
            part.contains("c: pass\\, inspection not complete"),
            "{part}"
        );
    }

    /// The description of the example in RFC 5545, 3.3.11.
    #[test]
    fn texts_are_escaped() {
        assert_eq!(
            text("Project XYZ Final Review\nConference Room - 3B\nCome Prepared."),
            "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared."
        );
        assert_eq!(text("a, b; c\\d"), "a\\, b\\; c\\\\d");
        assert_eq!(text("a\r\nEND:VEVENT\u{1b}\t"), "a\\nEND:VEVENT\t");
    }

    /// RFC 5545, 3.1: at most 75 octets a line, the line break not counted.
    #[test]
    fn lines_are_folded_after_75_bytes() {
        let folded = |content: &str| {
            let mut out = String::new();
            line(&mut out, content);
            out
        };
        let whole = "x".repeat(75);
        assert_eq!(folded(&whole), format!("{whole}\r\n"));
        assert_eq!(folded(&format!("{whole}y")), format!("{whole}\r\n y\r\n"));
        // No character is divided.
        let wide = format!("{}°", "x".repeat(74));
        assert_eq!(folded(&wide), format!("{}\r\n °\r\n", "x".repeat(74)));
        let long = "°".repeat(200);
        let lines = folded(&long);
        assert!(lines.split("\r\n").all(|l| l.len() <= 75));
        assert_eq!(lines.replace("\r\n ", ""), format!("{long}\r\n"));
    }
}
