//! The result page in plain words: at most the eighth grade by the formula of Flesch and Kincaid
//! (Kincaid, Fishburne, Rogers and Chissom, Naval Technical Training Command, Research Branch
//! Report 8-75, 1975): 0.39·words/sentences + 11.8·syllables/words − 15.59.

//!
//! The other languages by the formulas made for them, all on a scale from 0 to 100 on which 60 to
//! 70 is plain language:
//! - Spanish: Fernández Huerta, “Medidas sencillas de lecturabilidad”, Consigna 214, 1959, in the
//!   form that Law (2011) showed to be meant: 206.84 − 60·syllables/words − 1.02·words/sentences;
//! - French: Kandel and Moles, “Application de l’indice de Flesch à la langue française”, Cahiers
//!   d’études de radio-télévision 19, 1958: 207 − 73.6·syllables/words − 1.015·words/sentences;
//! - German: Amstad, “Wie verständlich sind unsere Zeitungen?”, Zürich 1978:
//!   180 − 58.5·syllables/words − words/sentences.

use crate::compose_common::{Case, EXAMPLES, made_up};
use warmlug::compose::Wording;
use warmlug::compose::document::Block;

/// Syllables of an English word by its letters: groups of vowels, less a silent end.
fn syllables(word: &str) -> usize {
    let letters: Vec<char> = word
        .chars()
        .filter(|c| c.is_alphabetic())
        .flat_map(char::to_lowercase)
        .collect();
    let vowel = |c: &char| "aeiouy".contains(*c);
    let mut count = letters
        .iter()
        .enumerate()
        .filter(|(i, c)| vowel(c) && (*i == 0 || !vowel(&letters[i - 1])))
        .count();
    let ends = |end: &str| {
        let end: Vec<char> = end.chars().collect();
        letters.len() > end.len() && letters.ends_with(&end)
    };
    let before = |n: usize| letters.len().checked_sub(n).and_then(|i| letters.get(i));
    let silent_e = ends("e") && !(ends("le") && before(3).is_some_and(|c| !vowel(c)));
    let silent_ed = ends("ed") && !before(3).is_some_and(|c| "td".contains(*c));
    let silent_es = ends("es") && !before(3).is_some_and(|c| "sxzcgh".contains(*c));
    if (silent_e && before(2).is_some_and(|c| !vowel(c))) || silent_ed || silent_es {
        count = count.saturating_sub(1);
    }
    count.max(1)
}

/// Syllables of a word of another language: its groups of vowels, Spanish ones parted where two
/// full vowels or an accent part them, French ones without a silent end.
fn syllables_in(language: &str, word: &str) -> usize {
    let letters: Vec<char> = word
        .chars()
        .filter(|c| c.is_alphabetic())
        .flat_map(char::to_lowercase)
        .collect();
    let vowel = |c: char| "aeiouyäöüáéíóúàâèêëîïôùûœæ".contains(c);
    let parts = |a: char, b: char| match language {
        "es" => {
            let full = |c: char| "aeoáéó".contains(c);
            (full(a) && full(b)) || "íú".contains(a) || "íú".contains(b)
        }
        "fr" => "éïë".contains(b) || (a == 'é' && b != 'e'),
        _ => false,
    };
    let mut count = letters
        .iter()
        .enumerate()
        .filter(|(i, c)| {
            let before = i.checked_sub(1).and_then(|b| letters.get(b)).copied();
            vowel(**c) && before.is_none_or(|b| !vowel(b) || parts(b, **c))
        })
        .count();
    let word: String = letters.iter().collect();
    let silent = ["e", "es", "ent"].iter().any(|end| {
        word.strip_suffix(end)
            .and_then(|stem| stem.chars().next_back())
            .is_some_and(|c| !vowel(c))
    });
    // “-ent” is silent in verbs alone; nouns and adverbs in “-ment” are distinguished by their m.
    if language == "fr" && silent && !word.ends_with("ment") {
        count = count.saturating_sub(1);
    }
    count.max(1)
}

/// Sentences, words and syllables of a text. A number with its unit counts as one short word.
fn counted(text: &str, syllables: impl Fn(&str) -> usize) -> (f64, f64, f64) {
    let sentences = text
        .split(['\n', '!', '?'])
        .flat_map(|line| line.split(". "))
        .filter(|s| s.chars().any(char::is_alphabetic))
        .count();
    let words: Vec<&str> = text
        .split([' ', '\n'])
        .filter(|w| w.chars().any(char::is_alphanumeric))
        .collect();
    let syllables: usize = words.iter().map(|w| syllables(w)).sum();
    (sentences as f64, words.len() as f64, syllables as f64)
}

/// Ease of reading of a text in another language than English, 0 to 100.
fn ease(language: &str, text: &str) -> f64 {
    let (sentences, words, syllables) = counted(text, |w| syllables_in(language, w));
    let (long, length) = (syllables / words, words / sentences);
    match language {
        "es" => 206.84 - 60.0 * long - 1.02 * length,
        "fr" => 207.0 - 73.6 * long - 1.015 * length,
        "de" => 180.0 - 58.5 * long - length,
        _ => panic!("no formula for {language}"),
    }
}

/// Grade of a text.
fn grade(text: &str) -> f64 {
    let (sentences, words, syllables) = counted(text, syllables);
    0.39 * words / sentences + 11.8 * syllables / words - 15.59
}

