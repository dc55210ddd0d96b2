//! Names that a hasty reader may confuse, by the confusable characters of Unicode UTS 39, section
//! 4.

use unicode_normalization::UnicodeNormalization;
use unicode_security::skeleton;

/// A name as a hasty reader sees it, for finding names that look alike: with compatibility forms
/// resolved, without case, accents, spaces, punctuation and invisible characters, and with one
/// letter for all letters that look the same.
pub(crate) fn folded(name: &str) -> String {
    let resolved: String = name.nfkd().collect();
    // First as written, because a capital may look like a different letter than its small form.
    // Then without case, because small letters have lookalikes of their own.
    let written: String = skeleton(&resolved).flat_map(char::to_lowercase).collect();
    let mut folded = String::new();
    for c in skeleton(&written)
        .flat_map(char::to_lowercase)
        .filter(|c| c.is_alphanumeric())
    {
        let same = match beyond_uts39(c) {
            Some(same) => same,
            None => {
                let bare = without_hooks(c);
                // Two letters that touch look like one: a dot above the second keeps them apart.
                match (folded.chars().last(), bare) {
                    (Some('c'), 'l') => {
                        folded.pop();
                        folded.push('d');
                    }
                    (Some('v'), 'v') => {
                        folded.pop();
                        folded.push('w');
                    }
                    _ => folded.push(bare),
                }
                continue;
            }
        };
        folded.push_str(same);
    }
    folded
}

/// Both ways to fold a name: as written, and as written in small letters. They differ in scripts
/// whose capitals look like Latin letters but whose small letters do not. Two names look alike if
/// they share a form.
pub(crate) fn forms(name: &str) -> [String; 2] {
    // The two small sigmas have one capital.
    let small: String = name
        .nfkd()
        .flat_map(char::to_lowercase)
        .map(|c| if c == 'ς' { 'σ' } else { c })
        .collect();
    [folded(name), folded(&small)]
}

/// Whether a name has no letter and no digit, so that it names nobody.
pub(crate) fn is_blank(name: &str) -> bool {
    forms(name).iter().all(String::is_empty)
}

/// Letters that UTS 39 distinguishes but a hasty reader does not: small capitals, to which it maps
/// Cyrillic letters, and letters that look alike only in some fonts. Common practice, no source.
const fn beyond_uts39(c: char) -> Option<&'static str> {
    Some(match c {
        'ᴀ' => "a",
        'ʙ' | 'ƅ' | 'ß' => "b",
        'ς' => "c",
        'ᴅ' => "d",
        'ᴇ' | 'є' | 'ɛ' | 'ꞓ' | 'ε' => "e",
        'ɢ' => "g",
        'ʜ' => "h",
        // A capital I, a small l and a one; UTS 39 maps them to l.
        'i' | 'ɪ' | 'ʟ' => "l",
        'ᴊ' => "j",
        'ᴋ' | 'ĸ' => "k",
        // UTS 39 maps the letter m to r and n.
        'ᴍ' | 'ʍ' | 'μ' | 'ᶆ' | 'ꬺ' => "rn",
        'ɴ' => "n",
        'ᴘ' => "p",
        'ʀ' => "r",
        'ꜱ' => "s",
        'ᴛ' | 'τ' => "t",
        'ᴜ' => "u",
        'χ' => "x",
        'ʏ' => "y",
        'ω' => "w",
        'ζ' => "z",
        _ => return None,
    })
}

