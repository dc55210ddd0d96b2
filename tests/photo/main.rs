//! Photos: what is read from a folder, and what of it reaches the certificate.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // tests may panic

mod embedding;
mod examples;
mod formats;
mod intake;
#[path = "../common/photo_fixtures.rs"]
mod photo_fixtures;
