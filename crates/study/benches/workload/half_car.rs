//! The pitch half car once more, in plain numbers, for an integrator of another library (`ode_solvers`, Dormand and Prince 5(4)).
//!
//! The right-hand side is that of DEVELOPERS.md for a session of [`super::plain`]: springs, tyres that lift, damper tables,
//! a first-order lag of the currents, and the law at one operating point. Of the program's own formulas it takes the look-up
//! of the damper tables and the road's samples, between which it runs a cubic through heights and rates. Levels, maps, stops,
//! weighting and all other metrics, which the program computes as well, are left out here, in the integrator's favour.

use ode_solvers::{Dopri5, OutputType, SVector, System};
use washboard_car::DamperTable;
use washboard_road::{Event, Geometry, Input, Manoeuvre, RandomRoad, Surface, Tracks, class_psd_at_n0_m3, sample};
use washboard_session::{EventKind, Session};

/// Heave, pitch and both wheels, their rates, and the two currents.
pub type State = SVector<f64, 10>;

/// Time between control samples, s.
const SAMPLE_S: f64 = 1e-3;
/// Longest step, s: else a step could pass over a whole wave of the road.
const LONGEST_STEP_S: f64 = 5e-3;
const GRAVITY_M_PER_S2: f64 = 9.806_65;

/// When the law acts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Acts {
    /// Every millisecond, as in the car: the integrator begins anew at each sample.
    Sampled,
    /// At every moment, as a part of the right-hand side: the integrator steps as it likes.
    Always,
}

/// R.m.s. values of body acceleration (m/s^2), and of wheel-load variation (N) and travel (m) in front and behind.
pub type Figures = [f64; 5];

/// One axle's side.
struct Corner {
    x_m: f64,
    spring_n_per_m: f64,
    tyre_n_per_m: f64,
    tyre_n_s_per_m: f64,
    wheel_kg: f64,
    ratio: f64,
    static_n: f64,
    table: DamperTable,
    lag_s: [f64; 2],
}

/// The car over one road.
pub struct HalfCar {
    mass_kg: f64,
    inertia_kg_m2: f64,
    corners: [Corner; 2],
    /// Heave, wheel, base and pitch, N s/m.
    gains: [f64; 4],
    ends_a: [f64; 2],
    road: Input,
    settle_s: f64,
    duration_s: f64,
}

/// The car at one moment.
struct Moment {
    rates: State,
    wanted_a: [f64; 2],
    loads_n: [f64; 2],
}

impl HalfCar {
    /// The car of a plain session over its first event.
    pub fn new(session: &Session) -> Self {
        let (vehicle, mode, event) = (&session.vehicle, &session.modes[0], &session.events[0]);
        let mass_kg = 0.5 * vehicle.body_mass_kg;
        let (front_m, wheelbase_m) = (vehicle.cg_to_front_axle_m, vehicle.wheelbase_m);
        let corner = |axle: usize| {
            let of_axle = [&vehicle.front, &vehicle.rear][axle];
            let damper = session.dampers.iter().find(|d| d.name == of_axle.damper).unwrap();
            let x_m = [front_m, front_m - wheelbase_m][axle];
            let carried_kg = mass_kg * [wheelbase_m - front_m, front_m][axle] / wheelbase_m;
            Corner {
                x_m,
                spring_n_per_m: of_axle.spring_rate_n_per_m,
                tyre_n_per_m: of_axle.tyre_rate_n_per_m,
                tyre_n_s_per_m: of_axle.tyre_damping_n_s_per_m,
                wheel_kg: of_axle.wheel_mass_kg,
                ratio: of_axle.motion_ratio,
                static_n: (carried_kg + of_axle.wheel_mass_kg) * GRAVITY_M_PER_S2,
                table: DamperTable::new(damper.velocity_m_per_s.clone(), damper.current_a.clone(), &damper.force_n),
                lag_s: [damper.rise_s, damper.fall_s],
            }
        };
        let EventKind::RandomRoad { seed, from_cycles_per_m, to_cycles_per_m, ramp_m, .. } = event.kind else {
            panic!("a plain session drives over a random road")
        };
        let surface = Surface::Random(RandomRoad {
            psd_at_n0_m3: class_psd_at_n0_m3(2),
            seed,
            from_cycles_per_m,
            to_cycles_per_m,
            ramp_m,
        });
        let (speed_m_per_s, duration_s) = (event.speed_km_h / 3.6, event.duration_s);
        let geometry = Geometry { wheelbase_m, track_m: vehicle.front.track_m, contact_length_m: [0.0; 2] };
        let steps = (duration_s / SAMPLE_S).round() as usize;
        let driven = Event { speed_m_per_s, duration_s, surface, manoeuvre: Manoeuvre::None };
        let gain = |map: &washboard_session::GainMap| map.values_n_s_per_m[0][0];
        HalfCar {
            mass_kg,
            inertia_kg_m2: 0.5 * vehicle.pitch_inertia_kg_m2,
            corners: [corner(0), corner(1)],
            gains: [gain(&mode.heave), gain(&mode.wheel), gain(&mode.base), gain(&mode.pitch)],
            ends_a: [mode.current_min_a, mode.current_max_a],
            road: sample(&driven, &geometry, Tracks::Single, SAMPLE_S, steps),
            settle_s: event.settle_s,
            duration_s,
        }
    }

