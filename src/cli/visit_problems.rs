//! Problems in a visit file, as messages.

use super::bounded_read::name;
use super::error::CommandError;
use super::terminal;
use crate::visit::{self, Naming};
use std::path::Path;

/// Reports a refused file at the place where the visit file names it. Further lines of the failure
/// say what to do.
pub(super) fn misnamed(
    why: CommandError,
    source: &str,
    path: &Path,
    naming: Naming,
) -> CommandError {
    let CommandError::Refused(text) = why else {
        return why;
    };
    let (message, help) = text.split_once('\n').unwrap_or((
        text.as_str(),
        "correct the name, or remove it from this file",
    ));
    let message = message.trim_end_matches('.').to_owned();
    let mut help = help.trim_end_matches('.').to_owned();
    if let Some(first) = help.get_mut(..1) {
        first.make_ascii_lowercase();
    }
    refused(visit::misnamed(source, &name(path), naming, message, help))
}

/// Prints the problems of a visit file and returns the failure that ends the command.
pub(super) fn refused(problems: visit::Diagnostics) -> CommandError {
    terminal::say(problems.to_string().trim_end());
    CommandError::Said(1)
}
