//! Problems of a wording.

use crate::yaml::Diagnostics;

/// Why a wording cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WordingError {
    /// Not one of the languages compiled in.
    #[error("no wording for the language “{asked}” is built in; write one of: {built_in}")]
    UnknownLanguage {
        /// The language asked for.
        asked: String,
        /// The languages that are built in.
        built_in: String,
    },
    /// The file is not YAML of the expected form, or its keys or placeholders are not those that
    /// the program uses.
    #[error("the wording does not fit this version:\n{0}")]
    DoesNotFit(Diagnostics),
}

/// One thing that is wrong with a wording.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WordingKeyError {
    /// The program needs it.
    #[error("“{0}” is missing")]
    Missing(String),
    /// Nothing uses it.
    #[error("“{0}” is not used")]
    Unused(String),
    /// A placeholder that the program does not fill.
    #[error("“{key}” has a place {{{place}}} that is never filled; it may use {may}")]
    UnknownPlace {
        /// Dotted key.
        key: String,
        /// Name between the braces.
        place: String,
        /// Names that can be used there.
        may: String,
    },
    /// A brace without its partner.
    #[error("“{0}” has a brace without its partner")]
    OpenPlace(String),
    /// No characters.
    #[error("“{0}” is empty")]
    Empty(String),
}

impl WordingKeyError {
    /// The dotted key that it is about.
    pub(super) fn key(&self) -> &str {
        match self {
            Self::Missing(key) | Self::Unused(key) | Self::OpenPlace(key) | Self::Empty(key) => key,
            Self::UnknownPlace { key, .. } => key,
        }
    }

    /// How to correct it.
    pub(super) fn help(&self) -> &'static str {
        match self {
            Self::Missing(_) => "add it with a translation of the English string",
            Self::Unused(_) => "correct its spelling, or delete it",
            Self::UnknownPlace { .. } => "use only the places that are filled there",
            Self::OpenPlace(_) => "write each place as {name}",
            Self::Empty(_) => "write the string",
        }
    }
}
