//! The visit file: what it may say, where in the source it says it, and every check that needs
//! no rule set.

pub mod model;
pub mod surroundings;

pub use model::*;
pub use surroundings::{ImageFacts, ImageProblem, Surroundings};
