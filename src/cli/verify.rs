//! `warmlug verify`: checks who signed a certificate, whether it was changed, and whether its findings
//! follow from the readings inside.

use super::bounded_read;
use super::error::CommandError;
use super::firm;
use super::folders::folder_of;
use super::output;
use super::output_format::Format;
use super::target::{self, same_file};
use super::terminal;
use super::verify_text;
use crate::amend::amendment::Amendment;
use crate::amend::voucher::voucher;
use crate::certify::visit_images::prepared_photo;
use crate::firm::keys;
use crate::firm::lookup::{self, Found};
use crate::photo::{Detail, Folder};
use crate::record::answers::Answers;
use crate::record::contents::{Original, OwnEvidence, Prepare};
use crate::record::report_document::{self, Checked};
use crate::seal::SealError;
use crate::seal::known::{KnownSigners, Met, NewKey};
use crate::seal::known_file;
use crate::seal::verify::anchors;
use crate::seal::{Fingerprint, VerifyOptions};
use crate::typeset;
use crate::visit::{ImageError, Visit};
use chrono::{DateTime, FixedOffset, Local};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Check who signed a certificate, and whether it is unchanged and consistent
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug verify certificate.pdf
  warmlug verify certificate.pdf --pin 4F1C…         accept only this key
  warmlug verify certificate.pdf --trust guild.pem   accept only keys issued by this authority
  warmlug verify certificate.pdf --photos photos/..  compare the original photos
  warmlug verify certificate.pdf --check-line '2026-0147 / 5C1E … / 2795 …'
  warmlug verify 2026-0146.pdf 2026-0147.pdf         does one replace the other?
  warmlug verify certificate.pdf --format json | jq .genuine
  warmlug verify certificate.pdf --report verification.pdf

Works offline. The findings are recomputed from the record inside. If this version made the \
certificate, the pages are written again too and compared whole; if another version made it, \
only what both versions have in common is compared.

Exit code 0 (genuine) if the seal is unbroken, findings, pages and photos agree with the record, \
and you have compared the key: it is named with --pin, issued by an authority in --trust, or \
marked `accepted` in the list of known signers. Exit code 5 if everything agrees but nobody \
compared the key: anybody may have sealed the file under this name. Compare the fingerprint with \
one that the firm gives you some other way. Otherwise exit code 1. Each key is remembered when \
it is first seen, and a different key under the same name is refused.")]
pub(super) struct Verify {
    /// Certificate; `-` reads standard input
    certificate: PathBuf,
    /// A second certificate, to find out whether one replaces the other
    #[arg(conflicts_with_all = ["photos", "check_line"])]
    other: Option<PathBuf>,
    /// Output format
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    #[command(flatten)]
    trust: TrustArguments,
    /// Folder of the visit file with the original photos; each photo is compared with its digest and
    /// with the picture on the pages
    #[arg(long, value_name = "FOLDER")]
    photos: Option<PathBuf>,
    /// Also write what was checked as a PDF to be filed, with digests, keys and times; it is not signed
    #[arg(long, value_name = "FILE", conflicts_with = "other")]
    report: Option<PathBuf>,
    /// Replace an existing report
    #[arg(long, requires = "report")]
    force: bool,
    /// Check line of a paper copy, as printed on page 1 or scanned from the code next to it
    #[arg(long, value_name = "LINE")]
    check_line: Option<String>,
}

/// How signers are recognised.
#[derive(Debug, clap::Args)]
pub(super) struct TrustArguments {
    /// Accept only the key with this fingerprint (SHA-256 of its certificate); repeatable
    #[arg(long, value_name = "FINGERPRINT", value_parser = fingerprint)]
    pin: Vec<Fingerprint>,
    /// Accept only the certificates in this file (PEM or DER), and those issued by them; repeatable
    #[arg(long, value_name = "FILE")]
    trust: Vec<PathBuf>,
    /// List of known signers to use instead of the one in your configuration folder
    #[arg(long, value_name = "FILE")]
    known: Option<PathBuf>,
    /// Do not read or write the list of known signers
    #[arg(long, conflicts_with = "known")]
    no_known: bool,
    /// Firm file, received from the firm itself: its keys count as compared, and keys that it
    /// revoked are refused [default: firm.yaml in your configuration folder; of one next to the
    /// certificates, only the revocations count]
    #[arg(long, value_name = "FILE")]
    firm: Option<PathBuf>,
    /// Exit with 0 instead of 5 if the only problem is that nobody has compared the key
    #[arg(long)]
    allow_uncompared: bool,
}

