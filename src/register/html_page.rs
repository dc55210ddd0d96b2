//! The register as one self-contained HTML page: each circuit with its latest result, its due date,
//! and the margins of its connections over the years.

use super::row::{INCOMPLETE, Row};
use super::summary::{Summary, summary};
use super::text_table::margin;
use super::wanted::Wanted;
use crate::compose::html::escaped;
use crate::visit::Grade;
use chrono::NaiveDate;
use std::collections::HashMap;

/// The page around the rows.
const PAGE: &str = include_str!("../../templates/register/page.html");

/// Width of a sparkline, pixels.
const WIDTH: f64 = 120.0;
/// Height of a sparkline, pixels.
const HEIGHT: f64 = 26.0;
/// Room around the line for its last point.
const EDGE: f64 = 3.0;

/// The page of the wanted rows, as of a day.
pub fn page(all: &[Row], wanted: &Wanted, today: NaiveDate) -> String {
    let told = summary(all, wanted, today);
    let mut history: HashMap<(&str, &str), Vec<&Row>> = HashMap::new();
    for row in all.iter().filter(|r| r.counts()) {
        if let Some(subject) = row.subject() {
            history.entry(subject).or_default().push(row);
        }
    }
    for visits in history.values_mut() {
        visits.sort_by_key(|r| (r.date, r.signed_at.map(|t| t.to_utc())));
        visits.dedup_by_key(|r| r.certificate());
    }
    let mut current = wanted.latest(all);
    // Circuits that must not be used come first, then the others by due date.
    current.sort_by_key(|r| (!r.out_of_use(), r.next_due.is_none(), r.next_due));
    let body: String = current
        .iter()
        .map(|row| {
            let visits = row
                .subject()
                .and_then(|s| history.get(&s))
                .map_or(&[][..], Vec::as_slice);
            circuit(row, visits, today)
        })
        .collect();
    PAGE.replace("{today}", &today.to_string())
        .replace("{counts}", &counts(&told))
        .replace("{not-valid}", &not_valid(&told))
        .replace("{rows}", &body)
}

fn counts(told: &Summary<'_>) -> String {
    let mut items = vec![
        ("circuits", told.circuits),
        ("do not use", told.out_of_use.len()),
        ("overdue", told.overdue.len()),
        ("not complete", told.incomplete.len()),
        ("not valid", told.not_valid.len()),
        (
            "sealed with a different key than the one before",
            told.other_hand.len(),
        ),
        ("keys that nobody compared", told.uncompared.len()),
        (
            "sealed with a key that nobody accepted, superseding nothing",
            told.not_accepted.len(),
        ),
    ];
    items.retain(|(what, n)| *n > 0 || *what == "circuits");
    items
        .iter()
        .map(|(what, n)| format!("<li><b>{n}</b> {what}</li>"))
        .collect()
}

fn not_valid(told: &Summary<'_>) -> String {
    if told.not_valid.is_empty() {
        return String::new();
    }
    let items: String = told
        .not_valid
        .iter()
        .map(|r| {
            format!(
                "<li><b>{}</b>: {}</li>",
                escaped(&r.file),
                escaped(r.problem.as_deref().unwrap_or_default())
            )
        })
        .collect();
    format!("<h2>Not valid</h2>\n<ul>{items}</ul>")
}

fn circuit(row: &Row, visits: &[&Row], today: NaiveDate) -> String {
    let text = |t: &Option<String>| escaped(t.as_deref().unwrap_or_default());
    let due = match row.next_due {
        Some(day) if day < today => format!("<b class=\"late\">{day}, overdue</b>"),
        Some(day) => day.to_string(),
        None if row.out_of_use() => "<b class=\"late\">do not use before repair</b>".to_owned(),
        None => "not told".to_owned(),
    };
    let grade = match row.grade() {
        Some(grade) => format!(
            "<span class=\"grade {}\">{} {}</span>",
            grade.word(),
            sign(grade),
            grade.word()
        ),
        None => String::new(),
    };
    let incomplete = match row.complete {
        Some(false) if row.own_outcome() != Some(INCOMPLETE) => ", not complete",
        _ => "",
    };
    format!(
        "<tr><th scope=\"row\">{site}<br><span>{circuit}</span></th>\
         <td>{grade}<br><span>{outcome}{incomplete}</span></td>\
         <td>{due}</td>\
         <td>{number}<br><span>{date}, {signer}</span></td>\
         <td class=\"lines\">{lines}</td></tr>\n",
        site = text(&row.site),
        circuit = escaped(row.title()),
        outcome = escaped(row.own_outcome().unwrap_or_default()),
        number = text(&row.number),
        date = row.date.map(|d| d.to_string()).unwrap_or_default(),
        signer = text(&row.signer),
        lines = sparklines(row, visits),
    )
}

