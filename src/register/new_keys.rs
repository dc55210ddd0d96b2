//! Which new keys of a register may enter the list of known signers.

use super::row::Row;
use crate::seal::Fingerprint;
use crate::seal::known::NewKey;
use std::collections::BTreeMap;

/// The new keys of a register.
#[derive(Debug, Default)]
pub struct NewKeys {
    /// May enter, each after the key that vouches for it.
    pub alone: Vec<NewKey>,
    /// Keys that share a name and do not vouch for each other: any of them may be an impostor's, so
    /// none may enter.
    pub contested: Vec<Vec<NewKey>>,
}

/// Sorts the new keys of these rows by whether their names are contested.
pub fn new_keys(rows: &[Row]) -> NewKeys {
    let mut names: BTreeMap<String, BTreeMap<String, (&[String], &NewKey)>> = BTreeMap::new();
    for row in rows.iter().filter(|r| r.valid) {
        if let Some(key) = &row.new_key {
            let of_name = names.entry(key.folded_name()).or_default();
            of_name.insert(key.fingerprint.hex(), (&row.vouched_by, key));
        }
    }
    let mut found = NewKeys::default();
    for of_name in names.into_values() {
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
