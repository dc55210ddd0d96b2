//! Kinds of file.

/// A kind of file: what messages call it, and how much it may hold. A file may come from a
/// stranger; nothing in it may make the reader hang or fill the memory.
pub(crate) struct Form {
    /// What the file is, without an article: `visit file`.
    pub name: &'static str,
    /// What one file describes, without an article: `visit`.
    pub about: &'static str,
    /// Bytes.
    pub bytes: usize,
    /// What to do with a file that has more.
    pub too_large: &'static str,
    /// Lists and maps inside each other.
    pub nesting: usize,
    /// How many a sound file has, in words, for the message.
    pub usual_nesting: &'static str,
    /// Values, those that an alias repeats counted again.
    pub values: usize,
    /// Aliases (`*name`).
    pub aliases: usize,
    /// What to do with an empty file.
    pub empty: &'static str,
}
