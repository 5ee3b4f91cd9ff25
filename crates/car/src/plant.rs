//! Equations of motion of all four models from one core: a body with heave, roll and pitch on `C` corners.
//!
//! A model without roll or pitch has zero inverse inertia there, so that one set of formulas serves all. Runs side by side
//! are those of one car. Notation and signs follow ISO 8855 and DEVELOPERS.md: `e` suspension deflection (positive:
//! extended), `v` its rate, `w` body rate at a corner.

use crate::loaded::Loaded;
use crate::model::Model;
use crate::vehicle::{GRAVITY_M_PER_S2, Ramps, Stop, Vehicle};
pub use nalgebra::Complex;
use nalgebra::{DMatrix, DVector};
use washboard_signal::{Lane, each};

/// Numbers of one corner, as `N`.
#[derive(Clone, Copy, Debug, Default)]
pub struct Corner<N = f64> {
    /// Forward of the centre of gravity, m.
    pub x_m: N,
    /// Left of the centre of gravity, m.
    pub y_m: N,
    /// One over the wheel's mass, 1/kg.
    pub inverse_wheel_mass: N,
    /// Spring rate, N/m.
    pub spring_n_per_m: N,
    /// Anti-roll rate over track squared, N/m; acts on the difference of this corner and its partner.
    pub bar_n_per_m: N,
    /// Tyre rate, N/m.
    pub tyre_n_per_m: N,
    /// Tyre damping, N s/m.
    pub tyre_n_s_per_m: N,
    /// Static wheel load, N.
    pub static_load_n: N,
    /// Static deflection against the car as described, m; the stops count from there.
    pub static_deflection_m: N,
    /// Stop force at the static deflection, N; part of the equilibrium.
    pub static_stop_n: N,
    /// Damper travel over wheel travel.
    pub motion_ratio: N,
    /// Bump stop: gap m, rate N/m, progression N/m^3.
    pub bump: [N; 3],
    /// Rebound stop, likewise.
    pub rebound: [N; 3],
    /// Measured curves of bump and rebound stop.
    pub ramps: [Ramps; 2],
    /// Compliance of the damper's top mount, m/N; zero where it is rigid.
    pub mount_m_per_n: f64,
    /// Upward force on the wheel a unit of lateral acceleration that bypasses the springs, N/(m/s^2).
    pub lateral_bypass_n_per_m_per_s2: N,
    /// Upward force on the body (down on the wheel) a unit of longitudinal acceleration under braking, N/(m/s^2).
    pub braking_bypass_n_per_m_per_s2: N,
    /// The same under drive.
    pub driving_bypass_n_per_m_per_s2: N,
    /// Change of wheel load a unit of steady lateral acceleration, N/(m/s^2).
    pub load_per_lateral: N,
    /// Change of wheel load a unit of steady longitudinal acceleration, braking and driving alike, N/(m/s^2).
    pub load_per_longitudinal: N,
}

/// Numbers of one car in one load case and model, as `N`: `f64`, or as lanes keep them.
#[derive(Clone, Copy, Debug)]
pub struct Plant<const C: usize, N = f64> {
    /// The model rolls; else the formulas leave out what would be zero.
    pub rolls: bool,
    /// One over the body mass, 1/kg.
    pub inverse_mass: N,
    /// One over the roll inertia about the roll axis; zero where the model has no roll.
    pub inverse_roll_inertia: N,
    /// One over the pitch inertia; zero where the model has no pitch.
    pub inverse_pitch_inertia: N,
    /// Roll moment a unit of lateral acceleration, m*h_roll, kg m.
    pub roll_moment_per_lateral: N,
    /// Roll moment a unit of roll angle from gravity, m*g*h_roll, N m/rad.
    pub roll_moment_per_angle: N,
    /// Pitch moment a unit of longitudinal acceleration, -m*h, kg m.
    pub pitch_moment_per_longitudinal: N,
    /// Seat from the centre of gravity: forward and left, m.
    pub seat_m: [N; 2],
    /// Centre of gravity of this load case from that of the car as described: forward and left, m; zero where the model
    /// does not pitch or roll.
    pub centre_m: [N; 2],
    /// Steady roll angle a unit of lateral acceleration, rad/(m/s^2).
    pub roll_per_lateral: N,
    /// Steady pitch angle a unit of longitudinal acceleration under braking and under drive, rad/(m/s^2).
    pub pitch_per_longitudinal: [N; 2],
    /// The corners.
    pub corners: [Corner<N>; C],
}

