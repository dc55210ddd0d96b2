//! Files on disk: written completely or not at all, and changed by one run at a time.

pub mod error;
pub mod lock;
pub mod write;

pub use error::DiskError;
pub use lock::lock;
pub use write::{Existing, Readers, private_folder, whole_file};
