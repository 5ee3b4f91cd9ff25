//! How runs of different length share blocks.
//!
//! A block takes as long as its longest run, and a wide step longer than a narrow one. Runs that are sorted by length are cut
//! into the blocks that take least time in all.

use std::ops::Range;

/// Cuts runs of these lengths, the longest first, into blocks of at most `most` neighbours; `cost(runs)` is what a step of so many
/// side by side takes, in any unit. Of equal ways the one whose first blocks are wide.
pub(super) fn packed(lengths: &[usize], most: usize, cost: impl Fn(usize) -> u64) -> Vec<Range<usize>> {
    // From the end: the least time for the runs from each one on, and how many of them make the first block.
    let mut best: Vec<(u64, usize)> = vec![(0, 0); lengths.len() + 1];
    for first in (0..lengths.len()).rev() {
        let with = |runs: usize| (lengths[first] as u64 * cost(runs) + best[first + runs].0, runs);
        let widest = most.max(1).min(lengths.len() - first);
        best[first] = (1..=widest).rev().map(with).min_by_key(|way| way.0).unwrap_or_default();
    }
    let mut blocks = Vec::new();
    let mut first = 0;
    while first < lengths.len() {
        blocks.push(first..first + best[first].1);
        first += best[first].1;
    }
    blocks
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Wide steps of more than four runs cost ten, others seven.
    fn cost(runs: usize) -> u64 {
        if runs > 4 { 10 } else { 7 }
    }

    fn widths(lengths: &[usize]) -> Vec<usize> {
        packed(lengths, 8, cost).iter().map(Range::len).collect()
    }

    #[test]
    fn equal_runs_fill_wide_blocks_first() {
        assert_eq!(widths(&[20; 24]), [8, 8, 8]);
        assert_eq!(widths(&[20; 13]), [8, 5]);
        assert_eq!(widths(&[20; 12]), [8, 4]);
        assert_eq!(widths(&[20; 3]), [3]);
        assert!(widths(&[]).is_empty());
    }

    #[test]
    fn short_runs_share_a_long_one_s_block_unless_that_makes_it_wider_than_they_are_worth() {
        assert_eq!(widths(&[20, 12, 8, 6]), [4]);
        // 20 x 7 + 6 x 10 beside 20 x 10 + 3 x 7.
        assert_eq!(widths(&[20, 12, 8, 6, 6, 6, 4, 4, 3]), [4, 5]);
        // 100 x 10 beside 100 x 7 + 5 x 7.
        assert_eq!(widths(&[100, 5, 5, 5, 5, 5]), [4, 2]);
    }

    #[test]
    fn every_way_to_cut_takes_at_least_as_long() {
        let lengths = [40, 31, 31, 20, 17, 9, 9, 9, 2, 1];
        let time =
            |blocks: &[Range<usize>]| blocks.iter().map(|b| lengths[b.start] as u64 * cost(b.len())).sum::<u64>();
        let least = time(&packed(&lengths, 8, cost));
        // Every set of cuts between neighbours.
        for cuts in 0..1_u32 << (lengths.len() - 1) {
            let mut blocks: Vec<Range<usize>> = std::iter::once(0..1).collect();
            for run in 1..lengths.len() {
                if cuts >> (run - 1) & 1 == 1 {
                    blocks.push(run..run + 1);
                } else if let Some(last) = blocks.last_mut() {
                    last.end += 1;
                }
            }
            if blocks.iter().all(|b| b.len() <= 8) {
                assert!(time(&blocks) >= least);
            }
        }
    }
}
