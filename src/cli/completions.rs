//! `warmlug completions` and `warmlug man`, generated from the same definitions as `--help`.

use super::error::CommandError;
use super::output;
use clap::Command;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Print shell completions
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug completions bash > ~/.local/share/bash-completion/completions/warmlug
  warmlug completions zsh > ~/.zfunc/_warmlug
  warmlug completions fish > ~/.config/fish/completions/warmlug.fish")]
pub(super) struct Completions {
    /// Shell
    #[arg(value_enum)]
    shell: clap_complete::Shell,
}

impl Completions {
    pub(super) fn run(self, mut command: Command) -> Result<ExitCode, CommandError> {
        let mut text = Vec::new();
        clap_complete::generate(self.shell, &mut command, "warmlug", &mut text);
        output::print_bytes(&text)?;
        Ok(ExitCode::SUCCESS)
    }
}

/// Write the manual pages
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug man | man -l -
  warmlug man -o ~/.local/share/man/man1      one page per command")]
pub(super) struct Man {
    /// Folder to write all pages to [default: print the main page to standard output]
    #[arg(short, long, value_name = "FOLDER")]
    output: Option<PathBuf>,
}

impl Man {
    pub(super) fn run(self, mut command: Command) -> Result<ExitCode, CommandError> {
        command.build();
        let Some(folder) = &self.output else {
            output::print_bytes(&page(&command)?)?;
            return Ok(ExitCode::SUCCESS);
        };
        std::fs::create_dir_all(folder).map_err(|e| CommandError::writing(folder, &e))?;
        write(folder, "warmlug", &command)?;
        Ok(ExitCode::SUCCESS)
    }
}

/// Writes the pages of a command and its subcommands, replacing those of other versions.
fn write(folder: &Path, name: &str, command: &Command) -> Result<(), CommandError> {
    let path = folder.join(format!("{name}.1"));
    output::write(&path, &page(command)?, true)?;
    output::print(&format!("{}\n", path.display()))?;
    for inner in command.get_subcommands().filter(|c| c.get_name() != "help") {
        write(folder, &format!("{name}-{}", inner.get_name()), inner)?;
    }
    Ok(())
}

fn page(command: &Command) -> Result<Vec<u8>, CommandError> {
    let mut text = Vec::new();
    clap_mangen::Man::new(command.clone())
        .render(&mut text)
        .map_err(|e| CommandError::writing(Path::new("the manual page"), &e))?;
    Ok(text)
}
