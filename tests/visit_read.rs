//! The visit file, read from outside: sound files, bad files with every word of their
//! messages, hostile files, the schema beside the reader, and files written again.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "visit/any.rs"]
mod any;
#[path = "visit/bad.rs"]
mod bad;
#[path = "visit/good.rs"]
mod good;
#[path = "visit/hostile.rs"]
mod hostile;
#[path = "visit/schema.rs"]
mod schema;
#[path = "visit/world.rs"]
mod world;
#[path = "visit/written.rs"]
mod written;
