//! Repair orders: what a certificate asks for, taken from its record, as a document for whoever repairs
//! and as lines of a quote or an invoice.
//!
//! The jobs are those of [`Speaker::jobs`](crate::compose::Speaker::jobs), one for each finding.

mod error;
pub mod from_certificate;
pub mod lines;

pub use error::OrderError;