    /// Height m and rate m/s under an axle: a cubic between samples.
    fn ground(&self, axle: usize, time_s: f64) -> (f64, f64) {
        let wheel = &self.road.wheels[axle][0];
        let place = (time_s / SAMPLE_S).clamp(0.0, self.road.steps as f64);
        let i = (place as usize).min(self.road.steps - 1);
        let t = place - i as f64;
        let (z0, z1) = (wheel.height_m[i], wheel.height_m[i + 1]);
        let (d0, d1) = (SAMPLE_S * wheel.rate_m_per_s[i], SAMPLE_S * wheel.rate_m_per_s[i + 1]);
        let (b, c) = (3.0 * (z1 - z0) - 2.0 * d0 - d1, d0 + d1 - 2.0 * (z1 - z0));
        (z0 + t * (d0 + t * (b + t * c)), (d0 + t * (2.0 * b + t * 3.0 * c)) / SAMPLE_S)
    }

    /// Everything at a moment; currents go towards `command_a`, or towards what the law wants now.
    fn moment(&self, time_s: f64, y: &State, command_a: Option<[f64; 2]>) -> Moment {
        let [z, pitch, z_rate, pitch_rate] = [y[0], y[1], y[4], y[5]];
        let mut at = Moment { rates: State::zeros(), wanted_a: [0.0; 2], loads_n: [0.0; 2] };
        let (mut lift_n, mut turn_n_m) = (0.0, 0.0);
        for (c, corner) in self.corners.iter().enumerate() {
            let (wheel_m, wheel_rate, current_a) = (y[2 + c], y[6 + c], y[8 + c]);
            let e = z - corner.x_m * pitch - wheel_m;
            let v = z_rate - corner.x_m * pitch_rate - wheel_rate;
            let damper_rate = corner.ratio * v;
            let body_n = -corner.spring_n_per_m * e - corner.ratio * corner.table.force(damper_rate, current_a);
            let (ground_m, ground_rate) = self.ground(c, time_s);
            let tyre_n =
                corner.tyre_n_per_m * (wheel_m - ground_m) + corner.tyre_n_s_per_m * (wheel_rate - ground_rate);
            at.loads_n[c] = (corner.static_n - tyre_n).max(0.0);
            lift_n += body_n;
            turn_n_m -= corner.x_m * body_n;
            at.rates[6 + c] = (at.loads_n[c] - corner.static_n - body_n) / corner.wheel_kg;
            let [heave, wheel, base, by_pitch] = self.gains;
            let wanted_n = heave * z_rate - by_pitch * corner.x_m * pitch_rate - wheel * wheel_rate + base * v;
            let [soft_a, firm_a] = self.ends_a;
            at.wanted_a[c] = corner.table.invert(damper_rate, wanted_n / corner.ratio, soft_a, firm_a);
            let target_a = command_a.map_or(at.wanted_a[c], |command_a| command_a[c]);
            at.rates[8 + c] = (target_a - current_a) / corner.lag_s[usize::from(target_a < current_a)];
        }
        for k in 0..4 {
            at.rates[k] = y[4 + k];
        }
        (at.rates[4], at.rates[5]) = (lift_n / self.mass_kg, turn_n_m / self.inertia_kg_m2);
        at
    }

