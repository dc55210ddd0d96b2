//! `warmlug web`: writes the browser application.

use super::error::CommandError;
use super::output;
use super::target;
use super::terminal;
use crate::web::site::Site;
use std::path::PathBuf;
use std::process::ExitCode;

/// Write the browser application, for any web host
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Example:
  warmlug web site          writes the folder; put it on a web host, and open its address on a phone

In the browser, without installing anything: fill in a visit on site, sign its certificate with \
a key that stays on the device, and check certificates that somebody received. No request leaves \
the page, and after the first visit it works offline. It needs an address that begins with \
https, or localhost. Whoever controls the host could replace the page: compare the digest that \
this command prints with the one at the foot of the page.

To try it here without a host: warmlug serve")]
pub(super) struct Web {
    /// Folder to write; created if needed
    folder: PathBuf,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

impl Web {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let site = Site::new();
        std::fs::create_dir_all(&self.folder)
            .map_err(|e| CommandError::writing(&self.folder, &e))?;
        // Nothing is written if one of the files exists and is not ours.
        for (name, _) in &site.files {
            target::free(&self.folder.join(name), self.force)?;
        }
        for (name, bytes) in &site.files {
            output::write(&self.folder.join(name), bytes, self.force)?;
        }
        output::print(&format!("{}\n", site.digest))?;
        terminal::say(&format!(
            "{}: {} files written; SHA-256 of the page above",
            self.folder.display(),
            site.files.len()
        ));
        Ok(ExitCode::SUCCESS)
    }
}
