//! Comparing the pages of a certificate made by another version with the facts that every version
//! prints: its number and check line, dates, persons, the certificate that it replaces, and the
//! findings and limitations in its own record.
//!
//! The words of the result may change between versions. Therefore only a title that this version
//! uses for another outcome speaks against the page.

use super::printed_words::{Compared, MOST_NAMED, Pages, bare, foreign};
use super::recompute::{Recomputed, Record};
use crate::assess::{INCOMPLETE, Outcome};
use crate::compose::{CheckLine, Speaker, Wording, verdict_titles};
use crate::seal::Verified;
use chrono::NaiveDate;

/// The outcome that each of the titles of [`verdict_titles`] belongs to, as a word in the record.
const RESULTS: [&str; 8] = [
    Outcome::Unsatisfactory.word(),
    Outcome::Unsatisfactory.word(),
    Outcome::SatisfactoryWithNotes.word(),
    Outcome::SatisfactoryWithNotes.word(),
    INCOMPLETE,
    Outcome::Satisfactory.word(),
    INCOMPLETE,
    Outcome::SatisfactoryWithNotes.word(),
];

/// Looks for the facts of a record on the pages.
pub(super) fn facts(
    verified: &Verified<'_>,
    record: &Record,
    again: &Recomputed,
    check: &CheckLine,
) -> Pages {
    let open = |because: String| Pages::NotDetermined { because };
    let texts = match verified.page_texts() {
        Ok(texts) => texts,
        Err(why) => return open(why.to_string()),
    };
    let visit = &again.visit;
    let wording = match Wording::built_in(visit.print.main_language()) {
        Ok(wording) => wording,
        Err(why) => return open(why.to_string()),
    };
    let mut differences = match foreign(verified, record) {
        Ok(named) => named,
        Err(why) => return open(why.to_string()),
    };
    let (first, all) = (
        bare(texts.first().map_or("", String::as_str)),
        bare(&texts.concat()),
    );
    let speaker = Speaker::new(visit, &again.assessment, &again.rules, wording);
    let day = |day: NaiveDate| speaker.numbers.date(day);
    let due = record.assessment["next_due"].as_str();
    let due = due.and_then(|due| due.parse().ok()).map(day);
    let mut wanted = vec![
        ("the check line", check.printed()),
        ("the certificate’s number", visit.number.clone()),
        ("the date of the visit", day(visit.date)),
        ("the site", visit.site.name.clone()),
        ("the client", visit.client.name.clone()),
        ("the inspector", visit.inspector.name.clone()),
    ];
    let optional = [
        ("the inspector’s licence", visit.inspector.licence.clone()),
        ("the date of the next inspection", due),
        (
            "the certificate that is replaced",
            visit.replaces.as_ref().map(|r| r.number.clone()),
        ),
    ];
    wanted.extend(
        optional
            .into_iter()
            .filter_map(|(what, text)| Some((what, text?))),
    );
    for (kind, list) in [
        ("the finding", "findings"),
        ("the limitation", "limitations"),
    ] {
        let items = record.assessment[list].as_array().into_iter().flatten();
        let items = items.filter(|item| item["grade"] != "pass");
        let texts = items.filter_map(|item| item["text"].as_str());
        wanted.extend(texts.map(|text| (kind, text.to_owned())));
    }
    for (what, text) in &wanted {
        if !all.contains(&bare(text)) {
            differences.push(format!("{what}, “{text}”, is not on the pages"));
        }
    }
    differences.extend(other_result(&first, record, wording));
    differences.truncate(MOST_NAMED);
    if differences.is_empty() {
        Pages::Yes {
            looked_for: wanted.len(),
            compared: Compared::Facts,
        }
    } else {
        Pages::No { differences }
    }
}

/// A title on the first page that belongs to another result than the record's.
fn other_result(first: &str, record: &Record, wording: &Wording) -> Option<String> {
    let outcome = record.assessment["outcome"].as_str()?;
    let titles = verdict_titles(wording).into_iter().zip(RESULTS);
    let standing = titles.filter(|(title, _)| first.contains(&bare(title)));
    let (own, others): (Vec<_>, Vec<_>) = standing.partition(|(_, of)| *of == outcome);
    // A longer title may contain a shorter one.
    let (title, _) = others
        .into_iter()
        .find(|(other, _)| !own.iter().any(|(own, _)| bare(own).contains(&bare(other))))?;
    Some(format!(
        "the first page says “{title}”, but the result of the record is “{outcome}”"
    ))
}
