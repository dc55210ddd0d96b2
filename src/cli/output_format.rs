//! The output format of the commands that print for people or for programs.

/// Output format of findings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum Format {
    /// Text for people
    Text,
    /// JSON for programs: SI units, stable keys
    Json,
}
