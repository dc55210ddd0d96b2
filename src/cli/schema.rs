//! `warmlug schema`: prints the JSON Schema of the visit file or of the firm file, for editors.

use super::error::CommandError;
use super::output;
use crate::firm::Firm;
use std::process::ExitCode;

/// Print the JSON Schema of the visit file
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Example:
  warmlug schema > visit.schema.json

Editors with YAML support complete and check a visit file that begins with
  # yaml-language-server: $schema=visit.schema.json

`warmlug new` writes both.")]
pub(super) struct Schema {
    /// Print the schema of the firm file instead
    #[arg(long)]
    firm: bool,
}

impl Schema {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let schema = if self.firm {
            Firm::schema()
        } else {
            crate::visit::schema()
        };
        output::print(&format!("{schema:#}\n"))?;
        Ok(ExitCode::SUCCESS)
    }
}
