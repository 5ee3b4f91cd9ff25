//! Measured records: what is read is finite, even in time, and as long in every channel.
#![no_main]
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(log) = washboard_log::read_csv(bytes, &[]) else { return };
    assert!(log.sample_rate_hz > 0.0);
    let samples = log.samples();
    assert!(log.channels.iter().all(|c| c.values.len() == samples && c.values.iter().all(|v| v.is_finite())));
});
