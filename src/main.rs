//! The `warmlug` program: hands the command line to the library and turns its answer into an
//! exit code.

use std::process::ExitCode;

#[cfg(target_os = "linux")]
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    warmlug::cli::run(std::env::args_os())
}
