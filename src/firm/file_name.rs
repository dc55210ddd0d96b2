//! Names of certificates by a pattern such as `{site}/{date} {number}.pdf`.
//!
//! What a visit says may come from anybody and is put into the name of a file, so that every value is
//! made harmless on every file system: it can neither begin a folder nor leave one, and the name is one
//! that Windows, macOS and Linux all accept. Where a name would be too long, its longest value is
//! shortened, so that a number at its end is kept.

use crate::assess::Assessment;
use crate::nearest;
use crate::seal::plain::printable;
use crate::visit::Visit;
use std::path::PathBuf;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// Longest name of a file or folder, in bytes of UTF-8: `NAME_MAX` of Linux. NTFS and APFS allow 255
/// units of UTF-16 or characters, which is never less.
pub const MAX_BYTES: usize = 255;

/// Most folders and characters of a pattern. Our choice.
const MAX_FOLDERS: usize = 8;
const MAX_PATTERN: usize = 240;

/// How the name of a certificate ends.
const ENDING: &str = ".pdf";

/// Names that Windows keeps for devices, with any ending ("Naming Files, Paths, and Namespaces",
/// Microsoft Learn); `COM` and `LPT` are followed by a digit.
const DEVICES: [&str; 6] = ["CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"];
const NUMBERED_DEVICES: [&str; 2] = ["COM", "LPT"];

macro_rules! values {
    ($($(#[doc = $about:literal])+ $key:ident = $word:literal;)*) => {
        /// What a name can contain of a visit.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum Value {
            $($(#[doc = $about])+ $key,)*
        }

        impl Value {
            /// All of them.
            pub const ALL: &[Value] = &[$(Value::$key),*];

            /// Its word in a pattern.
            pub const fn word(self) -> &'static str {
                match self {
                    $(Value::$key => $word,)*
                }
            }
        }
    };
}

values! {
    /// Name of the site.
    Site = "site";
    /// Day of the visit, 2026-10-06.
    Date = "date";
    /// Its year.
    Year = "year";
    /// Certificate number.
    Number = "number";
    /// Name of the client.
    Client = "client";
    /// Name of the circuit; of several, how many there are.
    Circuit = "circuit";
    /// Outcome, `incomplete` instead of a satisfactory one if the inspection was not complete.
    Outcome = "outcome";
    /// Reason for the visit.
    Reason = "reason";
    /// Name of the inspector.
    Inspector = "inspector";
    /// Name of the firm; of the inspector where there is none.
    Firm = "firm";
}

impl Value {
    /// What a visit has for it.
    pub fn of(self, visit: &Visit, assessment: &Assessment) -> String {
        let inspector = &visit.inspector;
        match self {
            Value::Site => visit.site.name.clone(),
            Value::Date => visit.date.to_string(),
            Value::Year => visit.date.format("%Y").to_string(),
            Value::Number => visit.number.clone(),
            Value::Client => visit.client.name.clone(),
            Value::Circuit => match &visit.circuits[..] {
                [only] => only.title().to_owned(),
                several => format!("{} circuits", several.len()),
            },
            Value::Outcome => assessment.outcome_word().to_owned(),
            Value::Reason => visit.reason.word().to_owned(),
            Value::Inspector => inspector.name.clone(),
            Value::Firm => inspector.firm.as_ref().unwrap_or(&inspector.name).clone(),
        }
    }
}

/// Why a pattern is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PatternError {
    /// It names no folder to be in, but one of its own.
    #[error(
        "`{0}` is not below the folder of certificates; begin with a name, without `/` before it"
    )]
    Absolute(String),
    /// A folder without a name, or one that leads out.
    #[error("`{0}` is no name of a folder or file here")]
    NoName(String),
    /// The mark between folders on Windows.
    #[error("write `/` between folders, not `\\`")]
    Backslash,
    /// A brace that is not around a key.
    #[error("a brace that belongs to no key; keys are written as {{site}}")]
    Brace,
    /// A word that is no key.
    #[error("`{word}` is no key; the keys are {}{}", keys(), nearest(.word))]
    Unknown {
        /// The word.
        word: String,
    },
    /// Every visit would have the same name.
    #[error("every certificate would have this name; put {{number}} into it")]
    Constant,
    /// Not the name of a PDF.
    #[error("it has to end with {ENDING}, as certificates are PDF files")]
    Ending,
    /// Longer than any name needs.
    #[error("it is too long; {MAX_PATTERN} characters and {MAX_FOLDERS} folders are enough")]
    TooLong,
}

