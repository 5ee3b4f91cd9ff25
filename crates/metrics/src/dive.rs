//! Dive and lift: the mean travel of an axle's wheels while braking or driving off.

use crate::sample::RideSample;
use crate::sum::{Extremes, Sum};
use washboard_signal::Lane;

/// Gathers the travel of both axles.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dive<L> {
    front: Extremes<L>,
    rear: Extremes<L>,
    acceleration: Sum<L>,
}

impl<L: Lane> Default for Dive<L> {
    fn default() -> Self {
        Dive { front: Extremes::default(), rear: Extremes::default(), acceleration: Sum::default() }
    }
}

impl<L: Lane> Dive<L> {
    /// Takes one sample that counts; only a car with two axles (two corners in a row, or four) has any.
    #[inline(always)]
    pub(crate) fn sample<const C: usize>(&mut self, s: &RideSample<L, C>) {
        let e = |i: usize| s.corners[i].deflection_m;
        let half = L::splat(0.5);
        let (front, rear) = match C {
            4 => (half * (e(0) + e(1)), half * (e(2) + e(3))),
            2 => (e(0), e(1)),
            _ => return,
        };
        self.front.add(front);
        self.rear.add(rear);
        self.acceleration.add(s.longitudinal_acceleration_m_per_s2);
    }

    /// Largest compression of the axle that goes down and largest rebound of the one that rises, m: front and rear while
    /// braking, rear and front while driving off.
    pub(crate) fn dive_and_lift_m(&self, lane: usize) -> Option<(f64, f64)> {
        let acceleration = self.acceleration.total(lane);
        let (down, up) = if acceleration < 0.0 { (&self.front, &self.rear) } else { (&self.rear, &self.front) };
        (acceleration != 0.0).then(|| ((-down.least(lane)).max(0.0), up.largest(lane).max(0.0)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_axle_that_goes_down_dives_and_the_other_lifts() {
        // checks.json 15_brake_pitch, closed form: load transfer 1798.5 N an axle, 30 % anti-dive, 40 % anti-lift on
        // 44 and 48 kN/m an axle: front dive 28.6125 mm, rear lift 22.48125 mm.
        for (acceleration, dive, lift) in [(-5.886, 0.0286125, 0.02248125), (3.0, 0.0, 0.0)] {
            let mut gathered = Dive::<f64>::default();
            for share in [0.2, 0.7, 1.0] {
                let mut s =
                    RideSample { longitudinal_acceleration_m_per_s2: acceleration, ..RideSample::<f64, 4>::default() };
                let transfer = 1798.5 * share;
                for i in 0..4 {
                    s.corners[i].deflection_m =
                        if i < 2 { -0.7 * transfer / 44_000.0 } else { 0.6 * transfer / 48_000.0 };
                }
                gathered.sample(&s);
            }
            let got = gathered.dive_and_lift_m(0).unwrap();
            let source = "checks 15: closed form after Gillespie 1992";
            washboard_checks::absolute("dive, m", source, got.0, dive, 1e-9);
            washboard_checks::absolute("lift, m", source, got.1, lift, 1e-9);
        }
        assert_eq!(Dive::<f64>::default().dive_and_lift_m(0), None);
    }
}
