//! States of the law from the sensors a car carries: three body accelerometers, a ride-height sensor at each corner, and
//! wheel accelerometers where fitted.
//!
//! At sample n, dt apart (T the sample's readings, `a` accelerometers, `h` ride heights, `b` wheel accelerometers):
//!
//! - body accelerations about the described centre of gravity: `[z", phi", theta"] = A^-1 a`, row k of A: `[1, y_k, -x_k]`;
//! - rate of the ride height: `l[n] = h[n] + (l[n-1] - h[n]) exp(-2 pi f_h dt)`, `v[n] = (l[n] - l[n-1]) / dt`;
//! - body rates seen against the wheels: `u = B^+ v`, the least squares of `v_i = z' + y_i phi' - x_i theta'`;
//! - body rates, leaky integral that leans on `u` by the share s, with w = 2 pi f_b: `q' = q" + w (s u - q')`, in steps
//!   `q'[n] = d q'[n-1] + (1 - d)/w * (p[n] + p[n-1])/2`, `p = q" + w s u`, `d = exp(-w dt)` (for w = 0: `d = 1`, dt for (1 - d)/w);
//! - wheel rate with a wheel accelerometer: the same leaky integral of `b` with f_w and s = 0; without:
//!   `zw' = z' + y_i phi' - x_i theta' - v_i`, and its difference over dt for the wheel's acceleration.
//!
//! All start at rest. Leaky integration and complementary filters are textbook; their errors (phase lead
//! `atan(f_b / f)`, gain `1/sqrt(1 + (f_b/f)^2)` of an ideal accelerometer) are held against closed forms below.

use crate::controller::Sensors;
use crate::sensor::{Sensor, SensorSettings};
use nalgebra::{Matrix3, SMatrix, SVector};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use std::f64::consts::TAU;
use washboard_signal::Lane;
use washboard_signal::filter::OnePole;

/// Sensors fitted, and the constants of the filters.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimation {
    /// Places of the body accelerometers, forward and left of the described centre of gravity, m; not in one line.
    pub body_sensors_m: [[f64; 2]; 3],
    /// Wheel accelerometers on front and rear axle.
    pub wheel_sensors: [bool; 2],
    /// Body accelerometers, m/s^2.
    pub body: SensorSettings,
    /// Ride-height sensors, m of wheel travel.
    pub height: SensorSettings,
    /// Wheel accelerometers, m/s^2.
    pub wheel: SensorSettings,
    /// Leak of the body rates f_b, Hz.
    pub body_leak_hz: f64,
    /// How far the body rates lean on the ride heights below the leak, 0 to 1.
    pub height_share: f64,
    /// Low-pass of the ride height f_h, Hz.
    pub height_low_pass_hz: f64,
    /// Leak of the wheel rates f_w, Hz.
    pub wheel_leak_hz: f64,
    /// Seed of the noise.
    pub seed: u64,
}

/// What the sensors are exposed to at a sample.
#[derive(Clone, Copy, Debug)]
pub struct Exposed<L, const C: usize> {
    /// Vertical acceleration of the body at the three accelerometers, m/s^2.
    pub body_acceleration: [L; 3],
    /// Suspension deflection against the car as described, m.
    pub ride_height: [L; C],
    /// Wheel acceleration, m/s^2.
    pub wheel_acceleration: [L; C],
}

/// A leaky integral over fixed steps, exact for an input that is linear between samples up to the second order of dt.
#[derive(Clone, Copy, Debug)]
struct Leaky<L> {
    decay: f64,
    half_gain: f64,
    last: L,
    value: L,
}

impl<L: Lane> Leaky<L> {
    fn new(leak_hz: f64, step_s: f64) -> Self {
        let w = TAU * leak_hz;
        let gain = if w > 0.0 { -(-w * step_s).exp_m1() / w } else { step_s };
        Leaky { decay: (-w * step_s).exp(), half_gain: 0.5 * gain, last: L::zero(), value: L::zero() }
    }

    #[inline(always)]
    fn step(&mut self, x: L) -> L {
        self.value = self.value * L::splat(self.decay) + (x + self.last) * L::splat(self.half_gain);
        self.last = x;
        self.value
    }
}

