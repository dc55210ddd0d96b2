//! Choices that are written as words in files.

/// A choice among words.
pub trait Word: Copy + PartialEq + 'static {
    /// Each word with its choice, in the order in which messages list them. A choice can have
    /// several spellings; the first is the one written.
    const TABLE: &'static [(&'static str, Self)];

    /// The word of this choice.
    fn word(self) -> &'static str {
        Self::TABLE
            .iter()
            .find(|(_, v)| *v == self)
            .map_or("", |(w, _)| w)
    }

    /// The choice of a word.
    fn of(word: &str) -> Option<Self> {
        Self::TABLE
            .iter()
            .find(|(w, _)| *w == word)
            .map(|(_, v)| *v)
    }

    /// Each choice once, with the word that is written for it.
    fn choices() -> impl Iterator<Item = (&'static str, Self)> {
        Self::TABLE
            .iter()
            .copied()
            .filter(|(word, choice)| choice.word() == *word)
    }

    /// All words, other spellings included.
    fn words() -> impl Iterator<Item = &'static str> {
        Self::TABLE.iter().map(|(w, _)| *w)
    }
}

/// Implements [`Word`] for an enum that is declared elsewhere.
macro_rules! words {
    ($type:ty: $($word:literal => $value:expr),+ $(,)?) => {
        impl $crate::vocabulary::word::Word for $type {
            const TABLE: &'static [(&'static str, Self)] = &[$(($word, $value)),+];
        }
    };
}
pub(crate) use words;

/// Declares an enum together with the words of its variants: `Dust = "dust"`, or with a second
/// spelling `Discoloured = "discoloured" | "discolored"`.
macro_rules! vocabulary {
    (
        $(#[$meta:meta])*
        pub enum $name:ident {
            $($(#[$doc:meta])* $variant:ident = $word:literal $(| $also:literal)*),+ $(,)?
        }
    ) => {
        $(#[$meta])*
        pub enum $name {
            $($(#[$doc])* $variant),+
        }

        impl $name {
            /// All of them, in the order of their declaration.
            pub const ALL: [$name; [$(stringify!($variant)),+].len()] = [$($name::$variant),+];

            /// The word used in files.
            pub const fn word(self) -> &'static str {
                match self {
                    $($name::$variant => $word),+
                }
            }
        }

        impl $crate::vocabulary::word::Word for $name {
            const TABLE: &'static [(&'static str, Self)] = &[
                $(($word, $name::$variant), $(($also, $name::$variant),)*)+
            ];

            fn word(self) -> &'static str {
                $name::word(self)
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.word())
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(self.word())
            }
        }

        /// Compares with a word from a file.
        impl PartialEq<&str> for $name {
            fn eq(&self, other: &&str) -> bool {
                self.word() == *other
            }
        }
    };
}
pub(crate) use vocabulary;