impl Corner {
    /// As lanes keep it.
    fn of_lanes<L: Lane>(&self) -> Corner<L::Number> {
        Corner {
            x_m: L::number(self.x_m),
            y_m: L::number(self.y_m),
            inverse_wheel_mass: L::number(self.inverse_wheel_mass),
            spring_n_per_m: L::number(self.spring_n_per_m),
            bar_n_per_m: L::number(self.bar_n_per_m),
            tyre_n_per_m: L::number(self.tyre_n_per_m),
            tyre_n_s_per_m: L::number(self.tyre_n_s_per_m),
            static_load_n: L::number(self.static_load_n),
            static_deflection_m: L::number(self.static_deflection_m),
            static_stop_n: L::number(self.static_stop_n),
            motion_ratio: L::number(self.motion_ratio),
            lateral_bypass_n_per_m_per_s2: L::number(self.lateral_bypass_n_per_m_per_s2),
            braking_bypass_n_per_m_per_s2: L::number(self.braking_bypass_n_per_m_per_s2),
            driving_bypass_n_per_m_per_s2: L::number(self.driving_bypass_n_per_m_per_s2),
            load_per_lateral: L::number(self.load_per_lateral),
            load_per_longitudinal: L::number(self.load_per_longitudinal),
            bump: self.bump.map(L::number),
            rebound: self.rebound.map(L::number),
            ramps: self.ramps,
            mount_m_per_n: self.mount_m_per_n,
        }
    }
}

/// Gap of a stop that is not fitted, m: never reached.
const NO_STOP_GAP_M: f64 = 1.0e3;

fn stop_numbers(stop: Option<Stop>) -> [f64; 3] {
    stop.map_or([NO_STOP_GAP_M, 0.0, 0.0], |s| [s.gap_m, s.rate_n_per_m, s.progression_n_per_m3])
}

