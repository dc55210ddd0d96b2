//! Files on disk: written completely or not at all, and changed by one run at a time.

#[cfg(not(target_family = "wasm"))]
pub mod atomic;
pub mod error;
#[cfg(not(target_family = "wasm"))]
pub mod lock;
#[cfg(not(target_family = "wasm"))]
pub mod space;

#[cfg(not(target_family = "wasm"))]
pub use atomic::{Existing, Readers, private_folder, whole_file};
pub use error::DiskError;
#[cfg(not(target_family = "wasm"))]
pub use lock::lock;
