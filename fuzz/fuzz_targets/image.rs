//! Memory images, plain and Intel HEX.
#![no_main]
use libfuzzer_sys::fuzz_target;
use washboard_handover::image;

mod sample;

fuzz_target!(|bytes: &[u8]| {
    let layout = sample::layout();
    let _ = image::decode(bytes, &layout, &sample::set());
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = image::read_hex(text, &layout);
    }
});