impl<const C: usize> Plant<C> {
    /// Draws a model from the one description.
    ///
    /// Half cars: pitch is one side of the whole car; roll is one axle with its share of the body's mass, roll inertia
    /// and moments. Quarter cars carry half of their axle's share and no bar.
    ///
    /// # Panics
    /// If `C` is not the model's number of corners: a fault of the caller.
    pub fn new(vehicle: &Vehicle, loaded: &Loaded, model: Model) -> Self {
        assert_eq!(C, model.corners(), "corners of {model:?}");
        let places = model.corner_places();
        let share = loaded.axle_share();
        // Share of the whole car's body that this model carries.
        let body_share = match model {
            Model::Full => 1.0,
            Model::Pitch => 0.5,
            Model::RollFront => share[0],
            Model::RollRear => share[1],
            Model::QuarterFront => 0.5 * share[0],
            Model::QuarterRear => 0.5 * share[1],
        };
        let mass = loaded.mass_kg * body_share;
        let roll_inertia = (loaded.roll_inertia_kg_m2 + loaded.mass_kg * loaded.roll_arm_m.powi(2)) * body_share;
        let pitch_inertia = loaded.pitch_inertia_kg_m2 * body_share;
        let pitch_moment = -mass * loaded.cg_height_m;
        let corners: [Corner; C] = std::array::from_fn(|c| {
            let (axle_index, side) = places[c];
            let (axle, full) = (&vehicle.axles[axle_index], 2 * axle_index + side);
            let left = if side == 0 { 1.0 } else { -1.0 };
            let bypass = share[axle_index] * loaded.mass_kg * axle.roll_centre_height_m
                + 2.0 * axle.wheel_mass_kg * axle.wheel_centre_height_m;
            // P = -m h a_x / L pushes the front of the body down under braking; the share carried by the links pushes
            // +A_front P up in front and -A_rear P down behind, over all corners of the axle in this model.
            let of_axle = places.iter().filter(|p| p.0 == axle_index).count() as f64;
            let sign = if axle_index == 0 { 1.0 } else { -1.0 };
            let link = if model.pitches() { sign * pitch_moment / vehicle.wheelbase_m / of_axle } else { 0.0 };
            // A half or quarter car is symmetric: both sides alike, so it takes the mean of its axle's two sides.
            let both = |values: &[f64; 4]| 0.5 * (values[2 * axle_index] + values[2 * axle_index + 1]);
            let (static_load_n, deflection) = if model.rolls() {
                (loaded.wheel_load_n[full], loaded.deflection_m[full])
            } else {
                (both(&loaded.wheel_load_n), both(&loaded.deflection_m))
            };
            Corner {
                x_m: if model.pitches() { loaded.axle_x_m[axle_index] } else { 0.0 },
                y_m: if model.rolls() { loaded.corner_y_m[full] } else { 0.0 },
                inverse_wheel_mass: 1.0 / axle.wheel_mass_kg,
                spring_n_per_m: axle.spring_rate_n_per_m,
                bar_n_per_m: if model.rolls() { axle.anti_roll_rate_n_m_per_rad / axle.track_m.powi(2) } else { 0.0 },
                tyre_n_per_m: axle.tyre_rate_n_per_m,
                tyre_n_s_per_m: axle.tyre_damping_n_s_per_m,
                static_load_n,
                static_deflection_m: deflection,
                static_stop_n: crate::loaded::stop_force(axle.bump_stop, axle.rebound_stop, deflection),
                motion_ratio: axle.motion_ratio,
                bump: stop_numbers(axle.bump_stop),
                rebound: stop_numbers(axle.rebound_stop),
                ramps: [axle.bump_stop, axle.rebound_stop].map(|s| s.map_or_else(Ramps::default, |s| s.ramps)),
                mount_m_per_n: axle.top_mount_rate_n_per_m.map_or(0.0, |rate| 1.0 / rate),
                lateral_bypass_n_per_m_per_s2: if model.rolls() { left * bypass / axle.track_m } else { 0.0 },
                braking_bypass_n_per_m_per_s2: link * axle.anti_pitch_braking_share,
                driving_bypass_n_per_m_per_s2: link * axle.anti_pitch_driving_share,
                load_per_lateral: 0.0,
                load_per_longitudinal: 0.0,
            }
        });
        let mut plant = Plant {
            rolls: model.rolls(),
            inverse_mass: 1.0 / mass,
            inverse_roll_inertia: if model.rolls() { 1.0 / roll_inertia } else { 0.0 },
            inverse_pitch_inertia: if model.pitches() { 1.0 / pitch_inertia } else { 0.0 },
            roll_moment_per_lateral: if model.rolls() { mass * loaded.roll_arm_m } else { 0.0 },
            roll_moment_per_angle: if model.rolls() { mass * GRAVITY_M_PER_S2 * loaded.roll_arm_m } else { 0.0 },
            pitch_moment_per_longitudinal: if model.pitches() { pitch_moment } else { 0.0 },
            seat_m: [
                if model.pitches() { loaded.seat_m[0] } else { 0.0 },
                if model.rolls() { loaded.seat_m[1] } else { 0.0 },
            ],
            centre_m: [
                if model.pitches() { vehicle.cg_to_front_axle_m - loaded.axle_x_m[0] } else { 0.0 },
                if model.rolls() { 0.5 * vehicle.axles[0].track_m - loaded.corner_y_m[0] } else { 0.0 },
            ],
            roll_per_lateral: 0.0,
            pitch_per_longitudinal: [0.0; 2],
            corners,
        };
        plant.fill_quasi_static();
        plant
    }

    /// As lanes keep it.
    pub fn of_lanes<L: Lane>(&self) -> Plant<C, L::Number> {
        Plant {
            rolls: self.rolls,
            inverse_mass: L::number(self.inverse_mass),
            inverse_roll_inertia: L::number(self.inverse_roll_inertia),
            inverse_pitch_inertia: L::number(self.inverse_pitch_inertia),
            roll_moment_per_lateral: L::number(self.roll_moment_per_lateral),
            roll_moment_per_angle: L::number(self.roll_moment_per_angle),
            pitch_moment_per_longitudinal: L::number(self.pitch_moment_per_longitudinal),
            roll_per_lateral: L::number(self.roll_per_lateral),
            seat_m: self.seat_m.map(L::number),
            centre_m: self.centre_m.map(L::number),
            pitch_per_longitudinal: self.pitch_per_longitudinal.map(L::number),
            corners: std::array::from_fn(|c| self.corners[c].of_lanes::<L>()),
        }
    }

