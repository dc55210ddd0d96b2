//! Errors of sealing and verifying, worded for the user.

use std::path::PathBuf;

use thiserror::Error;

use crate::disk::error::DiskError;
use crate::pdf::PdfError;

/// Why an identity could not be created or opened, or a PDF not sealed or written.
#[derive(Debug, Error)]
pub enum SealError {
    /// A file can't be read.
    #[error("{} can't be read: {source}", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// The system's error.
        source: std::io::Error,
    },
    /// A file can't be written.
    #[error(transparent)]
    Disk(#[from] DiskError),
    /// A line of the list of known signers cannot be read.
    #[error("{}, line {line}: {reason}", path.display())]
    KnownSigners {
        /// The list.
        path: PathBuf,
        /// The line, counted from one.
        line: usize,
        /// What is wrong with it.
        reason: String,
    },
    /// A file of trusted certificates cannot be used.
    #[error("{} can't be used as a list of trusted certificates: {reason}", path.display())]
    Anchors {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        reason: String,
    },
    /// The user's configuration folder is unknown.
    #[error(
        "your configuration folder can't be found (is HOME set?); name the identity's file with --identity"
    )]
    NoFolder,
    /// Other users can read the key.
    #[error("{} can be read by other users of this computer (permissions {mode:03o}). Make it private with: chmod 600 '{}'", path.display(), path.display())]
    OpenPermissions {
        /// The file.
        path: PathBuf,
        /// Its permission bits.
        mode: u32,
    },
    /// A passphrase file that is too long or not text.
    #[error("{} is not a passphrase file: expected one line of UTF-8 text of at most 4096 bytes", path.display())]
    PassphraseFile {
        /// The file.
        path: PathBuf,
    },
    /// Wrong passphrase for the identity.
    #[error("wrong passphrase for {}. Enter the right one at the prompt, in WARMLUG_PASSPHRASE or with --passphrase-file", path.display())]
    WrongPassphrase {
        /// The identity's file.
        path: PathBuf,
    },
    /// The identity's file is damaged or of an unsupported kind.
    #[error("{} is not an identity that can sign: {reason}", path.display())]
    BadIdentity {
        /// The identity's file.
        path: PathBuf,
        /// What is wrong with it.
        reason: String,
    },
    /// Creating an identity requires a name.
    #[error(
        "an identity needs the inspector's name; write it at `name` under `inspector:`, or use --name"
    )]
    NoName,
    /// The identity's certificate had expired at the time of signing.
    #[error(
        "the identity of {name} was valid until {until} and cannot sign at {at}. Move its file elsewhere, then create a new one with: warmlug identity new --name \"{name}\""
    )]
    Expired {
        /// Whose identity.
        name: String,
        /// Its last day.
        until: String,
        /// The time of signing.
        at: String,
    },
    /// Only a self-signed identity can vouch for its successor.
    #[error(
        "the identity of {name} was issued by an authority; ask that authority for the next one"
    )]
    NotRenewable {
        /// Whose identity.
        name: String,
    },
    /// A renewal must be for the same person.
    #[error(
        "the identity belongs to {old} and can't be renewed for {new}; create one with: warmlug identity new --name \"{new}\""
    )]
    OtherPerson {
        /// Whose identity.
        old: String,
        /// The name in the renewal.
        new: String,
    },
    /// The identity's certificate is not valid yet.
    #[error(
        "the identity of {name} is not valid until {from} and cannot sign at {at}. Check the date of this computer, or --signed-at; if it was wrong when the identity was created, move its file elsewhere and create a new one with: warmlug identity new --name \"{name}\""
    )]
    NotYetValid {
        /// Whose identity.
        name: String,
        /// Start of its validity.
        from: String,
        /// The time of signing.
        at: String,
    },
    /// The identity's certificate was issued for another purpose.
    #[error("{reason}, so {name} cannot sign with it; ask its issuer for one for document signing")]
    OtherPurpose {
        /// Whose identity.
        name: String,
        /// What it is not for.
        reason: String,
    },
    /// A certificate above the identity's own is not valid, so that nobody would accept the signature.
    #[error(
        "{reason}, so nobody would accept what {name} signs with it; ask its issuer for a new one"
    )]
    Chain {
        /// Whose identity.
        name: String,
        /// What is wrong with the chain of its certificates.
        reason: String,
    },
    /// The clock shows a date that no certificate can contain.
    #[error(
        "the date of this computer is {at}, which can't be right; set the clock and run the command again"
    )]
    Clock {
        /// The date it shows.
        at: String,
    },
    /// The key could not sign, which is a defect of the program or the computer.
    #[error("the key could not be used: {0}. Please report this")]
    Key(String),
    /// No random numbers for a new key.
    #[error("the system returned no random numbers, so no key can be created: {0}")]
    Random(String),
    /// No time-stamp could be obtained, or the reply is not a valid one.
    #[error("no time-stamp: {0}")]
    TimeStamp(String),
    /// The signature does not fit into the space reserved for it.
    #[error("the signature needs {needed} bytes, but only {reserved} were reserved for it")]
    TooLarge {
        /// Bytes needed.
        needed: usize,
        /// Bytes reserved.
        reserved: usize,
    },
    /// The PDF to be sealed can't be read.
    #[error(transparent)]
    Pdf(#[from] PdfError),
    /// The PDF cannot be sealed.
    #[error("the PDF can't be sealed: {0}")]
    Unfit(String),
    /// The attachments of a signed PDF can't be read.
    #[error("the attachments can't be read: {0}")]
    Attachment(String),
    /// The pages of a signed PDF are written in a way that no certificate uses.
    #[error("the text on the pages can't be read: {0}")]
    Pages(String),
}
