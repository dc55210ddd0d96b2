//! What can go wrong in sealing, worded for whoever stands in front of it.

use std::path::PathBuf;

use thiserror::Error;

use crate::disk::error::DiskError;
use crate::pdf::PdfError;

/// Why an identity could not be made or opened, or a PDF not sealed or written.
#[derive(Debug, Error)]
pub enum SealError {
    /// A file can't be read.
    #[error("{} can't be read: {source}", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A file can't be written.
    #[error(transparent)]
    Disk(#[from] DiskError),
    /// A line of the list of known signers is not understood.
    #[error("{}, line {line}: {reason}", path.display())]
    KnownSigners {
        /// The list.
        path: PathBuf,
        /// The line, counted from one.
        line: usize,
        /// What is wrong with it.
        reason: String,
    },
    /// A file of trusted certificates is of no use.
    #[error("{} can't be trusted: {reason}", path.display())]
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
    /// Others may read the key.
    #[error("{} may be read by others on this computer (permissions {mode:03o}). Close it with: chmod 600 '{}'", path.display(), path.display())]
    OpenPermissions {
        /// The file.
        path: PathBuf,
        /// Its permission bits.
        mode: u32,
    },
    /// A passphrase file of absurd length, or of something other than text.
    #[error("{} is no passphrase file: it holds one line of UTF-8 text of at most 4096 bytes", path.display())]
    PassphraseFile {
        /// The file.
        path: PathBuf,
    },
    /// The passphrase does not open the identity.
    #[error("the passphrase does not open {}. Give the right one at the prompt, in WARMLUG_PASSPHRASE or with --passphrase-file", path.display())]
    WrongPassphrase {
        /// The identity's file.
        path: PathBuf,
    },
    /// The identity's file is damaged or of another kind.
    #[error("{} is no identity that can sign: {reason}", path.display())]
    BadIdentity {
        /// The identity's file.
        path: PathBuf,
        /// What was found.
        reason: String,
    },
    /// A name is needed to make an identity.
    #[error(
        "an identity needs the inspector's name; write it under inspector: name: or give --name"
    )]
    NoName,
    /// The identity's certificate has run out, or had at the time of signing.
    #[error(
        "the identity of {name} was valid until {until}; signing as of {at} is refused. Move its file elsewhere, then make a new one with: warmlug identity new --name \"{name}\""
    )]
    Expired {
        /// Whose identity.
        name: String,
        /// Its last day.
        until: String,
        /// The time of signing.
        at: String,
    },
    /// Only identities that signed themselves can vouch for their successors.
    #[error("the identity of {name} was issued by somebody else, who issues the next one too")]
    NotRenewable {
        /// Whose identity.
        name: String,
    },
    /// A renewal is for the same person.
    #[error(
        "the identity is {old}'s and can't be renewed for {new}; make one with: warmlug identity new --name \"{new}\""
    )]
    OtherPerson {
        /// Whose identity.
        old: String,
        /// For whom it was to be renewed.
        new: String,
    },
    /// The identity's certificate is not valid yet.
    #[error(
        "the identity of {name} is valid from {from} on; signing as of {at} is refused. Check the date of this computer, or --signed-at; if it was wrong when the identity was made, move its file elsewhere and make a new one with: warmlug identity new --name \"{name}\""
    )]
    NotYetValid {
        /// Whose identity.
        name: String,
        /// Its first moment.
        from: String,
        /// The time of signing.
        at: String,
    },
    /// The clock tells a day that no certificate can hold.
    #[error(
        "the date of this computer is {at}, which can't be right; set its clock and run the command again"
    )]
    Clock {
        /// The day it tells.
        at: String,
    },
    /// The key could not sign; this is a fault of the program or the machine.
    #[error("the key could not be used: {0}. Please report this")]
    Key(String),
    /// No randomness to make a key from.
    #[error("the system gives no random numbers, so no key can be made: {0}")]
    Random(String),
    /// No time-stamp could be had, or what came is none.
    #[error("no time-stamp: {0}")]
    TimeStamp(String),
    /// The signature does not fit the space kept for it.
    #[error("the signature takes {needed} bytes, but only {reserved} were kept for it")]
    TooLarge {
        /// Bytes needed.
        needed: usize,
        /// Bytes kept.
        reserved: usize,
    },
    /// The PDF to be sealed can't be read.
    #[error(transparent)]
    Pdf(#[from] PdfError),
    /// The PDF to be sealed is not fit for it.
    #[error("the PDF can't be sealed: {0}")]
    Unfit(String),
    /// Something in a signed PDF that should be there can't be read.
    #[error("the attachments can't be read: {0}")]
    Attachment(String),
    /// The pages of a signed PDF are written as no certificate's are.
    #[error("the words on the pages can't be read: {0}")]
    Pages(String),
}
