//! `warmlug new`: a starter visit file, commented and valid.

use super::failure::Failure;
use super::output;
use chrono::Datelike;
use std::path::PathBuf;
use std::process::ExitCode;

/// Write a starter visit file
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug new
  warmlug new -o 2026-11-maple-court/visit.yaml --number 2026-0151")]
pub(super) struct New {
    /// File to write; `-` writes to standard output
    #[arg(short, long, default_value = "visit.yaml")]
    output: PathBuf,
    /// Certificate number; the year and `-0001` when not told
    #[arg(long)]
    number: Option<String>,
    /// Overwrite an existing file
    #[arg(long)]
    force: bool,
}

const STARTER: &str = include_str!("../../templates/visits/starter.yaml");

impl New {
    pub(super) fn run(self) -> Result<ExitCode, Failure> {
        let today = chrono::Local::now().date_naive();
        let number = self
            .number
            .unwrap_or_else(|| format!("{}-0001", today.year()));
        if number.chars().any(|c| c.is_control()) || number.trim().is_empty() {
            return Err(Failure::Usage("--number takes one line of text".to_owned()));
        }
        let text = STARTER
            .replace(
                "{number}",
                &format!("\"{}\"", number.replace('\\', "\\\\").replace('"', "\\\"")),
            )
            .replace("{date}", &today.to_string());
        if self.output.as_os_str() == "-" {
            output::print(&text)?;
        } else {
            output::write(&self.output, text.as_bytes(), self.force)?;
            output::say(&format!(
                "{}: written. Fill it in, then: warmlug check {0}",
                self.output.display()
            ));
        }
        Ok(ExitCode::SUCCESS)
    }
}
