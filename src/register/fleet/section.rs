//! The part of the overview page about all circuits together.

use super::failing::{Count, Group, StandsOut, What, Worse};
use super::visits::LEAST_CIRCUITS;
use super::{Fleet, Thermometer};
use crate::compose::html::escaped;
use crate::register::text_table::{difference_in, margin_in};

/// The section; nothing for fewer circuits than anything is said of. `link` gives the address of a
/// certificate's file as seen from the page.
pub fn section(fleet: &Fleet, units: &str, link: &dyn Fn(&str) -> String) -> String {
    if fleet.circuits < LEAST_CIRCUITS {
        return String::new();
    }
    let parts = [
        stands_out(fleet),
        worst(fleet, units, link),
        groups(fleet),
        thermometers(fleet, units),
        growth(fleet, units),
    ];
    format!(
        "<section class=\"fleet\" aria-labelledby=\"fleet\"><h2 id=\"fleet\">All circuits together \
         <span>{} circuits, {} visits</span></h2>\n{}</section>\n",
        fleet.circuits,
        fleet.visits,
        parts.concat()
    )
}

/// A share in whole per cent.
fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

/// “12 of 16 circuits (75 %, 51 % to 90 %)”.
fn counted(count: &Count, noun: &str) -> String {
    let Some([low, high]) = count.interval else {
        return format!("none of 0 {noun}");
    };
    let share = count.failed as f64 / count.circuits.max(1) as f64;
    format!(
        "{} of {} {noun} ({}; 95 % interval {} to {})",
        count.failed,
        count.circuits,
        percent(share),
        percent(low),
        percent(high)
    )
}

/// What a case of a group is.
const fn noun(what: What) -> &'static str {
    match what {
        What::Part => "such parts",
        _ => "circuits",
    }
}

fn stands_out(fleet: &Fleet) -> String {
    let rule = format!("<p><small>{}</small></p>\n", escaped(&fleet.rule.words));
    if fleet.stands_out.is_empty() {
        return format!(
            "<p>No make and no part fails more often than the rest, as far as these circuits show.</p>\n\
             {rule}"
        );
    }
    let items: String = fleet.stands_out.iter().map(item).collect();
    format!("<h3>What fails more often</h3>\n<ul>{items}</ul>\n{rule}")
}

fn item(found: &StandsOut) -> String {
    let group = &found.group;
    let what = match group.worse {
        Worse::Repair => "needed a repair, or was not to be used,",
        Worse::Watch => "was to be watched, or worse,",
    };
    let or = match &found.or[..] {
        [] => String::new(),
        all => format!(
            ", or {}, which has nearly the same circuits,",
            escaped(&all.join(", or "))
        ),
    };
    format!(
        "<li><b>{} {}</b>{or} {what} at {}, at {} properties; of the others, {}</li>",
        group.what.words(),
        escaped(&group.value),
        counted(&group.group, noun(group.what)),
        found.properties,
        counted(&group.rest, noun(group.what)),
    )
}

fn worst(fleet: &Fleet, units: &str, link: &dyn Fn(&str) -> String) -> String {
    let rows: String = fleet
        .worst_margins
        .iter()
        .map(|w| {
            format!(
                "<tr><th scope=\"row\">{}<small><a href=\"{}\">{}</a></small></th>\
                 <td>{}</td><td>{}</td><td>{}</td></tr>\n",
                escaped(&w.site),
                escaped(&link(&w.file)),
                escaped(w.number.as_deref().unwrap_or("?")),
                escaped(w.circuit_name.as_deref().unwrap_or(&w.circuit)),
                escaped(&w.connection),
                margin_in(units, w.margin_k),
            )
        })
        .collect();
    if rows.is_empty() {
        return String::new();
    }
    table(
        "Least margins",
        &["Property", "Circuit", "Connection", "Margin"],
        &rows,
    )
}

