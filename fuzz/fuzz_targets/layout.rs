//! Layout documents: one that holds takes a set and gives it back within half a step, or says why not.
#![no_main]
use libfuzzer_sys::fuzz_target;
use washboard_handover::{Layout, compare_within_half_a_step, image};

mod sample;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let Ok(layout) = Layout::from_ron(text) else { return };
    let set = sample::set();
    if let Ok(image) = image::encode(set, &layout) {
        let decoded = image::decode(&image.bytes, &layout, set).expect("it was just written");
        assert!(compare_within_half_a_step(set, &decoded.set, &layout).is_empty());
    }
});