    /// Integrates from rest at a relative tolerance, and returns the figures of the samples that count.
    pub fn drive(&self, acts: Acts, tolerance: f64) -> Figures {
        let steps = self.road.steps;
        let mut y = State::zeros();
        (y[8], y[9]) = (self.ends_a[0], self.ends_a[0]);
        let mut sums = Sums::default();
        match acts {
            Acts::Sampled => {
                for sample in 0..=steps {
                    let time_s = sample as f64 * SAMPLE_S;
                    let command_a = self.moment(time_s, &y, Some([0.0; 2])).wanted_a;
                    self.count(&mut sums, time_s, &y, Some(command_a));
                    let held = Driven { car: self, command_a: Some(command_a) };
                    // A step as long as the sample at first, and what is seen at its end only.
                    y = *integrate(held, time_s, time_s + SAMPLE_S, y, tolerance, SAMPLE_S, OutputType::Sparse)
                        .last()
                        .unwrap();
                }
            }
            Acts::Always => {
                let driven = Driven { car: self, command_a: None };
                let states = integrate(driven, 0.0, self.duration_s, y, tolerance, LONGEST_STEP_S, OutputType::Dense);
                for (sample, y) in states.iter().take(steps + 1).enumerate() {
                    self.count(&mut sums, sample as f64 * SAMPLE_S, y, None);
                }
            }
        }
        sums.rms()
    }

    fn count(&self, sums: &mut Sums, time_s: f64, y: &State, command_a: Option<[f64; 2]>) {
        if time_s < self.settle_s {
            return;
        }
        let at = self.moment(time_s, y, command_a);
        let load = |c: usize| at.loads_n[c] - self.corners[c].static_n;
        let travel = |c: usize| y[0] - self.corners[c].x_m * y[1] - y[2 + c];
        sums.add([at.rates[4], load(0), load(1), travel(0), travel(1)]);
    }
}

/// Sums of squares.
#[derive(Default)]
struct Sums {
    squares: Figures,
    count: f64,
}

impl Sums {
    fn add(&mut self, values: Figures) {
        self.squares.iter_mut().zip(values).for_each(|(sum, value)| *sum += value * value);
        self.count += 1.0;
    }

    fn rms(&self) -> Figures {
        self.squares.map(|sum| (sum / self.count).sqrt())
    }
}

/// The car as the library wants it.
struct Driven<'c> {
    car: &'c HalfCar,
    command_a: Option<[f64; 2]>,
}

impl System<f64, State> for Driven<'_> {
    fn system(&self, time_s: f64, y: &State, rates: &mut State) {
        *rates = self.car.moment(time_s, y, self.command_a).rates;
    }
}

/// States at the ends of the library's steps (sparse), or at every control sample (dense).
fn integrate(
    driven: Driven<'_>,
    from_s: f64,
    to_s: f64,
    y: State,
    tolerance: f64,
    longest_s: f64,
    output: OutputType,
) -> Vec<State> {
    // Safety factor, beta and bounds of a step's change as the library has them by default; its test for stiffness is left
    // out, which would cost it time. Positions are some centimetres: the absolute tolerance is a thousandth of the relative.
    let (safety, beta, least, most) = (0.9, 0.04, 0.2, 10.0);
    let mut stepper = Dopri5::from_param(
        driven,
        from_s,
        to_s,
        SAMPLE_S,
        y,
        tolerance,
        1e-3 * tolerance,
        safety,
        beta,
        least,
        most,
        longest_s,
        SAMPLE_S,
        u32::MAX,
        u32::MAX,
        output,
    );
    stepper.integrate().unwrap();
    stepper.y_out().clone()
}
