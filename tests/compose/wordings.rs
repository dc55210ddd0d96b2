//! What all wordings have in common, and what each language asks of its own: that nothing is left
//! untranslated, its spaces and quotation marks, and its glossary.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use warmlug::compose::Wording;
use warmlug::compose::worksheet::{file_word, typed};
use warmlug::visit::{Condition, LANGUAGES};

/// Narrow and wide no-break space.
const NARROW: char = '\u{202F}';
const WIDE: char = '\u{A0}';

fn wording(language: &str) -> &'static Wording {
    Wording::built_in(language).unwrap()
}

fn entries(language: &str) -> BTreeMap<&'static str, &'static str> {
    wording(language).entries().collect()
}

/// Names of the places of a string.
fn places(text: &str) -> BTreeSet<&str> {
    text.split('{')
        .skip(1)
        .filter_map(|rest| rest.split_once('}'))
        .map(|(name, _)| name)
        .collect()
}

#[test]
fn the_languages_of_a_visit_are_those_with_a_wording() {
    let mut known = LANGUAGES;
    known.sort_unstable();
    assert_eq!(Wording::languages().collect::<Vec<_>>(), known);
}

#[test]
fn every_language_says_the_same_things_with_the_same_values() {
    let english = entries("en");
    assert!(english.len() > 600);
    for language in LANGUAGES {
        let other = entries(language);
        assert_eq!(
            other.keys().collect::<Vec<_>>(),
            english.keys().collect::<Vec<_>>(),
            "{language}"
        );
        for (key, text) in &other {
            assert_eq!(places(text), places(english[key]), "{language} {key}");
        }
    }
}

/// Of several words, and the same in English and in French.
const SAME: [&str; 1] = ["circuit.rcd.ac"];

#[test]
fn nothing_is_left_in_english() {
    let english = entries("en");
    for language in LANGUAGES.into_iter().filter(|l| *l != "en") {
        for (key, text) in entries(language) {
            let mut bare = String::new();
            for (i, part) in text.split(['{', '}']).enumerate() {
                if i % 2 == 0 {
                    bare.push_str(part);
                }
            }
            // One word may be spelled alike; several are a sentence that nobody translated.
            let words = bare
                .split_whitespace()
                .filter(|w| w.chars().filter(|c| c.is_alphabetic()).count() > 1);
            if words.count() > 1 && !SAME.contains(&key) {
                assert_ne!(text, english[key], "{language} {key}");
            }
        }
    }
}

#[test]
fn quotation_marks_are_those_of_the_language() {
    for (language, others) in [
        ("en", "„«»‚‹›"),
        ("de", "”«»‹›"),
        ("fr", "„“”‚"),
        ("es", "„“”‚"),
    ] {
        for (key, text) in entries(language) {
            for c in others.chars() {
                assert!(!text.contains(c), "{language} {key}: {c} in {text}");
            }
            assert!(!text.contains('"'), "{language} {key}: {text}");
        }
    }
}

#[test]
fn french_sets_its_marks_off_by_spaces_that_hold() {
    let fr = entries("fr");
    let mut seen = 0;
    for (key, text) in fr {
        let c: Vec<char> = text.chars().collect();
        for (i, mark) in c.iter().enumerate() {
            let before = i.checked_sub(1).and_then(|b| c.get(b)).copied();
            let wanted = match mark {
                ';' | '?' | '!' => NARROW,
                '»' => WIDE,
                // A ratio such as 12:1 and a name such as JCGM 100:2008 have none.
                ':' if !c.get(i + 1).is_some_and(char::is_ascii_digit) => WIDE,
                _ => continue,
            };
            seen += 1;
            assert_eq!(before, Some(wanted), "{key}: {text}");
        }
        for (i, _) in c.iter().enumerate().filter(|(_, c)| **c == '«') {
            assert_eq!(c.get(i + 1), Some(&WIDE), "{key}: {text}");
        }
    }
    assert!(seen > 100, "{seen} marks");
}

#[test]
fn a_number_never_parts_from_its_unit() {
    for language in LANGUAGES {
        for (key, text) in entries(language) {
            let c: Vec<char> = text.chars().collect();
            for (i, _) in c.iter().enumerate().filter(|(_, c)| **c == ' ') {
                let number = i
                    .checked_sub(1)
                    .and_then(|b| c.get(b))
                    .is_some_and(char::is_ascii_digit);
                let rest: String = c[i + 1..].iter().collect();
                let unit = ["%", "mA", "A ", "V ", "°"]
                    .iter()
                    .any(|u| rest.starts_with(u));
                assert!(!(number && unit), "{language} {key}: {text}");
            }
        }
    }
}

#[test]
fn what_is_typed_into_a_sheet_is_found_again_in_the_words_of_the_file() {
    let conditions = Condition::ALL.map(Condition::word).into_iter();
    let words: Vec<&str> = conditions.chain(["held", "moved", "yes", "no"]).collect();
    for language in LANGUAGES {
        let wording = wording(language);
        for &word in &words {
            let said = typed(wording, word);
            assert_eq!(file_word(wording, said), Some(word), "{language}: {said}");
            assert_eq!(
                file_word(wording, &format!(" {} ", said.to_uppercase())),
                Some(word)
            );
            if language == "en" {
                // The file accepts both spellings; the certificate has the American one.
                assert_eq!(said, word.replace("discoloured", "discolored"));
            }
        }
        assert_eq!(file_word(wording, "45"), None);
    }
}

/// A term of the trade.
#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Term {
    term: String,
    source: String,
}

#[test]
fn each_language_has_a_glossary_of_terms_that_it_uses() {
    let read = |language: &str| -> BTreeMap<String, Term> {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join(format!("templates/wording/glossary/{language}.yaml"));
        serde_saphyr::from_str(&std::fs::read_to_string(&path).unwrap())
            .unwrap_or_else(|e| panic!("{}: {e}", path.display()))
    };
    let english = read("en");
    assert!(english.len() >= 30);
    for language in LANGUAGES {
        let glossary = read(language);
        assert_eq!(
            glossary.keys().collect::<Vec<_>>(),
            english.keys().collect::<Vec<_>>(),
            "{language}"
        );
        let said: String = entries(language)
            .into_values()
            .map(|text| text.to_lowercase() + "\n")
            .collect();
        for (concept, Term { term, source }) in glossary {
            assert!(
                said.contains(&term.to_lowercase()),
                "{language} {concept}: “{term}” is not used"
            );
            assert!(!source.trim().is_empty(), "{language} {concept}");
        }
    }
}
