//! Measured profiles: what is read rises in distance, is finite, and is as long in every track.
#![no_main]
use libfuzzer_sys::fuzz_target;
use washboard_road::Elevation;

#[allow(dead_code)]
#[path = "../../crates/washboard/src/profile_file.rs"]
mod profile_file;

fuzz_target!(|bytes: &[u8]| {
    let Ok(profile) = profile_file::parse(bytes, "fuzz") else { return };
    let x = profile.distance_m();
    assert!(x.len() >= 2 && x.windows(2).all(|pair| pair[0] < pair[1]));
    let tracks = match profile.elevation_m() {
        Elevation::One(one) => vec![one],
        Elevation::Two(left, right) => vec![left, right],
    };
    assert!(tracks.iter().all(|track| track.len() == x.len() && track.iter().all(|z| z.is_finite())));
});
