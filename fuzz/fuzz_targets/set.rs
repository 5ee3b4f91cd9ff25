//! A single file of a set, read back through the door that `verify` uses.
#![no_main]
use libfuzzer_sys::fuzz_target;
use washboard_handover::{CarSet, difference, identity};

mod sample;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(set) = serde_json::from_slice::<CarSet>(bytes) {
        let _ = (identity(&set), difference(sample::set(), &set).summary());
    }
});
