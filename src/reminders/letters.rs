//! Letters: one for each client of a firm, in the language of the client's newest certificate.

use super::coming::Coming;
use crate::compose::document::Document;
use crate::compose::letter::{self, Due};
use crate::compose::{Speaker, Wording, WordingError};
use crate::lookalike::folded;
use crate::register::text_table::{BYTE_ORDER_MARK, guarded};
use chrono::{DateTime, FixedOffset, NaiveDate};
use std::collections::{BTreeMap, BTreeSet};

/// A letter to one client.
#[derive(Debug)]
pub struct Letter {
    /// Name for its file, without an extension; no other letter of the run has it.
    pub name: String,
    /// The client.
    pub client: String,
    /// The client's postal address.
    pub address: Option<String>,
    /// Language of the letter.
    pub language: String,
    /// Firm that it comes from.
    pub firm: String,
    /// Subject line.
    pub subject: String,
    /// The first day in it; `None` if all that it names must not be used.
    pub day: Option<NaiveDate>,
    /// Positions of its circuits in the list.
    pub circuits: Vec<usize>,
    /// The letter.
    pub document: Document,
}

/// The letters about the circuits of a list, in the order of the list. A client is the same if firm, name and
/// address are.
///
/// # Errors
/// The words of a language are missing.
pub fn letters(
    circuits: &[Coming<'_>],
    today: NaiveDate,
    created: DateTime<FixedOffset>,
) -> Result<Vec<Letter>, WordingError> {
    let mut of_client: BTreeMap<[String; 3], Vec<usize>> = BTreeMap::new();
    for (i, coming) in circuits.iter().enumerate() {
        if coming.withheld.is_none() {
            let client = &coming.newest.visit.client;
            let address = client.address.as_deref().unwrap_or_default();
            let key = [
                coming.row.firm_folded(),
                folded(&client.name),
                folded(address),
            ];
            of_client.entry(key).or_default().push(i);
        }
    }
    let mut groups: Vec<Vec<usize>> = of_client.into_values().collect();
    groups.sort();
    let mut names = BTreeSet::new();
    groups
        .into_iter()
        .filter_map(|group| one(circuits, group, &mut names, today, created).transpose())
        .collect()
}

fn one(
    all: &[Coming<'_>],
    group: Vec<usize>,
    names: &mut BTreeSet<String>,
    today: NaiveDate,
    created: DateTime<FixedOffset>,
) -> Result<Option<Letter>, WordingError> {
    let mut own: Vec<&Coming<'_>> = group.iter().filter_map(|i| all.get(*i)).collect();
    // A client reads first what must not be used.
    own.sort_by_key(|coming| !coming.row.out_of_use());
    let newest = own
        .iter()
        .max_by_key(|c| (c.newest.visit.date, c.row.signed_at));
    let Some(newest) = newest else {
        return Ok(None);
    };
    let visited = &newest.newest;
    let wording = Wording::built_in(visited.visit.print.main_language())?;
    let latest = Speaker::new(&visited.visit, &visited.assessment, &visited.rules, wording);
    let due: Vec<Due<'_>> = own.iter().filter_map(|c| c.due(wording)).collect();
    let visit = &visited.visit;
    let inspector = &visit.inspector;
    Ok(Some(Letter {
        name: free_name(&visit.client.name, names),
        client: visit.client.name.clone(),
        address: visit.client.address.clone(),
        language: wording.language().to_owned(),
        firm: inspector.firm.as_ref().unwrap_or(&inspector.name).clone(),
        subject: letter::subject(&latest, &due),
        day: own.iter().filter_map(|c| c.day).min(),
        document: letter::letter(&latest, &due, today, created),
        circuits: group,
    }))
}

/// Most characters of a client's name in the name of a file.
const NAME: usize = 40;

/// A name for a file from the name of a client: letters and digits only, so that it is safe everywhere and no
/// reserved name.
fn free_name(client: &str, names: &mut BTreeSet<String>) -> String {
    let mut bare = String::new();
    for c in client.chars() {
        match c {
            c if c.is_alphanumeric() => bare.extend(c.to_lowercase()),
            _ if !bare.is_empty() && !bare.ends_with('-') => bare.push('-'),
            _ => {}
        }
    }
    let bare: String = bare.chars().take(NAME).collect();
    let bare = format!("letter-{}", bare.trim_matches('-'));
    let bare = bare.trim_end_matches('-');
    let mut name = bare.to_owned();
    let mut count = 1;
    while !names.insert(name.clone()) {
        count += 1;
        name = format!("{bare}-{count}");
    }
    name
}

/// Names of the columns of [`csv()`].
pub const COLUMNS: [&str; 8] = [
    "client", "address", "language", "firm", "day", "subject", "file", "text",
];

/// One line for each letter, for a program that sends mail: UTF-8 with a byte-order mark (RFC 4180). `file`
/// gives the name of a letter's file.
///
/// # Errors
/// Writing to memory does not fail; errors of the library are passed on.
pub fn csv(letters: &[Letter], file: impl Fn(&Letter) -> String) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(BYTE_ORDER_MARK.to_vec());
    writer.write_record(COLUMNS)?;
    for letter in letters {
        let cells = [
            letter.client.clone(),
            letter.address.clone().unwrap_or_default(),
            letter.language.clone(),
            letter.firm.clone(),
            letter.day.map_or(String::new(), |day| day.to_string()),
            letter.subject.clone(),
            file(letter),
            letter::plain(&letter.document),
        ];
        writer.write_record(cells.iter().map(|cell| guarded(cell)))?;
    }
    writer.into_inner().map_err(|e| e.into_error().into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_files_are_plain_and_differ() {
        let mut names = BTreeSet::new();
        let mut name = |client: &str| free_name(client, &mut names);
        assert_eq!(name("Lee Park"), "letter-lee-park");
        assert_eq!(name("Lee  Park."), "letter-lee-park-2");
        assert_eq!(name("../../etc/passwd"), "letter-etc-passwd");
        assert_eq!(name("…"), "letter");
        assert_eq!(name("Zoë Ångström & Söhne"), "letter-zoë-ångström-söhne");
        assert!(name(&"x".repeat(300)).len() < 60);
    }
}
