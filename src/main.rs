//! The `warmlug` program: passes the command line to the library and returns its exit code.

use std::process::ExitCode;

#[cfg(target_os = "linux")]
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    warmlug::cli::run(std::env::args_os())
}
