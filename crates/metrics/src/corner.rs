//! Figures of one corner: wheel load, travel, stops, current and damper power.

use crate::sample::CornerSample;
use crate::sum::{Extremes, Peak, SquareSum, Sum};
use washboard_signal::Lane;

/// Free travel to either stop from static equilibrium, m; `None` where there is no stop.
#[derive(Clone, Copy, Debug, Default)]
pub struct StopGaps<L> {
    /// Compression until the bump stop touches.
    pub bump_m: Option<L>,
    /// Rebound until the rebound stop touches.
    pub rebound_m: Option<L>,
}

impl<L> StopGaps<L> {
    /// True if there is a stop at either end.
    pub fn any(&self) -> bool {
        self.bump_m.is_some() || self.rebound_m.is_some()
    }
}

/// Time in contact with a stop, and how often it was touched.
#[derive(Clone, Copy, Debug)]
struct Contact<L> {
    time: Sum<L>,
    touched: Sum<L>,
    before: L,
}

impl<L: Lane> Default for Contact<L> {
    fn default() -> Self {
        Contact { time: Sum::default(), touched: Sum::default(), before: L::zero() }
    }
}

impl<L: Lane> Contact<L> {
    /// Takes 1 while the stop is touched, else 0.
    #[inline(always)]
    fn add(&mut self, touching: L) {
        self.time.add(touching);
        self.touched.add((touching - self.before).max(L::zero()));
        self.before = touching;
    }
}

/// Gathers the figures of one corner.
#[derive(Clone, Copy, Debug)]
pub struct Corner<L> {
    always: Always<L>,
    lifted: Sum<L>,
    stops: Stops<L>,
}

/// What every sample adds to.
#[derive(Clone, Copy, Debug)]
struct Always<L> {
    load_squares: SquareSum<L>,
    least_load: L,
    deflection: Extremes<L>,
    deflection_squares: SquareSum<L>,
    current: Sum<L>,
    power: Sum<L>,
}

/// What is seldom: contact with the stops.
#[derive(Clone, Copy, Debug)]
struct Stops<L> {
    bump: Contact<L>,
    rebound: Contact<L>,
    power: Sum<L>,
}

impl<L: Lane> Default for Corner<L> {
    fn default() -> Self {
        Corner {
            always: Always {
                load_squares: SquareSum::default(),
                least_load: L::splat(f64::INFINITY),
                deflection: Extremes::default(),
                deflection_squares: SquareSum::default(),
                current: Sum::default(),
                power: Sum::default(),
            },
            lifted: Sum::default(),
            stops: Stops { bump: Contact::default(), rebound: Contact::default(), power: Sum::default() },
        }
    }
}

impl<L: Lane> Stops<L> {
    #[inline(always)]
    fn take<'s>(&mut self, samples: impl Iterator<Item = &'s CornerSample<L>>) {
        let (one, zero) = (L::splat(1.0), L::zero());
        let mut stops = *self;
        for s in samples {
            stops.bump.add(L::select(zero.gt(s.stop_force_n), one, zero));
            stops.rebound.add(L::select(s.stop_force_n.gt(zero), one, zero));
            stops.power.add((s.stop_force_n * s.rate_m_per_s).max(zero));
        }
        *self = stops;
    }
}

