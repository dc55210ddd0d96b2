//! What is due as text by week, as comma-separated values and as JSON. In English, like all that the program
//! says; the letters are in the language of their clients.

use super::coming::{Coming, State, week};
use super::letters::Letter;
use crate::compose::{Wording, WordingError};
use crate::register::text_table::{BYTE_ORDER_MARK, guarded, printable};
use chrono::{NaiveDate, Weekday};
use serde::Serialize;

/// One circuit that is due, in words and values.
#[derive(Debug, Clone, Serialize)]
pub struct Item {
    /// Why it is in the list: `cut-short`, `do-not-use`, `overdue` or `due`.
    pub state: &'static str,
    /// Whether it must not be used, whatever else is to be done.
    pub do_not_use: bool,
    /// ISO week of its day (`2026-W49`).
    pub week: Option<String>,
    /// The day: of the return, or by which it is due.
    pub day: Option<NaiveDate>,
    /// Name of the site.
    pub site: String,
    /// Address of the site.
    pub site_address: Option<String>,
    /// Id of the circuit.
    pub circuit: String,
    /// Its name.
    pub circuit_name: String,
    /// Number of the certificate in force.
    pub certificate: String,
    /// SHA-256 of that certificate.
    pub sha256: String,
    /// Day of its visit.
    pub inspected: NaiveDate,
    /// Firm of that certificate.
    pub firm: String,
    /// The client of the last visit.
    pub client: String,
    /// The client's address.
    pub client_address: Option<String>,
    /// Language of the last visit's certificate.
    pub language: String,
    /// Key of the rule that set the day.
    pub basis: String,
    /// Why it is due.
    pub reason: String,
    /// What the last visit left undone.
    pub left: Vec<String>,
    /// Current that the car has to draw for an hour, ampere.
    pub full_current_a: f64,
    /// File of the letter that names it.
    pub letter: Option<String>,
    /// Why no letter names it.
    pub withheld: Option<String>,
}

/// The circuits of a list as items; `file` gives the name of a letter's file.
///
/// # Errors
/// The English words are missing.
pub fn items(
    circuits: &[Coming<'_>],
    letters: &[Letter],
    file: impl Fn(&Letter) -> String,
) -> Result<Vec<Item>, WordingError> {
    let english = Wording::built_in("en")?;
    let items = circuits.iter().enumerate().filter_map(|(i, coming)| {
        let due = coming.due(english)?;
        let visit = &coming.visited.visit;
        let inspector = &visit.inspector;
        let newest = &coming.newest.visit;
        let letter = letters.iter().find(|letter| letter.circuits.contains(&i));
        Some(Item {
            state: coming.state.word(),
            do_not_use: due.off,
            week: coming.day.map(week),
            day: coming.day,
            site: visit.site.name.clone(),
            site_address: visit.site.address.clone(),
            circuit: coming.id().to_owned(),
            circuit_name: due.circuit.title().to_owned(),
            certificate: visit.number.clone(),
            sha256: coming.row.sha256.clone(),
            inspected: visit.date,
            firm: inspector.firm.as_ref().unwrap_or(&inspector.name).clone(),
            client: newest.client.name.clone(),
            client_address: newest.client.address.clone(),
            language: newest.print.main_language().to_owned(),
            basis: due.basis.to_owned(),
            reason: plain(&due.reason()),
            left: due.left().iter().map(|text| plain(text)).collect(),
            full_current_a: due.circuit.charger.load().ampere(),
            letter: letter.map(&file),
            withheld: coming.withheld.clone(),
        })
    });
    Ok(items.collect())
}

/// Text with ordinary spaces only.
fn plain(text: &str) -> String {
    text.replace(['\u{a0}', '\u{202f}'], " ")
}

/// Names of the columns of [`csv()`].
pub const COLUMNS: [&str; 20] = [
    "state",
    "do_not_use",
    "week",
    "day",
    "site",
    "site_address",
    "circuit",
    "circuit_name",
    "certificate",
    "sha256",
    "inspected",
    "firm",
    "client",
    "client_address",
    "language",
    "reason",
    "left",
    "full_current_a",
    "letter",
    "withheld",
];

/// The list as comma-separated values, in UTF-8 with a byte-order mark (RFC 4180).
///
/// # Errors
/// Writing to memory does not fail; errors of the library are passed on.
pub fn csv(items: &[Item]) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(BYTE_ORDER_MARK.to_vec());
    writer.write_record(COLUMNS)?;
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    for item in items {
        let cells = [
            item.state.to_owned(),
            item.do_not_use.to_string(),
            text(&item.week),
            item.day.map_or(String::new(), |day| day.to_string()),
            item.site.clone(),
            text(&item.site_address),
            item.circuit.clone(),
            item.circuit_name.clone(),
            item.certificate.clone(),
            item.sha256.clone(),
            item.inspected.to_string(),
            item.firm.clone(),
            item.client.clone(),
            text(&item.client_address),
            item.language.clone(),
            item.reason.clone(),
            item.left.join(" "),
            item.full_current_a.to_string(),
            text(&item.letter),
            text(&item.withheld),
        ];
        writer.write_record(cells.iter().map(|cell| guarded(cell)))?;
    }
    writer.into_inner().map_err(|e| e.into_error().into())
}

