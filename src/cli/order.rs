//! `warmlug order`: writes what a certificate asks for, for whoever repairs and for a quote.

use super::bounded_read::{self, is_stream};
use super::error::CommandError;
use super::firm;
use super::folders::folder_of;
use super::output;
use super::signing_time;
use super::target;
use super::terminal;
use super::verify::TrustArguments;
use crate::compose::jobs::Job;
use crate::compose::repair_order::repair_order;
use crate::firm::lookup::{self, Found};
use crate::orders::from_certificate::Certified;
use crate::orders::lines;
use crate::record::answers::Answers;
use crate::record::contents::OwnEvidence;
use crate::typeset;
use chrono::{DateTime, FixedOffset, Local, SubsecRound};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Write the repair order of a certificate: what has to be done at which connection
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug order certificate.pdf                       writes order.pdf next to it
  warmlug order certificate.pdf -o - | lp             prints it
  warmlug order certificate.pdf --csv quote.csv       also writes lines for a quote or an invoice
  warmlug new --from certificate.pdf --reason after-repair -o re-test/visit.yaml
                                                      afterwards, the visit that measures it again

The order lists each finding of the certificate once, worst first: what to do, what the inspector wrote \
about it, the connections with their torques, the photos on which they are marked, whether the circuit must stay off, and boxes for \
what was done. What was repaired on the visit and no longer shows is not in it. It is a tagged PDF, \
not signed, and names the certificate by its SHA-256.

The lines (CSV, RFC 4180) have times and prices if the firm file has a table of them (`prices:`, see \
`warmlug schema --firm`); what has no entry there stays empty.

The certificate is verified first, and refused unless nothing speaks against it. If nobody compared \
its key, the order says so.")]
pub(super) struct Order {
    /// Certificate; `-` reads standard input
    certificate: PathBuf,
    /// File to write; `-` means standard output [default: order.pdf next to the certificate]
    #[arg(short, long)]
    output: Option<PathBuf>,
    /// Also write the jobs as lines of a quote or an invoice; `-` means standard output
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Time of creation, with offset from UTC (2026-10-06T12:30:00-04:00) [default: now]
    #[arg(long, value_name = "TIME", value_parser = signing_time::parse)]
    made_at: Option<DateTime<FixedOffset>>,
    #[command(flatten)]
    trust: TrustArguments,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

impl Order {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let target = self
            .output
            .clone()
            .unwrap_or_else(|| match is_stream(&self.certificate) {
                true => PathBuf::from("-"),
                false => self.certificate.with_file_name("order.pdf"),
            });
        self.targets(&target)?;
        let known = self.trust.known_path();
        let firms = self.trust.firms(&[folder_of(&self.certificate)])?;
        let options = self.trust.options(known.as_deref(), &firms)?;
        let bytes = bounded_read::read_certificate(&self.certificate)?;
        let answers = Answers::of(&bytes, &options, &OwnEvidence::default());
        let certified = Certified::of(&answers, &bytes).map_err(|why| {
            CommandError::Refused(format!(
                "{}: {why}\nNo order was written.",
                self.certificate.display()
            ))
        })?;
        let speaker = certified.speaker();
        let jobs = speaker.jobs();
        let number = &speaker.visit.number;
        if jobs.is_empty() {
            terminal::say(&format!(
                "{}: certificate {number} asks for nothing to be done, so there is no order",
                self.certificate.display()
            ));
            return Ok(ExitCode::SUCCESS);
        }
        if !certified.origin.compared {
            terminal::say(&format!(
                "{}: nobody has compared the key of this certificate with anything yet; the order says \
                 so (see `warmlug verify --help`)",
                self.certificate.display()
            ));
        }
        if let Err(why) = &certified.origin.photos {
            terminal::say(&format!(
                "{}: the order has no photos: {why}",
                self.certificate.display()
            ));
        }
        let made_at = self
            .made_at
            .unwrap_or_else(|| Local::now().fixed_offset().trunc_subsecs(0));
        let pdf = {
            let document = repair_order(&speaker, &jobs, certified.origin.clone(), made_at);
            let plain = typeset::Options {
                object_streams: false,
                ..typeset::Options::default()
            };
            typeset::render_with(&document, plain)
                .map_err(|e| CommandError::Refused(e.to_string()))?
        };
        let csv = match &self.csv {
            Some(file) => Some((file, self.lines(&certified, &jobs)?)),
            None => None,
        };
        self.put(&target, &pdf)?;
        if let Some((file, csv)) = csv {
            self.put(file, &csv)?;
        }
        Ok(ExitCode::SUCCESS)
    }

    /// Refuses outputs that cannot be written, or would overwrite the certificate or each other.
    fn targets(&self, target: &Path) -> Result<(), CommandError> {
        let to_stdout = |file: &Path| file.as_os_str() == "-";
        for file in [Some(target), self.csv.as_deref()].into_iter().flatten() {
            if !to_stdout(file) {
                target::spare(file, [&self.certificate])?;
                target::free(file, self.force)?;
            }
        }
        let Some(csv) = &self.csv else { return Ok(()) };
        match (to_stdout(target), to_stdout(csv)) {
            (true, true) => Err(CommandError::Usage(
                "only one of the order and its lines can go to standard output; name a file for the \
                 other with -o or --csv"
                    .to_owned(),
            )),
            (false, false) if target::same_target(target, csv) => {
                Err(CommandError::Usage(format!(
                    "{}: two outputs cannot go to the same file; give each its own name",
                    csv.display()
                )))
            }
            _ => Ok(()),
        }
    }

    /// The lines for a quote, with the prices of the firm's file if there is one.
    fn lines(&self, certified: &Certified<'_>, jobs: &[Job<'_>]) -> Result<Vec<u8>, CommandError> {
        let found = match self.trust.firm_file() {
            Some(path) => Some(lookup::read(path)?),
            None => lookup::find(&folder_of(&self.certificate), None)?,
        };
        let prices = found.as_ref().and_then(|f: &Found| f.firm.prices.as_ref());
        if let (Some(found), Some(_)) = (&found, prices) {
            firm::say_used(found);
        }
        lines::csv(certified, jobs, prices).map_err(|e| CommandError::System(e.to_string()))
    }

    fn put(&self, file: &Path, bytes: &[u8]) -> Result<(), CommandError> {
        if file.as_os_str() == "-" {
            return output::print_file(bytes);
        }
        output::write(file, bytes, self.force)?;
        terminal::say(&format!("{}: written", file.display()));
        Ok(())
    }
}
