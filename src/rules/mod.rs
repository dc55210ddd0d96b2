//! Rule sets: thresholds and tables as data, each with its source.

mod built_in;
pub mod circuit;
pub mod error;
pub mod listing;
mod load;
pub mod model;
mod number;
mod reader;
pub mod starter;
pub mod torque;
mod tree;

pub use built_in::{get as built_in, ids as built_in_ids};
pub use error::RulesError;
pub use listing::{diff, json, text};
pub use load::load;
pub use model::*;
pub use starter::Starter;
pub use torque::TorqueRules;