    /// Linear stiffness over heave, roll, pitch and the wheels, N/m and N m/rad; gravity's roll moment included.
    pub fn stiffness(&self) -> DMatrix<f64> {
        let mut k = DMatrix::zeros(3 + C, 3 + C);
        let lever = |c: usize| {
            let mut row = DVector::zeros(3 + C);
            (row[0], row[1], row[2], row[3 + c]) = (1.0, self.corners[c].y_m, -self.corners[c].x_m, -1.0);
            row
        };
        for c in 0..C {
            k += lever(c) * lever(c).transpose() * self.corners[c].spring_n_per_m;
            k[(3 + c, 3 + c)] += self.corners[c].tyre_n_per_m;
            if c % 2 == 0 && c + 1 < C {
                let twist = lever(c) - lever(c + 1);
                k += &twist * twist.transpose() * self.corners[c].bar_n_per_m;
            }
        }
        k[(1, 1)] -= self.roll_moment_per_angle;
        k
    }

    /// Steady loads and angles a unit of lateral and longitudinal acceleration, from the linear stiffness.
    fn fill_quasi_static(&mut self) {
        let mut k = self.stiffness();
        for (dof, inverse) in [(1, self.inverse_roll_inertia), (2, self.inverse_pitch_inertia)] {
            if inverse == 0.0 {
                k.row_mut(dof).fill(0.0);
                k.column_mut(dof).fill(0.0);
                k[(dof, dof)] = 1.0;
            }
        }
        let lu = k.lu();
        let mut lateral = DVector::zeros(3 + C);
        lateral[1] = self.roll_moment_per_lateral;
        let mut longitudinal = [DVector::zeros(3 + C), DVector::zeros(3 + C)];
        for l in &mut longitudinal {
            l[2] = self.pitch_moment_per_longitudinal;
        }
        for c in 0..C {
            let corner = &self.corners[c];
            lateral[3 + c] += corner.lateral_bypass_n_per_m_per_s2;
            let bypass = [corner.braking_bypass_n_per_m_per_s2, corner.driving_bypass_n_per_m_per_s2];
            for (l, b) in longitudinal.iter_mut().zip(bypass) {
                l[0] += b;
                l[2] -= corner.x_m * b;
                l[3 + c] -= b;
            }
        }
        // A car so top-heavy that it tips over by itself has no steady state; its figures stay at zero.
        if let (Some(a), Some(b), Some(d)) =
            (lu.solve(&lateral), lu.solve(&longitudinal[0]), lu.solve(&longitudinal[1]))
        {
            self.roll_per_lateral = a[1];
            self.pitch_per_longitudinal = [b[2], d[2]];
            for c in 0..C {
                let corner = &mut self.corners[c];
                corner.load_per_lateral = -corner.tyre_n_per_m * a[3 + c];
                // Total transfer follows from the height of the centre of gravity alone, whichever way it takes.
                corner.load_per_longitudinal = -corner.tyre_n_per_m * b[3 + c];
            }
        }
    }

    /// Motion at t = 0 on sines under the wheels, `Im(road_m e^(i omega t))`, with a linear damper of
    /// `damping_n_s_per_m` at each corner: position and velocity of the steady state of
    /// `(K - omega^2 M + i omega D) q = k_t road`, without stops.
    ///
    /// A start for whoever looks for the steady state of the car as it is; at rest where there is none.
    pub fn orbit(&self, omega: f64, damping_n_s_per_m: &[f64; C], road_m: &[Complex<f64>; C]) -> [Motion<f64, C>; 2] {
        let mut a = self.stiffness().map(|k| Complex::new(k, 0.0));
        let mut b = DVector::<Complex<f64>>::zeros(3 + C);
        let inverse = [self.inverse_mass, self.inverse_roll_inertia, self.inverse_pitch_inertia];
        for c in 0..C {
            let corner = &self.corners[c];
            let lever = [(0, 1.0), (1, corner.y_m), (2, -corner.x_m), (3 + c, -1.0)];
            for (i, li) in lever {
                for (j, lj) in lever {
                    a[(i, j)] += Complex::new(0.0, omega * damping_n_s_per_m[c] * li * lj);
                }
            }
            let tyre = Complex::new(corner.tyre_n_per_m, omega * corner.tyre_n_s_per_m);
            a[(3 + c, 3 + c)] += Complex::new(-omega * omega / corner.inverse_wheel_mass, tyre.im);
            b[3 + c] = tyre * road_m[c];
        }
        for (dof, inverse) in inverse.into_iter().enumerate() {
            if inverse > 0.0 {
                a[(dof, dof)] -= Complex::from(omega * omega / inverse);
            } else {
                a.row_mut(dof).fill(Complex::ZERO);
                a.column_mut(dof).fill(Complex::ZERO);
                a[(dof, dof)] = Complex::ONE;
            }
        }
        let Some(q) = a.lu().solve(&b) else { return [Motion::default(); 2] };
        // q e^(i omega t) at t = 0 and its derivative; the imaginary part is the motion.
        let of = |part: &dyn Fn(Complex<f64>) -> f64| Motion {
            heave: part(q[0]),
            roll: part(q[1]),
            pitch: part(q[2]),
            wheels: std::array::from_fn(|c| part(q[3 + c])),
        };
        [of(&|x| x.im), of(&|x| omega * x.re)]
    }

