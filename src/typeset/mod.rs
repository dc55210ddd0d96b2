//! From the document tree to a PDF: the only folder that knows points on a page.
//!
//! Files are named for the phases that a document goes through.

mod repertoire;

pub use face::prints;

mod face;
