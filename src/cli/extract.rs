//! `warmlug extract`: writes the record of a certificate as files.

use super::bounded_read;
use super::error::CommandError;
use super::output;
use super::target;
use crate::seal::{VerifyOptions, verify};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Extract the visit file and the findings from a certificate
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug extract certificate.pdf -o record/          every file in it
  warmlug extract certificate.pdf --only visit.yaml   one file, to standard output

Files are extracted only if the seal is unbroken.")]
pub(super) struct Extract {
    /// Certificate; `-` reads standard input
    certificate: PathBuf,
    /// Folder to write to; created if it does not exist
    #[arg(short, long, default_value = "record", conflicts_with = "only")]
    output: PathBuf,
    /// Print only this file
    #[arg(long, value_name = "NAME")]
    only: Option<String>,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

impl Extract {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let bytes = bounded_read::read_certificate(&self.certificate)?;
        let report = verify(&bytes, &VerifyOptions::default());
        let Some(verified) = report.verified() else {
            return Err(CommandError::Refused(format!(
                "{}: {} Nothing was extracted.",
                self.certificate.display(),
                report.sentence()
            )));
        };
        let files = verified.attachments()?;
        if files.is_empty() {
            return Err(CommandError::Refused(format!(
                "{}: the file is sealed but contains no record; it was not written by warmlug",
                self.certificate.display()
            )));
        }
        if let Some(only) = &self.only {
            let Some(file) = files.iter().find(|f| f.name == *only) else {
                let names: Vec<&str> = files.iter().map(|f| f.name.as_str()).collect();
                return Err(CommandError::Refused(format!(
                    "the certificate contains no file {only}; it contains: {}",
                    names.join(", ")
                )));
            };
            output::print_bytes(&file.bytes)?;
            return Ok(ExitCode::SUCCESS);
        }
        if self.output.as_os_str() == "-" {
            return Err(CommandError::Usage(
                "-o names a folder, because there are several files; --only NAME prints one of them"
                    .to_owned(),
            ));
        }
        let mut targets = Vec::with_capacity(files.len());
        for file in &files {
            // The name comes from the certificate and must not lead out of the folder.
            let plain = Path::new(&file.name)
                .file_name()
                .filter(|n| *n == file.name.as_str());
            let Some(name) = plain else {
                return Err(CommandError::Refused(format!(
                    "the certificate contains a file named {:?}, which is not a plain file name",
                    file.name
                )));
            };
            targets.push((self.output.join(name), &file.bytes));
        }
        std::fs::create_dir_all(&self.output)
            .map_err(|e| CommandError::writing(&self.output, &e))?;
        // Write all files or none, as far as this can be known in advance.
        for (path, _) in &targets {
            target::spare(path, [&self.certificate])?;
            target::free(path, self.force)?;
        }
        for (path, bytes) in targets {
            output::write(&path, bytes, self.force)?;
            output::print(&format!("{}\n", path.display()))?;
        }
        Ok(ExitCode::SUCCESS)
    }
}
