//! The visit file, read from outside.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "visit/bad.rs"]
mod bad;
#[path = "visit/good.rs"]
mod good;
#[path = "visit/hostile.rs"]
mod hostile;
#[path = "visit/world.rs"]
mod world;
