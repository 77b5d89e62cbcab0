//! The `windrow` program. It must hold no rule and no text of its own.

#![forbid(unsafe_code)]

use std::process::ExitCode;

fn main() -> ExitCode {
    windrow::run_program()
}