    /// Fastest decay rate that a damper of slope `slope_n_s_per_m` at the wheel can bring at a corner, 1/s:
    /// slope * (1/m_wheel + 1/m_body + y^2/I_roll + x^2/I_pitch), plus the tyre's own damping.
    pub fn fastest_decay_per_s(&self, corner: usize, slope_n_s_per_m: f64) -> f64 {
        let c = &self.corners[corner];
        let mobility = c.inverse_wheel_mass
            + self.inverse_mass
            + c.y_m * c.y_m * self.inverse_roll_inertia
            + c.x_m * c.x_m * self.inverse_pitch_inertia;
        slope_n_s_per_m * mobility + c.tyre_n_s_per_m * c.inverse_wheel_mass
    }

    /// Decay rate of the body motion that dies slowest with a linear damper at each corner, 1/s, the wheels taken as still.
    pub fn slowest_decay_per_s(&self, damping_n_s_per_m: &[f64; C]) -> f64 {
        let sum = |lever: &dyn Fn(&Corner) -> f64| {
            self.corners.iter().zip(damping_n_s_per_m).map(|(c, d)| d * lever(c).powi(2)).sum::<f64>()
        };
        let heave = 0.5 * sum(&|_| 1.0) * self.inverse_mass;
        let roll = 0.5 * sum(&|c| c.y_m) * self.inverse_roll_inertia;
        let pitch = 0.5 * sum(&|c| c.x_m) * self.inverse_pitch_inertia;
        [roll, pitch].into_iter().filter(|&rate| rate > 0.0).fold(heave, f64::min)
    }

    /// Fastest undamped angular frequency of a corner's wheel, rad/s: spring, bar, tyre, and the damper's top mount as
    /// behind a damper that is blocked; stops not counted.
    pub fn wheel_rate_per_s(&self, corner: usize) -> f64 {
        let c = &self.corners[corner];
        let mount = if c.mount_m_per_n > 0.0 { c.motion_ratio * c.motion_ratio / c.mount_m_per_n } else { 0.0 };
        ((c.spring_n_per_m + 2.0 * c.bar_n_per_m + c.tyre_n_per_m + mount) * c.inverse_wheel_mass).sqrt()
    }
}

/// Positions or velocities of all degrees of freedom.
#[derive(Clone, Copy, Debug)]
pub struct Motion<L, const C: usize> {
    /// Heave, m (m/s, m/s^2).
    pub heave: L,
    /// Roll, rad.
    pub roll: L,
    /// Pitch, rad.
    pub pitch: L,
    /// Wheels, m.
    pub wheels: [L; C],
}

impl<L: Lane, const C: usize> Default for Motion<L, C> {
    fn default() -> Self {
        Motion { heave: L::zero(), roll: L::zero(), pitch: L::zero(), wheels: [L::zero(); C] }
    }
}

impl<L: Lane, const C: usize> Motion<L, C> {
    /// Puts several motions side by side.
    pub fn side_by_side(motions: &[Motion<f64, C>]) -> Self {
        Motion {
            heave: L::from_fn(|i| motions[i].heave),
            roll: L::from_fn(|i| motions[i].roll),
            pitch: L::from_fn(|i| motions[i].pitch),
            wheels: std::array::from_fn(|c| L::from_fn(|i| motions[i].wheels[c])),
        }
    }

    /// `self + step * rate`, degree of freedom by degree of freedom.
    #[inline(always)]
    pub fn moved(&self, step: L, rate: &Motion<L, C>) -> Motion<L, C> {
        Motion {
            heave: self.heave + step * rate.heave,
            roll: self.roll + step * rate.roll,
            pitch: self.pitch + step * rate.pitch,
            wheels: each!(c in C => self.wheels[c] + step * rate.wheels[c]),
        }
    }

