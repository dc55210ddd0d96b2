//! Which new keys of a register may enter the list of known signers.

use super::row::Row;
use crate::seal::Fingerprint;
use crate::seal::known::NewKey;
use std::collections::{BTreeMap, BTreeSet};

/// The new keys of a register.
#[derive(Debug, Default)]
pub struct NewKeys {
    /// Keys that may enter, each after the key that vouches for it.
    pub alone: Vec<NewKey>,
    /// Keys that share a name and do not vouch for each other: any of them may be an impostor's, so
    /// none may enter.
    pub contested: Vec<Vec<NewKey>>,
}

/// Keys whose names look alike, by fingerprint.
struct Group<'r> {
    forms: BTreeSet<String>,
    /// Each key, with the keys that vouch for it.
    keys: BTreeMap<String, (&'r [String], &'r NewKey)>,
}

impl Group<'_> {
    fn extend(&mut self, others: Vec<Self>) {
        for other in others {
            self.forms.extend(other.forms);
            self.keys.extend(other.keys);
        }
    }
}

/// Divides the new keys of these rows into those that may enter and those with contested names.
pub fn new_keys(rows: &[Row]) -> NewKeys {
    let mut names: Vec<Group<'_>> = Vec::new();
    for row in rows.iter().filter(|r| r.valid) {
        if let Some(key) = &row.new_key {
            let entry = (row.vouched_by.as_slice(), key);
            let mut group = Group {
                forms: key.forms(),
                keys: BTreeMap::from([(key.fingerprint.hex(), entry)]),
            };
            // A name may look like two names that do not look like each other.
            let (same, others) = names
                .into_iter()
                .partition(|other| !other.forms.is_disjoint(&group.forms));
            names = others;
            group.extend(same);
            names.push(group);
        }
    }
    let mut found = NewKeys::default();
    for Group { keys: of_name, .. } in names {
        let first = |vouched_by: &[String]| !vouched_by.iter().any(|by| of_name.contains_key(by));
        let firsts: Vec<&NewKey> = of_name
            .values()
            .filter(|(vouched_by, _)| first(vouched_by))
            .map(|(_, key)| *key)
            .collect();
        // Several keys may succeed one that is known.
        if firsts.len() > 1 && firsts.iter().any(|key| key.vouched_by.is_none()) {
            found.contested.push(firsts.into_iter().cloned().collect());
            continue;
        }
        let mut keys: Vec<_> = of_name.values().collect();
        keys.sort_by_key(|(vouched_by, _)| vouched_by.len());
        found
            .alone
            .extend(keys.into_iter().map(|(vouched_by, key)| {
                let by = vouched_by.first().and_then(|by| Fingerprint::parse(by));
                NewKey {
                    vouched_by: key.vouched_by.or(by),
                    ..(*key).clone()
                }
            }));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::row::tests::row;
    use super::*;
    use crate::seal::Person;

    /// The numbers of keys that may enter, and of those in each contested group.
    fn sorted(names: &[&str]) -> (usize, Vec<usize>) {
        let rows: Vec<Row> = names
            .iter()
            .map(|name| Row {
                new_key: Some(NewKey {
                    fingerprint: Fingerprint::of(name.as_bytes()),
                    person: Person {
                        name: (*name).to_owned(),
                        ..Person::default()
                    },
                    vouched_by: None,
                }),
                ..row("1", "bay", "2026-01-01", None)
            })
            .collect();
        let keys = new_keys(&rows);
        (
            keys.alone.len(),
            keys.contested.iter().map(Vec::len).collect(),
        )
    }

    #[test]
    fn names_that_share_any_form_are_contested() {
        for [one, other] in [
            ["ΝΙΝΑ ΠΑΝ", "νινα παν"],
            ["ΜΑΩ", "μαω"],
            ["НИНА", "нина"],
            ["Maren Ody", "Inspector · Maren Ody"],
        ] {
            assert_eq!(sorted(&[one, other]), (0, vec![2]), "{one}, {other}");
            // The rows in between do not matter.
            assert_eq!(sorted(&[other, "Ada Ohm", one]), (1, vec![2]));
        }
        // The name in capitals looks like both other names, which do not look like each other.
        assert_eq!(sorted(&["νινα", "nina", "ΝΙΝΑ"]), (0, vec![3]));
        assert_eq!(sorted(&["Maren Ody", "Ada Ohm"]), (2, vec![]));
    }

    #[test]
    fn a_key_enters_after_the_one_that_vouches_for_it_and_from_no_bad_certificate() {
        let key = |name: &str| NewKey {
            fingerprint: Fingerprint::of(name.as_bytes()),
            person: Person {
                name: "Maren Ody".to_owned(),
                ..Person::default()
            },
            vouched_by: None,
        };
        let (old, new) = (key("old"), key("new"));
        let with = |key: &NewKey, by: &[String]| Row {
            new_key: Some(key.clone()),
            vouched_by: by.to_vec(),
            ..row("1", "bay", "2026-01-01", None)
        };
        let rows = [with(&new, &[old.fingerprint.hex()]), with(&old, &[])];
        let keys = new_keys(&rows);
        assert!(keys.contested.is_empty());
        let entered: Vec<_> = keys
            .alone
            .iter()
            .map(|k| (k.fingerprint, k.vouched_by))
            .collect();
        assert_eq!(
            entered,
            [
                (old.fingerprint, None),
                (new.fingerprint, Some(old.fingerprint))
            ]
        );
        let invalid = Row {
            valid: false,
            ..with(&old, &[])
        };
        assert!(new_keys(&[invalid]).alone.is_empty());
    }
}
