//! The rule sets, and the findings that follow from them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // tests may panic

mod apart;
#[path = "../common/assess_common.rs"]
mod assess_common;
mod evidence;
mod findings;
mod kinds;
mod left_out;
mod legs;
mod limits;
mod one_cause;
mod order;
mod planted;
mod planted_heat;
mod properties;
mod questions;
mod repaired;
mod rules_builtin;
mod rules_file;
#[path = "../common/rules_files.rs"]
mod rules_files;
mod sound;
mod whole;
mod without_load;