impl<L: Lane> Corner<L> {
    /// Takes samples that count. `stops` tells whether the corner has any.
    #[inline(always)]
    pub fn take<'s>(&mut self, samples: impl Iterator<Item = &'s CornerSample<L>> + Clone, stops: bool) {
        let zero = L::zero();
        let (mut all, mut least_load, mut stop_force) = (self.always, L::splat(f64::INFINITY), Peak::default());
        for s in samples.clone() {
            all.load_squares.add(s.wheel_load_n - s.quasi_static_load_n);
            least_load = least_load.min(s.wheel_load_n);
            all.deflection.add(s.deflection_m);
            all.deflection_squares.add(s.deflection_m);
            all.current.add(s.current_a);
            all.power.add(s.damper_force_n * s.rate_m_per_s);
            stop_force.add(s.stop_force_n);
        }
        all.least_load = all.least_load.min(least_load);
        self.always = all;
        // What is rare is looked at sample by sample only where it has happened in any lane.
        if L::any(zero.ge(least_load)) {
            for s in samples.clone() {
                self.lifted.add(L::select(zero.ge(s.wheel_load_n), L::splat(1.0), zero));
            }
        }
        let before = self.stops.bump.before + self.stops.rebound.before;
        if stops && L::any((stop_force.reached() + before).gt(zero)) {
            self.stops.take(samples);
        }
    }

    /// r.m.s. value of the wheel load about its quasi-static value, N.
    pub fn load_variation_n(&self, lane: usize, count: f64) -> f64 {
        self.always.load_squares.rms(lane, count)
    }

    /// Least wheel load, N.
    pub fn least_load_n(&self, lane: usize) -> f64 {
        self.always.least_load.get(lane)
    }

    /// Time without wheel load, s.
    pub fn lift_time_s(&self, lane: usize, step_s: f64) -> f64 {
        self.lifted.total(lane) * step_s
    }

    /// r.m.s. value of the deflection from static equilibrium (not about its mean), m.
    pub fn travel_rms_m(&self, lane: usize, count: f64) -> f64 {
        self.always.deflection_squares.rms(lane, count)
    }

    /// Largest magnitude of the deflection, m.
    pub fn travel_peak_m(&self, lane: usize) -> f64 {
        self.always.deflection.magnitude(lane)
    }

    /// Largest compression, m, zero or more.
    pub fn compression_m(&self, lane: usize) -> f64 {
        (-self.always.deflection.least(lane)).max(0.0)
    }

    /// Largest rebound, m, zero or more.
    pub fn rebound_m(&self, lane: usize) -> f64 {
        self.always.deflection.largest(lane).max(0.0)
    }

    /// Larger share of the free travel used in either direction; above 1 the stop touched. `None` without a stop.
    pub fn travel_used_share(&self, lane: usize, gaps: &StopGaps<L>) -> Option<f64> {
        // A load case may leave no free travel at all: then all of it is used.
        let share = |used: f64, gap: L| if gap.get(lane) > 0.0 { used / gap.get(lane) } else { 1.0 };
        let bump = gaps.bump_m.map(|gap| share(self.compression_m(lane), gap));
        let rebound = gaps.rebound_m.map(|gap| share(self.rebound_m(lane), gap));
        match (bump, rebound) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (one, other) => one.or(other),
        }
    }

    /// Time in contact with the bump stop, s.
    pub fn bump_time_s(&self, lane: usize, step_s: f64) -> f64 {
        self.stops.bump.time.total(lane) * step_s
    }

    /// Time in contact with the rebound stop, s.
    pub fn rebound_time_s(&self, lane: usize, step_s: f64) -> f64 {
        self.stops.rebound.time.total(lane) * step_s
    }

    /// How often the bump stop was touched.
    pub fn bump_contacts(&self, lane: usize) -> f64 {
        self.stops.bump.touched.total(lane)
    }

    /// How often the rebound stop was touched.
    pub fn rebound_contacts(&self, lane: usize) -> f64 {
        self.stops.rebound.touched.total(lane)
    }

    /// Energy put into the stops, J: force times rate while they are being loaded.
    pub fn stop_energy_j(&self, lane: usize, step_s: f64) -> f64 {
        self.stops.power.total(lane) * step_s
    }

    /// Mean current, A.
    pub fn mean_current_a(&self, lane: usize, count: f64) -> f64 {
        self.always.current.mean(lane, count)
    }

    /// Mean power the damper turns into heat, W.
    pub fn mean_power_w(&self, lane: usize, count: f64) -> f64 {
        self.always.power.mean(lane, count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{SQRT_2, TAU};

    #[test]
    fn a_harmonic_corner_has_the_closed_forms() {
        // e = a sin wt, linear damper c, stop of rate k beyond the gap on both sides, load 4000 N with amplitude 5000 N.
        let (a, w, c, k, gap, rate, count) = (0.05, TAU * 2.0, 1500.0, 80_000.0, 0.03, 100_000.0, 1_000_000);
        let mut corner = Corner::<f64>::default();
        for n in 0..count {
            let t = f64::from(n) / rate;
            let (e, v) = (a * (w * t).sin(), a * w * (w * t).cos());
            let load = 4000.0 + 5000.0 * (w * t).cos();
            let beyond = (e.abs() - gap).max(0.0) * e.signum();
            let sample = CornerSample {
                deflection_m: e,
                rate_m_per_s: v,
                wheel_load_n: load.max(0.0),
                quasi_static_load_n: load.max(0.0) - 300.0 * (3.0 * w * t).sin(),
                damper_force_n: c * v,
                stop_force_n: k * beyond,
                current_a: 0.8,
                ..CornerSample::default()
            };
            corner.take(std::iter::once(&sample), true);
        }
        let (n, dt, cycles) = (f64::from(count), 1.0 / rate, 20.0);
        let close = |got: f64, want: f64| assert!((got / want - 1.0).abs() < 1e-3, "{got} against {want}");
        close(corner.load_variation_n(0, n), 300.0 / SQRT_2);
        assert_eq!(corner.least_load_n(0), 0.0);
        // Below zero while cos < -0.8.
        close(corner.lift_time_s(0, dt), 10.0 * (0.8f64.acos() / std::f64::consts::PI));
        close(corner.travel_rms_m(0, n), a / SQRT_2);
        close(corner.travel_peak_m(0), a);
        // Each stop is touched while |sin| > 0.6 on its side, and loaded once a cycle up to k (a - gap)^2/2.
        close(corner.bump_time_s(0, dt), 10.0 * (0.6f64.acos() / std::f64::consts::PI));
        close(corner.rebound_time_s(0, dt), 10.0 * (0.6f64.acos() / std::f64::consts::PI));
        // Once a cycle each.
        assert_eq!((corner.bump_contacts(0), corner.rebound_contacts(0)), (cycles, cycles));
        close(corner.stop_energy_j(0, dt), cycles * 2.0 * 0.5 * k * (a - gap) * (a - gap));
        close(corner.mean_power_w(0, n), 0.5 * c * (a * w) * (a * w));
        close(corner.mean_current_a(0, n), 0.8);
        let gaps = StopGaps { bump_m: Some(0.04), rebound_m: Some(0.1) };
        close(corner.travel_used_share(0, &gaps).unwrap(), 1.25);
        assert_eq!(corner.travel_used_share(0, &StopGaps::default()), None);
    }
}
