//! Rule sets: thresholds and tables as data, each with its source.

pub mod circuit;
pub mod model;

pub use model::*;
