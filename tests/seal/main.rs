//! The seal: signing, identities, and what verifying says of every kind of change.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // tests may panic

mod added_bytes;
#[path = "../common/compose_common/mod.rs"]
mod compose_common;
mod contents;
mod countersign;
mod document_stamp;
mod identity;
mod low_s;
mod mutations;
#[path = "../common/pdf_common.rs"]
mod pdf_common;
mod purposes;
mod rendered;
#[path = "../common/rules_files.rs"]
mod rules_files;
#[path = "../common/seal_common/mod.rs"]
mod seal_common;
mod sealed_bytes;
mod sign;
mod timestamp;
mod trust;
mod unsigned_parts;
mod validation;
mod versions;
