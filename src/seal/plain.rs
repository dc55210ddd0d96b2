//! Text out of other people's files, fit to be shown.

use crate::visit::is_invisible;

fn misleads(c: char) -> bool {
    c.is_control() || is_invisible(c)
}

/// The text without control characters and those that reorder or hide what is around them: it
/// goes to terminals.
pub(crate) fn shown(text: &str) -> String {
    text.chars().filter(|c| !misleads(*c)).take(256).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shown_keeps_its_order() {
        assert_eq!(shown("A\u{202e}b\u{1b}[31m\u{2066}c\n"), "Ab[31mc");
    }
}