/// The list for people: what comes first, then week by week.
pub fn text(items: &[Item], today: NaiveDate, until: NaiveDate) -> String {
    let mut out = String::new();
    let mut head = String::new();
    for item in items {
        let own = heading(item);
        if own != head {
            if !out.is_empty() {
                out.push('\n');
            }
            out.push_str(&own);
            out.push('\n');
            head = own;
        }
        out.push_str(&entry(item, today));
    }
    if items.is_empty() {
        let last = until.pred_opt().unwrap_or(until);
        out = format!("Nothing is due until {last}.\n");
    }
    out
}

fn heading(item: &Item) -> String {
    match (item.state, item.day, &item.week) {
        (state, _, _) if state == State::CutShort.word() => {
            "Visits that ended early: finish these first".to_owned()
        }
        (state, _, _) if state == State::DoNotUse.word() => {
            "Not to be used before they are repaired and measured".to_owned()
        }
        (state, _, _) if state == State::Overdue.word() => "Overdue".to_owned(),
        (_, Some(day), Some(week)) => {
            format!("{week}, from {}", day.week(Weekday::Mon).first_day())
        }
        _ => "Without a date".to_owned(),
    }
}

fn entry(item: &Item, today: NaiveDate) -> String {
    let when = match item.day {
        Some(day) if day < today => {
            let days = (today - day).num_days();
            format!(
                "{day} ({days} {} ago)",
                if days == 1 { "day" } else { "days" }
            )
        }
        Some(day) => day.to_string(),
        None => "do not use".to_owned(),
    };
    let when = match item.day {
        Some(_) if item.do_not_use => format!("{when}, DO NOT USE"),
        _ => when,
    };
    let mut lines = vec![format!(
        "  {when}  {}, {}  (certificate {} of {})",
        item.site, item.circuit_name, item.certificate, item.inspected
    )];
    lines.push(format!("    {}", item.reason));
    if !item.left.is_empty() {
        lines.push("    Left to do:".to_owned());
        lines.extend(item.left.iter().map(|left| format!("    - {left}")));
    }
    let address = item.client_address.as_ref();
    let address = address.map_or(String::new(), |a| format!(", {}", a.replace('\n', ", ")));
    lines.push(format!("    Client: {}{address}", item.client));
    if let Some(why) = &item.withheld {
        lines.push(format!("    No letter: {why}"));
    }
    lines.iter().map(|line| printable(line) + "\n").collect()
}

/// The list as JSON.
pub fn json(items: &[Item], today: NaiveDate, until: NaiveDate) -> serde_json::Value {
    serde_json::json!({
        "today": today,
        "before": until,
        "circuits": items,
    })
}
