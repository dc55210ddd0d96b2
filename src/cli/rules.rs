//! `warmlug rules`: prints a rule set with the source of every threshold.

use super::error::CommandError;
use super::input;
use super::output;
use super::output_format::Format;
use crate::rules as set;
use std::path::PathBuf;
use std::process::ExitCode;

/// Print the thresholds of a rule set, with sources
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug rules
  warmlug rules iec                       the other built-in set
  warmlug rules --edition 2020            of the National Electrical Code
  warmlug rules --diff our-firm.yaml      what your own file changes")]
pub(super) struct Rules {
    /// Built-in rule set, or the path of a rules file
    #[arg(default_value = "us")]
    rules: String,
    /// Edition of the code, if the rule set has several [default: the one that it cites]
    #[arg(long, value_name = "YEAR")]
    edition: Option<String>,
    /// Print only what this rules file changes in the rule set that it extends
    #[arg(long, value_name = "FILE", conflicts_with = "rules")]
    diff: Option<PathBuf>,
    /// Output format
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

impl Rules {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        if let Some(path) = &self.diff {
            let rules = input::rules_named(&path.to_string_lossy(), self.edition.as_deref())?;
            let changes = &rules.get().changes;
            let text = match self.format {
                Format::Json => format!("{:#}\n", serde_json::json!(changes)),
                Format::Text if changes.is_empty() => "no changes\n".to_owned(),
                Format::Text => changes
                    .iter()
                    .map(|c| format!("{}: {} (was {})\n", c.path, c.is, c.was))
                    .collect(),
            };
            output::print(&text)?;
            return Ok(ExitCode::SUCCESS);
        }
        let rules = input::rules_named(&self.rules, self.edition.as_deref())?;
        let text = match self.format {
            Format::Json => format!("{:#}\n", set::json(rules.get())),
            Format::Text => set::text(rules.get()),
        };
        output::print(&text)?;
        Ok(ExitCode::SUCCESS)
    }
}
