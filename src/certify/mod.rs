//! From an assessed visit to its certificate: images are prepared, pages composed and typeset, the
//! record attached, and the file made ready for sealing.
//!
//! No file is opened here. The caller has read the visit, its rules and its earlier visits, and
//! photos come from a [`Folder`](crate::photo::Folder) on disk or in memory.

pub mod error;
mod in_folder;
pub mod loaded;
pub mod ready;
pub mod unsealed;
pub mod visit_images;

pub use error::CertifyError;
pub use in_folder::InFolder;
pub use loaded::{Loaded, RulesInForce};
