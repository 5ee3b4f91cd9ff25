//! Damaged profiles and bench data: refused in a sentence or read as what they are, never a panic.

#[path = "../../session/tests/common/mutate.rs"]
mod mutate;

use crate::{bench_file, profile_file};
use mutate::{Dice, corpus, damaged};
use washboard_road::Elevation;
use washboard_session::bench::{Direction, reduce};

/// Damaged copies of each sample.
const COPIES: usize = 500;

/// Tries damaged copies of a corpus; says how many were read, of how many.
fn read(name: &str, mut reads: impl FnMut(&[u8]) -> anyhow::Result<()>) -> (usize, usize) {
    let (mut tried, mut read) = (0, 0);
    for (index, whole) in corpus(name).iter().enumerate() {
        let mut dice = Dice::new(index as u64 + 51);
        for _ in 0..COPIES {
            tried += 1;
            match reads(&damaged(whole, &mut dice)) {
                Ok(()) => read += 1,
                Err(fault) => assert!(format!("{fault:#}").contains(".csv"), "{fault:#} names no file"),
            }
        }
    }
    (read, tried)
}

#[test]
fn damaged_profiles_are_refused_or_rise_and_are_finite() {
    let (read, tried) = read("profile", |bytes| {
        let profile = profile_file::parse(bytes, "p.csv")?;
        let x = profile.distance_m();
        assert!(x.len() >= 2 && x.windows(2).all(|pair| pair[0] < pair[1]));
        let tracks = match profile.elevation_m() {
            Elevation::One(one) => vec![one],
            Elevation::Two(left, right) => vec![left, right],
        };
        assert!(tracks.iter().all(|track| track.len() == x.len() && track.iter().all(|z| z.is_finite())));
        Ok(())
    });
    assert!(read > 20 && read < tried, "{read} of {tried} were still profiles");
}

#[test]
fn damaged_bench_data_are_refused_or_become_a_finite_table() {
    let (read, tried) = read("bench", |bytes| {
        let file = bench_file::parse(bytes, "b.csv")?;
        assert!(!file.samples.is_empty());
        for direction in [Direction::FromData, Direction::Rebound, Direction::Compression] {
            if let Ok(reduced) = reduce(&file.samples, direction) {
                assert!(reduced.damper("damper").force_n.iter().flatten().all(|force| force.is_finite()));
            }
        }
        Ok(())
    });
    assert!(read > 20 && read < tried, "{read} of {tried} were still bench data");
}
