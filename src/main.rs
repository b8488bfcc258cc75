//! The `dryside` program.

use std::process::ExitCode;

fn main() -> ExitCode {
    dryside::cli::run(std::env::args_os())
}
