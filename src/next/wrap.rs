//! Wrapped comments of a visit file.

/// Width of the comments in a visit file, in characters.
const COMMENT_WIDTH: usize = 90;

/// Text as lines of at most [`COMMENT_WIDTH`] characters, all but the first indented.
pub(super) fn wrapped(text: &str, indent: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let full = lines.last().is_some_and(|l| {
            !l.trim().is_empty() && l.chars().count() + word.chars().count() >= COMMENT_WIDTH
        });
        if full {
            lines.push(" ".repeat(indent));
        }
        if let Some(line) = lines.last_mut() {
            if !line.trim().is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines
}
