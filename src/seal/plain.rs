//! Text from untrusted files, made safe for display.

use crate::yaml::is_invisible;

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

/// What somebody else wrote, in quotation marks.
pub(crate) fn quoted(text: &str) -> String {
    format!("“{}”", inside_quotes(text))
}

/// The text with single quotation marks, so that a quotation ends where it seems to end.
pub(crate) fn inside_quotes(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '"' | '“' | '”' | '„' | '‟' | '«' | '»' | '〝' | '〞' | '〟' | '＂' => {
                '\''
            }
            c => c,
        })
        .collect()
}

/// The same for a PDF name.
pub(crate) fn shown_name(name: &[u8]) -> String {
    shown(&String::from_utf8_lossy(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shown_keeps_its_order() {
        assert_eq!(shown("A\u{202e}b\u{1b}[31m\u{2066}c\n"), "Ab[31mc");
        assert_eq!(quoted("x”; all is well (“y"), "“x'; all is well ('y”");
        assert!(is_plain("Amal Okafor") && !is_plain("Amal\u{202e}"));
    }
}
