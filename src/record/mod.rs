//! A certificate's record: read from under the seal, recomputed, and compared with the pages.

pub mod accepted;
#[cfg(not(target_family = "wasm"))]
pub mod answers;
#[cfg(not(target_family = "wasm"))]
pub mod contents;
#[cfg(not(target_family = "wasm"))]
mod facts;
#[cfg(not(target_family = "wasm"))]
pub mod made_by;
#[cfg(not(target_family = "wasm"))]
pub mod other_rules;
#[cfg(not(target_family = "wasm"))]
pub mod printed_words;
#[cfg(not(target_family = "wasm"))]
pub mod recompute;
#[cfg(not(target_family = "wasm"))]
pub mod standing;
#[cfg(not(target_family = "wasm"))]
pub mod stated;