/// Exit code if nothing is wrong but that nobody compared the key.
const NOT_COMPARED: u8 = 5;

fn fingerprint(text: &str) -> Result<Fingerprint, String> {
    Fingerprint::parse(text).ok_or_else(|| {
        "a fingerprint has 64 hexadecimal digits, optionally separated by spaces, colons or hyphens"
            .to_owned()
    })
}

/// This computer's clock.
fn now() -> DateTime<FixedOffset> {
    Local::now().fixed_offset()
}

fn text(answers: &Answers<'_>) -> String {
    verify_text::text(answers, now())
}

impl Verify {
    fn json(&self, answers: &Answers<'_>) -> Value {
        let acceptable = self.trust.accepts(Outcome::of(answers));
        answers.json(acceptable, now())
    }

    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        if let Some(report) = &self.report {
            target::spare(report, [&self.certificate])?;
            target::free(report, self.force)?;
        }
        let known = self.trust.known_path();
        let firms = self.trust.firms(&[folder_of(&self.certificate)])?;
        let mut options = self.trust.options(known.as_deref(), &firms)?;
        let bytes = bounded_read::read_certificate(&self.certificate)?;
        let other = match &self.other {
            Some(path) => Some((path.as_path(), bounded_read::read_certificate(path)?)),
            None => None,
        };
        let original = self
            .photos
            .as_deref()
            .map(|folder| |file: &str| original(folder, file));
        let prepared = self.photos.as_deref().map(|folder| {
            |visit: &Visit, file: &str, detail: Detail| {
                let folder = Folder::new(folder).ok()?;
                prepared_photo(&folder, visit, file, detail).ok()
            }
        });
        let beside = OwnEvidence {
            originals: original.as_ref().map(|f| f as &dyn Fn(&str) -> Original),
            prepared: prepared.as_ref().map(|f| f as &Prepare<'_>),
            check_line: self.check_line.as_deref(),
            ..OwnEvidence::default()
        };
        let answers = Answers::of(&bytes, &options, &beside);
        let (mut result, mut text) = self.result(&bytes, &answers, other.as_ref(), &options);
        let mut report = self.report(&bytes, &answers)?;
        let mut stored = None;
        if let Some(path) = &known
            && let Some(key) = answers.new_key().filter(|_| result.good)
        {
            let kept = Kept::remember(&key, path);
            if let Kept::OtherKey = kept {
                // Another run entered a different key under this name after this one had read
                // the list.
                options.known = Some(KnownSigners::read(path)?);
                let answers = Answers::of(&bytes, &options, &beside);
                (result, text) = self.result(&bytes, &answers, other.as_ref(), &options);
                report = self.report(&bytes, &answers)?;
            }
            stored = kept.sentence(path);
        }
        output::print(&text)?;
        if let Some(path) = &self.report {
            output::write(path, &report, self.force)?;
            terminal::say(&format!("{}: report written, not signed", path.display()));
        }
        if let Some(stored) = stored {
            terminal::say(&stored);
        }
        Ok(self.trust.exit_code(result))
    }

    /// The report as a PDF, if one is wanted.
    fn report(&self, bytes: &[u8], answers: &Answers<'_>) -> Result<Vec<u8>, CommandError> {
        if self.report.is_none() {
            return Ok(Vec::new());
        }
        let name = bounded_read::name(&self.certificate);
        let file = Checked { name: &name, bytes };
        let acceptable = self.trust.accepts(Outcome::of(answers));
        let document = report_document::document(file, answers, acceptable, now());
        typeset::render(&document).map_err(|e| CommandError::Refused(e.to_string()))
    }

    /// The result for the certificate or the two certificates, and its text.
    fn result(
        &self,
        bytes: &[u8],
        answers: &Answers<'_>,
        other: Option<&(&Path, Vec<u8>)>,
        options: &VerifyOptions,
    ) -> (Outcome, String) {
        if let Some((path, other)) = other {
            return self.pair((bytes, answers), (path, other), options);
        }
        let text = match self.format {
            Format::Json => format!("{:#}\n", self.json(answers)),
            Format::Text => text(answers),
        };
        (Outcome::of(answers), text)
    }

