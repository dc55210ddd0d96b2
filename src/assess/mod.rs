//! The findings engine: pure functions from a visit, a rule set and earlier visits to an
//! [`Assessment`]. No files, no clock, no words for customers.

pub mod circuit;
pub mod model;
pub mod thermal;
pub mod torque;

pub use model::*;
