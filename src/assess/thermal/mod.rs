//! The physics of heat at a connection: from what a thermometer shows to what a joint would
//! settle to at rated load, each number with its uncertainty.
//!
//! Pure functions over numbers; what a round, a place or a visit is, is the engine's business.
//! Exponentials, logarithms and powers come from `libm` instead of the platform, so that every
//! machine computes the same last digit and a certificate is the same byte for byte.

pub mod contact;
pub mod load_scaling;
pub mod pattern;
pub mod radiance;
pub mod settle;
pub mod spot;
pub mod trend;
pub mod uncertainty;
