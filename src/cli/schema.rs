//! `warmlug schema`: the JSON Schema of the visit file, for editors.

use super::failure::Failure;
use super::output;
use std::process::ExitCode;

/// Print the JSON Schema of the visit file
#[derive(Debug, clap::Args)]
pub(super) struct Schema {}

impl Schema {
    pub(super) fn run(self) -> Result<ExitCode, Failure> {
        let schema = crate::visit::schema();
        output::print(&format!("{schema:#}\n"))?;
        Ok(ExitCode::SUCCESS)
    }
}
