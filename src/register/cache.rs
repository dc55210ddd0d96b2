//! Rows kept from an earlier run, by the digest of the file that they were read from.
//!
//! Kept rows are valid only for the same build and the same list of signers (the state). They are
//! authenticated with a key that only the user has (HMAC-SHA-256, RFC 2104), so rows written or
//! changed by anybody else are ignored.

use super::row::Row;
use crate::compose::BUILD;
use crate::seal::Fingerprint;
use crate::seal::known::KnownSigners;
use hmac::{Hmac, KeyInit, Mac};
use serde::{Deserialize, Serialize};
use sha2::Sha256;
use std::collections::BTreeMap;

/// Length of the key that authenticates the rows, in bytes.
pub const KEY_BYTES: usize = 32;
/// Maximum number of files whose rows are kept.
pub const MAX_FILES: usize = 200_000;
/// Version of the format in which rows are kept.
const FORM: u32 = 2;

/// Rows by the SHA-256 of their file, in hexadecimal digits.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Cache(BTreeMap<String, Kept>);

/// The first line.
#[derive(Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Head {
    form: u32,
    build: String,
    /// Everything besides the files on which the rows depend.
    state: String,
}

impl Head {
    fn of(state: &str) -> Self {
        Self {
            form: FORM,
            build: BUILD.to_owned(),
            state: state.to_owned(),
        }
    }
}

/// The rows of one file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Kept {
    sha256: String,
    rows: Vec<Row>,
    /// SHA-256 of the file with the other signature value, which rows do not contain.
    other_form: Option<String>,
}

impl Cache {
    /// Reads the kept rows from a text; none if it was not written with this key, by this build and
    /// in this state.
    pub fn read(text: &str, key: &[u8; KEY_BYTES], state: &str) -> Self {
        Self::parse(text, key, state).unwrap_or_default()
    }

    fn parse(text: &str, key: &[u8; KEY_BYTES], state: &str) -> Option<Self> {
        let body = text.strip_suffix('\n')?;
        let end = body.rfind('\n')? + 1;
        let (body, code) = body.split_at(end);
        let mut expected = [0; 32];
        base16ct::lower::decode(code, &mut expected).ok()?;
        let code = code_of(body, key)?;
        code.verify_slice(&expected).ok()?;
        let mut lines = body.lines();
        let head: Head = serde_json::from_str(lines.next()?).ok()?;
        if head != Head::of(state) {
            return None;
        }
        let kept = lines.map(|line| {
            let kept: Kept = serde_json::from_str(line).ok()?;
            Some((kept.sha256.clone(), kept))
        });
        kept.collect::<Option<_>>().map(Self)
    }

    /// The text from which [`Cache::read`] reads the rows back.
    pub fn text(&self, key: &[u8; KEY_BYTES], state: &str) -> Option<String> {
        let mut text = serde_json::to_string(&Head::of(state)).ok()? + "\n";
        for kept in self.0.values() {
            text.push_str(&serde_json::to_string(kept).ok()?);
            text.push('\n');
        }
        let code = code_of(&text, key)?.finalize().into_bytes();
        text.push_str(&base16ct::lower::encode_string(&code));
        text.push('\n');
        Some(text)
    }

    /// The rows of a file with this digest, if they are kept.
    pub fn rows(&self, sha256: &str, file: &str) -> Option<Vec<Row>> {
        let kept = self.0.get(sha256)?;
        let row = |row: &Row| Row {
            file: file.to_owned(),
            other_form: kept.other_form.clone(),
            ..row.clone()
        };
        Some(kept.rows.iter().map(row).collect())
    }

    /// Keeps the rows of a file as they were read.
    pub fn keep(&mut self, sha256: String, rows: Vec<Row>) {
        let other_form = rows.first().and_then(|row| row.other_form.clone());
        let kept = Kept {
            sha256: sha256.clone(),
            rows,
            other_form,
        };
        self.0.insert(sha256, kept);
    }

    /// Adds the rows that another cache keeps.
    pub fn join(&mut self, other: Self) {
        self.0.extend(other.0);
    }

    /// Number of files whose rows are kept.
    pub fn files(&self) -> usize {
        self.0.len()
    }

    /// Keeps only the rows that a run with this list of known signers would read in the same way.
    pub fn retain(&mut self, known: &KnownSigners) {
        self.0
            .retain(|_, kept| kept.rows.iter().all(|row| same(row, known)));
    }

    /// Removes rows of keys that may still be entered in the list of known signers.
    pub fn forget_new_keys(&mut self) {
        self.0
            .retain(|_, kept| kept.rows.iter().all(|row| row.new_key.is_none()));
    }
}

/// Whether a row would be the same with this list of known signers: it is valid, its only key is in
/// the list, and the list says the same about the key as the row. Other entries of the list then
/// make no difference.
fn same(row: &Row, known: &KnownSigners) -> bool {
    let key = row.fingerprint.as_deref().and_then(Fingerprint::parse);
    row.valid
        && row.signatures == Some(1)
        && key.is_some_and(|key| {
            known.with_key(&key).is_some() && row.key_compared == Some(known.accepts(&key))
        })
}

fn code_of(text: &str, key: &[u8; KEY_BYTES]) -> Option<Hmac<Sha256>> {
    let mut code = <Hmac<Sha256> as KeyInit>::new_from_slice(key).ok()?;
    code.update(text.as_bytes());
    Some(code)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::row::tests::row;
    use super::*;

    const KEY: [u8; KEY_BYTES] = [7; KEY_BYTES];

    fn cache() -> Cache {
        let mut cache = Cache::default();
        let mut kept = row("1", "bay", "2026-01-01", Some("2026-07-01"));
        kept.other_form = Some("cd".repeat(32));
        cache.keep("ab".repeat(32), vec![kept]);
        cache
    }

    #[test]
    fn rows_are_read_back_under_the_name_of_the_file() {
        let text = cache().text(&KEY, "state").unwrap();
        let read = Cache::read(&text, &KEY, "state");
        let rows = read.rows(&"ab".repeat(32), "moved/c.pdf").unwrap();
        let mut expected = row("1", "bay", "2026-01-01", Some("2026-07-01"));
        expected.other_form = Some("cd".repeat(32));
        expected.file = "moved/c.pdf".to_owned();
        assert_eq!(rows, [expected]);
        assert_eq!(read.rows(&"cd".repeat(32), "c.pdf"), None);
    }

    #[test]
    fn what_anybody_else_wrote_is_as_good_as_nothing() {
        let text = cache().text(&KEY, "state").unwrap();
        let nothing = Cache::default();
        assert_eq!(Cache::read(&text, &[8; KEY_BYTES], "state"), nothing);
        assert_eq!(Cache::read(&text, &KEY, "another"), nothing);
        let edited = text.replace("2026-07-01", "2036-07-01");
        assert_ne!(edited, text);
        assert_eq!(Cache::read(&edited, &KEY, "state"), nothing);
        let other_build = text.replacen(BUILD, "0123456789abcdef", 1);
        assert_eq!(Cache::read(&other_build, &KEY, "state"), nothing);
        for end in 0..text.len() {
            assert_eq!(Cache::read(&text[..end], &KEY, "state"), nothing, "{end}");
        }
    }
}
