//! Damper bench data: what is read is within its limits, and becomes a table that a session takes, or a sentence.
#![no_main]
use libfuzzer_sys::fuzz_target;
use washboard_session::bench::{Direction, reduce};

#[allow(dead_code)]
#[path = "../../crates/washboard/src/bench_file.rs"]
mod bench_file;

fuzz_target!(|bytes: &[u8]| {
    let Ok(file) = bench_file::parse(bytes, "fuzz") else { return };
    assert!(!file.samples.is_empty());
    for direction in [Direction::FromData, Direction::Rebound, Direction::Compression] {
        if let Ok(reduced) = reduce(&file.samples, direction) {
            assert!(reduced.damper("damper").force_n.iter().flatten().all(|force| force.is_finite()));
        }
    }
});
