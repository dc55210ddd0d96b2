//! What the visit stage needs to know about the world outside the file: passed in, so that the
//! stage itself needs no clock and no file system.

use chrono::NaiveDate;

/// The world outside a visit file.
pub trait Surroundings {
    /// Today, on the reader's calendar; a visit with a later date is rejected.
    fn today(&self) -> NaiveDate;

    /// Examines an image named by a relative path, whose spelling has already been checked to stay
    /// inside the visit's folder.
    ///
    /// # Errors
    /// Why the image cannot be used.
    fn image(&self, path: &str) -> Result<ImageFacts, ImageError>;

    /// Whether the certificate's font contains this character.
    fn prints(&self, c: char) -> bool;
}

/// Properties of a usable image.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ImageFacts {
    /// Width in pixels, after applying the image's orientation.
    pub width: u32,
    /// Height in pixels, after applying the image's orientation.
    pub height: u32,
}

/// Why an image cannot be used. The message completes "photos/panel.jpg …".
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ImageError {
    /// No such file.
    #[error("does not exist")]
    Missing,
    /// Leads outside the visit's folder, for example through a symbolic link.
    #[error("lies outside the visit's folder")]
    Outside,
    /// Cannot be read.
    #[error("cannot be read: {0}")]
    Unreadable(String),
    /// Not a supported format.
    #[error("is not a JPEG, PNG, TIFF, WebP or BMP image")]
    UnknownFormat,
    /// Damaged or truncated.
    #[error("is damaged or cut short: {0}")]
    Damaged(String),
    /// Too many pixels.
    #[error("has {pixels} pixels; at most {limit} are allowed")]
    TooManyPixels {
        /// Number of pixels according to the header.
        pixels: u64,
        /// The limit.
        limit: u64,
    },
    /// Too large a file.
    #[error("has {bytes} bytes; at most {limit} are allowed")]
    TooManyBytes {
        /// Size of the file.
        bytes: u64,
        /// The limit.
        limit: u64,
    },
    /// Intact, but of a kind that cannot be used.
    #[error("cannot be used: {0}")]
    Unsupported(String),
    /// No longer the file that was examined first.
    #[error("has changed since it was checked; run the command again")]
    Changed,
}
