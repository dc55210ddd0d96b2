//! Errors in a firm's file or list of numbers, worded for the person who maintains them.

use crate::disk::DiskError;
use crate::visit::Diagnostics;
use std::path::PathBuf;
use thiserror::Error;

/// Why the firm's file or its list of numbers can't be used.
#[derive(Debug, Error)]
pub enum FirmError {
    /// A file can't be read.
    #[error("{}: {source}", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// Why not.
        source: std::io::Error,
    },
    /// The firm's file has problems.
    #[error(transparent)]
    Problems(#[from] Diagnostics),
    /// The visit names a firm file that does not exist.
    #[error(
        "{}: the visit names this firm file, and it does not exist; correct `firm:` under `visit:`, \
         or delete that key",
        path.display()
    )]
    NoSuchFile {
        /// The file named.
        path: PathBuf,
    },
    /// The visit refers to a firm file, and there is none.
    #[error(
        "{what} refers to a firm file, but there is no firm.yaml in {} or above it, nor in the \
         configuration folder; write {what} out in full, or name the file with `firm:` under `visit:`",
        folder.display()
    )]
    NoFile {
        /// The part of the visit, such as `instruments: gun-2`.
        what: String,
        /// The visit's folder.
        folder: PathBuf,
    },
    /// The firm has nobody of this name.
    #[error("`inspector: {name}`: the firm file has no technician of this name; it has {known}")]
    NoTechnician {
        /// The name.
        name: String,
        /// The names that it has.
        known: String,
    },
    /// The firm has no such instrument.
    #[error("`instruments: {id}`: the firm file has no instrument with this id; it has {known}")]
    NoInstrument {
        /// The id.
        id: String,
        /// The ids that it has.
        known: String,
    },
    /// The state of an instrument depends on the day, and the visit has none.
    #[error(
        "the visit needs `date:` under `visit:` before instruments of the firm file can be filled in"
    )]
    NoDate,
    /// No range belongs to this device.
    #[error(
        "the firm file has numbers for {known}, and this device is {}; name it with --device, which \
         is remembered, or add its range to the firm file",
        device.as_ref().map_or("not named yet".to_owned(), |d| format!("`{d}`"))
    )]
    NoRange {
        /// The device, if it has a name.
        device: Option<String>,
        /// The devices that have numbers.
        known: String,
    },
    /// All numbers of the range have been given.
    #[error(
        "all numbers of `{device}` for {year} have been given ({first} to {last}); give it a larger \
         range in the firm file"
    )]
    Full {
        /// The device.
        device: String,
        /// The year.
        year: i32,
        /// First number of the range.
        first: u16,
        /// Last number of the range.
        last: u16,
    },
    /// Another visit has this number.
    #[error(
        "the number {number} was given to {site} on {date}; omit --number to get the next free one"
    )]
    Given {
        /// The number.
        number: String,
        /// The site that it was given to.
        site: String,
        /// The day.
        date: String,
    },
    /// The list of numbers has a line that this program did not write.
    #[error(
        "{}: line {line} is not a line of the list of numbers; correct it or delete it",
        path.display()
    )]
    Ledger {
        /// The list.
        path: PathBuf,
        /// The line, starting at 1.
        line: usize,
    },
    /// The list of numbers can't be written.
    #[error(transparent)]
    Disk(#[from] DiskError),
}
