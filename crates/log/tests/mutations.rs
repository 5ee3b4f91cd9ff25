//! Damaged records: refused in a sentence or read as what they are, never a panic.

#![allow(clippy::unwrap_used)] // a test fails by panicking

#[path = "../../session/tests/common/mutate.rs"]
mod mutate;

use mutate::{Dice, corpus, damaged};
use washboard_log::read_csv;

/// Damaged copies of each sample.
const COPIES: usize = 500;

#[test]
fn damaged_records_are_refused_or_even_and_finite() {
    let (mut tried, mut read) = (0, 0);
    for (index, whole) in corpus("log").iter().enumerate() {
        let mut dice = Dice::new(index as u64 + 31);
        for _ in 0..COPIES {
            let bytes = damaged(whole, &mut dice);
            tried += 1;
            match read_csv(bytes.as_slice(), &[]) {
                Ok(log) => {
                    read += 1;
                    let samples = log.samples();
                    assert!(log.sample_rate_hz.is_finite() && log.sample_rate_hz > 0.0 && samples >= 2);
                    for channel in &log.channels {
                        assert!(channel.values.len() == samples && channel.values.iter().all(|v| v.is_finite()));
                    }
                }
                Err(fault) => assert_eq!(fault.to_string().lines().count(), 1, "{fault}"),
            }
        }
    }
    assert!(read > 20 && read < tried, "{read} of {tried} were still records");
}
