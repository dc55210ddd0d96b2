//! Text inside pages of HTML.

/// Escapes text for an element or an attribute; it may come from a stranger.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            // A name may contain what would be markup.
            '{' => out.push_str("&#123;"),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::escaped;

    #[test]
    fn names_cannot_break_the_page() {
        assert_eq!(
            escaped("<b> \"{data}\" &"),
            "&lt;b&gt; &quot;&#123;data}&quot; &amp;"
        );
    }
}
