//! The next visit: its file, the worksheet to take along, and the filled-in sheet read back.

pub mod blanks;
#[cfg(not(target_family = "wasm"))]
pub mod fact;
#[cfg(not(target_family = "wasm"))]
pub mod first_visit;
#[cfg(not(target_family = "wasm"))]
pub mod form_fields;
#[cfg(not(target_family = "wasm"))]
pub mod last_time;
pub mod merge;
#[cfg(not(target_family = "wasm"))]
pub mod needed_keys;
#[cfg(not(target_family = "wasm"))]
pub mod next_visit;
pub mod page_engine;
#[cfg(not(target_family = "wasm"))]
pub mod phone_page;
#[cfg(not(target_family = "wasm"))]
pub mod saved_page;
#[cfg(not(target_family = "wasm"))]
mod wrap;
