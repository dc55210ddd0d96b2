//! `warmlug verify`: who signed a certificate, whether it changed, and whether its findings follow
//! from the readings inside.

use super::check::Format;
use super::error::CommandError;
use super::input;
use super::output;
use super::verify_text;
use crate::amend::amendment::Amendment;
use crate::amend::voucher::voucher;
use crate::compose::BUILD;
use crate::photo::Folder;
use crate::record::answers::Answers;
use crate::record::contents::{Beside, Original};
use crate::record::recompute::Record;
use crate::seal::known::{self, KnownSigners};
use crate::seal::report::{Report, Trust};
use crate::seal::verify::anchors;
use crate::seal::{Fingerprint, VerifyOptions, verify};
use crate::visit::FORMAT;
use crate::visit::ImageError;
use chrono::{DateTime, FixedOffset, Local, TimeDelta};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Prove who signed a certificate, that nothing changed, and that its findings follow
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug verify certificate.pdf
  warmlug verify certificate.pdf --pin 4F1C…      accept this key only
  warmlug verify certificate.pdf --trust guild.pem   accept what this authority issued
  warmlug verify certificate.pdf --photos photos/..  hold the original photos against it
  warmlug verify certificate.pdf --check-line '2026-0147 / 5C1E … / 2795 …'
  warmlug verify 2026-0146.pdf 2026-0147.pdf   does the one replace the other
  warmlug verify certificate.pdf --format json | jq .acceptable

Exit code 0 when the seal is unbroken, the key is not refused, and findings, pages and photos
agree with the record inside, else 1. Works offline. The first certificate of a signer proves the
same key, not whose key it is: compare the fingerprint with one that the firm gave you another
way. From then on the key is known, and another one under the same name is an alarm.")]
pub(super) struct Verify {
    /// Certificate; `-` reads standard input
    certificate: PathBuf,
    /// A second certificate, to tell which one replaces the other
    #[arg(conflicts_with_all = ["photos", "check_line"])]
    other: Option<PathBuf>,
    /// How to print
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    #[command(flatten)]
    trust: TrustArguments,
    /// Folder that the photos' paths in the visit file start from; each is held against its digest
    #[arg(long, value_name = "FOLDER")]
    photos: Option<PathBuf>,
    /// Check line of a paper copy, as printed on its first page or scanned from the code beside it
    #[arg(long, value_name = "LINE")]
    check_line: Option<String>,
}

/// What the reader knows signers by.
#[derive(Debug, clap::Args)]
pub(super) struct TrustArguments {
    /// Accept only this key: the SHA-256 fingerprint of its certificate. Can be given again
    #[arg(long, value_name = "FINGERPRINT", value_parser = fingerprint)]
    pin: Vec<Fingerprint>,
    /// Accept only the certificates in this file, and what they issued (PEM or DER). Can be given
    /// again
    #[arg(long, value_name = "FILE")]
    trust: Vec<PathBuf>,
    /// List of signers met before, in place of the one in your configuration folder
    #[arg(long, value_name = "FILE")]
    known: Option<PathBuf>,
    /// Neither read nor write the list of signers met before
    #[arg(long, conflicts_with = "known")]
    no_known: bool,
}

fn fingerprint(text: &str) -> Result<Fingerprint, String> {
    Fingerprint::parse(text).ok_or_else(|| {
        "a fingerprint has 64 hexadecimal digits; spaces, colons and hyphens may stand between"
            .to_owned()
    })
}

/// How far clocks differ that are set to another zone than they say, and no more.
const ANY_ZONE: TimeDelta = TimeDelta::hours(26);

/// The latest time of a signature that lies in the future, whatever zone a clock was set to.
fn time_to_come(answers: &Answers<'_>) -> Option<DateTime<FixedOffset>> {
    let now = Local::now().fixed_offset();
    let signatures = answers.report.signatures.iter();
    let signed = signatures.filter_map(|s| s.signed.at);
    signed.filter(|at| *at - now > ANY_ZONE).max()
}

fn text(answers: &Answers<'_>) -> String {
    verify_text::text(
        &answers.sentence(),
        &answers.report,
        answers.contents.as_ref(),
        answers.standing.as_ref(),
        time_to_come(answers),
    )
}

