//! Intake of photos.

/// (skeleton) An image ready for embedding.
#[derive(Debug, Clone, PartialEq)]
pub struct PreparedImage {}
