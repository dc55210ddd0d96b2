//! Text from untrusted files, made safe for display.

use crate::quoted::is_invisible;

/// Maximum number of characters of a name within a sentence, as of a common name (RFC 5280, appendix
/// A.1).
const MOST_OF_A_NAME: usize = 64;

fn misleads(c: char) -> bool {
    c.is_control() || is_invisible(c)
}

/// Whether a text contains nothing that changes how it or its surroundings are displayed.
pub(crate) fn is_plain(text: &str) -> bool {
    !text.chars().any(misleads)
}

/// The text without control characters and without those that reorder or hide their surroundings,
/// for terminals.
pub(crate) fn shown(text: &str) -> String {
    printable(text, 256)
}

/// The same with at most so many characters.
pub(crate) fn printable(text: &str, most: usize) -> String {
    text.chars().filter(|c| !misleads(*c)).take(most).collect()
}

/// Text that somebody else wrote, in quotation marks.
pub(crate) fn quoted(text: &str) -> String {
    format!("“{}”", inside_quotes(text))
}

/// A name that somebody else wrote, in quotation marks and shortened, so that it does not read as a
/// sentence of this program.
pub(crate) fn quoted_name(name: &str) -> String {
    let name = shown(name);
    let mut cut: String = name.chars().take(MOST_OF_A_NAME).collect();
    if cut.len() < name.len() {
        cut.push('…');
    }
    quoted(&cut)
}

/// The text with single quotation marks, so that a quotation ends where it seems to end.
pub(crate) fn inside_quotes(text: &str) -> String {
    let single = |c| if is_quotation_mark(c) { '\'' } else { c };
    text.chars().map(single).collect()
}

/// Whether a character is, or looks like, a double or angle quotation mark, or is a bracket that marks
/// a quotation: the categories Pi and Pf of Unicode, and the others with the property `Quotation_Mark`
/// or with that look.
const fn is_quotation_mark(c: char) -> bool {
    matches!(
        c,
        '"' | '«' | '»' | 'ʺ' | 'ˮ' | '״'
            | '\u{2018}'..='\u{201f}'
            | '″' | '‴' | '‶' | '‷' | '⁗' | '‹' | '›'
            | '\u{275b}'..='\u{2760}'
            | '❮' | '❯'
            | '⸂'..='⸅' | '⸉' | '⸊' | '⸌' | '⸍' | '⸜' | '⸝' | '⸠' | '⸡' | '⹂'
            | '〃' | '「'..='』' | '〝'..='〟' | '﹁'..='﹄' | '＂' | '｢' | '｣'
            | '\u{1f676}'..='\u{1f678}'
    )
}

/// The same for a PDF name.
pub(crate) fn shown_name(name: &[u8]) -> String {
    shown(&String::from_utf8_lossy(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_name_is_shortened() {
        let name = "é".repeat(64);
        assert_eq!(quoted_name(&name), format!("“{name}”"));
        assert_eq!(quoted_name(&format!("{name}x")), format!("“{name}…”"));
        assert_eq!(quoted_name("A ”b\u{202e}"), "“A 'b”");
    }

    #[test]
    fn what_is_shown_keeps_its_order() {
        assert_eq!(shown("A\u{202e}b\u{1b}[31m\u{2066}c\n"), "Ab[31mc");
        assert_eq!(quoted("x”; all is well (“y"), "“x'; all is well ('y”");
        // The categories Pi and Pf (UnicodeData.txt of Unicode 16), and what looks like one of them.
        let initial_and_final = "«»‘’‛“”‟‹›⸂⸃⸄⸅⸉⸊⸌⸍⸜⸝⸠⸡";
        for mark in initial_and_final
            .chars()
            .chain("\"„‚❝❞❠″״ʺ⹂〝〞〟＂🙶🙷🙸".chars())
        {
            assert_eq!(inside_quotes(&format!("a{mark}b")), "a'b", "{mark}");
        }
        assert!(is_plain("Amal Okafor") && !is_plain("Amal\u{202e}"));
    }
}
