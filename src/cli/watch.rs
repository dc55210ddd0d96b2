//! Repeats work whenever a visit file, its rules or its photos are saved.

use super::error::CommandError;
use super::folders::folder_of;
use super::terminal;
use notify::{Event, EventKind, RecursiveMode, Watcher};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// Time without events after which a save counts as finished, because editors write a file in
/// several steps. Our choice.
const QUIET: Duration = Duration::from_millis(120);

/// Extensions of the files of a visit.
const MADE_OF: [&str; 9] = [
    "yaml", "yml", "jpg", "jpeg", "png", "tif", "tiff", "webp", "bmp",
];

/// Runs `work` now and after every save in the folders of these files, until the program is stopped.
///
/// An error is printed, and the next save is awaited.
pub(super) fn again(
    files: &[PathBuf],
    work: impl Fn() -> Result<ExitCode, CommandError>,
) -> Result<ExitCode, CommandError> {
    if files.iter().any(|f| f.as_os_str() == "-") {
        return Err(CommandError::Usage(
            "--watch needs a file; standard input cannot be watched".to_owned(),
        ));
    }
    let refuse = |e: notify::Error| {
        CommandError::System(format!("the folder cannot be watched for saved files: {e}"))
    };
    let (sender, saved) = channel();
    let mut watcher = notify::recommended_watcher(move |event: notify::Result<Event>| {
        // The receiver is gone when the program ends.
        let _ = sender.send(event.is_ok_and(|e| concerns(&e)));
    })
    .map_err(refuse)?;
    // Folders rather than files, because many editors replace the old file with a new one.
    let mut folders: Vec<PathBuf> = files.iter().map(|f| folder_of(f)).collect();
    let photos: Vec<PathBuf> = folders.iter().map(|f| f.join("photos")).collect();
    folders.extend(photos.into_iter().filter(|f| f.is_dir()));
    folders.sort();
    folders.dedup();
    for folder in &folders {
        watcher
            .watch(folder, RecursiveMode::NonRecursive)
            .map_err(refuse)?;
    }
    loop {
        match work() {
            Ok(_) => {}
            Err(over @ (CommandError::ClosedPipe | CommandError::CutOff)) => return Err(over),
            Err(failure) => failure.say(),
        }
        terminal::say("-- waiting for the next save; press Ctrl-C to stop");
        if !wait(&saved) {
            return Ok(ExitCode::SUCCESS);
        }
    }
}

/// Waits for a save, then until no more events arrive; false if no more saves can be observed.
fn wait(saved: &Receiver<bool>) -> bool {
    loop {
        match saved.recv() {
            Ok(true) => break,
            Ok(false) => {}
            Err(_) => return false,
        }
    }
    while saved.recv_timeout(QUIET).is_ok() {}
    true
}

/// Whether an event concerns a file of a visit. The program itself writes only PDF files.
fn concerns(event: &Event) -> bool {
    let changed = matches!(
        event.kind,
        EventKind::Create(_) | EventKind::Modify(_) | EventKind::Remove(_)
    );
    changed && event.paths.iter().any(|p| made_of(p))
}

fn made_of(path: &Path) -> bool {
    path.extension()
        .is_some_and(|e| MADE_OF.iter().any(|m| e.eq_ignore_ascii_case(m)))
}
