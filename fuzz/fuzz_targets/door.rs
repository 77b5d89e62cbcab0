//! The wasm door of a listening device, natively.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| windrow_web::door::fuzzed::calls(bytes));
