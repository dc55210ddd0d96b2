//! Published figures, worked examples and hand-computed visits, compared with what the program finds.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // tests may panic

mod circuit;
mod iec;
mod sources;
mod tables;
mod thermal;
mod units;
mod visits;