/// All keys as they are written in a pattern.
fn keys() -> String {
    let all = Value::ALL
        .iter()
        .map(|value| format!("{{{}}}", value.word()));
    all.collect::<Vec<_>>().join(", ")
}

fn nearest(word: &str) -> String {
    let words = Value::ALL.iter().map(|value| value.word());
    let near = nearest::nearest(word, words, &mut Value::ALL.len());
    near.first()
        .map_or_else(String::new, |near| format!("; did you mean {{{near}}}?"))
}

/// A part of a name.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Part {
    /// As it is written.
    Text(String),
    /// What the visit has for it.
    Value(Value),
}

/// A pattern for the names of certificates.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pattern {
    /// As it was written.
    source: String,
    /// The folders from the top, and the file.
    names: Vec<Vec<Part>>,
}

impl Pattern {
    /// Reads a pattern.
    ///
    /// # Errors
    /// See [`PatternError`].
    pub fn parse(source: &str) -> Result<Self, PatternError> {
        let source: String = source.nfc().collect();
        if source.contains('\\') {
            return Err(PatternError::Backslash);
        }
        if source.starts_with('/') || source.starts_with('~') || is_drive(&source) {
            return Err(PatternError::Absolute(source));
        }
        let names: Vec<&str> = source.split('/').collect();
        if names.len() > MAX_FOLDERS || source.chars().count() > MAX_PATTERN {
            return Err(PatternError::TooLong);
        }
        let names = names
            .into_iter()
            .map(parts)
            .collect::<Result<Vec<_>, _>>()?;
        let values = names.iter().flatten();
        if !values.clone().any(|part| matches!(part, Part::Value(_))) {
            return Err(PatternError::Constant);
        }
        match names.last().and_then(|name| name.last()) {
            Some(Part::Text(text)) if text.to_ascii_lowercase().ends_with(ENDING) => {}
            _ => return Err(PatternError::Ending),
        }
        Ok(Self { source, names })
    }

    /// As it was written.
    pub fn source(&self) -> &str {
        &self.source
    }

    /// The path of a certificate below the folder of certificates, with these values. It has only names
    /// of folders and a file: it never leads out of that folder.
    pub fn path(&self, value: impl Fn(Value) -> String) -> PathBuf {
        let last = self.names.len().saturating_sub(1);
        let names = self.names.iter().enumerate().map(|(n, parts)| {
            let filled = parts.iter().map(|part| match part {
                Part::Text(text) => (harmless(text), false),
                Part::Value(key) => (harmless_value(&value(*key)), true),
            });
            fitted(filled.collect(), if n == last { ENDING.len() } else { 0 })
        });
        names.collect()
    }
}

/// The parts of one name of a pattern.
fn parts(name: &str) -> Result<Vec<Part>, PatternError> {
    if name.chars().all(|c| matches!(c, '.' | ' ')) {
        return Err(PatternError::NoName(name.to_owned()));
    }
    let mut parts = Vec::new();
    let mut rest = name;
    while !rest.is_empty() {
        let (text, after) = rest.split_once('{').unwrap_or((rest, ""));
        if text.contains('}') {
            return Err(PatternError::Brace);
        }
        if !text.is_empty() {
            parts.push(Part::Text(text.to_owned()));
        }
        if text.len() == rest.len() {
            break;
        }
        let (word, after) = after.split_once('}').ok_or(PatternError::Brace)?;
        if word.contains('{') {
            return Err(PatternError::Brace);
        }
        let value = Value::ALL.iter().find(|value| value.word() == word);
        parts.push(Part::Value(*value.ok_or_else(|| {
            PatternError::Unknown {
                word: word.to_owned(),
            }
        })?));
        rest = after;
    }
    Ok(parts)
}