fn table(title: &str, heads: &[&str], rows: &str) -> String {
    let heads: String = heads
        .iter()
        .map(|head| format!("<th scope=\"col\">{head}</th>"))
        .collect();
    format!(
        "<h3>{title}</h3>\n<div class=\"wide\"><table><thead><tr>{heads}</tr></thead>\
         <tbody>\n{rows}</tbody></table></div>\n"
    )
}

/// Every group with its counts, to be opened.
fn groups(fleet: &Fleet) -> String {
    let pairs = fleet.groups.iter().filter(|g| g.worse == Worse::Repair);
    let rows: String = pairs
        .map(|repair| {
            let watch = fleet.groups.iter().find(|g| {
                g.worse == Worse::Watch && (g.what, &g.value) == (repair.what, &repair.value)
            });
            row(repair, watch)
        })
        .collect();
    format!(
        "<details><summary>Every make and part, with counts and 95 % intervals</summary>\n{}</details>\n",
        table(
            "Makes and parts",
            &["", "", "Circuits", "Repair or stop", "Watch or worse"],
            &rows
        )
    )
}

fn row(repair: &Group, watch: Option<&Group>) -> String {
    let cell = |count: &Count| match count.interval {
        Some([low, high]) => format!("{} ({} to {})", count.failed, percent(low), percent(high)),
        None => String::new(),
    };
    format!(
        "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>\n",
        repair.what.words(),
        escaped(&repair.value),
        repair.group.circuits,
        cell(&repair.group),
        watch.map(|watch| cell(&watch.group)).unwrap_or_default(),
    )
}

fn thermometers(fleet: &Fleet, units: &str) -> String {
    let odd: Vec<&Thermometer> = fleet
        .thermometers
        .iter()
        .filter(|t| t.reads.is_some())
        .collect();
    if odd.is_empty() {
        return String::new();
    }
    let items: String = odd
        .iter()
        .filter_map(|t| {
            let [low, high] = t.interval?;
            Some(format!(
                "<li><b>{}</b> reads {}: {} against {} on the same connections (95 % interval {} to {}; {} \
                 circuits)</li>",
                escaped(&t.thermometer),
                t.reads?,
                difference_in(units, t.above_others_k?),
                match t.others {
                    1 => "one other".to_owned(),
                    n => format!("{n} others"),
                },
                difference_in(units, low),
                difference_in(units, high),
                t.circuits
            ))
        })
        .collect();
    format!(
        "<h3>Thermometers that differ</h3>\n<ul>{items}</ul>\n<p><small>Which of two thermometers that \
         differ is wrong, only a calibration tells.</small></p>\n"
    )
}

fn growth(fleet: &Fleet, units: &str) -> String {
    let rows: String = fleet
        .growth
        .iter()
        .filter_map(|g| {
            let [low, high] = g.interval?;
            Some(format!(
                "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{} to {}</td></tr>\n",
                escaped(g.part.as_deref().unwrap_or("every connection")),
                g.circuits,
                difference_in(units, g.k_per_year?),
                difference_in(units, low),
                difference_in(units, high)
            ))
        })
        .collect();
    let ages: String = fleet
        .by_age
        .iter()
        .filter_map(|a| {
            let [low, high] = a.interval?;
            Some(format!(
                "<tr><th scope=\"row\">{} to {}</th><td>{}</td><td>{}</td><td>{} to {}</td></tr>\n",
                a.years,
                a.years + 1,
                a.circuits,
                difference_in(units, a.grown_k?),
                difference_in(units, low),
                difference_in(units, high)
            ))
        })
        .collect();
    let mut out = String::new();
    if !rows.is_empty() {
        let heads = ["", "Circuits", "Growth a year", "95 % interval"];
        out.push_str(&table("How rises at rated current grow", &heads, &rows));
    }
    if !ages.is_empty() {
        let heads = ["Years", "Circuits", "Growth", "95 % interval"];
        out.push_str(&table("Since the first certificate", &heads, &ages));
    }
    if !out.is_empty() {
        out.push_str(
            "<p><small>Between visits with the same thermometer; of each circuit, the median of its \
             connections counts.</small></p>\n",
        );
    }
    out
}
