//! The findings engine: pure functions from a visit, a rule set and earlier visits to an
//! [`Assessment`]. No files, no clock, no words for customers.

mod charging_current;
pub mod circuit;
mod complete;
mod condition;
mod due;
mod engine;
pub mod explain;
mod heat;
mod heat_findings;
mod hints;
mod instruments;
mod isolation;
mod judgement;
mod legs;
pub mod model;
mod rated;
mod readings;
mod resistance;
mod since;
pub mod thermal;
pub mod torque;

pub use condition::word as condition_word;
pub use engine::{Earlier, EarlierConnection, assess, outcome};
pub use explain::explain;
pub use model::*;
