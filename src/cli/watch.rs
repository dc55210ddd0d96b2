//! Doing something again whenever a visit file, its rules or its photos are saved.

use super::error::CommandError;
use super::input::folder_of;
use super::output;
use notify::{Event, EventKind, RecursiveMode, Watcher};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// Quiet time after which a save counts as done: an editor writes a file in several steps. Our
/// choice.
const QUIET: Duration = Duration::from_millis(120);

/// Endings of the files that a visit is made of.
const MADE_OF: [&str; 9] = [
    "yaml", "yml", "jpg", "jpeg", "png", "tif", "tiff", "webp", "bmp",
];

/// Runs `work` now and after every save beside one of these files, until the program is stopped.
///
/// What goes wrong in a run is told and waits for the next save.
pub(super) fn again(
    files: &[PathBuf],
    work: impl Fn() -> Result<ExitCode, CommandError>,
) -> Result<ExitCode, CommandError> {
    if files.iter().any(|f| f.as_os_str() == "-") {
        return Err(CommandError::Usage(
            "--watch waits for a file to be saved; standard input is none".to_owned(),
        ));
    }
    let refuse = |e: notify::Error| {
        CommandError::System(format!("the folder cannot be watched for saved files: {e}"))
    };
    let (sender, saved) = channel();
    let mut watcher = notify::recommended_watcher(move |event: notify::Result<Event>| {
        // Nobody listens any more when the program ends.
        let _ = sender.send(event.is_ok_and(|e| concerns(&e)));
    })
    .map_err(refuse)?;
    // Folders rather than files: many editors put a new file in the place of the old one.
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
        output::say("-- waiting for the next save; Ctrl-C ends");
        if !wait(&saved) {
            return Ok(ExitCode::SUCCESS);
        }
    }
}

/// Waits for a save and until it is quiet again; false when none can come any more.
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

/// Whether something changed that a visit is made of; what the program itself writes is a PDF.
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
