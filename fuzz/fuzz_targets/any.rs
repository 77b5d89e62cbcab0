//! Every target of the server in one binary, since linking it takes longer than running it for a while: `WINDROW_FUZZ` names which.

#![no_main]

use std::sync::LazyLock;

static TARGET: LazyLock<String> =
    LazyLock::new(|| std::env::var("WINDROW_FUZZ").expect("WINDROW_FUZZ names the target"));

libfuzzer_sys::fuzz_target!(
    init: {
        if *TARGET == "sound" {
            // The fuzzer's own hook ends the program at a panic that the program catches.
            std::panic::set_hook(Box::new(|_| {}));
        }
    },
    |bytes: &[u8]| windrow::fuzzing::eat(&TARGET, bytes)
);
