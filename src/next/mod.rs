//! The next visit: its file, the worksheet to take along, and the filled-in sheet read back.

pub mod blanks;
pub mod copies;
pub mod fact;
pub mod first_visit;
pub mod form_fields;
pub mod last;
pub mod last_time;
pub mod merge;
pub mod needed_keys;
pub mod next_visit;
pub mod page_engine;
#[cfg(not(target_family = "wasm"))]
pub mod saved_page;
pub mod sheet;
pub mod sheet_html;
mod wrap;
