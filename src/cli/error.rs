//! Errors of commands: what is printed, and the exit code.

use crate::certify::CertifyError;
use crate::disk::DiskError;
use std::io::ErrorKind;
use std::path::Path;
use std::process::ExitCode;

/// Why a command failed.
#[derive(Debug, thiserror::Error)]
pub(super) enum CommandError {
    /// The input was refused or does not verify.
    #[error("{0}")]
    Refused(String),
    /// Wrong usage.
    #[error("{0}")]
    Usage(String),
    /// The operating system reported an error.
    #[error("{0}")]
    System(String),
    /// Everything has been printed already; only the exit code is left.
    #[error("")]
    Said(u8),
    /// The reader of the output is gone (`warmlug check … | head`); not an error.
    #[error("")]
    ClosedPipe,
    /// The reader of a file written to standard output is gone.
    #[error("standard output was closed before the whole file was written")]
    CutOff,
}

impl CommandError {
    /// A file that could not be read.
    pub(super) fn reading(path: &Path, error: &std::io::Error) -> Self {
        let what = format!("{}: {}", path.display(), plain(error));
        // A wrong path is not a system error.
        match error.kind() {
            ErrorKind::NotFound | ErrorKind::IsADirectory => CommandError::Refused(what),
            _ => CommandError::System(what),
        }
    }

    /// A file that could not be written.
    pub(super) fn writing(path: &Path, error: &std::io::Error) -> Self {
        if error.kind() == ErrorKind::BrokenPipe {
            return CommandError::ClosedPipe;
        }
        CommandError::System(format!(
            "{} can't be written: {}",
            path.display(),
            plain(error)
        ))
    }

    /// Exit code.
    pub(super) const fn code(&self) -> u8 {
        match self {
            CommandError::Refused(_) => 1,
            CommandError::Usage(_) => 2,
            CommandError::System(_) | CommandError::CutOff => 4,
            CommandError::Said(code) => *code,
            CommandError::ClosedPipe => 0,
        }
    }

    /// Prints the failure.
    pub(super) fn say(&self) {
        // A message may repeat a name from somebody else's file, which must not steer the terminal.
        let text: String = self
            .to_string()
            .chars()
            .filter(|c| matches!(c, '\n' | '\t') || !c.is_control())
            .collect();
        if !text.is_empty() {
            super::terminal::say(&format!("warmlug: {text}"));
        }
    }

    /// Prints the failure and returns its exit code.
    pub(super) fn report(self) -> ExitCode {
        self.say();
        ExitCode::from(self.code())
    }
}

impl From<CertifyError> for CommandError {
    fn from(error: CertifyError) -> Self {
        CommandError::Refused(error.to_string())
    }
}

impl From<DiskError> for CommandError {
    fn from(error: DiskError) -> Self {
        match error {
            // A pipe named as the output file.
            DiskError::Write { source, .. } if source.kind() == ErrorKind::BrokenPipe => {
                CommandError::CutOff
            }
            DiskError::Write { path, source } => CommandError::writing(&path, &source),
            DiskError::DiskFull { .. } | DiskError::Permission { .. } => {
                CommandError::System(error.to_string())
            }
            DiskError::Exists { .. } => CommandError::Refused(error.to_string()),
        }
    }
}

/// An input-output error in words, without the operating system's number.
fn plain(error: &std::io::Error) -> String {
    use std::io::ErrorKind as K;
    match error.kind() {
        K::NotFound => "there is no such file".to_owned(),
        K::PermissionDenied => "permission denied; check who owns it".to_owned(),
        K::StorageFull => "the disk is full; nothing was written".to_owned(),
        K::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        K::IsADirectory => "that is a folder, not a file".to_owned(),
        // The error number does not help the user.
        _ => match error.to_string() {
            text if text.ends_with(')') => match text.rsplit_once(" (os error ") {
                Some((what, _)) => what.to_owned(),
                None => text,
            },
            text => text,
        },
    }
}
