//! `warmlug verify`: who signed a certificate, whether it changed, and whether its findings follow
//! from the readings inside.

use super::check::Format;
use super::failure::Failure;
use super::input;
use super::output::{self, WIDTH};
use crate::follow::record::{Difference, Record};
use crate::seal::report::{Report, SignatureReport, TimeSource};
use crate::seal::{VerifyOptions, verify};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::process::ExitCode;

/// Prove who signed a certificate, that nothing changed, and that its findings follow
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug verify certificate.pdf
  warmlug verify certificate.pdf --format json | jq .genuine

Exit code 0 when the seal is unbroken and the findings follow from the record inside, else 1.
A self-signed certificate proves the same key, not whose key it is: compare the fingerprint with
one that the firm gave you another way.")]
pub(super) struct Verify {
    /// Certificate; `-` reads standard input
    certificate: PathBuf,
    /// How to print
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// Whether the findings follow from the record inside.
enum Follows {
    Yes { findings: usize },
    No(Vec<Difference>),
    NotDetermined(String),
}

impl Verify {
    pub(super) fn run(self) -> Result<ExitCode, Failure> {
        let bytes = input::read_bytes(&self.certificate)?;
        let report = verify(&bytes, &VerifyOptions::default());
        let follows = follows(&report);
        let good = report.genuine() && matches!(follows, Follows::Yes { .. });
        let text = match self.format {
            Format::Json => format!("{:#}\n", machine(&report, &follows, good)),
            Format::Text => people(&report, &follows),
        };
        output::print(&text)?;
        Ok(ExitCode::from(u8::from(!good)))
    }
}

fn follows(report: &Report<'_>) -> Follows {
    let Some(verified) = report.verified() else {
        return Follows::NotDetermined(
            "the record is read only from under an unbroken seal".to_owned(),
        );
    };
    match Record::read(&verified).and_then(|record| record.recompute()) {
        Ok(again) if again.differences.is_empty() => Follows::Yes {
            findings: again.assessment.findings.len(),
        },
        Ok(again) => Follows::No(again.differences),
        Err(why) => Follows::NotDetermined(why.to_string()),
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

fn machine(report: &Report<'_>, follows: &Follows, good: bool) -> Value {
    let findings = match follows {
        Follows::Yes { findings } => json!({ "answer": "yes", "findings": findings }),
        Follows::No(differences) => json!({ "answer": "no", "differences": differences }),
        Follows::NotDetermined(why) => json!({ "answer": "not-determined", "because": why }),
    };
    json!({
        "genuine": good,
        "sentence": report.sentence(),
        "seal": report,
        "findings_follow": findings,
    })
}

fn people(report: &Report<'_>, follows: &Follows) -> String {
    let mut out = output::wrap(&report.sentence(), WIDTH, 0);
    out.push_str("\n\n");
    for signature in &report.signatures {
        signature_lines(signature, &mut out);
    }
    let told = match follows {
        Follows::Yes { findings } => format!(
            "Findings: computed again from the visit file inside; all {findings} are the same."
        ),
        Follows::No(differences) => {
            let mut text = "Findings: they do NOT follow from the visit file inside.".to_owned();
            for d in differences.iter().take(MOST_DIFFERENCES) {
                text.push_str(&format!(
                    "\n  {}: sealed {}, computed {}",
                    d.path, d.sealed, d.now
                ));
            }
            if let Some(more) = differences
                .len()
                .checked_sub(MOST_DIFFERENCES)
                .filter(|n| *n > 0)
            {
                text.push_str(&format!("\n  and {more} more"));
            }
            text
        }
        Follows::NotDetermined(why) => format!("Findings: not computed again: {why}."),
    };
    out.push_str(&told);
    out.push('\n');
    out
}

/// Most differences printed; a changed visit file makes hundreds.
const MOST_DIFFERENCES: usize = 8;

fn signature_lines(signature: &SignatureReport, out: &mut String) {
    let mut line = |name: &str, value: &str| {
        out.push_str(&format!("{name:<14}{}\n", output::wrap(value, WIDTH, 14)));
    };
    if let Some(signer) = &signature.signer {
        line("signed by", &signer.name);
        if let Some(firm) = &signer.firm {
            line("firm", firm);
        }
        if let Some(licence) = &signer.licence {
            line("licence", licence);
        }
        line("fingerprint", &signer.fingerprint.to_string());
        line(
            "issuer",
            if signer.self_signed {
                "itself: proves the same key, not whose it is; compare the fingerprint"
            } else {
                &signer.issuer
            },
        );
    }
    let when = match (signature.signed.at, signature.signed.source) {
        (Some(at), TimeSource::SignersWord) => {
            format!(
                "{} by the signer's own clock",
                at.format("%Y-%m-%d %H:%M:%S %:z")
            )
        }
        (Some(at), _) => at.format("%Y-%m-%d %H:%M:%S %:z").to_string(),
        (None, _) => "not told".to_owned(),
    };
    line("signed on", &when);
    out.push('\n');
}