/// The basic letter of a Latin letter with a stroke, hook, tail or the like, which Unicode neither
/// decomposes nor has in the table of UTS 39. From the names of the characters (UnicodeData.txt), LATIN
/// SMALL LETTER … WITH …; common practice, no source.
const fn without_hooks(c: char) -> char {
    match c {
        'ⱥ' | 'ᶏ' => 'a',
        'ᵬ' | 'ᶀ' | 'ꞗ' => 'b',
        'ƈ' | 'ɕ' | 'ꞔ' => 'c',
        'ȡ' | 'ᵭ' | 'ᶁ' | 'ᶑ' | 'ꟈ' => 'd',
        'ᶒ' | 'ⱸ' | 'ꬴ' => 'e',
        'ᶂ' | 'ꜰ' => 'f',
        'ʛ' | 'ꞡ' => 'g',
        'ⱨ' | 'ꞕ' => 'h',
        'ʝ' => 'j',
        'ᶄ' | 'ⱪ' | 'ꝁ' | 'ꝃ' | 'ꝅ' | 'ꞣ' => 'k',
        'ȴ' | 'ɬ' | 'ᴌ' | 'ᶅ' | 'ⱡ' | 'ꝉ' | 'ꞎ' | 'ꬷ' | 'ꬸ' | 'ꬹ' | 'ᶖ' => 'l',
        'ȵ' | 'ᶇ' | 'ꞑ' | 'ꞥ' | 'ꬻ' => 'n',
        'ⱺ' | 'ꝍ' => 'o',
        'ᵱ' | 'ᶈ' | 'ꝑ' | 'ꝓ' | 'ꝕ' => 'p',
        'ɋ' | 'ꝗ' | 'ꝙ' | 'ꞯ' => 'q',
        'ɾ' | 'ᵳ' | 'ᶉ' | 'ꞧ' | 'ꭆ' | 'ꭉ' => 'r',
        'ȿ' | 'ᶊ' | 'ꞩ' | 'ꟊ' => 's',
        'ȶ' | 'ʈ' | 'ⱦ' => 't',
        'ᶙ' | 'ꞹ' => 'u',
        'ʋ' | 'ᶌ' | 'ⱱ' | 'ⱴ' | 'ꝟ' => 'v',
        'ⱳ' => 'w',
        'ᶍ' | 'ꭖ' | 'ꭗ' | 'ꭘ' | 'ꭙ' => 'x',
        'ɀ' | 'ʑ' | 'ᶎ' => 'z',
        _ => c,
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
            // Compatibility forms: wide, bold, a ligature, the old s.
            "\u{ff32}\u{ff4f}\u{ff53}\u{ff41} Lindqvist",
            "\u{1d411}\u{1d428}\u{1d42c}\u{1d41a} Lindqvist",
            "Ro\u{17f}a Lindqvi\u{fb06}",
            // Cherokee, Armenian, Lisu.
            "\u{13a1}osa Lindqvist",
            "R\u{585}sa Lindqvist",
            "Rosa \u{a4e1}indqvist",
            // Letters that show nothing: a Hangul filler, a grapheme joiner, a variation selector.
            "Rosa\u{3164} Lindqvist",
            "Rosa Lind\u{34f}qvist",
            "Rosa Lindqvist\u{fe0f}",
        ] {
            assert_eq!(folded(same), rosa, "{same}");
        }
        // Two letters that touch, and letters with hooks that the table of UTS 39 lacks.
        for same in ["Rosa Linclqvist", "Rosa Linȡqvist", "Ɽosɑ Lindqⱱist"] {
            assert_eq!(folded(same), rosa, "{same}");
        }
        assert_eq!(folded("Vvilma Beclc"), folded("Wilma Bedc"));
        assert_ne!(folded("Lucia"), folded("Luda"), "a dot keeps c and i apart");
        for other in ["Rosa Lindquist", "Rosa", "Lindqvist Rosa", "Røsa Landqvist"] {
            assert_ne!(folded(other), rosa, "{other}");
        }
    }

    /// UTS 39 (confusables.txt) and, for letters that it distinguishes, common practice.
    #[test]
    fn letters_of_other_scripts_are_those_they_look_like() {
        for (letters, like) in [
            ("аАαΑ", "a"),
            ("вВΒβЬь", "b"),
            ("сСϲ", "c"),
            ("еЕΕεёєé", "e"),
            ("нНΗ", "h"),
            ("іІΙιӏlI1ł", "l"),
            ("јЈ", "j"),
            ("кКΚκ", "k"),
            ("мМΜμ\u{b5}", "m"),
            ("ηΝñ", "n"),
            ("оОΟοσ0ø", "o"),
            ("рРΡρ", "p"),
            ("ѕЅ", "s"),
            ("тТΤτ", "t"),
            ("ν", "v"),
            ("хХΧχ", "x"),
            ("уУΥγ", "y"),
            ("Ζζ", "z"),
            ("đ", "d"),
            ("ħ", "h"),
        ] {
            for c in letters.chars() {
                assert_eq!(folded(&c.to_string()), folded(like), "{c} and {like}");
            }
        }
    }

    #[test]
    fn a_name_has_the_same_form_in_either_case() {
        let alike = |a: &str, b: &str| forms(a).iter().any(|form| forms(b).contains(form));
        for name in [
            "Νίκος Παππάς",
            "Мария Кузнецова",
            "Rosa Lindqvist",
            "Zoë Brandt",
        ] {
            assert!(alike(name, &name.to_uppercase()), "{name}");
            assert!(alike(name, &name.to_lowercase()), "{name}");
        }
        // Greek capitals that look Latin.
        assert!(alike("ΝΙΝΑ", "Nina"));
        assert!(!alike("Νίκος Παππάς", "Νίκος Παπάς"));
        assert!(!alike("李娜", "张伟"));
    }
}