/// Estimator of all lanes. One sample costs nothing where the controller knows the true states: then there is none.
#[derive(Clone, Debug)]
pub struct Estimator<L, const C: usize> {
    body_inverse: [[f64; 3]; 3],
    height_inverse: [[f64; C]; 3],
    corners_m: [[f64; 2]; C],
    wheel_fitted: [bool; C],
    lean: f64,
    per_step: f64,
    body: [Sensor<L>; 3],
    height: [Sensor<L>; C],
    wheel: [Sensor<L>; C],
    noise: ChaCha8Rng,
    body_rate: [Leaky<L>; 3],
    height_low: [OnePole<L>; C],
    wheel_leaky: [Leaky<L>; C],
    wheel_rate: [L; C],
}

impl<L: Lane, const C: usize> Estimator<L, C> {
    /// At rest. `corners_m`: lever arms of the corners from the described centre of gravity, zero where the model has no
    /// pitch or roll; `axle_of`: 0 front, 1 rear.
    ///
    /// # Panics
    /// If the body accelerometers stand in one line: the caller has checked that.
    pub fn new(settings: &Estimation, sample_rate_hz: f64, corners_m: [[f64; 2]; C], axle_of: [usize; C]) -> Self {
        let step_s = 1.0 / sample_rate_hz;
        let a = Matrix3::from_fn(|k, dof| row(settings.body_sensors_m[k])[dof]);
        let inverse = a.try_inverse().expect("body accelerometers span a plane, by the caller's check");
        let b = SMatrix::<f64, C, 3>::from_fn(|c, dof| row(corners_m[c])[dof]);
        Estimator {
            body_inverse: std::array::from_fn(|dof| std::array::from_fn(|k| inverse[(dof, k)])),
            height_inverse: least_squares(&b),
            corners_m,
            wheel_fitted: axle_of.map(|axle| settings.wheel_sensors[axle]),
            lean: TAU * settings.body_leak_hz * settings.height_share,
            per_step: sample_rate_hz,
            body: std::array::from_fn(|_| Sensor::new(settings.body, step_s)),
            height: std::array::from_fn(|_| Sensor::new(settings.height, step_s)),
            wheel: std::array::from_fn(|_| Sensor::new(settings.wheel, step_s)),
            noise: ChaCha8Rng::seed_from_u64(settings.seed),
            body_rate: [Leaky::new(settings.body_leak_hz, step_s); 3],
            height_low: [OnePole::new(step_s, 1.0 / (TAU * settings.height_low_pass_hz)); C],
            wheel_leaky: [Leaky::new(settings.wheel_leak_hz, step_s); C],
            wheel_rate: [L::zero(); C],
        }
    }

    /// One sample: replaces the true states in `sensors` by what the controller makes of its readings. Speed, lateral and
    /// longitudinal acceleration stay as they are.
    #[inline(always)]
    pub fn sample(&mut self, exposed: &Exposed<L, C>, sensors: &mut Sensors<L, C>) {
        let per_step = L::splat(self.per_step);
        let read: [L; 3] = std::array::from_fn(|k| self.body[k].read(exposed.body_acceleration[k], &mut self.noise));
        let acceleration: [L; 3] = std::array::from_fn(|dof| weighted(&self.body_inverse[dof], &read));
        let rate: [L; C] = std::array::from_fn(|c| {
            let height = self.height[c].read(exposed.ride_height[c], &mut self.noise);
            let before = self.height_low[c].value();
            (self.height_low[c].step(height) - before) * per_step
        });
        let body: [L; 3] = std::array::from_fn(|dof| {
            let mut input = acceleration[dof];
            if self.lean > 0.0 {
                input += weighted(&self.height_inverse[dof], &rate) * L::splat(self.lean);
            }
            self.body_rate[dof].step(input)
        });
        sensors.heave_rate = body[0];
        for c in 0..C {
            let [x, y] = self.corners_m[c].map(L::splat);
            sensors.roll_part[c] = y * body[1];
            sensors.pitch_part[c] = -(x * body[2]);
            sensors.body_acceleration[c] = acceleration[0] + y * acceleration[1] - x * acceleration[2];
            sensors.corner_rate[c] = rate[c];
            sensors.ride_height[c] = self.height_low[c].value();
            let before = self.wheel_rate[c];
            if self.wheel_fitted[c] {
                let read = self.wheel[c].read(exposed.wheel_acceleration[c], &mut self.noise);
                sensors.wheel_acceleration[c] = read;
                self.wheel_rate[c] = self.wheel_leaky[c].step(read);
            } else {
                self.wheel_rate[c] = body[0] + sensors.roll_part[c] + sensors.pitch_part[c] - rate[c];
                sensors.wheel_acceleration[c] = (self.wheel_rate[c] - before) * per_step;
            }
            sensors.wheel_rate[c] = self.wheel_rate[c];
        }
    }
}

