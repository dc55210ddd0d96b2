//! From an assessed visit to its certificate: images made ready, pages composed and typeset, the
//! record attached, and the whole sealed.
//!
//! No file is opened here: whoever calls has read the visit, its rules and its earlier visits, and the
//! photos come from a [`Folder`](crate::photo::Folder), on disk or in memory.

pub mod error;
pub mod images;
pub mod loaded;
pub mod pages;
pub mod ready;

pub use error::CertifyError;
pub use loaded::{Loaded, RulesInForce};
