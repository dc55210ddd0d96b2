//! `warmlug stamp`: adds an authority's time-stamp to a certificate that was signed before.

use super::bounded_read;
use super::error::CommandError;
use super::output;
use super::target;
use super::terminal;
use super::time_stamps::LaterStamp;
use crate::seal::report::{Role, SignatureReport};
use crate::seal::{VerifyOptions, verify};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Add an authority's time-stamp to a certificate
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug stamp certificate.pdf --timestamp http://stamps.example/tsr
  warmlug stamp certificate.pdf --timestamp http://stamps.example/tsr -o 2026-0147.pdf

For certificates that were signed where no authority could be reached. The time-stamp is \
appended (a document time-stamp, PAdES); the sealed bytes are not changed. It shows that the \
certificate existed at that time, not when it was signed. The authority receives a digest and \
nothing else. `warmlug verify` lists the time-stamp as permitted.")]
pub(super) struct Stamp {
    /// Certificate; `-` reads standard input
    certificate: PathBuf,
    /// File to write; `-` means standard output [default: CERTIFICATE-stamped.pdf]
    #[arg(short, long)]
    output: Option<PathBuf>,
    #[command(flatten)]
    timestamp: LaterStamp,
    /// Replace an existing file
    #[arg(long)]
    force: bool,
}

impl Stamp {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let target = self
            .output
            .clone()
            .unwrap_or_else(|| target(&self.certificate));
        let to_stdout = target.as_os_str() == "-";
        if !to_stdout {
            target::spare(&target, [self.certificate.as_path()])?;
            target::free(&target, self.force)?;
        }
        let bytes = bounded_read::read_certificate(&self.certificate)?;
        // Reported before an authority is asked.
        let report = verify(&bytes, &VerifyOptions::default());
        if !report.unchanged() {
            return Err(CommandError::Refused(format!(
                "{}: {} Nothing was stamped.",
                self.certificate.display(),
                report.sentence()
            )));
        }
        let stamped = self.timestamp.add(&bytes, &report)?;
        if to_stdout {
            output::print_file(stamped.bytes())?;
            return Ok(ExitCode::SUCCESS);
        }
        output::write(&target, stamped.bytes(), self.force)?;
        let newest_stamp = newest_stamp(stamped.signatures());
        terminal::say(&format!("{}: {newest_stamp}", target.display()));
        Ok(ExitCode::SUCCESS)
    }
}

/// The sentence about the newest time-stamp.
fn newest_stamp(signatures: &[SignatureReport]) -> String {
    let mut stamps = signatures
        .iter()
        .rev()
        .filter(|s| s.role == Role::DocumentStamp);
    match stamps.find_map(|s| s.stamp.as_ref()) {
        Some(stamp) => format!(
            "time-stamped {} by {}",
            stamp.at.format("%Y-%m-%d %H:%M:%S UTC"),
            stamp.by()
        ),
        None => "time-stamped".to_owned(),
    }
}

fn target(certificate: &Path) -> PathBuf {
    if certificate.as_os_str() == "-" {
        return PathBuf::from("-");
    }
    let stem = certificate
        .file_stem()
        .map_or_else(String::new, |s| s.to_string_lossy().into_owned());
    certificate.with_file_name(format!("{stem}-stamped.pdf"))
}
