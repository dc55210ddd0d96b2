//! Names that a hasty reader takes for each other.

/// A name as a hasty reader sees it, to find names that look alike: without case, accents, spaces,
/// punctuation and invisible characters, and with one letter for all that look the same.
pub(crate) fn folded(name: &str) -> String {
    name.chars()
        .flat_map(char::to_lowercase)
        .filter(|c| c.is_alphanumeric())
        .map(looks_like)
        .collect()
}

/// The representative of all letters that look like this one, in either case.
const fn looks_like(c: char) -> char {
    match c {
        'à'..='å' | 'ā' | 'ă' | 'ą' | 'ǎ' | 'а' | 'α' => 'a',
        'в' | 'β' | 'ь' => 'b',
        'ç' | 'ć' | 'ĉ' | 'ċ' | 'č' | 'с' | 'ϲ' => 'c',
        'ď' | 'đ' | 'ԁ' => 'd',
        'è'..='ë' | 'ē' | 'ĕ' | 'ė' | 'ę' | 'ě' | 'е' | 'ё' | 'є' | 'ε' => 'e',
        'ĝ' | 'ğ' | 'ġ' | 'ģ' | 'ԍ' => 'g',
        'ĥ' | 'ħ' | 'н' | 'һ' | 'η' => 'h',
        // A capital I, a small l and a one look the same in many fonts.
        'ì'..='ï'
        | 'ĩ'
        | 'ī'
        | 'ĭ'
        | 'į'
        | 'ı'
        | 'і'
        | 'ї'
        | 'ι'
        | 'l'
        | 'ł'
        | 'ĺ'
        | 'ļ'
        | 'ľ'
        | 'ӏ'
        | '1' => 'i',
        'ĵ' | 'ј' => 'j',
        'ķ' | 'к' | 'κ' => 'k',
        'м' | 'μ' | '\u{b5}' => 'm',
        'ñ' | 'ń' | 'ņ' | 'ň' => 'n',
        'ò'..='ö' | 'ø' | 'ō' | 'ŏ' | 'ő' | 'о' | 'ο' | 'σ' | 'ς' | '0' => 'o',
        'р' | 'ρ' => 'p',
        'ԛ' => 'q',
        'ŕ' | 'ŗ' | 'ř' => 'r',
        'ś' | 'ŝ' | 'ş' | 'š' | 'ș' | 'ѕ' => 's',
        'ţ' | 'ť' | 'ț' | 'т' | 'τ' => 't',
        'ù'..='ü' | 'ũ' | 'ū' | 'ŭ' | 'ů' | 'ű' | 'ų' => 'u',
        'ν' | 'ѵ' => 'v',
        'ŵ' | 'ԝ' | 'ω' => 'w',
        'х' | 'χ' => 'x',
        'ý' | 'ÿ' | 'у' | 'ү' | 'υ' | 'γ' => 'y',
        'ź' | 'ż' | 'ž' | 'ζ' => 'z',
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_pass_for_each_other_are_one() {
        let rosa = folded("Rosa Lindqvist");
        for same in [
            "ROSA LINDQVIST",
            " rosa  lindqvist.",
            "Rоsа Lіndqvist",
            "R\u{3bf}sa Iindqvist",
            "Ros\u{e1} Lindqvist",
            "Rosa\u{301} Lindqvist",
            "Rosa\u{202e} Lin\u{200b}dqvist",
        ] {
            assert_eq!(folded(same), rosa, "{same}");
        }
        for other in ["Rosa Lindquist", "Rosa", "Lindqvist Rosa", "Røsa Landqvist"] {
            assert_ne!(folded(other), rosa, "{other}");
        }
    }
}
