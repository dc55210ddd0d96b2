//! Rule sets: thresholds and tables as data, each with its source.

pub mod circuit;
pub mod error;
mod load;
pub mod model;
mod number;
mod reader;
pub mod torque;
mod tree;

pub use error::RulesError;
pub use load::{built_in, built_in_ids, load};
pub use model::*;
pub use torque::TorqueRules;
