//! Locks, so that only one run at a time changes a file.

#[cfg(unix)]
use super::atomic::folder_of;
use std::fs::File;
use std::path::Path;

/// Prevents other runs from changing the same file until dropped.
#[derive(Debug)]
pub struct Lock {
    _held: Option<File>,
}

/// Waits until no other run is changing the file at `path`, and makes others wait.
///
/// The file itself can't be locked, because writing replaces it. On Unix its folder is locked,
/// elsewhere a file `NAME.lock` next to it, which is kept. If neither is possible, there is no lock;
/// two simultaneous runs may then overwrite each other's change, but never leave a partial file.
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
