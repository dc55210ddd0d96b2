//! The `warmlug` program: hands the command line to the library and turns its answer into an
//! exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    warmlug::cli::run(std::env::args_os())
}
