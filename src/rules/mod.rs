//! Rule sets: thresholds and tables as data, each with its source.

mod built_in;
mod built_in_trees;
pub mod circuit_limits;
mod editions;
pub mod listing;
mod load;
pub mod needed;
mod number;
mod positioned;
pub mod rule_set;
mod sourced;
pub mod starter_values;
pub mod torque_limits;
mod typed_values;

pub use built_in::{get as built_in, in_edition as built_in_edition, with_starter};
pub use built_in_trees::ids as built_in_ids;
pub use editions::EditionError;
pub use listing::{diff, json, text};
pub use load::{load, load_edition, load_recorded};
pub use needed::{Needed, NeededKeys};
pub use rule_set::*;
pub use sourced::*;
pub use starter_values::Starter;
pub use torque_limits::TorqueRules;
