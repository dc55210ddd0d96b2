//! `warmlug upgrade`: updates an old visit file to the current keys.

use super::bounded_read;
use super::error::CommandError;
use super::terminal;
use super::visit_problems;
use super::{output, target};
use crate::disk::lock;
use crate::visit::{self, UpgradeError};
use std::path::PathBuf;
use std::process::ExitCode;

/// Update an old visit file to the current keys
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug upgrade visit.yaml
  warmlug upgrade visit.yaml -o - | diff visit.yaml -

Each change is printed with its line. Comments, order and spacing are kept. Only the names of \
keys change, never a measured value; `warmlug check` reports what is missing or wrong. A file \
that already has the current keys is not changed.")]
pub(super) struct Upgrade {
    /// Visit file; changed in place unless -o is given; `-` reads standard input
    visit: PathBuf,
    /// File to write; `-` means standard output [default: the visit file]
    #[arg(short, long)]
    output: Option<PathBuf>,
    /// Replace an existing file named by -o
    #[arg(long)]
    force: bool,
}

impl Upgrade {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let stream = |path: &PathBuf| path.as_os_str() == "-";
        let to = self
            .output
            .as_ref()
            .or(Some(&self.visit).filter(|v| stream(v)));
        let name = if stream(&self.visit) {
            "standard input".to_owned()
        } else {
            self.visit.display().to_string()
        };
        // When writing in place, no other run may change the file meanwhile.
        let _lock = to.is_none().then(|| lock(&self.visit));
        if let Some(path) = to.filter(|path| !stream(path)) {
            target::spare(path, [&self.visit])?;
            target::free(path, self.force)?;
        }
        let bytes = bounded_read::read_bytes(&self.visit)?;
        if bytes.starts_with(b"%PDF-") {
            return Err(CommandError::Refused(format!(
                "{name}: this is a PDF. The visit file of a certificate can be upgraded after \
                 `warmlug extract {name}`; the certificate itself stays as it was sealed"
            )));
        }
        let text = bounded_read::text(bytes, &self.visit)?;
        let upgraded = visit::upgrade(&text, &name).map_err(|why| match why {
            UpgradeError::Unreadable(problems) => visit_problems::refused(problems),
            other => CommandError::Refused(format!("{name}: {other}")),
        })?;
        for change in &upgraded.changed {
            terminal::say(&format!("{name}:{}: {}", change.line, change.what));
        }
        match to {
            Some(path) if stream(path) => output::print_file(upgraded.text.as_bytes())?,
            Some(path) => output::write(path, upgraded.text.as_bytes(), self.force)?,
            None if upgraded.changed.is_empty() => {}
            None => {
                // The file was saved in an editor meanwhile; do not undo that.
                if bounded_read::read_text(&self.visit)? != text {
                    return Err(CommandError::Refused(format!(
                        "{name}: not changed, because another program has just changed it; run \
                         this again"
                    )));
                }
                output::write(&self.visit, upgraded.text.as_bytes(), true)?;
            }
        }
        terminal::say(&match upgraded.changed.len() {
            0 => format!(
                "{name}: already has the current keys (format {})",
                visit::FORMAT
            ),
            1 => format!("{name}: one change"),
            n => format!("{name}: {n} changes"),
        });
        Ok(ExitCode::SUCCESS)
    }
}
