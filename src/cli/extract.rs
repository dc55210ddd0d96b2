//! `warmlug extract`: writes the record of a certificate as files, its first page as a separate
//! file, or labels for the panel.

use super::bounded_read;
use super::error::CommandError;
use super::identity::{self, Signer};
use super::output;
use super::signing_time::SigningTime;
use super::target;
use super::terminal;
use crate::record::{extracted, labelled};
use crate::seal::report::Report;
use crate::seal::{self, Person, SignOptions, Verified, VerifyOptions, verify};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Extract the visit file and the findings from a certificate, or its first page alone
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug extract certificate.pdf -o record/          every file in it
  warmlug extract certificate.pdf --only visit.yaml   one file, to standard output
  warmlug extract certificate.pdf --first-page -o page-1.pdf
                                                      page 1 alone, for a tenant or a filing office
  warmlug extract certificate.pdf --label             a label for the panel, 100 × 62 mm
  warmlug extract certificate.pdf --label --circuit bay-3 -o bay-3.pdf

Files are extracted only if the seal is unbroken. --first-page seals page 1 with the key of the \
certificate, and names the certificate and its SHA-256 on it; it does not contain the record. \
`warmlug verify` says that it is an extract and asks for the whole certificate; `warmlug register` \
skips it.

--label writes one page for each circuit, 100 mm wide and 62 mm high: result, whether charging may \
go on, date, next date, number, check line and the code of page 1. A label is not signed and proves \
nothing; `warmlug verify CERTIFICATE --check-line LINE` tells whether it belongs to the certificate.")]
pub(super) struct Extract {
    /// Certificate; `-` reads standard input
    certificate: PathBuf,
    /// Folder to write to, created if it does not exist [default: record]; with --first-page or --label,
    /// file to write; `-` means standard output [default: CERTIFICATE-page-1.pdf or
    /// CERTIFICATE-label.pdf]
    #[arg(short, long, conflicts_with = "only")]
    output: Option<PathBuf>,
    /// Print only this file
    #[arg(long, value_name = "NAME")]
    only: Option<String>,
    /// Write page 1 alone, sealed by the same key, without the record
    #[arg(long, conflicts_with = "only")]
    first_page: bool,
    /// Write labels for the panel, one for each circuit, not signed
    #[arg(long, conflicts_with_all = ["only", "first_page"])]
    label: bool,
    /// Only the label of the circuit with this id
    #[arg(long, value_name = "ID", requires = "label")]
    circuit: Option<String>,
    #[command(flatten)]
    signer: Signer,
    #[command(flatten)]
    signed_at: SigningTime,
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
        if self.first_page {
            return self.write_first_page(&report, &verified);
        }
        if self.label {
            return self.write_label(&report, &verified);
        }
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
        let folder = self.output.unwrap_or_else(|| PathBuf::from("record"));
        if folder.as_os_str() == "-" {
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
            targets.push((folder.join(name), &file.bytes));
        }
        std::fs::create_dir_all(&folder).map_err(|e| CommandError::writing(&folder, &e))?;
        // Write all files or none, as far as this can be checked in advance.
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

impl Extract {
    /// The file to write, by default next to the certificate with this after its name; standard output
    /// for a certificate from standard input.
    fn target(&self, ending: &str) -> PathBuf {
        self.output.clone().unwrap_or_else(|| {
            let stem = self.certificate.file_stem().unwrap_or_default();
            match self.certificate.as_os_str() == "-" {
                true => PathBuf::from("-"),
                false => {
                    let name = format!("{}-{ending}.pdf", stem.to_string_lossy());
                    self.certificate.with_file_name(name)
                }
            }
        })
    }

    /// Labels, not signed.
    fn write_label(
        &self,
        report: &Report<'_>,
        verified: &Verified<'_>,
    ) -> Result<ExitCode, CommandError> {
        let target = self.target("label");
        let to_stdout = target.as_os_str() == "-";
        if !to_stdout {
            target::spare(&target, [&self.certificate])?;
            target::free(&target, self.force)?;
        }
        let pdf = labelled::label(report, verified, self.circuit.as_deref()).map_err(|why| {
            CommandError::Refused(format!("{}: {why}", self.certificate.display()))
        })?;
        if to_stdout {
            output::print_file(&pdf)?;
        } else {
            output::write(&target, &pdf, self.force)?;
            terminal::say(&format!(
                "{}: label written, not signed; print it at 100 %",
                target.display()
            ));
        }
        Ok(ExitCode::SUCCESS)
    }

    /// Page 1 alone, sealed.
    fn write_first_page(
        &self,
        report: &Report<'_>,
        verified: &Verified<'_>,
    ) -> Result<ExitCode, CommandError> {
        let target = self.target("page-1");
        let to_stdout = target.as_os_str() == "-";
        if !to_stdout {
            target::spare(&target, self.signer.files().chain([&self.certificate]))?;
            target::free(&target, self.force)?;
        }
        let refused =
            |why: String| CommandError::Refused(format!("{}: {why}", self.certificate.display()));
        let signer = report.certification().and_then(|seal| seal.signer.as_ref());
        let person = signer.map_or_else(Person::default, |signer| Person {
            name: signer.name.clone(),
            firm: signer.firm.clone(),
            licence: signer.licence.clone(),
        });
        self.signed_at.warn();
        let at = self.signed_at.get();
        let stored =
            crate::seal::identity_file::default_path(&person.name).is_ok_and(|path| path.exists());
        let key = self.signer.open(at, || {
            if !stored {
                return Err(refused(format!(
                    "the key of {} is not stored here, and an extract is sealed with the key of the \
                     certificate. Name its file with --identity",
                    person.name
                )));
            }
            identity::of_person(&person, self.signer.secret(), None)
        })?;
        let mut unsigned = extracted::first_page(report, verified, &key, at)
            .map_err(|why| refused(why.to_string()))?;
        let options = SignOptions::of(&key, at);
        let sealed = seal::sign_taking(&mut unsigned, &key, &options, None)?;
        if to_stdout {
            output::print_file(sealed.bytes())?;
        } else {
            output::write(&target, sealed.bytes(), self.force)?;
            terminal::say(&format!(
                "{}: page 1 written, sealed by {}",
                target.display(),
                key.subject().name
            ));
        }
        Ok(ExitCode::SUCCESS)
    }
}
