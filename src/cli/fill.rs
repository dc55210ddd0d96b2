//! `warmlug fill`: copies what was filled in on site into the visit file.

use super::error::CommandError;
use super::fill_all;
use super::fill_one::One;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Copy a filled-in worksheet into the visit file
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug fill visit.yaml --with worksheet.pdf
  warmlug fill visit.yaml --with visit.zip         saved by the browser application, with photos
  warmlug fill visit.yaml --with worksheet.pdf -o - | diff visit.yaml -
  warmlug fill --all from-phones/ --visits visits/     a day's zips, each into its own visit file

Comments and the order of the visit file are kept. If a value cannot be read, nothing is \
written, and the message shows the line as it would appear in the file.")]
pub(super) struct Fill {
    /// Visit file; changed in place unless -o is given
    #[arg(required_unless_present = "all")]
    visit: Option<PathBuf>,
    /// Filled-in worksheet, or the zip file saved by the browser application
    #[arg(long = "with", value_name = "SHEET", required_unless_present = "all")]
    sheet: Option<PathBuf>,
    /// Copy every zip in this folder into the visit file with its number, certify the visits that
    /// are then complete, and list the others by site; an interrupted run can be repeated
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["visit", "sheet", "output", "force"])]
    all: Option<PathBuf>,
    /// Folder with the visit files [default: the current folder]
    #[arg(long, value_name = "FOLDER", requires = "all")]
    visits: Option<PathBuf>,
    /// File to write; `-` means standard output [default: the visit file]
    #[arg(short, long)]
    output: Option<PathBuf>,
    /// Replace sections that the file already has
    #[arg(long)]
    replace: bool,
    /// Overwrite an existing file named by -o; a photo is never overwritten by another
    #[arg(long)]
    force: bool,
}

impl Fill {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        if let Some(sheets) = &self.all {
            return fill_all::run(&fill_all::Folders {
                sheets,
                visits: self.visits.as_deref().unwrap_or(Path::new(".")),
                replace: self.replace,
            });
        }
        let (Some(visit), Some(sheet)) = (self.visit, self.sheet) else {
            return Err(CommandError::Usage(
                "name a visit file, and the sheet with --with".to_owned(),
            ));
        };
        let one = One {
            visit,
            sheet,
            output: self.output,
            replace: self.replace,
            force: self.force,
        };
        one.fill()?;
        Ok(ExitCode::SUCCESS)
    }
}