/// The shape of a grade, so that grades differ without colour.
const fn sign(grade: Grade) -> char {
    match grade {
        Grade::Pass => '●',
        Grade::Note => '■',
        Grade::Watch => '▲',
        Grade::Repair => '◆',
        Grade::Stop => '✖',
    }
}

/// One line for each connection of the latest visit, with the same scale for a whole circuit.
fn sparklines(row: &Row, visits: &[&Row]) -> String {
    let all = visits.iter().flat_map(|v| &v.margins).map(|m| m.margin_k);
    let (least, most) = all.fold((0.0_f64, 1.0_f64), |(a, b), m| (a.min(m), b.max(m)));
    let days: Vec<f64> = visits
        .iter()
        .map(|v| v.date.map_or(0.0, |d| f64::from(d.to_epoch_days())))
        .collect();
    let (from, to) = match (days.first(), days.last()) {
        (Some(a), Some(b)) if b > a => (*a, *b),
        // One visit, or several on one day: a point at the right end.
        (_, Some(b)) => (b - 1.0, *b),
        _ => (0.0, 1.0),
    };
    let x = |day: f64| EDGE + (day - from) / (to - from) * (WIDTH - 2.0 * EDGE);
    let y = |m: f64| HEIGHT - EDGE - (m - least) / (most - least) * (HEIGHT - 2.0 * EDGE);
    row.margins
        .iter()
        .map(|now| {
            let series: Vec<(f64, f64)> = visits
                .iter()
                .zip(&days)
                .filter_map(|(v, day)| {
                    let m = v.margins.iter().find(|m| m.connection == now.connection)?;
                    Some((*day, m.margin_k))
                })
                .collect();
            let points: Vec<String> = series
                .iter()
                .map(|(day, m)| format!("{:.1},{:.1}", x(*day), y(*m)))
                .collect();
            let told: Vec<String> = visits
                .iter()
                .filter_map(|v| {
                    let m = v.margins.iter().find(|m| m.connection == now.connection)?;
                    Some(format!("{} {}", v.date?, margin(v, m.margin_k)))
                })
                .collect();
            let end = series.last().copied().unwrap_or((to, now.margin_k));
            format!(
                "<div><svg width=\"{WIDTH}\" height=\"{HEIGHT}\" role=\"img\" \
                 aria-label=\"Margin of {id}: {told}\">\
                 <line x1=\"0\" x2=\"{WIDTH}\" y1=\"{zero:.1}\" y2=\"{zero:.1}\" class=\"zero\"/>\
                 <polyline points=\"{points}\"/>\
                 <circle cx=\"{cx:.1}\" cy=\"{cy:.1}\" r=\"2.5\"/></svg> {id} <b>{now}</b></div>",
                id = escaped(&now.connection),
                told = escaped(&told.join(", ")),
                zero = y(0.0),
                points = points.join(" "),
                cx = x(end.0),
                cy = y(end.1),
                now = margin(row, now.margin_k),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::row::tests::row;
    use super::*;

    #[test]
    fn names_cannot_break_the_page() {
        let mut odd = row("1", "a", "2026-01-01", Some("2026-07-01"));
        odd.site = Some("<script>alert(1)</script> {rows}".to_owned());
        odd.margins[0].connection = "\"><b>".to_owned();
        let page = page(&[odd], &Wanted::default(), "2026-02-01".parse().unwrap());
        assert!(!page.contains("<script>alert"), "{page}");
        assert!(
            !page.contains("{rows}") && !page.contains("\"><b>:"),
            "{page}"
        );
        assert_eq!(page.matches("<polyline").count(), 1);
    }

    #[test]
    fn a_line_goes_through_every_visit() {
        let mut visits = vec![
            row("1", "a", "2025-01-01", Some("2025-07-01")),
            row("2", "a", "2025-07-01", Some("2026-07-01")),
        ];
        visits[1].margins[0].margin_k = 10.0;
        let page = page(&visits, &Wanted::default(), "2026-08-01".parse().unwrap());
        assert!(page.contains("points=\"3.0,3.0 117.0,13.0\""), "{page}");
        assert!(
            page.contains("2025-01-01 36 °F, 2025-07-01 18 °F"),
            "{page}"
        );
        assert!(page.contains("2026-07-01, overdue"), "{page}");
    }
}
