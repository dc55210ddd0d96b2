//! The time of signing: as told on the command line, or now.

use super::output;
use chrono::{DateTime, FixedOffset, Local, SubsecRound};

/// `--signed-at`.
#[derive(Debug, clap::Args)]
pub(super) struct SigningTime {
    /// Time of signing with offset, in place of now (2026-10-06T12:30:00-04:00)
    #[arg(long, value_name = "TIME", value_parser = parse)]
    signed_at: Option<DateTime<FixedOffset>>,
}

impl SigningTime {
    /// In whole seconds, as it is written.
    pub(super) fn get(&self) -> DateTime<FixedOffset> {
        self.signed_at
            .unwrap_or_else(|| Local::now().fixed_offset().trunc_subsecs(0))
    }

    /// Warns of a time that has not come yet: signing can't be undone, and whoever verifies is
    /// warned too.
    pub(super) fn warn(&self) {
        if let Some(at) = self.signed_at.filter(|at| *at > Local::now()) {
            output::say(&format!(
                "warning: --signed-at {} lies in the future; whoever verifies before then is told \
                 that a clock was wrong",
                at.format("%Y-%m-%dT%H:%M:%S%:z")
            ));
        }
    }
}

/// A time on the command line.
pub(super) fn parse(text: &str) -> Result<DateTime<FixedOffset>, String> {
    let at = super::day::has_whole_year(text).then(|| text.parse().ok());
    at.flatten().ok_or_else(|| {
        "write a date, a time and the offset from UTC: 2026-10-06T12:30:00-04:00, with Z in place \
         of the offset for UTC itself"
            .to_owned()
    })
}
