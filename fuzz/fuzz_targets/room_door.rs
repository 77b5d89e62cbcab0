//! The wasm door of a practice room, natively.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| windrow_web_room::fuzzed::calls(bytes));
