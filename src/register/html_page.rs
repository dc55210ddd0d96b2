//! The register as one self-contained HTML page: the circuits of each property with their latest result,
//! their due date, and the margin of the hottest connection over the years. Without scripts it is a plain
//! list; with them it can be searched, filtered and sorted. Printed, each property is a sheet.

use super::fleet::{fleet, section::section};
use super::row::{INCOMPLETE, OwnCircuit, Row};
use super::summary::{Summary, summary};
use super::text_table::margin_in;
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
/// Space around the line for its last point.
const EDGE: f64 = 3.0;

/// Settings that all circuits of a page share.
struct Page<'a> {
    today: NaiveDate,
    /// Unit system of every margin: that of most certificates.
    units: &'a str,
    /// The address of a certificate's file.
    link: &'a dyn Fn(&str) -> String,
}

/// The page of the wanted rows, as of a day. `link` gives the address of a certificate's file as seen from
/// the page.
pub fn page(
    all: &[Row],
    wanted: &Wanted,
    today: NaiveDate,
    link: &dyn Fn(&str) -> String,
) -> String {
    let totals = summary(all, wanted, today);
    let mut history: HashMap<OwnCircuit<'_>, Vec<&Row>> = HashMap::new();
    for row in all.iter().filter(|r| r.counts()) {
        if let Some(own) = row.own_circuit() {
            history.entry(own).or_default().push(row);
        }
    }
    for visits in history.values_mut() {
        visits.sort_by_key(|r| (r.date, r.signed_at.map(|t| t.to_utc())));
        visits.dedup_by_key(|r| r.certificate());
    }
    let mut current = wanted.latest(all);
    // Circuits that must not be used come first, then the others by due date.
    current.sort_by_key(|r| (!r.out_of_use(), r.next_due.is_none(), r.next_due));
    let us = current.iter().filter(|r| r.units.as_deref() == Some("us"));
    let page = Page {
        today,
        units: if 2 * us.count() > current.len() {
            "us"
        } else {
            "si"
        },
        link,
    };
    let mut properties: Vec<(String, Vec<&Row>)> = Vec::new();
    let mut places: HashMap<(&str, &str), usize> = HashMap::new();
    for row in current {
        let site = row.site.as_deref().unwrap_or_default();
        let place = *places.entry((site, &row.place)).or_insert_with(|| {
            // Several sites of one name are told apart by their addresses.
            let address = row.site_address.as_ref().filter(|_| !row.place.is_empty());
            let named = address.map(|a| format!("{site}, {}", a.replace('\n', ", ")));
            properties.push((named.unwrap_or_else(|| site.to_owned()), Vec::new()));
            properties.len() - 1
        });
        properties[place].1.push(row);
    }
    let body: String = properties
        .iter()
        .enumerate()
        .map(|(n, (site, rows))| page.property(n, site, rows, &history))
        .collect();
    let together = section(&fleet(all, wanted), page.units, link);
    PAGE.replace("{today}", &today.to_string())
        .replace("{fleet}", &together)
        .replace("{counts}", &counts(&totals))
        .replace("{not-valid}", &not_valid(&totals))
        .replace("{rows}", &body)
}

fn counts(totals: &Summary<'_>) -> String {
    let mut items = vec![
        ("circuits", totals.circuits),
        ("do not use", totals.out_of_use.len()),
        ("overdue", totals.overdue.len()),
        ("not complete", totals.incomplete.len()),
        ("not valid", totals.not_valid.len()),
        (
            "sealed with a different key than the one before",
            totals.other_hand.len(),
        ),
        ("keys that nobody compared", totals.uncompared.len()),
        (
            "sealed with a key that nobody accepted, superseding nothing",
            totals.not_accepted.len(),
        ),
        (
            "that do not lift an earlier result",
            totals.not_lifting.len(),
        ),
    ];
    items.retain(|(what, n)| *n > 0 || *what == "circuits");
    items
        .iter()
        .map(|(what, n)| format!("<li><b>{n}</b> {what}</li>"))
        .collect()
}

fn not_valid(totals: &Summary<'_>) -> String {
    if totals.not_valid.is_empty() {
        return String::new();
    }
    let items: String = totals
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
    format!(
        "<section aria-labelledby=\"not-valid\"><h2 id=\"not-valid\">Not valid</h2>\n\
         <ul>{items}</ul></section>"
    )
}

