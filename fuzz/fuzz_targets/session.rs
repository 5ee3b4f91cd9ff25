//! Sessions in RON and JSON: whatever passes its check comes back the same after writing.
#![no_main]
use libfuzzer_sys::fuzz_target;
use washboard_session::{check, parse_json, parse_ron, to_ron};

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    for session in [parse_ron(text), parse_json(text)].into_iter().flatten() {
        if check(&session).is_ok() {
            let again = parse_ron(&to_ron(&session).expect("what holds can be written")).expect("and read");
            assert_eq!(again, session);
        }
    }
});