    /// The answers about two certificates; the result is good if both are and one replaces the other,
    /// sealed by the same signer.
    fn pair(
        &self,
        (first, one): (&[u8], &Answers<'_>),
        (other, second): (&Path, &[u8]),
        options: &VerifyOptions,
    ) -> (Outcome, String) {
        let two = Answers::of(second, options, &OwnEvidence::default());
        let amendment = match (&one.standing, &two.standing) {
            (Some(one), Some(two)) => Amendment::between(one, two, |earlier, later| {
                let pdf = if later == one { first } else { second };
                voucher(&[earlier.key], later.key, pdf).is_some()
            }),
            _ => Amendment::No {
                because: "this is determined only if both seals are unbroken".to_owned(),
            },
        };
        let odd = odd_replacement(&amendment, one, &two);
        let replaces =
            matches!(amendment, Amendment::Replaces { same_key: true, .. }) && odd.is_none();
        let result = Outcome {
            good: one.good() && two.good() && replaces,
            compared: one.genuine() && two.genuine(),
        };
        let sentence = odd.unwrap_or_else(|| amendment.sentence());
        let text = match self.format {
            Format::Json => {
                let value = json!({
                    "acceptable": self.trust.accepts(result),
                    "genuine": result.good && result.compared,
                    "amendment": amendment,
                    "sentence": format!("{sentence}."),
                    "certificates": [self.json(one), self.json(&two)],
                });
                format!("{value:#}\n")
            }
            Format::Text => format!(
                "{}\n\n{}\n{}\n\n{}\n{}",
                terminal::wrap(&format!("{sentence}."), terminal::WIDTH, 0),
                self.certificate.display(),
                text(one),
                other.display(),
                text(&two)
            ),
        };
        (result, text)
    }
}

/// Why a certificate does not replace the one that it names, although the same key sealed both; a sentence
/// without its full stop. The number and digest of another certificate are easily copied by mistake.
fn odd_replacement(amendment: &Amendment, one: &Answers<'_>, two: &Answers<'_>) -> Option<String> {
    let Amendment::Replaces {
        earlier,
        later,
        same_key: true,
    } = amendment
    else {
        return None;
    };
    let (one, two) = (&one.again.as_ref()?.visit, &two.again.as_ref()?.visit);
    let (before, now) = if one.replaces.as_ref().is_some_and(|r| r.number == *earlier) {
        (two, one)
    } else {
        (one, two)
    };
    let circuits =
        |visit: &Visit| -> Vec<String> { visit.circuits.iter().map(|c| c.id.clone()).collect() };
    let (circuits_before, circuits_now) = (circuits(before), circuits(now));
    let why = if before.site.name != now.site.name
        || !circuits_before.iter().any(|id| circuits_now.contains(id))
    {
        "it is about another site or circuit"
    } else if now.date < before.date {
        "its visit was earlier"
    } else {
        return None;
    };
    Some(format!(
        "{later} says that it replaces {earlier}, but {why}: {earlier} still counts, so ask the firm"
    ))
}

/// The result of `verify` or `register`, as far as the exit code depends on it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Outcome {
    /// Nothing speaks against what was examined.
    pub(super) good: bool,
    /// Every key was compared.
    pub(super) compared: bool,
}

impl Outcome {
    fn of(answers: &Answers<'_>) -> Self {
        Self {
            good: answers.good(),
            compared: answers.report.key_compared(),
        }
    }
}

impl TrustArguments {
    /// Whether the exit code is 0.
    fn accepts(&self, result: Outcome) -> bool {
        result.good && (result.compared || self.allow_uncompared)
    }

    pub(super) fn exit_code(&self, result: Outcome) -> ExitCode {
        if self.accepts(result) {
            ExitCode::SUCCESS
        } else if result.good {
            ExitCode::from(NOT_COMPARED)
        } else {
            ExitCode::FAILURE
        }
    }

    /// The firm's files with keys of certificates in these folders.
    pub(super) fn firms(&self, folders: &[PathBuf]) -> Result<Vec<Found>, CommandError> {
        let mut all: Vec<Found> = Vec::new();
        if let Some(path) = &self.firm {
            all.push(lookup::read(path)?);
        }
        for folder in folders {
            let found = lookup::find(folder, None)?;
            let new = found.filter(|f| !all.iter().any(|known| same_file(&known.path, &f.path)));
            all.extend(new);
        }
        Ok(all)
    }

