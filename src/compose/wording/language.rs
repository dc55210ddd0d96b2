//! The words of one language, and filling their placeholders.

use super::error::{WordingError, WordingKeyError};
use super::file::{self, Strings};
use super::required_keys::required_keys;
use crate::compose::keys::{self, Key, Named};
use crate::compose::locale;
use crate::vocabulary::MissingKey;
use crate::yaml::{Problems, Source};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// The words of one language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wording {
    /// BCP 47 language code.
    pub(super) language: Cow<'static, str>,
    /// Its strings.
    pub(super) strings: Strings,
}

impl Wording {
    /// A wording from the text of a file.
    ///
    /// # Errors
    /// Everything that is wrong with the file, at once.
    pub fn load(language: &str, source: &str) -> Result<Wording, WordingError> {
        let (source, mut problems) = (Source::new(source), Problems::default());
        let entries = file::read(&source, &mut problems);
        let wording = Wording {
            language: Cow::Owned(language.to_owned()),
            strings: Strings::of(&entries),
        };
        if problems.is_empty() {
            for problem in wording.problems() {
                let own = entries.iter().find(|(key, ..)| key == problem.key());
                problems.push(own.map(|(.., at)| *at), problem.to_string(), problem.help());
            }
        }
        if problems.is_empty() {
            Ok(wording)
        } else {
            let name = format!("{language}.yaml");
            Err(WordingError::DoesNotFit(problems.finish(&name, &source)))
        }
    }

    /// All differences from the keys and placeholders of this version, sorted by key.
    pub fn problems(&self) -> Vec<WordingKeyError> {
        let mut expected: BTreeMap<String, Vec<&'static str>> = BTreeMap::new();
        let forms = locale::plural_forms(&self.language);
        for key in keys::all() {
            let takes = key.takes.to_vec();
            if key.count.is_some() {
                for form in &forms {
                    expected.insert(format!("{}.{form}", key.path), takes.clone());
                }
            } else {
                expected.insert(key.path.to_owned(), takes);
            }
        }
        expected.extend(required_keys());

        let mut problems = Vec::new();
        for key in expected.keys() {
            if self.find(key).is_none() {
                problems.push(WordingKeyError::Missing(key.clone()));
            }
        }
        for (key, text) in self.entries() {
            let key = key.to_owned();
            let Some(takes) = expected.get(&key) else {
                problems.push(WordingKeyError::Unused(key));
                continue;
            };
            if text.trim().is_empty() {
                problems.push(WordingKeyError::Empty(key.clone()));
            }
            match places(text) {
                None => problems.push(WordingKeyError::OpenPlace(key.clone())),
                Some(found) => {
                    for place in found {
                        if !takes.contains(&place) {
                            problems.push(WordingKeyError::UnknownPlace {
                                key: key.clone(),
                                place: place.to_owned(),
                                may: if takes.is_empty() {
                                    "none".to_owned()
                                } else {
                                    takes
                                        .iter()
                                        .map(|t| format!("{{{t}}}"))
                                        .collect::<Vec<_>>()
                                        .join(", ")
                                },
                            });
                        }
                    }
                }
            }
        }
        problems
    }

    /// Language of the words.
    pub fn language(&self) -> &str {
        &self.language
    }

    /// Name of a language in this language; its tag if it is not built in.
    pub(in crate::compose) fn language_name<'t>(&'t self, tag: &'t str) -> &'t str {
        self.find(&format!("language.{tag}")).unwrap_or(tag)
    }

    /// Heading by which the result page is found.
    pub fn result_heading(&self) -> &str {
        self.word(&keys::RESULT_HEADING)
    }

    /// The reason for a countersignature: that the certificate was received, or reviewed.
    pub fn countersigned(&self, reviewed: bool) -> &str {
        self.word(if reviewed {
            &keys::REVIEWED
        } else {
            &keys::RECEIVED
        })
    }

    /// The mark between whole and parts of a number.
    pub fn decimal_mark(&self) -> char {
        locale::decimal_mark(&self.language)
    }

    /// Name of this language in English, the language of messages.
    pub fn language_in_english(&self) -> &str {
        Wording::built_in("en").map_or(&self.language, |en| en.language_name(&self.language))
    }

    /// A key of the visit file, in words.
    pub fn missing(&self, key: MissingKey) -> &str {
        self.find(&format!("missing.{key}")).unwrap_or(key.word())
    }

    /// A possible answer to a key of the visit file, where certificates have words for it.
    pub fn choice(&self, key: MissingKey, word: &str) -> Option<&str> {
        let group = match key {
            MissingKey::BreakerGroundFault => "ground-fault",
            MissingKey::BreakerKind => "breaker",
            MissingKey::ConductorsWiring | MissingKey::FeederWiring => "wiring",
            MissingKey::RcdType => "rcd",
            MissingKey::ReceptacleGrade => "receptacle",
            _ => return None,
        };
        let word = if word == "ev-listed" { "ev" } else { word };
        self.find(&format!("circuit.{group}.{word}"))
    }

    /// Every string with its dotted key, in the order of the keys.
    pub fn entries(&self) -> impl Iterator<Item = (&str, &str)> {
        self.strings.entries()
    }

    /// The string at a dotted path, if there is one.
    pub(in crate::compose) fn find(&self, path: &str) -> Option<&str> {
        self.strings.find(path)
    }

    /// The string of a declared key without placeholders.
    pub(in crate::compose) fn word(&self, key: &Key) -> &str {
        debug_assert!(key.takes.is_empty(), "“{}” has places to fill", key.path);
        self.find(key.path).unwrap_or(key.path)
    }

