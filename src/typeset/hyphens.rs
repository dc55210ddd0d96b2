//! Where a word may be divided at the end of a line, by Liang's method: patterns of letters with levels
//! between them, of which the highest counts at each place, and odd ones allow a division (F. M. Liang,
//! “Word Hy-phen-a-tion by Com-put-er”, 1983).
//!
//! The patterns are kept as text that compresses well (see `packed.py` beside them): the automata of the
//! crate `hypher`, from which they were made, were a tenth of what the browser has to fetch. The tests
//! compare both.

use std::sync::OnceLock;

/// A language whose words can be divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Language {
    German,
    English,
    Spanish,
    French,
}

/// Patterns, ready to be looked up.
#[derive(Debug)]
struct Patterns {
    /// The letters of each pattern, as one number, and the index of its levels; sorted.
    known: Vec<(u128, u16)>,
    /// Levels before the first letter, behind it, and so on, as digits.
    levels: Vec<&'static str>,
}

/// Most letters of a pattern. That many make a number of 126 bits.
const LONGEST: usize = 14;
/// Bits of a letter.
const BITS: u32 = 9;

/// The number of a pattern with one more letter; `None` if no pattern has this letter.
fn longer(number: u128, letter: char) -> Option<u128> {
    let code = u32::from(letter);
    (code >> BITS == 0).then_some(number << BITS | u128::from(code))
}

impl Patterns {
    /// Reads patterns, of which each line is a group with the same levels.
    fn read(text: &'static str) -> Self {
        let mut patterns = Self {
            known: Vec::new(),
            levels: Vec::new(),
        };
        for (index, line) in (0..).zip(text.lines()) {
            let end = line.find(|c: char| !c.is_ascii_digit());
            let (levels, words) = line.split_at(end.unwrap_or(line.len()));
            patterns.levels.push(levels);
            // The numbers of the beginnings of the pattern before.
            let mut beginnings = vec![0_u128];
            let mut begun = false;
            for c in words.chars() {
                if c.is_ascii_uppercase() {
                    if begun {
                        let whole = beginnings.last().copied().unwrap_or(0);
                        patterns.known.push((whole, index));
                    }
                    begun = true;
                    let shared = usize::try_from(u32::from(c) - u32::from('A')).unwrap_or(0);
                    beginnings.truncate(shared + 1);
                } else {
                    let last = beginnings.last().copied().unwrap_or(0);
                    beginnings.extend(longer(last, c));
                }
            }
            let whole = beginnings.last().copied().unwrap_or(0);
            patterns.known.push((whole, index));
        }
        patterns.known.sort_unstable();
        patterns
    }

    /// The levels of a pattern.
    fn levels(&self, number: u128) -> Option<&'static str> {
        let found = self.known.binary_search_by_key(&number, |(n, _)| *n).ok()?;
        let (_, index) = self.known.get(found)?;
        self.levels.get(usize::from(*index)).copied()
    }
}

impl Language {
    /// By its tag (BCP 47).
    pub(super) fn of(tag: &str) -> Option<Self> {
        Some(match tag {
            "de" => Self::German,
            "en" => Self::English,
            "es" => Self::Spanish,
            "fr" => Self::French,
            _ => return None,
        })
    }

