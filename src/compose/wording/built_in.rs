//! The wordings compiled into the program: one text per language and a table of offsets into it.
//! Thousands of separate strings would need a relocation each at every start of the program, and
//! reading the YAML would take a millisecond per language.

use super::error::WordingError;
use super::file::{Strings, places};
use super::language::Wording;
use std::borrow::Cow;

/// Generates [`BUILT_IN`] from languages with their keys and strings, each sorted.
macro_rules! wordings {
    ($($language:literal { $($key:literal $string:literal)* })*) => {
        /// Every file under `templates/wording/`, sorted by language.
        pub(super) static BUILT_IN: &[Wording] = &[$(Wording {
            language: Cow::Borrowed($language),
            strings: Strings {
                text: Cow::Borrowed(concat!($($key, $string),*)),
                places: {
                    const LENGTHS: &[(usize, usize)] = &[$(($key.len(), $string.len())),*];
                    static PLACES: [[u32; 3]; LENGTHS.len()] = places(LENGTHS);
                    Cow::Borrowed(&PLACES)
                },
            },
        }),*];
    };
}

include!("../../../templates/wording/built_in.rs");

impl Wording {
    /// Languages compiled in.
    pub fn languages() -> impl Iterator<Item = &'static str> {
        BUILT_IN.iter().map(|w| w.language())
    }

    /// A wording compiled into the program.
    ///
    /// # Errors
    /// When the language is not built in.
    pub fn built_in(language: &str) -> Result<&'static Wording, WordingError> {
        BUILT_IN
            .iter()
            .find(|w| w.language == language)
            .ok_or_else(|| WordingError::UnknownLanguage {
                asked: language.to_owned(),
                built_in: Self::languages().collect::<Vec<_>>().join(", "),
            })
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)] // tests may panic
mod tests {
    use super::super::file;
    use crate::generated;
    use crate::yaml::{Problems, Source};
    use std::fmt::Write;

    #[test]
    fn compiled_in_wordings_are_current() {
        let mut made = String::from(generated::HEAD);
        made.push_str("wordings! {\n");
        for (language, text) in generated::yaml_files("templates/wording") {
            let (source, mut problems) = (Source::new(&text), Problems::default());
            let entries = file::read(&source, &mut problems);
            assert!(
                problems.is_empty(),
                "{}",
                problems.finish(&language, &source)
            );
            writeln!(made, "{language:?} {{").unwrap();
            for (key, string, _) in entries {
                writeln!(made, "{key:?} {string:?}").unwrap();
            }
            made.push_str("}\n");
        }
        made.push_str("}\n");
        generated::assert_current("templates/wording/built_in.rs", &made);
    }
}