/// Whether a path begins with a drive of Windows.
fn is_drive(path: &str) -> bool {
    let mut characters = path.chars();
    characters.next().is_some_and(|c| c.is_ascii_alphabetic()) && characters.next() == Some(':')
}

/// Text without characters that some file system refuses or that mislead whoever reads the name.
fn harmless(text: &str) -> String {
    let plain: String = text
        .chars()
        .map(|c| match c {
            '/' | '\\' | ':' | '*' | '?' | '"' | '<' | '>' | '|' | '\u{2044}' | '\u{2215}' => '-',
            c if c.is_control() || c.is_whitespace() => ' ',
            c => c,
        })
        .collect();
    printable(&plain, usize::MAX).nfc().collect()
}

/// The same for a value, which has no space at its ends and is never empty, nor one or two dots.
fn harmless_value(text: &str) -> String {
    let plain = harmless(text);
    let words: Vec<&str> = plain.split(' ').filter(|word| !word.is_empty()).collect();
    let joined = words.join(" ");
    match joined.chars().all(|c| c == '.') {
        true => "_".to_owned(),
        false => joined,
    }
}

/// A name of these parts, of which the values may be shortened, that every file system takes. The last
/// `ending` bytes are kept.
fn fitted(mut parts: Vec<(String, bool)>, ending: usize) -> String {
    // Room for what makes a name harmless.
    while parts.iter().map(|(text, _)| text.len()).sum::<usize>() > MAX_BYTES - 2 {
        let longest = parts
            .iter_mut()
            .filter(|(text, value)| *value && text.chars().count() > 1)
            .max_by_key(|(text, _)| text.len());
        let Some((text, _)) = longest else { break };
        // Marks go with the letter that they are on.
        while text.pop().is_some_and(is_combining_mark) {}
        text.truncate(text.trim_end().len());
        if text.is_empty() {
            text.push('_');
        }
    }
    // A part may begin with a mark that belongs to the letter before it.
    let whole: String = parts.into_iter().map(|(text, _)| text).collect();
    let whole: String = whole.nfc().collect();
    let (stem, end) = whole.split_at(whole.len().saturating_sub(ending));
    named(stem, end)
}

/// A stem and an ending as a name that is no device, is not hidden and does not look like an option.
fn named(stem: &str, end: &str) -> String {
    // Windows drops spaces and dots at the end of a name.
    let stem = stem.trim_start_matches(' ').trim_end_matches([' ', '.']);
    let mut name = match stem.chars().next() {
        None => "_".to_owned(),
        Some('.' | '-' | '~') => format!("_{stem}"),
        Some(_) => stem.to_owned(),
    };
    let first = name.find('.').unwrap_or(name.len());
    if is_device(name.get(..first).unwrap_or(&name)) {
        name.insert(first, '_');
    }
    name.push_str(end);
    name
}

/// The name of a folder for a text, such as a certificate number, that can be a name everywhere.
pub fn folder_name(text: &str) -> String {
    named(&harmless_value(text), "")
}

/// Whether Windows takes the name of a file for a device, which it does with any ending.
pub fn names_device(file: &str) -> bool {
    is_device(file.split('.').next().unwrap_or_default())
}

/// Whether Windows takes a name, up to its first dot, for a device.
fn is_device(name: &str) -> bool {
    let name = name.trim_end_matches(' ').to_uppercase();
    let numbered = |device: &str| {
        let number = name.strip_prefix(device);
        let mut digits = number.unwrap_or_default().chars();
        let digit = |c: char| c.is_ascii_digit() || matches!(c, '¹' | '²' | '³');
        digits.next().is_some_and(digit) && digits.next().is_none()
    };
    DEVICES.contains(&name.as_str()) || NUMBERED_DEVICES.into_iter().any(numbered)
}

