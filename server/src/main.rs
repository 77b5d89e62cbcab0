//! The `windrow` program. It must hold no rule and no text of its own.

use std::process::ExitCode;

fn main() -> ExitCode {
    windrow::run_program()
}
