//! What comes after a certificate: its record read back and computed again.

pub mod contents;
pub mod record;