impl Verify {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let known = self.trust.known_path();
        let options = self.trust.options(known.as_deref())?;
        let bytes = input::read_bytes(&self.certificate)?;
        let original = self
            .photos
            .as_deref()
            .map(|folder| |file: &str| original(folder, file));
        let beside = Beside {
            originals: original.as_ref().map(|f| f as &dyn Fn(&str) -> Original),
            check_line: self.check_line.as_deref(),
        };
        let answers = Answers::of(&bytes, &options, &beside);
        let mut good = answers.good();
        let text = match &self.other {
            None => match self.format {
                Format::Json => format!("{:#}\n", machine(&answers)),
                Format::Text => text(&answers),
            },
            Some(other) => {
                let (both, text) = self.pair((&bytes, &answers), other, &options)?;
                good = both;
                text
            }
        };
        output::print(&text)?;
        if let Some(path) = known
            && answers.report.acceptable()
        {
            remember(&answers.report, &path);
        }
        Ok(ExitCode::from(u8::from(!good)))
    }

    /// The answers about two certificates, and whether both are good and one replaces the other,
    /// sealed by the same hand.
    fn pair(
        &self,
        (first, one): (&[u8], &Answers<'_>),
        other: &Path,
        options: &VerifyOptions,
    ) -> Result<(bool, String), CommandError> {
        let bytes = input::read_bytes(other)?;
        let two = Answers::of(&bytes, options, &Beside::default());
        let amendment = match (&one.standing, &two.standing) {
            (Some(one), Some(two)) => Amendment::between(one, two, |earlier, later| {
                let pdf = if later == one { first } else { &bytes };
                voucher(&[earlier.key], later.key, pdf).is_some()
            }),
            _ => Amendment::No {
                because: "told only of two certificates with unbroken seals".to_owned(),
            },
        };
        let good = one.good()
            && two.good()
            && matches!(amendment, Amendment::Replaces { same_key: true, .. });
        let sentence = amendment.sentence();
        let text = match self.format {
            Format::Json => {
                let value = json!({
                    "acceptable": good,
                    "amendment": amendment,
                    "sentence": format!("{sentence}."),
                    "certificates": [machine(one), machine(&two)],
                });
                format!("{value:#}\n")
            }
            Format::Text => format!(
                "{}\n\n{}\n{}\n\n{}\n{}",
                output::wrap(&format!("{sentence}."), output::WIDTH, 0),
                self.certificate.display(),
                text(one),
                other.display(),
                text(&two)
            ),
        };
        Ok((good, text))
    }
}

impl TrustArguments {
    /// Where the list of signers met before is; nowhere when the system has no such folder.
    pub(super) fn known_path(&self) -> Option<PathBuf> {
        if self.no_known {
            return None;
        }
        self.known.clone().or_else(|| known::default_path().ok())
    }

    pub(super) fn options(&self, known: Option<&Path>) -> Result<VerifyOptions, CommandError> {
        let mut options = VerifyOptions {
            pins: self.pin.clone(),
            ..VerifyOptions::default()
        };
        for file in &self.trust {
            options.anchors.extend(anchors(file)?);
        }
        options.known = known.map(KnownSigners::read).transpose()?;
        Ok(options)
    }
}

/// Enters whoever was met for the first time. A folder that can't be written is no reason to
/// doubt a certificate.
fn remember(report: &Report<'_>, path: &Path) {
    let today = Local::now().date_naive();
    let met: Vec<_> = report
        .signatures
        .iter()
        .filter(|s| matches!(s.trust, Trust::FirstUse | Trust::Succeeds { .. }))
        .filter_map(|s| s.signer.as_ref())
        .collect();
    if met.is_empty() {
        return;
    }
    let kept = KnownSigners::change(path, |list| {
        for signer in &met {
            list.enter(signer.fingerprint, &signer.person(), today);
        }
    });
    match kept {
        Ok(true) => output::say(&format!(
            "The key is known from now on (kept in {}).",
            path.display()
        )),
        Ok(false) => {}
        Err(error) => output::say(&format!(
            "The key could not be kept for later: {error}. --known FILE keeps another list, \
             --no-known none."
        )),
    }
}

/// The photo of a path in the certificate, as it was taken. The path comes from a stranger: neither
/// it nor a link on its way leads out of the folder, and no pipe is waited for.
fn original(folder: &Path, file: &str) -> Original {
    let folder = match Folder::new(folder) {
        Ok(folder) => folder,
        Err(why) => return Original::Unreadable(CommandError::reading(folder, &why).to_string()),
    };
    match folder.sha256(file) {
        Ok(digest) => Original::Digest(base16ct::lower::encode_string(&digest)),
        Err(why) => Original::Unreadable(match why {
            ImageError::Outside => "it lies outside the folder".to_owned(),
            ImageError::Missing => "there is no such file".to_owned(),
            why => format!("it {why}"),
        }),
    }
}

/// The record of a certificate whose seal is unbroken.
///
/// # Errors
/// Why it cannot be relied on, as a sentence.
pub(super) fn record(pdf: &[u8]) -> Result<Record, String> {
    let report = verify(pdf, &VerifyOptions::default());
    let Some(verified) = report.verified() else {
        return Err(report.sentence());
    };
    Record::read(&verified).map_err(|e| e.to_string())
}

/// All answers for machines. The keys are a public interface: their names stay, new ones may be
/// added.
fn machine(answers: &Answers<'_>) -> Value {
    let Answers {
        report,
        contents,
        standing,
        ..
    } = answers;
    let open = || {
        json!({
            "answer": "not-determined",
            "because": "read only from under an unbroken seal",
        })
    };
    let all = contents
        .as_ref()
        .map(|contents| serde_json::to_value(contents).unwrap_or_default());
    let answer = |key: &str| match &all {
        Some(all) => all.get(key).cloned().unwrap_or_default(),
        None => open(),
    };
    json!({
        "acceptable": answers.good(),
        "genuine": report.genuine(),
        "sentence": answers.sentence(),
        "objections": answers.objections(),
        "signed_in_future": time_to_come(answers),
        "certificate": standing,
        "made_by": answer("made_by"),
        "this_version": { "version": env!("CARGO_PKG_VERSION"), "build": BUILD, "format": FORMAT },
        "seal": report,
        "findings_follow": answer("findings_follow"),
        "pages": answer("pages"),
        "photos": answer("photos"),
        "paper": answer("paper"),
    })
}