/// What two paths have in common that are one file on a file system without upper and lower case.
pub fn same_on_any_disk(path: &str) -> String {
    path.nfc().flat_map(char::to_lowercase).nfc().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::path::Component;

    fn path(pattern: &str, site: &str, number: &str) -> String {
        let made = Pattern::parse(pattern).unwrap().path(|value| match value {
            Value::Site => site.to_owned(),
            Value::Number => number.to_owned(),
            Value::Date => "2026-10-06".to_owned(),
            other => other.word().to_owned(),
        });
        made.to_str().unwrap().to_owned()
    }

    #[test]
    fn a_property_has_a_folder_and_a_visit_a_file() {
        let usual = "{site}/{date} {number}.pdf";
        assert_eq!(
            path(usual, "12 Maple Court", "2026-0147"),
            "12 Maple Court/2026-10-06 2026-0147.pdf"
        );
        assert_eq!(Pattern::parse(usual).unwrap().source(), usual);
    }

    #[test]
    fn values_begin_no_folder_and_leave_none() {
        let usual = "{site}/{number}.pdf";
        for (site, expected) in [
            ("12/14 Mill Lane", "12-14 Mill Lane/7.pdf"),
            ("..", "_/7.pdf"),
            (".", "_/7.pdf"),
            ("", "_/7.pdf"),
            ("  ", "_/7.pdf"),
            ("../../etc", "_..-..-etc/7.pdf"),
            ("C:\\Windows", "C--Windows/7.pdf"),
            (".ssh", "_.ssh/7.pdf"),
            ("-rf", "_-rf/7.pdf"),
            ("~root", "_~root/7.pdf"),
            ("Mill Lane. . ", "Mill Lane/7.pdf"),
            ("a\tb\nc\u{0}d", "a b c d/7.pdf"),
            ("a  b", "a b/7.pdf"),
            ("what? <a|b> \"c\"*", "what- -a-b- -c--/7.pdf"),
            // Slashes of other scripts, and the mark that writes backwards.
            ("a\u{2044}b\u{2215}c", "a-b-c/7.pdf"),
            ("a\u{202e}fdp.exe", "afdp.exe/7.pdf"),
            ("St. Mary's", "St. Mary's/7.pdf"),
            // Composed and decomposed are one name.
            ("Cafe\u{301}", "Café/7.pdf"),
        ] {
            assert_eq!(path(usual, site, "7"), expected, "{site:?}");
        }
        assert_eq!(path(usual, "a", "../b"), "a/_..-b.pdf");
    }

    #[test]
    fn names_of_devices_are_none() {
        for (site, expected) in [
            ("CON", "CON_"),
            ("nul", "nul_"),
            ("aux.old", "aux_.old"),
            ("COM1", "COM1_"),
            ("LPT0", "LPT0_"),
            ("com²", "com²_"),
            ("CONIN$", "CONIN$_"),
            ("PRN .x", "PRN _.x"),
            ("COM", "COM"),
            ("COM10", "COM10"),
            ("CONSERVATORY", "CONSERVATORY"),
        ] {
            assert_eq!(
                path("{site}/{number}.pdf", site, "7"),
                format!("{expected}/7.pdf")
            );
            assert_eq!(path("{site}.pdf", site, "7"), format!("{expected}.pdf"));
        }
    }

    #[test]
    fn a_long_value_is_shortened_and_the_number_is_kept() {
        // 255 bytes, from both sides; two are room for what makes a name harmless.
        let pattern = "{site} {number}.pdf";
        let just = "a".repeat(MAX_BYTES - 2 - " 7.pdf".len());
        assert_eq!(path(pattern, &just, "7"), format!("{just} 7.pdf"));
        let one_more = format!("{just}a");
        assert_eq!(path(pattern, &one_more, "7"), format!("{just} 7.pdf"));
        // Letters of several bytes are not cut in the middle, nor parted from their marks.
        let long = "e\u{301}\u{323}x\u{20d7}é漢".repeat(60);
        let name = path(pattern, &long, "2026-0147");
        assert!(
            name.len() <= MAX_BYTES && name.ends_with(" 2026-0147.pdf"),
            "{name}"
        );
        assert_eq!(name, name.nfc().collect::<String>());
        // Two long values share the room.
        let name = path(pattern, &"a".repeat(300), &"b".repeat(300));
        let bs = name.matches('b').count();
        assert!(name.len() <= MAX_BYTES && bs > 100, "{name}");
        // A folder too.
        let folder = path("{site}/{number}.pdf", &"a".repeat(300), "7");
        assert!(folder.len() <= MAX_BYTES + "/7.pdf".len(), "{folder}");
    }

    #[test]
    fn patterns_that_lead_elsewhere_are_refused_with_what_to_write() {
        use PatternError::{Absolute, Backslash, Brace, Constant, Ending, NoName, TooLong};
        for (pattern, why) in [
            ("/{number}.pdf", Absolute("/{number}.pdf".to_owned())),
            ("C:/{number}.pdf", Absolute("C:/{number}.pdf".to_owned())),
            ("~/{number}.pdf", Absolute("~/{number}.pdf".to_owned())),
            ("../{number}.pdf", NoName("..".to_owned())),
            ("{site}/./{number}.pdf", NoName(".".to_owned())),
            ("{site}//{number}.pdf", NoName(String::new())),
            ("{site}/", NoName(String::new())),
            ("", NoName(String::new())),
            ("{site}\\{number}.pdf", Backslash),
            ("{site/{number}.pdf", Brace),
            ("site}/{number}.pdf", Brace),
            ("{{number}}.pdf", Brace),
            ("certificate.pdf", Constant),
            ("{number}", Ending),
            ("{number}.txt", Ending),
            ("{number}.pdf/{site}", Ending),
            (&format!("{}{{number}}.pdf", "a/".repeat(8)), TooLong),
            (&format!("{}{{number}}.pdf", "a".repeat(240)), TooLong),
        ] {
            assert_eq!(Pattern::parse(pattern), Err(why), "{pattern}");
        }
        assert!(Pattern::parse(&format!("{}{{number}}.pdf", "a/".repeat(7))).is_ok());
        let unknown = Pattern::parse("{sit}/{number}.pdf")
            .unwrap_err()
            .to_string();
        assert_eq!(
            unknown,
            "`sit` is no key; the keys are {site}, {date}, {year}, {number}, {client}, {circuit}, \
             {outcome}, {reason}, {inspector}, {firm}; did you mean {site}?"
        );
    }

    #[test]
    fn names_that_differ_by_case_or_spelling_alone_are_one() {
        assert_eq!(
            same_on_any_disk("A/Café.pdf"),
            same_on_any_disk("a/CAFE\u{301}.PDF")
        );
        assert_ne!(same_on_any_disk("a/b.pdf"), same_on_any_disk("a/c.pdf"));
    }

    proptest! {
        #[test]
        fn any_value_gives_names_that_every_disk_takes(
            site in any::<String>(),
            number in "[./\\\\ :~\u{0}-\u{20}a-cCONUL0-9\u{300}-\u{310}é漢]{0,300}",
        ) {
            let made = path("{site}/x {number}/{number}{site}.pdf", &site, &number);
            let made = std::path::Path::new(&made);
            prop_assert_eq!(made.components().count(), 3);
            for part in made.components() {
                let Component::Normal(name) = part else {
                    panic!("{part:?}")
                };
                let name = name.to_str().unwrap();
                prop_assert!(!name.is_empty() && name.len() <= MAX_BYTES, "{}", name.len());
                prop_assert!(!name.ends_with([' ', '.']) && !name.starts_with(['.', ' ', '-']));
                prop_assert!(!name.chars().any(|c| c.is_control() || "\\/:*?\"<>|".contains(c)));
                let stem = name.split('.').next().unwrap_or_default();
                prop_assert!(!is_device(stem), "{}", name);
                prop_assert_eq!(name, name.nfc().collect::<String>());
            }
        }
    }
}
