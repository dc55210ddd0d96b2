//! How every number of one connection is obtained, step by step, so that a reader can repeat it
//! with a calculator: formula, inputs with units, result, uncertainty with the share of each
//! source, and where the rule comes from.
//!
//! The steps call the same functions as the assessment and take their inputs from the same places;
//! a test compares their results with the assessment's. Values are in SI units (°C for
//! temperatures). The wording uses the trade's terms; callers may translate it by key.

mod about;
mod circuit_checks;
mod compare;
mod corrected_reading;
mod explanation;
mod one_connection;
mod rating;
mod settling;
mod torque_check;

pub use circuit_checks::explain_circuit;
pub use explanation::{Explanation, Input, Share, Step, StepUncertainty};
pub use one_connection::explain;
