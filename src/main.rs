//! The Witnessmark program; everything it does stands in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    witnessmark::cli::run(std::env::args_os())
}
