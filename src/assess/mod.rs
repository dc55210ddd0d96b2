//! The findings engine: pure functions from a visit, a rule set and earlier visits to an
//! [`Assessment`]. No files, no clock, no text for customers.

mod as_left;
pub mod assessment;
mod baseline;
mod before_repair;
mod by_built_in;
mod charging;
mod check_result;
pub mod circuit;
mod complete;
mod condition;
mod diagnose;
mod due;
mod earlier;
mod engine;
pub mod explain;
mod finding;
mod heat;
mod instruments;
mod isolation;
mod judgement;
mod notes;
mod order;
pub mod owner_look;
pub mod parts;
pub mod physics;
pub mod questions;
mod repairs;
pub mod torque;

pub use assessment::*;
pub use by_built_in::{ByBuiltIn, Stricter, by_built_in};
pub use earlier::{Earlier, EarlierConnection};
pub use engine::{assess, conclude, outcome};
pub use explain::explain;
pub use finding::{Charging, Finding};
