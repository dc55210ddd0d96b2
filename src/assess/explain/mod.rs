//! How every number of one connection came about, step by step, so that a reader can redo it
//! with a calculator: formula, inputs with units, result, uncertainty with the share of each
//! source, and where the rule comes from.
//!
//! The steps call the same functions as the assessment does and take their inputs from the same
//! places; a test holds their results against the assessment's. Values are in SI units (°C for
//! temperatures). The wording is the trade's own; whoever prints it may translate by the keys.

mod about;
mod circuit_checks;
mod compare;
mod connection;
mod model;
mod rating;
mod reading;
mod settling;
mod torque_check;

pub use circuit_checks::explain_circuit;
pub use connection::explain;
pub use model::{Explanation, Input, Share, Step, StepUncertainty};
