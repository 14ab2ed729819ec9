//! The bytes that are kept of fuzzing, given once to everything that reads a file. DEVELOPERS.md says how to fuzz.
#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]

#[path = "common/fuzzed.rs"]
mod fuzzed;

use std::path::Path;

#[test]
fn what_is_kept_of_fuzzing_does_no_harm() {
    for sort in fuzzed::SORTS {
        let dir = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz_corpus").join(sort);
        let mut files: Vec<_> = std::fs::read_dir(&dir).unwrap().map(|entry| entry.unwrap().path()).collect();
        files.sort();
        assert!(!files.is_empty(), "nothing is kept for {sort}");
        for file in files {
            fuzzed::run(sort, &std::fs::read(file).unwrap());
        }
    }
}
