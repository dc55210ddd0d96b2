//! The visit file and the quantities in it: what is read, what is refused and in which words.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // tests may panic

mod any;
mod bad;
mod examples;
mod fill;
mod firm;
mod fuzz_corpus;
mod good;
mod hostile;
mod quantity_properties;
mod quantity_spellings;
mod schema;
mod world;
mod written;
