//! Kinds of file.

/// A kind of file: its name in messages, and its limits. A file may come from a stranger; nothing
/// in it may make the reader hang or exhaust memory.
pub(crate) struct Form {
    /// What the file is, without an article: `visit file`.
    pub name: &'static str,
    /// What one file describes, without an article: `visit`.
    pub about: &'static str,
    /// Maximum size in bytes.
    pub bytes: usize,
    /// Advice for a larger file.
    pub too_large: &'static str,
    /// Maximum nesting of lists and maps.
    pub nesting: usize,
    /// Usual nesting of a valid file, in words, for the message.
    pub usual_nesting: &'static str,
    /// Maximum number of values; those repeated by an alias count again.
    pub values: usize,
    /// Maximum number of aliases (`*name`).
    pub aliases: usize,
    /// Advice for an empty file.
    pub empty: &'static str,
}
