//! Memory images, plain and Intel HEX.
#![no_main]
use libfuzzer_sys::fuzz_target;
use washboard_handover::image;

mod sample;

fuzz_target!(|bytes: &[u8]| {
    let (layout, set) = (sample::layout(), sample::set());
    for layout in [layout, sample::many_types()] {
        // Any other length is refused at once; what is read behind that shall be tried with every input.
        let mut memory = bytes.to_vec();
        memory.resize(layout.memory.bytes as usize, layout.memory.fill);
        let _ = image::decode(&memory, layout, set);
    }
    if let Ok(text) = std::str::from_utf8(bytes)
        && let Ok(memory) = image::read_hex(text, layout)
    {
        assert_eq!(memory.len(), layout.memory.bytes as usize);
        let _ = image::decode(&memory, layout, set);
    }
});
