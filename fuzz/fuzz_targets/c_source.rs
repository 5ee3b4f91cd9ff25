//! C header and source, cut at the first null byte.
#![no_main]
use libfuzzer_sys::fuzz_target;
use washboard_handover::{c_source, image};

mod sample;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let (header, source) = text.split_once('\0').unwrap_or((text, text));
    let layout = sample::layout();
    let Ok(read) = c_source::read(header, source, layout) else { return };
    if let Some(memory) = read.bytes {
        let _ = image::decode(&memory, layout, sample::set());
    }
});
