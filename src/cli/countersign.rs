//! `warmlug countersign`: adds a second signature to a certificate, which its seal permits.

use super::bounded_read;
use super::error::CommandError;
use super::identity::{self, Signer};
use super::input;
use super::output;
use super::signing_time::SigningTime;
use super::target;
use super::terminal;
use super::time_stamps::TimeStamp;
use crate::compose::attachments::VISIT;
use crate::record::accepted;
use crate::record::recompute::Record;
use crate::seal::Person;
use crate::seal::{self, Hand, Report, SignOptions, VerifyOptions, verify};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Add a signature to a certificate as client, landlord or reviewer
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug countersign certificate.pdf --as client --name 'Amal Okafor'
  warmlug countersign certificate.pdf --as reviewer --identity ines.p12 -o reviewed.pdf

The signature is appended; the sealed bytes are not changed. `warmlug verify` lists it as \
permitted, and reports any other addition as not permitted.")]
pub(super) struct Countersign {
    /// Certificate; `-` reads standard input
    certificate: PathBuf,
    /// Role of the signer
    #[arg(long = "as", value_enum, value_name = "WHO")]
    hand: Capacity,
    /// Name of the signer; the stored identity of this name is used, or created if there is none
    #[arg(long, required_unless_present = "identity")]
    name: Option<String>,
    /// Reason for signing [default: `Received` or `Reviewed` in the certificate's language]
    #[arg(long, value_name = "TEXT")]
    reason: Option<String>,
    /// File to write; `-` means standard output [default: CERTIFICATE-client.pdf, by role]
    #[arg(short, long)]
    output: Option<PathBuf>,
    #[command(flatten)]
    signer: Signer,
    #[command(flatten)]
    timestamp: TimeStamp,
    #[command(flatten)]
    signed_at: SigningTime,
    /// Replace an existing file
    #[arg(long)]
    force: bool,
}

/// Role of the signer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Capacity {
    /// The person who ordered the inspection
    Client,
    /// The owner of the site
    Landlord,
    /// A second professional who has reviewed it
    Reviewer,
}

impl From<Capacity> for Hand {
    fn from(capacity: Capacity) -> Self {
        match capacity {
            Capacity::Client => Hand::Client,
            Capacity::Landlord => Hand::Landlord,
            Capacity::Reviewer => Hand::Reviewer,
        }
    }
}

impl Countersign {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let hand = Hand::from(self.hand);
        let target = self
            .output
            .clone()
            .unwrap_or_else(|| target(&self.certificate, hand));
        let to_stdout = target.as_os_str() == "-";
        if !to_stdout {
            target::spare(&target, self.signer.files().chain([&self.certificate]))?;
            target::free(&target, self.force)?;
        }
        let bytes = bounded_read::read_certificate(&self.certificate)?;
        // Checked first, so that no key is created for a file that cannot be countersigned.
        let report = verify(&bytes, &VerifyOptions::default());
        if !report.unchanged() {
            return Err(CommandError::Refused(format!(
                "{}: {} Nothing was signed.",
                self.certificate.display(),
                report.sentence()
            )));
        }
        terminal::say(&report.sentence());
        self.signed_at.warn();
        let at = self.signed_at.get();
        let key = self.signer.open(at, || {
            let person = Person {
                name: self.name.clone().unwrap_or_default(),
                ..Person::default()
            };
            identity::of_person(&person, self.signer.secret(), None)
        })?;
        let options = SignOptions {
            reason: self.reason.clone().or_else(|| reason(&report, hand)),
            ..SignOptions::at(at)
        };
        let signed = self
            .timestamp
            .seal(|authority| seal::countersign_stamped(&bytes, &key, hand, &options, authority))?;
        if to_stdout {
            output::print_file(signed.bytes())?;
        } else {
            output::write(&target, signed.bytes(), self.force)?;
            terminal::say(&format!(
                "{}: signed by {} as {}",
                target.display(),
                key.subject().name,
                hand.field().to_lowercase()
            ));
        }
        Ok(ExitCode::SUCCESS)
    }
}

/// The default reason for signing, in the language of the certificate.
fn reason(report: &Report<'_>, hand: Hand) -> Option<String> {
    let record = Record::read(&report.verified()?).ok()?;
    let visit = accepted::read(&record.visit, VISIT).ok()?;
    let wording = input::wording(&visit).ok()?;
    Some(wording.countersigned(hand == Hand::Reviewer).to_owned())
}

fn target(certificate: &Path, hand: Hand) -> PathBuf {
    if certificate.as_os_str() == "-" {
        return PathBuf::from("-");
    }
    let stem = certificate
        .file_stem()
        .map_or_else(String::new, |s| s.to_string_lossy().into_owned());
    certificate.with_file_name(format!("{stem}-{}.pdf", hand.field().to_lowercase()))
}