    /// Its patterns, read when the first word is divided.
    fn patterns(self) -> &'static Patterns {
        static READ: [OnceLock<Patterns>; 4] = [const { OnceLock::new() }; 4];
        let (index, text) = match self {
            Self::German => (0, include_str!("../../templates/hyphenation/de.patterns")),
            Self::English => (1, include_str!("../../templates/hyphenation/en.patterns")),
            Self::Spanish => (2, include_str!("../../templates/hyphenation/es.patterns")),
            Self::French => (3, include_str!("../../templates/hyphenation/fr.patterns")),
        };
        READ[index].get_or_init(|| Patterns::read(text))
    }

    /// Fewest letters before and behind a division.
    const fn fewest(self) -> (usize, usize) {
        match self {
            Self::English => (2, 3),
            Self::German | Self::Spanish | Self::French => (2, 2),
        }
    }

    /// The bytes of a word before which it may be divided.
    pub(super) fn divisions(self, word: &str) -> Vec<usize> {
        let patterns = self.patterns();
        // A dot marks either end of the word.
        let dotted: Vec<char> = ['.']
            .into_iter()
            .chain(word.chars().map(lower))
            .chain(['.'])
            .collect();
        // The highest level before each character of `dotted`.
        let mut highest = vec![b'0'; dotted.len() + 1];
        for start in 0..dotted.len() {
            let mut number = 0;
            for letter in dotted.iter().skip(start).take(LONGEST) {
                let Some(next) = longer(number, *letter) else {
                    break;
                };
                number = next;
                let levels = patterns.levels(number).unwrap_or_default();
                for (level, highest) in levels.bytes().zip(highest.iter_mut().skip(start)) {
                    *highest = level.max(*highest);
                }
            }
        }
        let (before, behind) = self.fewest();
        let letters = dotted.len() - 2;
        word.char_indices()
            .enumerate()
            .filter(|(place, _)| *place >= before && *place + behind <= letters)
            .filter(|(place, _)| highest[place + 1] % 2 == 1)
            .map(|(_, (byte, _))| byte)
            .collect()
    }
}

/// A letter in small, if that is one letter of the same length in UTF-8.
fn lower(letter: char) -> char {
    let mut small = letter.to_lowercase();
    match (small.next(), small.next()) {
        (Some(small), None) if small.len_utf8() == letter.len_utf8() => small,
        _ => letter,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LANGUAGES: [(Language, hypher::Lang); 4] = [
        (Language::German, hypher::Lang::German),
        (Language::English, hypher::Lang::English),
        (Language::Spanish, hypher::Lang::Spanish),
        (Language::French, hypher::Lang::French),
    ];

    /// What `hypher` says, which has an implementation of its own.
    fn expected(word: &str, language: hypher::Lang) -> Vec<usize> {
        let mut byte = 0;
        let mut divisions = Vec::new();
        for syllable in hypher::hyphenate(word, language) {
            if byte > 0 {
                divisions.push(byte);
            }
            byte += syllable.len();
        }
        divisions
    }

    fn assert_same(word: &str, (ours, theirs): (Language, hypher::Lang)) {
        assert_eq!(
            ours.divisions(word),
            expected(word, theirs),
            "{word} {ours:?}"
        );
    }

    /// Every pattern as a word, alone and with its neighbour, in every language.
    #[test]
    fn words_are_divided_as_the_patterns_say() {
        for pair in LANGUAGES {
            let mut before = String::new();
            for (number, _) in &pair.0.patterns().known {
                let mut word = Vec::new();
                let mut rest = *number;
                while rest > 0 {
                    word.extend(u32::try_from(rest & 0x1FF).ok().and_then(char::from_u32));
                    rest >>= BITS;
                }
                let word: String = word.into_iter().rev().filter(|c| *c != '.').collect();
                assert_same(&word, pair);
                assert_same(&format!("{before}{word}"), pair);
                before = word;
            }
        }
    }

    #[test]
    fn words_of_the_wordings_are_divided_as_before() {
        for (name, text) in crate::generated::yaml_files("templates/wording") {
            let words = text.split(|c: char| !c.is_alphabetic());
            for word in words.collect::<std::collections::BTreeSet<_>>() {
                for pair in LANGUAGES {
                    assert_same(word, pair);
                    assert_same(&word.to_uppercase(), pair);
                }
            }
            assert!(!name.is_empty());
        }
        for odd in [
            "",
            "a",
            "ÄÖ",
            "ẞtraße",
            "İstanbul",
            "漢字漢字",
            "l'homme",
            "x\u{301}yz",
            "straßenbahnoberleitung",
        ] {
            for pair in LANGUAGES {
                assert_same(odd, pair);
            }
        }
    }

    /// From the word lists of the German and the English dictionary.
    #[test]
    fn words_are_divided_where_a_dictionary_divides_them() {
        let divided = |word: &str, language: Language| {
            let mut parts = word.to_owned();
            for at in language.divisions(word).into_iter().rev() {
                parts.insert(at, '-');
            }
            parts
        };
        assert_eq!(divided("Stromkreis", Language::German), "Strom-kreis");
        assert_eq!(divided("extensive", Language::English), "ex-ten-sive");
    }
}