    /// `self + other`.
    #[inline(always)]
    pub fn plus(&self, other: &Motion<L, C>) -> Motion<L, C> {
        Motion {
            heave: self.heave + other.heave,
            roll: self.roll + other.roll,
            pitch: self.pitch + other.pitch,
            wheels: each!(c in C => self.wheels[c] + other.wheels[c]),
        }
    }

    /// `of_self * self - of_other * other`.
    #[inline(always)]
    pub fn apart(&self, of_self: L, of_other: L, other: &Motion<L, C>) -> Motion<L, C> {
        Motion {
            heave: of_self * self.heave - of_other * other.heave,
            roll: of_self * self.roll - of_other * other.roll,
            pitch: of_self * self.pitch - of_other * other.pitch,
            wheels: each!(c in C => of_self * self.wheels[c] - of_other * other.wheels[c]),
        }
    }

    /// `self` in the lanes where `choice` is one, `other` where it is zero.
    #[inline(always)]
    pub fn where_one(&self, choice: L, other: &Motion<L, C>) -> Motion<L, C> {
        let is_one = || choice.gt(L::zero());
        Motion {
            heave: L::select(is_one(), self.heave, other.heave),
            roll: L::select(is_one(), self.roll, other.roll),
            pitch: L::select(is_one(), self.pitch, other.pitch),
            wheels: each!(c in C => L::select(is_one(), self.wheels[c], other.wheels[c])),
        }
    }

    /// Half of `self` and half of `other`.
    #[inline(always)]
    pub fn middle(&self, other: &Motion<L, C>) -> Motion<L, C> {
        let half = L::splat(0.5);
        Motion {
            heave: half * (self.heave + other.heave),
            roll: half * (self.roll + other.roll),
            pitch: half * (self.pitch + other.pitch),
            wheels: each!(c in C => half * (self.wheels[c] + other.wheels[c])),
        }
    }
}

/// What a corner does to body and wheel at one moment.
#[derive(Clone, Copy, Debug, Default)]
pub struct CornerForces<L> {
    /// Force on the body, N, without the links' share.
    pub body_n: L,
    /// Force of the stops in the sense of `e`, N, change against the static position.
    pub stop_n: L,
    /// Wheel load, N.
    pub wheel_load_n: L,
}

/// The formulas, for one run or several side by side.
impl<const C: usize, N: Copy> Plant<C, N> {
    /// Body displacement (rate, acceleration) above a corner: heave + y*roll - x*pitch.
    #[inline(always)]
    pub fn above<L: Lane<Number = N>>(&self, corner: usize, body: &Motion<L, C>) -> L {
        let c = &self.corners[corner];
        let centre = if self.rolls { body.heave + L::spread(c.y_m) * body.roll } else { body.heave };
        centre - L::spread(c.x_m) * body.pitch
    }

    /// Vertical acceleration at the seat, from the accelerations of the body.
    #[inline(always)]
    pub fn at_seat<L: Lane<Number = N>>(&self, body: &Motion<L, C>) -> L {
        let centre = if self.rolls { body.heave + L::spread(self.seat_m[1]) * body.roll } else { body.heave };
        centre - L::spread(self.seat_m[0]) * body.pitch
    }

    /// Vertical acceleration at a point counted from the centre of gravity of the car as described.
    #[inline(always)]
    pub fn at_described<L: Lane<Number = N>>(&self, [x_m, y_m]: [f64; 2], body: &Motion<L, C>) -> L {
        let (x, y) = (L::splat(x_m) - L::spread(self.centre_m[0]), L::splat(y_m) - L::spread(self.centre_m[1]));
        body.heave + y * body.roll - x * body.pitch
    }

    /// Suspension deflection (or its rate) at a corner.
    #[inline(always)]
    pub fn deflection<L: Lane<Number = N>>(&self, corner: usize, motion: &Motion<L, C>) -> L {
        self.above(corner, motion) - motion.wheels[corner]
    }

    /// Wheel load of a corner when the car has settled at these accelerations, N.
    #[inline(always)]
    pub fn quasi_static_load<L: Lane<Number = N>>(&self, corner: usize, lateral: L, longitudinal: L) -> L {
        let c = &self.corners[corner];
        L::spread(c.static_load_n)
            + L::spread(c.load_per_lateral) * lateral
            + L::spread(c.load_per_longitudinal) * longitudinal
    }

