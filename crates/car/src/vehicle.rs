//! The car as the engineer describes it, in SI, and its load cases. Values are checked before they come here.

use crate::damper::Damper;
use std::sync::Arc;
use washboard_signal::Lane;

/// Standard gravity, m/s^2 (ISO 80000-3).
pub const GRAVITY_M_PER_S2: f64 = 9.806_65;

/// The car without its load; body figures are without wheels, about the body's own centre of gravity.
#[derive(Clone, Debug, PartialEq)]
pub struct Vehicle {
    /// Mass of the body, kg.
    pub body_mass_kg: f64,
    /// Roll inertia of the body, kg m^2.
    pub roll_inertia_kg_m2: f64,
    /// Pitch inertia of the body, kg m^2.
    pub pitch_inertia_kg_m2: f64,
    /// Wheelbase, m.
    pub wheelbase_m: f64,
    /// Centre of gravity behind the front axle, m.
    pub cg_to_front_axle_m: f64,
    /// Centre of gravity above ground, m.
    pub cg_height_m: f64,
    /// Seat: forward, left of the centre of gravity's foot, above ground, m.
    pub seat_m: [f64; 3],
    /// Front and rear axle.
    pub axles: [Axle; 2],
}

/// One axle; rates at the wheel.
#[derive(Clone, Debug, PartialEq)]
pub struct Axle {
    /// Track, m.
    pub track_m: f64,
    /// Mass of one wheel, kg.
    pub wheel_mass_kg: f64,
    /// Spring rate, N/m.
    pub spring_rate_n_per_m: f64,
    /// Anti-roll rate, N m/rad.
    pub anti_roll_rate_n_m_per_rad: f64,
    /// Tyre rate, N/m.
    pub tyre_rate_n_per_m: f64,
    /// Tyre damping, N s/m.
    pub tyre_damping_n_s_per_m: f64,
    /// Damper travel over wheel travel.
    pub motion_ratio: f64,
    /// Rate of the damper's top mount, in line with the damper, N/m; absent: rigid.
    pub top_mount_rate_n_per_m: Option<f64>,
    /// Roll centre above ground, m.
    pub roll_centre_height_m: f64,
    /// Wheels' centre of gravity above ground, m.
    pub wheel_centre_height_m: f64,
    /// Share of the pitch moment's axle force that bypasses the springs under braking.
    pub anti_pitch_braking_share: f64,
    /// The same under drive.
    pub anti_pitch_driving_share: f64,
    /// Stop at the end of compression.
    pub bump_stop: Option<Stop>,
    /// Stop at the end of rebound.
    pub rebound_stop: Option<Stop>,
    /// The damper on each wheel.
    pub damper: Arc<Damper>,
}

/// An elastic stop: force = rate * x + progression * x^3 + measured curve(x), x the travel beyond the gap.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stop {
    /// Travel to first contact, m.
    pub gap_m: f64,
    /// Rate at first contact, N/m.
    pub rate_n_per_m: f64,
    /// Cubic growth, N/m^3.
    pub progression_n_per_m3: f64,
    /// Measured curve beside them.
    pub ramps: Ramps,
}

/// Most points of a stop's measured curve.
pub const MOST_STOP_POINTS: usize = 12;

/// A curve of straight pieces as a sum of ramps: force = sum of bend * max(0, x - start). Continued by its last piece.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ramps {
    count: usize,
    /// Start m and change of rate N/m of each.
    ramps: [[f64; 2]; MOST_STOP_POINTS],
}

impl Ramps {
    /// Through points that begin at zero travel and zero force; travels rise strictly. Points beyond
    /// [`MOST_STOP_POINTS`] are refused by the caller's check.
    pub fn through(travel_m: &[f64], force_n: &[f64]) -> Self {
        let mut ramps = Ramps::default();
        let mut rate = 0.0;
        for (x, f) in travel_m.windows(2).zip(force_n.windows(2)).take(MOST_STOP_POINTS) {
            let next = (f[1] - f[0]) / (x[1] - x[0]);
            ramps.ramps[ramps.count] = [x[0], next - rate];
            ramps.count += 1;
            rate = next;
        }
        ramps
    }

    /// True where there is no curve.
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// Force at a travel beyond the gap, N.
    #[inline(always)]
    pub fn force<L: Lane>(&self, x: L) -> L {
        let mut force = L::zero();
        for [start, bend] in &self.ramps[..self.count] {
            force += (x - L::splat(*start)).max(L::zero()) * L::splat(*bend);
        }
        force
    }

    /// Rate there, N/m.
    pub fn rate(&self, x: f64) -> f64 {
        self.ramps[..self.count].iter().filter(|r| x > r[0]).map(|r| r[1]).sum()
    }
}

/// A mass aboard: forward, left of the centre of gravity's foot on the ground, above ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadItem {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Forward, m.
    pub x_m: f64,
    /// Left, m.
    pub y_m: f64,
    /// Above ground, m.
    pub z_m: f64,
}

/// What is aboard.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LoadCase {
    /// The items.
    pub items: Vec<LoadItem>,
    /// True where the car levels itself, so that the stop gaps stay.
    pub levelled: bool,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_of_ramps_goes_through_its_points_and_on_by_its_last_piece() {
        let (x, f) = ([0.0, 0.01, 0.03, 0.04], [0.0, 200.0, 1500.0, 4000.0]);
        let ramps = Ramps::through(&x, &f);
        for (x, f) in x.iter().zip(f) {
            assert!((ramps.force(*x) - f).abs() < 1e-9);
        }
        // Half way by hand, and 10 mm on at 250 000 N/m.
        assert!((ramps.force(0.02) - 850.0).abs() < 1e-9 && (ramps.force(0.05) - 6500.0).abs() < 1e-9);
        assert!((ramps.rate(0.02) - 65_000.0).abs() < 1e-6 && ramps.force(-0.01) == 0.0);
    }
}
