//! Text from a file as messages quote it.

/// Maximum length of a quoted text in a message, in characters.
const QUOTED: usize = 40;

/// A text as quoted in a message: without control characters, truncated if long.
pub(crate) fn shorten(text: &str) -> String {
    let mut out: String = text
        .chars()
        .take(QUOTED)
        .map(|c| {
            if c.is_control() || is_invisible(c) {
                char::REPLACEMENT_CHARACTER
            } else {
                c
            }
        })
        .collect();
    if text.chars().nth(QUOTED).is_some() {
        out.push('…');
    }
    out
}

/// Characters that change or hide the text around them: bidirectional controls (which can make a
/// line appear different from what it is), zero-width characters, the byte-order mark.
pub(crate) fn is_invisible(c: char) -> bool {
    matches!(
        c,
        '\u{ad}'
            | '\u{61c}'
            | '\u{180e}'
            | '\u{200b}'..='\u{200f}'
            | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{feff}'
            | '\u{fffe}'..='\u{ffff}'
            | '\u{fff9}'..='\u{fffb}'
            | '\u{e0000}'..='\u{e007f}'
    )
}
