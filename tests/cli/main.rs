//! The program itself, run in a fresh folder: what it prints, what it writes, how it exits.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod batch;
#[cfg(target_os = "linux")]
mod bounds;
mod certify;
mod check;
mod due;
mod editions;
mod explain;
#[cfg(unix)]
mod faults;
mod filing;
mod firm;
mod fleet;
mod hands;
mod kept;
mod met;
mod named_files;
mod new;
mod order;
mod other;
#[cfg(target_os = "linux")]
#[path = "../common/pdf_common.rs"]
mod pdf_common;
#[path = "../common/photo_fixtures.rs"]
mod photo_fixtures;
mod register;
mod repaired;
mod run;
mod serve;
mod spared;
mod upgrade;
mod verify;
#[cfg(unix)]
mod walk;
mod watch;
mod web;
mod worksheet;
