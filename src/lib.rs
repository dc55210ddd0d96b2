//! warmlug turns one inspection visit to an EV-charger circuit into findings and a signed
//! PDF certificate.
//!
//! Data goes one way through five stages, one folder each; nothing points back:
//! [`visit`] parses and validates the file, [`assess`] computes the findings with a rule set
//! from [`rules`], [`compose`] puts them into words and sections, [`typeset`] lays those out as
//! PDF, [`seal`] signs and verifies. [`quantity`] holds the units they all share.
//!
//! As WebAssembly, for the worksheet's page, there is what needs neither files nor a clock: the
//! stages up to [`compose`], and [`follow::engine`].

pub mod assess;
#[cfg(not(target_family = "wasm"))]
pub mod cli;
pub mod compose;
pub mod follow;
pub mod photo;
pub mod quantity;
pub mod rules;
#[cfg(not(target_family = "wasm"))]
pub mod seal;
#[cfg(not(target_family = "wasm"))]
pub mod typeset;
pub mod visit;
