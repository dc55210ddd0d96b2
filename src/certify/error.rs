//! Errors of making a certificate, worded for the user.

use crate::compose::{ComposeError, WordingError};
use crate::typeset::TypesetError;
use crate::visit::ImageError;
use crate::yaml::Diagnostics;
use thiserror::Error;

/// Why a certificate could not be made.
#[derive(Debug, Error)]
pub enum CertifyError {
    /// An image can't be used.
    #[error("{path} {problem}")]
    Image {
        /// Its path in the visit file.
        path: String,
        /// What is wrong with it.
        problem: ImageError,
    },
    /// The words of the language can't be used.
    #[error(transparent)]
    Wording(#[from] WordingError),
    /// The visit can't be put into words.
    #[error(transparent)]
    Compose(#[from] ComposeError),
    /// The pages can't be drawn.
    #[error(transparent)]
    Typeset(#[from] TypesetError),
    /// An earlier visit can't be read with a built-in rule set.
    #[error(transparent)]
    Earlier(#[from] Diagnostics),
}
