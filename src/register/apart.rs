//! Sites of one name at several addresses, whose circuits are no visits to each other.

use super::row::Row;
use crate::lookalike::folded;
use std::collections::{BTreeMap, BTreeSet};

/// Sets the [`place`](Row::place) of all rows; `counting` has the positions of those that count, without those
/// that were replaced.
///
/// Circuits of one site name and id are apart if their sites have different addresses, unless a charger with
/// the same serial number ties them together: then an address was only written in two ways. A row without an
/// address belongs to the only one that there is; where there are several, it is apart from them.
pub(super) fn tell_apart(rows: &mut [Row], counting: &[usize]) {
    let mut places = Vec::new();
    for own in circuits(rows, counting).into_values() {
        let groups = groups(rows, &own);
        if groups.len() > 1 {
            for group in groups {
                places.extend(group.rows.iter().map(|i| (*i, group.name.clone())));
            }
        }
    }
    rows.iter_mut().for_each(|row| row.place.clear());
    for (i, place) in places {
        if let Some(row) = rows.get_mut(i) {
            row.place = place;
        }
    }
}

/// The names of sites that are at several addresses, with these, as they are first written.
pub fn names(rows: &[Row]) -> Vec<(&str, Vec<&str>)> {
    let mut found: BTreeMap<&str, BTreeMap<&str, &str>> = BTreeMap::new();
    for row in rows.iter().filter(|row| !row.place.is_empty()) {
        if let (Some(site), Some(address)) = (&row.site, &row.site_address) {
            let own = found.entry(site).or_default();
            own.entry(&row.place).or_insert(address);
        }
    }
    let several = found.into_iter().filter(|(_, all)| all.len() > 1);
    several
        .map(|(site, all)| (site, all.into_values().collect()))
        .collect()
}

/// The rows that count, by site and circuit.
fn circuits<'r>(rows: &'r [Row], counting: &[usize]) -> BTreeMap<(&'r str, &'r str), Vec<usize>> {
    let mut found: BTreeMap<(&str, &str), Vec<usize>> = BTreeMap::new();
    for &i in counting {
        if let Some(subject) = rows.get(i).and_then(Row::subject) {
            found.entry(subject).or_default().push(i);
        }
    }
    found
}

/// Rows that are about one circuit.
struct Group {
    /// The first of its addresses, in the form in which they are compared.
    name: String,
    addresses: BTreeSet<String>,
    chargers: BTreeSet<[String; 2]>,
    rows: Vec<usize>,
}

fn groups(rows: &[Row], own: &[usize]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    let (addressed, others): (Vec<usize>, Vec<usize>) =
        own.iter().partition(|i| address(&rows[**i]).is_some());
    for i in addressed {
        let mut new = Group {
            name: String::new(),
            addresses: address(&rows[i]).into_iter().collect(),
            chargers: charger(&rows[i]).into_iter().collect(),
            rows: vec![i],
        };
        // It may tie groups together that were apart.
        let (tied, apart): (Vec<Group>, Vec<Group>) = groups.into_iter().partition(|group| {
            !group.addresses.is_disjoint(&new.addresses)
                || !group.chargers.is_disjoint(&new.chargers)
        });
        for group in tied {
            new.addresses.extend(group.addresses);
            new.chargers.extend(group.chargers);
            new.rows.extend(group.rows);
        }
        groups = apart;
        groups.push(new);
    }
    for group in &mut groups {
        group.name = group.addresses.first().cloned().unwrap_or_default();
    }
    if let [only] = &mut groups[..] {
        only.rows.extend(others);
        return groups;
    }
    let mut unknown = Vec::new();
    for i in others {
        let own = charger(&rows[i]);
        let tied = groups
            .iter_mut()
            .find(|group| own.as_ref().is_some_and(|c| group.chargers.contains(c)));
        match tied {
            Some(group) => group.rows.push(i),
            None => unknown.push(i),
        }
    }
    if !unknown.is_empty() {
        groups.push(Group {
            name: String::new(),
            addresses: BTreeSet::new(),
            chargers: BTreeSet::new(),
            rows: unknown,
        });
    }
    groups
}