    /// The firm's file that was named.
    pub(super) fn firm_file(&self) -> Option<&Path> {
        self.firm.as_deref()
    }

    /// The pins and the contents of the files with trusted certificates.
    pub(super) fn state(&self, firms: &[Found]) -> String {
        let files = self.trust.iter().map(|file| {
            let bytes = bounded_read::read_bytes(file).unwrap_or_default();
            base16ct::lower::encode_string(&Sha256::digest(&bytes))
        });
        let pins = self.pin.iter().map(Fingerprint::hex);
        let firms = firms.iter().map(|found| {
            let keys = found.firm.technicians.iter().flat_map(|t| &t.keys);
            format!("{} {:?}", found.named, keys.collect::<Vec<_>>())
        });
        pins.chain(["and".to_owned()])
            .chain(files)
            .chain(firms)
            .collect::<Vec<_>>()
            .join(" ")
    }

    /// Path of the list of known signers; `None` if there is no configuration folder.
    pub(super) fn known_path(&self) -> Option<PathBuf> {
        if self.no_known {
            return None;
        }
        self.known
            .clone()
            .or_else(|| known_file::default_path().ok())
    }

    pub(super) fn options(
        &self,
        known: Option<&Path>,
        firms: &[Found],
    ) -> Result<VerifyOptions, CommandError> {
        let mut options = VerifyOptions {
            pins: self.pin.clone(),
            ..VerifyOptions::default()
        };
        for file in &self.trust {
            options.anchors.extend(anchors(file)?);
        }
        if let Some(path) = known {
            let list = KnownSigners::read(path)?;
            for line in list.without_name() {
                terminal::say(&format!(
                    "{}, line {line}: ignored, because it has no name; add one or delete the line",
                    path.display()
                ));
            }
            options.known = Some(list);
        }
        for found in firms {
            if keys::entered(&found.firm, found.named, &mut options) {
                firm::say_used(found);
            }
        }
        Ok(options)
    }
}

/// The result of entering a key in the list of known signers. Failing to write the list does not
/// affect the result.
enum Kept {
    /// It was entered.
    Entered,
    /// It was in the list already, because another run entered it.
    Known,
    /// The name is in the list with another key.
    OtherKey,
    /// The list could not be changed.
    Failed(SealError),
}

impl Kept {
    fn remember(key: &NewKey, path: &Path) -> Self {
        let today = Local::now().date_naive();
        let mut met = Met::Known;
        match KnownSigners::change(path, |list| met = list.meet(key, today)) {
            Err(error) => Kept::Failed(error),
            Ok(_) => match met {
                Met::Entered => Kept::Entered,
                Met::Known | Met::Nameless => Kept::Known,
                Met::OtherKey(_) => Kept::OtherKey,
            },
        }
    }

    /// The message about it, besides the answers.
    fn sentence(&self, path: &Path) -> Option<String> {
        match self {
            Kept::Entered => Some(format!(
                "The key is now known (stored in {}). After you have compared its fingerprint, write \
                 `accepted` instead of `met` in its line.",
                path.display()
            )),
            Kept::Known | Kept::OtherKey => None,
            Kept::Failed(error) => Some(format!(
                "The key could not be stored: {error}. Use another list with --known FILE, or none \
                 with --no-known."
            )),
        }
    }
}

/// The photo of a path in the certificate, as it was taken. The path comes from a stranger, so
/// neither it nor a link on the way may lead out of the folder, and pipes are refused.
fn original(folder: &Path, file: &str) -> Original {
    let folder = match Folder::new(folder) {
        Ok(folder) => folder,
        Err(why) => return Original::Unreadable(CommandError::reading(folder, &why).to_string()),
    };
    match folder.sha256(file) {
        Ok(digest) => Original::Digest(base16ct::lower::encode_string(&digest)),
        Err(ImageError::Missing) => Original::Missing,
        Err(why) => Original::Unreadable(match why {
            ImageError::Outside => "it is outside the folder".to_owned(),
            why => format!("it {why}"),
        }),
    }
}
