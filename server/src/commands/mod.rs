//! One file a subcommand. Here alone (with `player`) may the analysis of sound be used.

mod account;
pub mod backup;
mod columns;
pub mod demo;
#[cfg(any(test, feature = "fuzzing"))]
pub(crate) mod fuzzed;
pub mod measure;
pub mod passphrase;
pub mod plan;
pub mod play;
pub mod practice;
pub mod records;
pub mod restore;
pub mod roster;
pub mod serve;
pub(crate) mod sound_file;