/// The address of a site without case and punctuation.
fn address(row: &Row) -> Option<String> {
    let address = folded(row.site_address.as_deref()?);
    (!address.is_empty()).then_some(address)
}

/// Maker and serial number of the charger.
fn charger(row: &Row) -> Option<[String; 2]> {
    let serial = folded(row.charger_serial.as_deref()?);
    let make = folded(row.charger_make.as_deref().unwrap_or_default());
    Some([make, serial])
}

#[cfg(test)]
mod tests {
    use super::super::current::{latest, mark};
    use super::super::row::tests::row;
    use super::*;

    fn at(number: &str, date: &str, address: Option<&str>, serial: Option<&str>) -> Row {
        Row {
            site_address: address.map(str::to_owned),
            charger_serial: serial.map(str::to_owned),
            complete: Some(true),
            ..row(number, "bay", date, Some("2027-01-01"))
        }
    }

    /// The numbers in force, and the names at several addresses.
    fn current(mut rows: Vec<Row>) -> (Vec<String>, usize) {
        mark(&mut rows);
        let current = latest(&rows);
        let numbers = current.into_iter().filter_map(|row| row.number.clone());
        (numbers.collect(), names(&rows).len())
    }

    #[test]
    fn sites_of_one_name_are_apart_by_their_addresses() {
        let one = at("1", "2026-01-01", Some("1 A Street"), Some("S1"));
        let other = at("2", "2026-02-01", Some("9 Z Street"), Some("S2"));
        assert_eq!(
            current(vec![one.clone(), other.clone()]),
            (vec!["1".to_owned(), "2".to_owned()], 1)
        );
        // A sound visit to one lifts no stop of the other.
        let stop = Row {
            outcome: Some("unsatisfactory".to_owned()),
            worst_grade: Some("stop".to_owned()),
            next_due: None,
            ..one.clone()
        };
        let mut rows = vec![stop, other.clone()];
        mark(&mut rows);
        assert!(rows.iter().all(|row| row.current == Some(true)), "{rows:?}");
        // Later visits belong to their own address, however it is punctuated.
        let later = at("3", "2026-03-01", Some("9 z street."), Some("S3"));
        assert_eq!(current(vec![one.clone(), other, later]).0, ["1", "3"]);
        // An unknown address is that of the only site.
        let unknown = at("4", "2026-04-01", None, None);
        assert_eq!(
            current(vec![one.clone(), unknown.clone()]),
            (vec!["4".to_owned()], 0)
        );
        let other = at("2", "2026-02-01", Some("9 Z Street"), Some("S2"));
        assert_eq!(current(vec![one, other, unknown]).0, ["1", "2", "4"]);
    }

    #[test]
    fn one_charger_ties_two_spellings_of_an_address_together() {
        let short = at("1", "2026-01-01", Some("1 A Street"), Some("S1"));
        let long = at(
            "2",
            "2026-02-01",
            Some("1 A Street, Fernhollow"),
            Some("S1"),
        );
        assert_eq!(
            current(vec![short.clone(), long.clone()]),
            (vec!["2".to_owned()], 0)
        );
        // After a new charger, the address ties them.
        let new = at(
            "3",
            "2026-03-01",
            Some("1 A Street, Fernhollow"),
            Some("S9"),
        );
        assert_eq!(current(vec![short, new, long]), (vec!["3".to_owned()], 0));
    }

    #[test]
    fn an_address_that_a_replacement_corrected_does_not_count() {
        let wrong = at("1", "2026-01-01", Some("11 A Street"), None);
        let right = Row {
            replaces: Some(wrong.sha256.clone()),
            ..at("1a", "2026-01-01", Some("1 A Street"), None)
        };
        let later = at("2", "2026-06-01", Some("1 A Street"), None);
        assert_eq!(
            current(vec![wrong, right, later]),
            (vec!["2".to_owned()], 0)
        );
    }
}