/// Vertical motion at a point for a unit of heave, roll and pitch.
fn row([x, y]: [f64; 2]) -> [f64; 3] {
    [1.0, y, -x]
}

#[inline(always)]
fn weighted<L: Lane, const N: usize>(weights: &[f64; N], values: &[L; N]) -> L {
    let mut sum = L::zero();
    for (w, v) in weights.iter().zip(values) {
        sum += *v * L::splat(*w);
    }
    sum
}

/// Least squares of body rates from corner rates: the pseudo-inverse of B by columns that the model has.
fn least_squares<const C: usize>(b: &SMatrix<f64, C, 3>) -> [[f64; C]; 3] {
    let mut normal = b.transpose() * b;
    for dof in 0..3 {
        if normal[(dof, dof)] == 0.0 {
            normal[(dof, dof)] = 1.0;
        }
    }
    let inverse = normal.try_inverse().unwrap_or_else(Matrix3::zeros);
    std::array::from_fn(|dof| {
        std::array::from_fn(|c| {
            let unit = SVector::<f64, C>::from_fn(|i, _| f64::from(u8::from(i == c)));
            (inverse * (b.transpose() * unit))[dof]
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settings() -> Estimation {
        Estimation {
            body_sensors_m: [[1.1, 0.5], [0.9, -0.6], [-1.3, 0.1]],
            wheel_sensors: [true, false],
            body: SensorSettings::default(),
            height: SensorSettings::default(),
            wheel: SensorSettings::default(),
            body_leak_hz: 0.2,
            height_share: 0.0,
            height_low_pass_hz: 30.0,
            wheel_leak_hz: 0.5,
            seed: 1,
        }
    }

    const CORNERS: [[f64; 2]; 4] = [[1.2, 0.8], [1.2, -0.8], [-1.5, 0.75], [-1.5, -0.75]];

    /// Complex amplitude of a channel at a steady sine, over the last whole periods of 20 s at 1 kHz.
    fn amplitude(f: f64, values: &[f64]) -> (f64, f64) {
        let n = (1000.0 / f).round() as usize * 4;
        let (mut re, mut im) = (0.0, 0.0);
        for (i, v) in values.iter().enumerate().skip(values.len() - n) {
            let phase = TAU * f * i as f64 / 1000.0;
            re += v * phase.cos() * 2.0 / n as f64;
            im -= v * phase.sin() * 2.0 / n as f64;
        }
        (re, im)
    }

    #[test]
    fn a_steady_sine_is_seen_with_the_gains_of_the_closed_forms() {
        // Rates are heave cos(wt), roll 0.2 cos(wt), pitch -0.1 cos(wt), wheels at rest. Closed forms at 2 Hz: leaky
        // integral of an acceleration jw/(jw + w_b); first-order low-pass 1/(1 + jw/w_h), both of continuous time, so
        // that half a sample of delay and the hold of the low-pass remain: below 2 % and 1 degree.
        for f in [1.0, 2.0, 5.0] {
            let mut e = Estimator::<f64, 4>::new(&settings(), 1000.0, CORNERS, [0, 0, 1, 1]);
            let w = TAU * f;
            let q = [1.0, 0.2, -0.1];
            let (mut heave, mut roll, mut pitch, mut corner) = (vec![], vec![], vec![], vec![]);
            for n in 0..20_000 {
                let s = (w * f64::from(n) / 1000.0).sin();
                let at = |[x, y]: [f64; 2]| q[0] + y * q[1] - x * q[2];
                let exposed = Exposed {
                    body_acceleration: settings().body_sensors_m.map(|p| -w * s * at(p)),
                    ride_height: CORNERS.map(|p| s / w * at(p)),
                    wheel_acceleration: [0.0; 4],
                };
                let mut sensors = Sensors::default();
                e.sample(&exposed, &mut sensors);
                heave.push(sensors.heave_rate);
                roll.push(sensors.roll_part[0] / 0.8);
                pitch.push(sensors.pitch_part[2] / 1.5);
                corner.push(sensors.corner_rate[3] / at(CORNERS[3]));
            }
            let leak = 0.2 / f;
            let body_gain = 1.0 / (1.0 + leak * leak).sqrt();
            let low = f / 30.0;
            let height_gain = 1.0 / (1.0 + low * low).sqrt();
            for (what, values, gain, phase) in [
                ("heave", heave, body_gain, leak.atan()),
                ("roll", roll, 0.2 * body_gain, leak.atan()),
                ("pitch", pitch.iter().map(|v| -v).collect(), 0.1 * body_gain, leak.atan()),
                ("corner", corner, height_gain, -low.atan()),
            ] {
                let (re, im) = amplitude(f, &values);
                let (got, angle) = (re.hypot(im), im.atan2(re));
                assert!((got / gain - 1.0).abs() < 0.02, "{what} at {f} Hz: {got} against {gain}");
                let late = w * 0.0005;
                assert!((angle - phase).abs() < late + 0.01, "{what} at {f} Hz: {angle} against {phase} rad");
            }
        }
    }

    #[test]
    fn leaning_on_the_heights_makes_a_slow_body_motion_right() {
        // With the wheels at rest u is the truth, and q' = q" + w (u - q') has the truth as its solution at every
        // frequency; without, the leaky integral halves the power at the leak.
        for (share, low, high) in [(1.0, 0.99, 1.01), (0.0, 0.69, 0.73)] {
            let mut e = Estimator::<f64, 4>::new(
                &Estimation { height_share: share, ..settings() },
                1000.0,
                CORNERS,
                [0, 0, 1, 1],
            );
            let w = TAU * 0.2;
            let mut heave = vec![];
            for n in 0..40_000 {
                let s = (w * f64::from(n) / 1000.0).sin();
                let exposed =
                    Exposed { body_acceleration: [-w * s; 3], ride_height: [s / w; 4], wheel_acceleration: [0.0; 4] };
                let mut sensors = Sensors::default();
                e.sample(&exposed, &mut sensors);
                heave.push(sensors.heave_rate);
            }
            let (re, im) = amplitude(0.2, &heave);
            let got = re.hypot(im);
            assert!(got > low && got < high, "share {share}: {got}");
        }
    }

    #[test]
    fn least_squares_of_a_model_without_roll_or_pitch_leaves_them_out() {
        let quarter = least_squares(&SMatrix::<f64, 1, 3>::from_fn(|_, dof| row([0.0, 0.0])[dof]));
        assert_eq!(quarter, [[1.0], [0.0], [0.0]]);
        // Two corners in pitch: exact inverse by hand, z' = (1.5 v_f + 1.2 v_r)/2.7, theta' = (v_r - v_f)/2.7.
        let pitch = least_squares(&SMatrix::<f64, 2, 3>::from_fn(|c, dof| row([[1.2, 0.0], [-1.5, 0.0]][c])[dof]));
        let want = [[1.5 / 2.7, 1.2 / 2.7], [0.0, 0.0], [-1.0 / 2.7, 1.0 / 2.7]];
        for (got, want) in pitch.iter().flatten().zip(want.iter().flatten()) {
            assert!((got - want).abs() < 1e-12, "{pitch:?}");
        }
    }
}