#[test]
fn the_formula_agrees_with_texts_of_known_grade() {
    for (word, n) in [
        ("charge", 1),
        ("circuit", 2),
        ("electrician", 4),
        ("repaired", 2),
        ("needed", 2),
        ("breaker", 2),
        ("terminal", 3),
        ("table", 2),
        ("wires", 1),
        ("switched", 1),
        ("the", 1),
        ("inspection", 3),
    ] {
        assert_eq!(syllables(word), n, "{word}");
    }
    // Six words of one syllable in one sentence: 0.39·6 + 11.8 − 15.59.
    assert!((grade("The cat sat on the mat.") - (0.39 * 6.0 + 11.8 - 15.59)).abs() < 1e-9);
    // A sentence of a statute reads far above any school grade.
    assert!(
        grade(
            "Notwithstanding the aforementioned provisions, the authority having jurisdiction \
             may authorize alternative arrangements."
        ) > 15.0
    );
}

/// What the owner reads on the first page: verdict, what to do, by when, what was not done.
fn result_words(case: &Case) -> String {
    let mut text = String::new();
    for block in &case.certificate().body {
        match block {
            Block::Seal(_) => break,
            Block::Verdict { title, text: t, .. } => {
                text.push_str(&format!("{title}.\n"));
                for t in t {
                    text.push_str(&format!("{}\n", t.characters()));
                }
            }
            Block::Paragraph(t) => text.push_str(&format!("{}\n", t.characters())),
            Block::List { items, .. } => {
                for t in items {
                    text.push_str(&format!("{}\n", t.characters()));
                }
            }
            _ => {}
        }
    }
    text.push_str(&case.speaker().next_due());
    text
}

#[test]
fn result_pages_read_at_the_eighth_grade() {
    for (name, case) in EXAMPLES
        .into_iter()
        .map(|name| (name, Case::example(name)))
        .chain([("made up", made_up::case())])
    {
        let text = result_words(&case);
        let grade = grade(&text);
        println!("{name}: {grade:.1}");
        assert!(grade <= 8.0, "{name} reads at grade {grade:.1}:\n{text}");
    }
}

/// Strings of the wording that the owner reads, with every place filled by a short word.
fn owners(language: &str) -> Vec<(String, String)> {
    let wording = Wording::built_in(language).unwrap();
    wording
        .entries()
        .filter(|(key, _)| {
            ["result.", "due.", "circuits."]
                .iter()
                .any(|start| key.starts_with(start))
                || (key.starts_with("finding.") && key.ends_with(".text"))
        })
        // The outcomes' own words are given.
        .filter(|(key, _)| !key.ends_with(".heading") && !key.ends_with(".title"))
        .map(|(key, text)| {
            let mut filled = String::new();
            let mut rest = text;
            while let Some((before, after)) = rest.split_once('{') {
                filled.push_str(before);
                filled.push_str("it");
                rest = after.split_once('}').map_or("", |(_, r)| r);
            }
            filled.push_str(rest);
            (key.to_owned(), filled)
        })
        .collect()
}

#[test]
fn what_the_owner_reads_is_plain() {
    let owners = owners("en");
    assert!(owners.len() > 100);
    let all: String = owners.iter().map(|(_, t)| format!("{t}\n")).collect();
    let mean = grade(&all);
    println!("all strings for the owner: {mean:.1}");
    assert!(mean <= 7.0, "{mean:.1}");
    // A single sentence scatters; none may be beyond the reach of the page.
    let mut hard: Vec<_> = owners
        .iter()
        .map(|(key, text)| (grade(text), key, text))
        .filter(|(grade, _, _)| *grade > 10.0)
        .collect();
    hard.sort_by(|a, b| b.0.total_cmp(&a.0));
    assert!(hard.is_empty(), "{hard:#?}");
}

#[test]
fn syllables_of_other_languages_are_counted() {
    for (language, word, n) in [
        ("es", "circuito", 3),
        ("es", "energía", 4),
        ("es", "electricista", 5),
        ("es", "que", 1),
        ("es", "peor", 2),
        ("fr", "recharge", 2),
        ("fr", "contrôler", 3),
        ("fr", "électricien", 4),
        ("fr", "porte", 1),
        ("fr", "mesurées", 3),
        ("de", "Ladestromkreis", 4),
        ("de", "heißer", 2),
        ("de", "geprüft", 2),
        ("de", "Elektrofachkraft", 5),
    ] {
        assert_eq!(syllables_in(language, word), n, "{language} {word}");
    }
    // One sentence of four words of one syllable each.
    assert!((ease("de", "Das ist ein Haus.") - (180.0 - 58.5 - 4.0)).abs() < 1e-9);
}

/// Least ease of all that the owner reads, and of any single string.
const EASE: [(&str, f64, f64); 3] = [("es", 70.0, 30.0), ("fr", 70.0, 30.0), ("de", 70.0, 30.0)];

#[test]
fn what_the_owner_reads_is_plain_in_every_language() {
    for (language, least, least_of_one) in EASE {
        let owners = owners(language);
        assert!(owners.len() > 100);
        let all: String = owners.iter().map(|(_, t)| format!("{t}\n")).collect();
        let mean = ease(language, &all);
        println!("{language}: {mean:.0}");
        let mut hard: Vec<_> = owners
            .iter()
            .map(|(key, text)| (ease(language, text), key, text))
            .filter(|(ease, _, _)| *ease < least_of_one)
            .collect();
        hard.sort_by(|a, b| a.0.total_cmp(&b.0));
        assert!(hard.is_empty(), "{language}: {hard:#?}");
        assert!(mean >= least, "{language}: {mean:.0}");
    }
}
