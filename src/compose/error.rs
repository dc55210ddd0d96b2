//! Why no certificate can be composed.

use super::wording::WordingError;

/// Why no certificate can be composed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ComposeError {
    /// The caller prepared other photos than the visit names.
    #[error(
        "the visit names {named} photos, but {prepared} were prepared; this is a bug in warmlug; \
         please report it"
    )]
    Photos {
        /// Photos in the visit.
        named: usize,
        /// Photos handed in.
        prepared: usize,
    },
    /// A language in which the result page is to be printed as well is not built in.
    #[error(transparent)]
    Language(#[from] WordingError),
    /// Neither a signature nor a draft.
    #[error(
        "a certificate is either signed or a draft; this is a bug in warmlug; please report it"
    )]
    NeitherSignedNorDraft,
    /// The code of the check line could not be made.
    #[error(
        "the check line cannot be written as a code ({0}); this is a bug in warmlug; please \
         report it"
    )]
    Code(String),
    /// The findings could not be written as JSON.
    #[error(
        "the findings cannot be written as JSON ({0}); this is a bug in warmlug; please report it"
    )]
    Json(String),
}