impl Page<'_> {
    /// The circuits of a property.
    fn property(
        &self,
        n: usize,
        site: &str,
        rows: &[&Row],
        history: &HashMap<OwnCircuit<'_>, Vec<&Row>>,
    ) -> String {
        let circuits: String = rows
            .iter()
            .map(|row| {
                let visits = row.own_circuit().and_then(|own| history.get(&own));
                self.circuit(row, visits.map_or(&[][..], Vec::as_slice))
            })
            .collect();
        let count = match rows.len() {
            1 => "1 circuit".to_owned(),
            n => format!("{n} circuits"),
        };
        format!(
            "<section aria-labelledby=\"p{n}\"><h2 id=\"p{n}\">{site} <span>{count}</span></h2>\n\
             <table><thead><tr><th scope=\"col\">Circuit</th><th scope=\"col\">Result</th>\
             <th scope=\"col\">Next due</th><th scope=\"col\">Certificate</th>\
             <th scope=\"col\">Margin</th></tr></thead><tbody>\n{circuits}</tbody></table></section>\n",
            site = escaped(site),
        )
    }

    fn circuit(&self, row: &Row, visits: &[&Row]) -> String {
        let text = |t: &Option<String>| escaped(t.as_deref().unwrap_or_default());
        let late = row.next_due.is_some_and(|day| day < self.today);
        let due = match row.next_due {
            Some(day) if late => format!("<b class=\"late\">{day}, overdue</b>"),
            Some(day) => day.to_string(),
            None if row.out_of_use() => "<b class=\"late\">do not use before repair</b>".to_owned(),
            None => "not stated".to_owned(),
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
        let outcome = row.own_outcome().unwrap_or_default();
        let incomplete = match row.complete {
            Some(false) if outcome != INCOMPLETE => ", not complete",
            _ => "",
        };
        // The attributes by which the page can be filtered.
        let mut is = Vec::new();
        if row.out_of_use() {
            is.push("stop");
        }
        if late {
            is.push("late");
        }
        if row.complete == Some(false) {
            is.push("incomplete");
        }
        if row.unsatisfactory() {
            is.push("unsatisfactory");
        }
        format!(
            "<tr data-is=\"{is}\"><th scope=\"row\">{circuit}</th>\
             <td>{grade}<small>{outcome}{incomplete}</small></td>\
             <td>{due}</td>\
             <td><a href=\"{link}\">{number}</a><small>{date}, {signer}</small></td>\
             <td>{margin}</td></tr>\n",
            is = is.join(" "),
            circuit = escaped(row.title()),
            outcome = escaped(outcome),
            link = escaped(&(self.link)(&row.file)),
            number = text(&row.number),
            date = row.date.map(|d| d.to_string()).unwrap_or_default(),
            signer = text(&row.signer),
            margin = self.margin(row, visits),
        )
    }

    /// The margin of the hottest connection over the visits, and that of each connection at the
    /// last visit.
    fn margin(&self, row: &Row, visits: &[&Row]) -> String {
        let least = |row: &Row| {
            row.margins
                .iter()
                .map(|m| m.margin_k)
                .min_by(f64::total_cmp)
        };
        let Some(now) = least(row) else {
            return "not known".to_owned();
        };
        let series: Vec<(NaiveDate, f64)> = visits
            .iter()
            .filter_map(|visit| Some((visit.date?, least(visit)?)))
            .collect();
        let margins: Vec<String> = series
            .iter()
            .map(|(date, m)| format!("{date} {}", margin_in(self.units, *m)))
            .collect();
        let mut connections: Vec<_> = row.margins.iter().collect();
        connections.sort_by(|a, b| a.margin_k.total_cmp(&b.margin_k));
        let connections: Vec<String> = connections
            .iter()
            .map(|m| {
                format!(
                    "{} {}",
                    escaped(&m.connection),
                    margin_in(self.units, m.margin_k)
                )
            })
            .collect();
        format!(
            "{line}<details><summary>{now}</summary>{connections}</details>",
            line = sparkline(&series, &margins.join(", ")),
            now = margin_in(self.units, now),
            connections = connections.join("<br>"),
        )
    }
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

/// A line through the margins of several visits; nothing for one visit.
fn sparkline(series: &[(NaiveDate, f64)], label: &str) -> String {
    let day = |date: &NaiveDate| f64::from(date.to_epoch_days());
    let (Some((first, _)), Some((last, end))) = (series.first(), series.last()) else {
        return String::new();
    };
    if first == last {
        return String::new();
    }
    let values = series.iter().map(|(_, m)| *m);
    let (least, most) = values.fold((0.0_f64, 1.0_f64), |(a, b), m| (a.min(m), b.max(m)));
    let (from, to) = (day(first), day(last));
    let x = |day: f64| EDGE + (day - from) / (to - from) * (WIDTH - 2.0 * EDGE);
    let y = |m: f64| HEIGHT - EDGE - (m - least) / (most - least) * (HEIGHT - 2.0 * EDGE);
    let points: Vec<String> = series
        .iter()
        .map(|(date, m)| format!("{:.1},{:.1}", x(day(date)), y(*m)))
        .collect();
    format!(
        "<svg width=\"{WIDTH}\" height=\"{HEIGHT}\" role=\"img\" aria-label=\"{label}\">\
         <line x2=\"{WIDTH}\" y1=\"{zero:.1}\" y2=\"{zero:.1}\"/>\
         <polyline points=\"{points}\"/>\
         <circle cx=\"{cx:.1}\" cy=\"{cy:.1}\" r=\"2.5\"/></svg>",
        label = escaped(label),
        zero = y(0.0),
        points = points.join(" "),
        cx = x(to),
        cy = y(*end),
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::row::Margin;
    use super::super::row::tests::row;
    use super::*;

    fn made(rows: &[Row], today: &str) -> String {
        let link = |file: &str| format!("../{file}");
        page(rows, &Wanted::default(), today.parse().unwrap(), &link)
    }

    #[test]
    fn names_cannot_break_the_page() {
        let mut odd = row("1", "a", "2026-01-01", Some("2026-07-01"));
        odd.site = Some("<script>alert(1)</script> {rows}".to_owned());
        odd.margins[0].connection = "\"><b>".to_owned();
        odd.file = "\"><i>.pdf".to_owned();
        let page = made(&[odd], "2026-02-01");
        assert!(!page.contains("<script>alert"), "{page}");
        assert!(
            !page.contains("{rows}") && !page.contains("\"><b>"),
            "{page}"
        );
        assert!(!page.contains("<i>"), "{page}");
    }

    #[test]
    fn a_line_goes_through_every_visit() {
        let mut visits = vec![
            row("1", "a", "2025-01-01", Some("2025-07-01")),
            row("2", "a", "2025-07-01", Some("2026-07-01")),
        ];
        visits[1].margins[0].margin_k = 10.0;
        let page = made(&visits, "2026-08-01");
        assert!(page.contains("points=\"3.0,3.0 117.0,13.0\""), "{page}");
        assert!(
            page.contains("2025-01-01 36 °F, 2025-07-01 18 °F"),
            "{page}"
        );
        assert!(page.contains("2026-07-01, overdue"), "{page}");
        assert!(page.contains("<a href=\"../2-a.pdf\">2</a>"), "{page}");
        assert_eq!(page.matches("<polyline").count(), 1);
    }

    #[test]
    fn a_property_is_a_section_and_all_margins_have_one_unit() {
        let mut rows = vec![
            row("1", "a", "2026-01-01", Some("2026-07-01")),
            row("2", "b", "2026-01-01", Some("2026-07-01")),
            row("3", "c", "2026-01-01", Some("2026-07-01")),
        ];
        rows[1].units = Some("si".to_owned());
        rows[1].complete = Some(false);
        rows[2].site = Some("Elm Row".to_owned());
        let page = made(&rows, "2026-02-01");
        assert_eq!(page.matches("<section ").count(), 2);
        assert!(page.contains("Mill Lane <span>2 circuits</span>"), "{page}");
        assert_eq!(page.matches("<summary>36 °F</summary>").count(), 3);
        assert!(page.contains("data-is=\"incomplete\""), "{page}");
        assert!(page.contains("<small>incomplete</small>"), "{page}");
    }

    /// 1,000 circuits with three visits and six connections each.
    #[test]
    fn a_thousand_circuits_are_less_than_a_megabyte() {
        let rows: Vec<Row> = (0..3000)
            .map(|n| {
                let visit = n / 1000;
                let day = format!("202{}-01-01", 4 + visit);
                let mut row = row(
                    &n.to_string(),
                    &(n % 1000).to_string(),
                    &day,
                    Some("2027-01-01"),
                );
                row.site = Some(format!("{} Mill Lane", n % 1000 / 8));
                row.margins = (0..6)
                    .map(|c| Margin {
                        connection: format!("breaker-L{c}"),
                        margin_k: 20.0 + f64::from(c),
                    })
                    .collect();
                row
            })
            .collect();
        let page = made(&rows, "2026-02-01");
        assert_eq!(page.matches("<polyline").count(), 1000);
        assert!(page.len() < 1_000_000, "{} bytes", page.len());
    }
}
