//! A patched road: raised and sunken patches of uneven length, drawn from a seed, in one wheel track or both.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{RngCore, SeedableRng};

use crate::pieces::{Corners, Polyline};

/// A road with patches all along; places and sizes are invented, not measured.
///
/// Each patch is `length_m` long and has `clear_m` of road before it, both between half and one and a half times that
/// (evenly spread); its height lies between -`height_m` and `height_m` (evenly spread); it lies in the left track, in the
/// right one or across both, each as often.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PatchedRoad {
    /// The same seed is the same road.
    pub seed: u64,
    /// Largest height and depth, m.
    pub height_m: f64,
    /// Mean length of a patch, m.
    pub length_m: f64,
    /// Mean length of the road between patches, m.
    pub clear_m: f64,
    /// Length of every sloping edge, m.
    pub edge_m: f64,
    /// Flat road before the first, m.
    pub lead_m: f64,
}

impl PatchedRoad {
    /// The left and the right track as far as a distance.
    pub(crate) fn lines(&self, covered_m: f64) -> [Polyline; 2] {
        let mut words = ChaCha8Rng::seed_from_u64(self.seed);
        let mut share = || (words.next_u64() >> 11) as f64 * (1.0 / (1_u64 << 53) as f64);
        let mut tracks = [Corners::default(), Corners::default()];
        let mut here_m = self.lead_m;
        // A metre more, for a patch of contact or half a step reaches beyond.
        while here_m < covered_m + 1.0 {
            let from_m = here_m + self.clear_m * (0.5 + share());
            here_m = from_m + self.length_m * (0.5 + share());
            let height_m = self.height_m * (2.0 * share() - 1.0);
            // Left, right or both, each a third of the time.
            let lies = 3.0 * share();
            for (index, track) in tracks.iter_mut().enumerate() {
                let others = 1 - index;
                if !(others as f64..others as f64 + 1.0).contains(&lies) {
                    track.trapezoid(from_m, here_m, height_m, self.edge_m);
                }
            }
        }
        tracks.map(Corners::road)
    }
}
