//! Files changed by one run at a time.

use super::write::folder_of;
use std::fs::File;
use std::path::Path;

/// Keeps other runs from changing the same file until dropped.
#[derive(Debug)]
pub struct Lock {
    _held: Option<File>,
}

/// Waits until no other run is changing what lies at `path`, and keeps others waiting.
///
/// The file itself can't be locked, for it is replaced when it is written: on Unix its folder is,
/// elsewhere a file `NAME.lock` beside it, which stays. Where that can't be had there is no lock;
/// two runs at the same moment may then undo each other's change, but never leave half a file.
pub fn lock(path: &Path) -> Lock {
    #[cfg(unix)]
    let lock = File::open(folder_of(path));
    #[cfg(not(unix))]
    let lock = {
        let mut name = path.as_os_str().to_owned();
        name.push(".lock");
        let mut options = File::options();
        options.create(true).truncate(false).write(true).open(name)
    };
    let held = lock.and_then(|file| file.lock().map(|()| file));
    Lock { _held: held.ok() }
}
