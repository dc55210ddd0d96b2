//! What is due as an iCalendar file (RFC 5545): an all-day event for each circuit, on its day, or today if
//! that has passed or there is none.

use super::list::Item;
use crate::register::calendar::{begun, line, text};
use chrono::{DateTime, NaiveDate, Utc};

/// The calendar of a list. The same list makes the same events, so that a calendar read twice does not double
/// them.
pub fn calendar(items: &[Item], today: NaiveDate, now: DateTime<Utc>) -> String {
    let mut out = begun();
    for item in items {
        event(item, today, now, &mut out);
    }
    line(&mut out, "END:VCALENDAR");
    out
}

fn event(item: &Item, today: NaiveDate, now: DateTime<Utc>, out: &mut String) {
    let day = item.day.filter(|day| *day >= today).unwrap_or(today);
    let what = match item.state {
        "cut-short" => "Finish the inspection",
        "do-not-use" => "DO NOT USE before repair",
        "overdue" => "OVERDUE: inspect",
        _ => "Inspect",
    };
    let summary = format!("{what}: {}, {}", item.site, item.circuit_name);
    let mut about = format!(
        "{}\nClient: {}\nCertificate {} of {}.",
        item.reason, item.client, item.certificate, item.inspected
    );
    if let Some(due) = item.day {
        about.push_str(&format!(" Due by {due}."));
    }
    for left in &item.left {
        about.push_str(&format!("\n- {left}"));
    }
    line(out, "BEGIN:VEVENT");
    line(out, &format!("DESCRIPTION:{}", text(&about)));
    line(out, &format!("DTSTAMP:{}", now.format("%Y%m%dT%H%M%SZ")));
    line(out, &format!("DTSTART;VALUE=DATE:{}", day.format("%Y%m%d")));
    let place = item.site_address.as_ref().unwrap_or(&item.site);
    line(out, &format!("LOCATION:{}", text(place)));
    line(out, &format!("SUMMARY:{}", text(&summary)));
    let uid = format!("{}-{}-{}@warmlug", item.sha256, item.circuit, item.state);
    line(out, &format!("UID:{}", text(&uid)));
    line(out, "END:VEVENT");
}