    /// The string of a declared key with its placeholders filled. The caller must fill exactly
    /// those that the key declares.
    pub(in crate::compose) fn say(&self, key: &Key, values: &[(&str, &str)]) -> String {
        debug_assert!(
            values.len() == key.takes.len()
                && key.takes.iter().all(|t| values.iter().any(|(n, _)| n == t)),
            "“{}” takes {:?}, was given {:?}",
            key.path,
            key.takes,
            values.iter().map(|(n, _)| *n).collect::<Vec<_>>()
        );
        fill(self.find(key.path).unwrap_or(key.path), |name| {
            values
                .iter()
                .find(|(n, _)| *n == name)
                .map(|(_, v)| Cow::Borrowed(*v))
        })
        .0
    }

    /// Like [`Wording::say`] for a string whose form depends on a count.
    pub(in crate::compose) fn count(
        &self,
        key: &Key,
        count: usize,
        values: &[(&str, &str)],
    ) -> String {
        let number = count.to_string();
        let form = locale::plural_form(&self.language, count);
        let path = format!("{}.{form}", key.path);
        debug_assert!(key.count.is_some(), "“{}” counts nothing", key.path);
        fill(self.find(&path).unwrap_or(key.path), |name| {
            if Some(name) == key.count {
                return Some(Cow::Borrowed(number.as_str()));
            }
            values
                .iter()
                .find(|(n, _)| *n == name)
                .map(|(_, v)| Cow::Borrowed(*v))
        })
        .0
    }

    /// Name of a choice.
    pub(in crate::compose) fn name<N: Named>(&self, choice: N) -> &str {
        let word = choice.word();
        self.find(&format!("{}.{word}", N::SECTION)).unwrap_or(word)
    }

    /// Joins items as a sentence does: “a”, “a and b”, “a, b and c”.
    pub(in crate::compose) fn list<S: AsRef<str>>(&self, items: &[S]) -> String {
        locale::list(&self.language, items)
    }
}

/// Fills the placeholders of a string. Returns the text and the names of placeholders without a
/// value, which stay visible in the text.
pub(in crate::compose) fn fill<'v>(
    template: &str,
    value: impl Fn(&str) -> Option<Cow<'v, str>>,
) -> (String, Vec<String>) {
    let mut out = String::with_capacity(template.len() + 32);
    let mut unfilled = Vec::new();
    let mut rest = template;
    while let Some(open) = rest.find('{') {
        out.push_str(&rest[..open]);
        let after = &rest[open + 1..];
        let Some(close) = after.find('}') else {
            rest = &rest[open..];
            break;
        };
        let name = &after[..close];
        match value(name) {
            Some(v) => out.push_str(&v),
            None => {
                unfilled.push(name.to_owned());
                out.push_str(&rest[open..open + close + 2]);
            }
        }
        rest = &after[close + 1..];
    }
    out.push_str(rest);
    (out, unfilled)
}

/// Names of the placeholders of a string; `None` if its braces are not balanced.
fn places(template: &str) -> Option<Vec<&str>> {
    let mut names = Vec::new();
    let mut rest = template;
    loop {
        let Some(at) = rest.find(['{', '}']) else {
            return Some(names);
        };
        if rest.as_bytes()[at] == b'}' {
            return None;
        }
        let after = &rest[at + 1..];
        let close = after.find(['{', '}'])?;
        if after.as_bytes()[close] == b'{' {
            return None;
        }
        names.push(&after[..close]);
        rest = &after[close + 1..];
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::panic)]
mod tests {
    use super::super::built_in::BUILT_IN;
    use super::*;

    /// The English wording as it is in the repository.
    const ENGLISH: &str = include_str!("../../../templates/wording/en.yaml");

    #[test]
    fn fills_places_once_and_tells_the_unfilled() {
        let (text, unfilled) = fill("{a} then {b}, {a}", |n| {
            (n == "a").then_some(Cow::Borrowed("{b}"))
        });
        assert_eq!(text, "{b} then {b}, {b}");
        assert_eq!(unfilled, ["b"]);
    }

    #[test]
    fn braces_must_pair() {
        assert_eq!(places("no places"), Some(vec![]));
        assert_eq!(places("{one} and {two}"), Some(vec!["one", "two"]));
        assert_eq!(places("{open"), None);
        assert_eq!(places("close}"), None);
        assert_eq!(places("{a{b}}"), None);
    }

    #[test]
    fn every_built_in_wording_is_complete() {
        for wording in BUILT_IN {
            assert_eq!(wording.problems(), [], "{}", wording.language());
        }
    }

    #[test]
    fn what_is_compiled_in_is_the_file() {
        assert_eq!(
            Wording::load("en", ENGLISH).as_ref(),
            Wording::built_in("en").as_ref().map(|w| *w)
        );
    }

    #[test]
    fn a_wording_that_does_not_fit_is_told_whole() {
        let source = ENGLISH
            .replacen("{from}–{to}", "{from}–{too}", 1)
            .replacen("title:", "titel:", 1);
        let Err(WordingError::DoesNotFit(problems)) = Wording::load("en", &source) else {
            panic!("a wording with wrong keys was taken");
        };
        let message = problems.to_string();
        assert_eq!(message.matches("” is missing\n").count(), 1, "{message}");
        assert_eq!(message.matches("” is not used\n").count(), 1, "{message}");
        let line = 1 + source
            .lines()
            .take_while(|l| !l.contains("{from}–{too}"))
            .count();
        let place = format!(
            "en.yaml:{line}:3: “word.pair” has a place {{too}} that is never filled; it may use \
             {{from}}, {{to}}\n"
        );
        assert!(message.contains(&place), "{message}");
    }

    #[test]
    fn an_unknown_language_names_those_built_in() {
        assert_eq!(
            Wording::built_in("xx").unwrap_err().to_string(),
            "no wording for the language “xx” is built in; write one of: de, en, es, fr"
        );
    }
}
