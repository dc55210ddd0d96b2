//! The physics of heat at a connection: from the displayed temperature to the rise at which a joint
//! would settle at rated load, each number with its uncertainty.
//!
//! Pure functions on numbers; the engine knows about rounds, places and visits. Exponentials,
//! logarithms and powers come from `libm` instead of the platform, so that every machine computes
//! the same last digit and a certificate is the same byte for byte.

pub mod contact;
pub mod load_scaling;
pub mod pattern;
pub mod radiance;
pub mod settle;
pub mod spot;
pub mod trend;
pub mod uncertainty;
