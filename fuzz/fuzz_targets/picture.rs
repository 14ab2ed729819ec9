#![no_main]

#[path = "../../tests/common/fuzzed.rs"]
mod fuzzed;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| fuzzed::run("picture", bytes));
