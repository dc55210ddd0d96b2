//! Files on disk: written completely or not at all, and changed by one run at a time.

pub mod atomic;
pub mod error;
pub mod lock;

pub use atomic::{Existing, Readers, private_folder, whole_file};
pub use error::DiskError;
pub use lock::lock;
