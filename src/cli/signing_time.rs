//! The time of signing: from the command line, or now.

use super::terminal;
use chrono::{DateTime, FixedOffset, Local, SubsecRound};

/// `--signed-at`.
#[derive(Debug, Clone, clap::Args)]
pub(super) struct SigningTime {
    /// Time of signing, with offset from UTC (2026-10-06T12:30:00-04:00) [default: now]
    #[arg(long, value_name = "TIME", value_parser = parse)]
    signed_at: Option<DateTime<FixedOffset>>,
}

impl SigningTime {
    /// The time in whole seconds, the precision in the signature.
    pub(super) fn get(&self) -> DateTime<FixedOffset> {
        self.signed_at
            .unwrap_or_else(|| Local::now().fixed_offset().trunc_subsecs(0))
    }

    /// Warns about a time in the future: a signature cannot be undone, and `verify` warns too.
    pub(super) fn warn(&self) {
        if let Some(at) = self.signed_at.filter(|at| *at > Local::now()) {
            terminal::say(&format!(
                "warning: --signed-at {} is in the future; until then, `warmlug verify` reports \
                 that a clock was wrong",
                at.format("%Y-%m-%dT%H:%M:%S%:z")
            ));
        }
    }
}

/// Parses a time on the command line.
pub(super) fn parse(text: &str) -> Result<DateTime<FixedOffset>, String> {
    let at = super::day::has_whole_year(text).then(|| text.parse().ok());
    at.flatten().ok_or_else(|| {
        "write a date, a time and the offset from UTC, for example 2026-10-06T12:30:00-04:00, or Z \
         instead of the offset for UTC"
            .to_owned()
    })
}