    /// Stop force in the sense of `e`, against the static position.
    #[inline(always)]
    fn stop_n<L: Lane<Number = N>>(&self, corner: usize, e: L) -> L {
        let c = &self.corners[corner];
        let from_described = e + L::spread(c.static_deflection_m);
        let zero = L::zero();
        let out = (from_described - L::spread(c.rebound[0])).max(zero);
        let inward = (-from_described - L::spread(c.bump[0])).max(zero);
        // Most of the time no lane touches any.
        if !L::any((out + inward).gt(zero)) {
            return zero - L::spread(c.static_stop_n);
        }
        let mut rebound = out * (L::spread(c.rebound[1]) + L::spread(c.rebound[2]) * (out * out));
        let mut bump = inward * (L::spread(c.bump[1]) + L::spread(c.bump[2]) * (inward * inward));
        if !c.ramps[0].is_empty() {
            bump += c.ramps[0].force(inward);
        }
        if !c.ramps[1].is_empty() {
            rebound += c.ramps[1].force(out);
        }
        rebound - bump - L::spread(c.static_stop_n)
    }

    /// Accelerations of all degrees of freedom.
    ///
    /// `damper_n`: damper force at the wheel, positive in rebound; `road` height m and rate m/s under each wheel;
    /// `driven`: lateral and longitudinal acceleration of the car, m/s^2, absent where no run has any.
    #[inline(always)]
    pub fn accelerations<L: Lane<Number = N>>(
        &self,
        position: &Motion<L, C>,
        rate: &Motion<L, C>,
        damper_n: &[L; C],
        road: &[(L, L); C],
        driven: Option<[L; 2]>,
        forces: &mut [CornerForces<L>; C],
    ) -> Motion<L, C> {
        let zero = L::zero();
        let e: [L; C] = each!(c in C => self.deflection(c, position));
        let mut acceleration = Motion { heave: zero, roll: zero, pitch: zero, wheels: [zero; C] };
        if self.rolls {
            acceleration.roll = L::spread(self.roll_moment_per_angle) * position.roll;
        }
        let mut links = [zero; C];
        let mut roll_links = [zero; C];
        if let Some([lateral, longitudinal]) = driven {
            acceleration.roll += L::spread(self.roll_moment_per_lateral) * lateral;
            acceleration.pitch = L::spread(self.pitch_moment_per_longitudinal) * longitudinal;
            let is_braking = zero.gt(longitudinal);
            for c in 0..C {
                let corner = &self.corners[c];
                let (braking, driving) = (corner.braking_bypass_n_per_m_per_s2, corner.driving_bypass_n_per_m_per_s2);
                links[c] = L::select(is_braking, L::spread(braking), L::spread(driving)) * longitudinal;
                roll_links[c] = L::spread(corner.lateral_bypass_n_per_m_per_s2) * lateral;
            }
        }
        for c in 0..C {
            let corner = &self.corners[c];
            let stop_n = self.stop_n(c, e[c]);
            let mut springs_n = L::spread(corner.spring_n_per_m) * e[c];
            if self.rolls && C > 1 {
                springs_n += L::spread(corner.bar_n_per_m) * (e[c] - e[c ^ 1]);
            }
            let body_n = -springs_n - damper_n[c] - stop_n;
            let static_load_n = L::spread(corner.static_load_n);
            // Against the static load, so that a car at rest loses no digits to it.
            let tyre_n = (L::spread(corner.tyre_n_per_m) * (road[c].0 - position.wheels[c])
                + L::spread(corner.tyre_n_s_per_m) * (road[c].1 - rate.wheels[c]))
                .max(-static_load_n);
            let on_body = body_n + links[c];
            acceleration.heave += on_body;
            if self.rolls {
                acceleration.roll += L::spread(corner.y_m) * on_body;
            }
            acceleration.pitch -= L::spread(corner.x_m) * on_body;
            let on_wheel = tyre_n - on_body + roll_links[c];
            acceleration.wheels[c] = on_wheel * L::spread(corner.inverse_wheel_mass);
            forces[c] = CornerForces { body_n, stop_n, wheel_load_n: static_load_n + tyre_n };
        }
        acceleration.heave = acceleration.heave * L::spread(self.inverse_mass);
        if self.rolls {
            acceleration.roll = acceleration.roll * L::spread(self.inverse_roll_inertia);
        }
        acceleration.pitch = acceleration.pitch * L::spread(self.inverse_pitch_inertia);
        acceleration
    }
}
