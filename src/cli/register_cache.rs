//! The rows that `register` keeps between runs, in two files beside the list of known signers: the rows,
//! and the key that authenticates them.

use super::bounded_read;
use crate::disk::{Existing, Readers, private_folder, whole_file};
use crate::register::cache::{Cache, KEY_BYTES, MAX_FILES};
use crate::register::row::Row;
use crate::seal::known::KnownSigners;
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// Name of the file with the rows.
const ROWS: &str = "register-cache";
/// Name of the file with the key.
const KEY: &str = "register-cache.key";

/// The kept rows during one run.
pub(super) struct KeptRows {
    /// The list of known signers, beside which the rows are kept.
    known: PathBuf,
    key: [u8; KEY_BYTES],
    /// What the rows depend on beside the list: options.
    options: String,
    list: Vec<u8>,
    before: Cache,
    fresh: Mutex<Cache>,
}

impl KeptRows {
    /// Opens the rows kept next to the list of known signers; must be called before that list is
    /// read. `None` if there is no key and none can be written.
    pub(super) fn open(known: &Path, options: &str) -> Option<Self> {
        // A pipe can be read only once.
        if known.metadata().is_ok_and(|about| !about.is_file()) {
            return None;
        }
        let key = key(&known.with_file_name(KEY))?;
        let list = list(known);
        let text = bounded_read::read_bytes(&known.with_file_name(ROWS));
        let text = text.ok().and_then(|bytes| String::from_utf8(bytes).ok());
        let state = state(&list, options);
        let before = text.map_or_else(Cache::default, |text| Cache::read(&text, &key, &state));
        Some(Self {
            known: known.to_owned(),
            key,
            options: options.to_owned(),
            list,
            before,
            fresh: Mutex::new(Cache::default()),
        })
    }

    /// The rows of a certificate: those that are kept, or else those that `look` reads.
    pub(super) fn rows(&self, name: &str, pdf: &[u8], look: impl FnOnce() -> Vec<Row>) -> Vec<Row> {
        let digest = base16ct::lower::encode_string(&Sha256::digest(pdf));
        if let Some(rows) = self.before.rows(&digest, name) {
            return rows;
        }
        let rows = look();
        let mut fresh = self.fresh.lock().unwrap_or_else(PoisonError::into_inner);
        fresh.keep(digest, rows.clone());
        rows
    }

    /// Writes the rows, after new keys were entered in the list. Failing to write them does not affect the
    /// result: the next run reads the files again.
    pub(super) fn close(self) {
        let list = list(&self.known);
        let mut fresh = self
            .fresh
            .into_inner()
            .unwrap_or_else(PoisonError::into_inner);
        let changed = list != self.list;
        if fresh.files() == 0 && !changed {
            return;
        }
        let mut kept = self.before;
        if changed {
            let Ok(known) = KnownSigners::read(&self.known) else {
                return;
            };
            kept.retain(&known);
            fresh.retain(&known);
        } else {
            fresh.forget_new_keys();
        }
        if kept.files() + fresh.files() > MAX_FILES {
            kept = Cache::default();
        }
        kept.join(fresh);
        let state = state(&list, &self.options);
        if let Some(text) = kept.text(&self.key, &state) {
            let path = self.known.with_file_name(ROWS);
            let _ = whole_file(
                &path,
                text.as_bytes(),
                Existing::Replace,
                Readers::OwnerOnly,
            );
        }
    }
}

/// The bytes of the list of known signers; none if there is no list yet.
fn list(known: &Path) -> Vec<u8> {
    bounded_read::read_bytes(known).unwrap_or_default()
}

/// Everything besides the files and the build on which kept rows depend.
fn state(list: &[u8], options: &str) -> String {
    let mut hash = Sha256::new();
    hash.update((options.len() as u64).to_be_bytes());
    hash.update(options);
    hash.update(list);
    base16ct::lower::encode_string(&hash.finalize())
}

/// The key, which is created if there is none.
fn key(path: &Path) -> Option<[u8; KEY_BYTES]> {
    if let Ok(bytes) = bounded_read::read_bytes(path) {
        return bytes.try_into().ok();
    }
    let mut key = [0; KEY_BYTES];
    getrandom::fill(&mut key).ok()?;
    let folder = path.parent()?;
    if !folder.as_os_str().is_empty() && !folder.exists() {
        private_folder(folder).ok()?;
    }
    whole_file(path, &key, Existing::Keep, Readers::OwnerOnly).ok()?;
    Some(key)
}
