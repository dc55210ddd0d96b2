//! The program itself, run in a fresh folder: what it prints, what it writes, how it exits.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod batch;
mod certify;
mod check;
mod explain;
mod hands;
mod named_files;
mod new;
mod other;
mod register;
mod run;
mod verify;
mod watch;
mod worksheet;
