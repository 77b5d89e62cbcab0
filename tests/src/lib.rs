//! Harness for whole-system tests: a server on a free port, players and conductors over real sockets.

pub mod wasm_sources;
