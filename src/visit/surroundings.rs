//! What the visit stage must know of the world around the file: handed in, so that the stage
//! itself needs no clock and no file system.

use chrono::NaiveDate;

/// The world around a visit file.
pub trait Surroundings {
    /// Today, on the reader's calendar; a visit dated later is refused.
    fn today(&self) -> NaiveDate;

    /// Looks at an image named by a relative path that has already been checked to stay inside
    /// the visit's folder as written.
    ///
    /// # Errors
    /// Why the image cannot be used.
    fn image(&self, path: &str) -> Result<ImageFacts, ImageError>;

    /// Whether the certificate's font can print this character.
    fn prints(&self, c: char) -> bool;
}

/// What is known of a usable image.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ImageFacts {
    /// Width in pixels, upright.
    pub width: u32,
    /// Height in pixels, upright.
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
    /// Not of a format that is read.
    #[error("is not a JPEG, PNG, TIFF, WebP or BMP image")]
    UnknownFormat,
    /// Damaged or cut short.
    #[error("is damaged or cut short: {0}")]
    Damaged(String),
    /// Too many pixels.
    #[error("has {pixels} pixels; at most {limit} are taken")]
    TooManyPixels {
        /// Pixels in the header.
        pixels: u64,
        /// The bound.
        limit: u64,
    },
    /// Too large a file.
    #[error("has {bytes} bytes; at most {limit} are taken")]
    TooManyBytes {
        /// Size of the file.
        bytes: u64,
        /// The bound.
        limit: u64,
    },
    /// Whole, but of a kind that cannot be used.
    #[error("cannot be used: {0}")]
    Unsupported(String),
    /// Not the file any more that was looked at first.
    #[error("has changed since it was checked; run the command again")]
    Changed,
}
