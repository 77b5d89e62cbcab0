//! The `windrow` program once more, for tests that have to start it and kill it: cargo builds a package's own programs
//! before its tests, but not another package's.

#![forbid(unsafe_code)]

use std::process::ExitCode;

fn main() -> ExitCode {
    windrow_tests::process::be_the_program()
}
