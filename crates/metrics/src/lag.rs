//! How far roll lags behind lateral acceleration, and pitch behind roll.

use washboard_signal::Lane;

/// Largest share of its peak, or of the steady angle, by which the roll angle may be off its rest at the end of a run
/// whose moments are used.
const REST_SHARE: f64 = 0.05;

/// Mean lag of the roll angle behind the lateral acceleration, from their moments in time.
///
/// A linear car answers an acceleration a with the angle G a, later by the mean lag T of its response; its roll rate then
/// follows the rate of a by the same T, which is roll damping over roll stiffness. For a that ends steady, T is the area
/// between a and angle, each as a share of its end. For a that ends at zero and whose area is zero (there and back), with
/// moments m1, m2 of a and n1, n2 of the angle: G = n1/m1 and T = (n2/G - m2)/(2 m1).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Lag<L> {
    start_s: L,
    count: L,
    acceleration: [L; 3],
    angle: [L; 3],
    last_acceleration: L,
    last_angle: L,
    peak: L,
}

impl<L: Lane> Lag<L> {
    /// Nothing gathered yet of a manoeuvre that starts at a time; infinity in lanes without one.
    pub(crate) fn new(start_s: L) -> Self {
        let none = [L::zero(); 3];
        Lag {
            start_s,
            count: L::zero(),
            acceleration: none,
            angle: none,
            last_acceleration: L::zero(),
            last_angle: L::zero(),
            peak: L::zero(),
        }
    }

    /// Takes one sample that counts.
    #[inline(always)]
    pub(crate) fn sample(&mut self, acceleration: L, angle: L, time_s: f64) {
        let (now, zero) = (L::splat(time_s), L::zero());
        let has_started = now.ge(self.start_s);
        let t = L::select(has_started, now - self.start_s, zero);
        let mut weight = L::select(has_started, L::splat(1.0), zero);
        self.count += weight;
        for k in 0..3 {
            self.acceleration[k] += acceleration * weight;
            self.angle[k] += angle * weight;
            weight = weight * t;
        }
        self.last_acceleration = acceleration;
        self.last_angle = angle;
        self.peak = self.peak.max(L::select(has_started, angle.abs(), zero));
    }

    /// The mean lag, s; `steady` the angle at the end where there is one. `None` if the car has not come to rest.
    pub(crate) fn lag_s(&self, lane: usize, steady: Option<f64>, step_s: f64) -> Option<f64> {
        let last = self.last_angle.get(lane);
        let (a, f) = (self.acceleration.map(|x| x.get(lane)), self.angle.map(|x| x.get(lane)));
        if let Some(steady) = steady {
            let end = self.last_acceleration.get(lane);
            if end == 0.0 || steady == 0.0 || (last / steady - 1.0).abs() > REST_SHARE {
                return None;
            }
            return Some((a[0] / end - f[0] / steady) * step_s);
        }
        let rests = self.last_acceleration.get(lane) == 0.0 && last.abs() <= REST_SHARE * self.peak.get(lane);
        // There and back: what is left of the area is rounding.
        if !rests || a[1] == 0.0 || f[1] == 0.0 || (a[0] * self.count.get(lane) * step_s).abs() > 1e-3 * a[1].abs() {
            return None;
        }
        Some((f[2] * a[1] / f[1] - a[2]) / (2.0 * a[1]))
    }
}

/// Phase of pitch behind roll over a run: that of two sines of the roll rate's mean frequency.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Phase<L> {
    roll: L,
    roll_change: L,
    along: L,
    along_change: L,
    across: L,
}

impl<L: Lane> Phase<L> {
    /// Takes rates and accelerations of one sample that counts.
    #[inline(always)]
    pub(crate) fn sample(&mut self, roll: [L; 2], pitch: [L; 2]) {
        self.roll += roll[0] * roll[0];
        self.roll_change += roll[1] * roll[1];
        self.along += roll[0] * pitch[0];
        self.along_change += roll[1] * pitch[1];
        self.across += roll[0] * pitch[1] - roll[1] * pitch[0];
    }

    /// The phase, rad, positive where pitch comes later; `None` where either does not move.
    pub(crate) fn phase_rad(&self, lane: usize) -> Option<f64> {
        let (roll, change) = (self.roll.get(lane), self.roll_change.get(lane));
        if roll <= 0.0 || change <= 0.0 {
            return None;
        }
        let square = change / roll;
        let across = self.across.get(lane) / square.sqrt();
        let along = self.along.get(lane) + self.along_change.get(lane) / square;
        (across != 0.0 || along != 0.0).then(|| across.atan2(along))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// Angle of a roll degree of freedom under an acceleration, by small steps.
    fn roll(
        zeta: f64,
        omega: f64,
        gain: f64,
        end_s: f64,
        acceleration: impl Fn(f64) -> f64,
        steady: Option<f64>,
    ) -> Option<f64> {
        let (step, stride) = (1e-4, 10);
        let (mut angle, mut rate) = (0.0, 0.0);
        let mut lag = Lag::<f64>::new(0.5);
        for n in 0..(end_s / step) as usize {
            let t = n as f64 * step;
            if n % stride == 0 {
                lag.sample(acceleration(t), angle, t);
            }
            let a = acceleration(t + 0.5 * step);
            let half = rate + 0.5 * step * (omega * omega * (gain * a - angle) - 2.0 * zeta * omega * rate);
            angle += step * half;
            rate += step * (omega * omega * (gain * a - angle + 0.5 * step * half) - 2.0 * zeta * omega * half);
        }
        lag.lag_s(0, steady, step * stride as f64)
    }

    #[test]
    fn the_lag_is_roll_damping_over_roll_stiffness() {
        // Closed form: I phi'' + c phi' + K phi = M a has the mean lag c/K = 2 zeta/omega, whatever the course of a.
        let omega = TAU * 1.6;
        for zeta in [0.2, 0.4, 0.9] {
            let want = 2.0 * zeta / omega;
            let step = |t: f64| 4.0 * ((t - 0.5) / 0.15).clamp(0.0, 1.0);
            let got = roll(zeta, omega, 0.01, 8.0, step, Some(0.04)).unwrap();
            let source = "closed form: roll damping over roll stiffness";
            washboard_checks::relative(
                format!("roll delay after a step, damping ratio {zeta}"),
                source,
                got,
                want,
                0.01,
            );
            let sine = |t: f64| if (0.5..2.5).contains(&t) { 4.0 * (TAU * (t - 0.5) / 2.0).sin() } else { 0.0 };
            let got = roll(zeta, omega, 0.01, 8.0, sine, None).unwrap();
            washboard_checks::relative(
                format!("roll delay there and back, damping ratio {zeta}"),
                source,
                got,
                want,
                0.01,
            );
        }
    }

    #[test]
    fn what_has_not_come_to_rest_has_no_lag() {
        let step = |t: f64| if t > 0.5 { 4.0 } else { 0.0 };
        assert_eq!(roll(0.05, 5.0, 0.01, 0.7, step, Some(0.04)), None);
        assert_eq!(roll(0.3, 9.0, 0.01, 6.0, step, None), None);
    }

    #[test]
    fn the_phase_of_sines_is_theirs() {
        let w = TAU * 0.7;
        for delta in [-2.0, -0.4, 0.0, 0.9, 3.0] {
            let mut phase = Phase::<f64>::default();
            for n in 0..100_000 {
                let t = f64::from(n) * 1e-3;
                let (a, b) = (w * t, w * t - delta);
                phase.sample([0.3 * a.cos(), -0.3 * w * a.sin()], [0.1 * b.cos(), -0.1 * w * b.sin()]);
            }
            let got = phase.phase_rad(0).unwrap();
            washboard_checks::absolute("phase of two sines, rad", "definition", got, delta, 1e-6);
        }
        assert_eq!(Phase::<f64>::default().phase_rad(0), None);
    }
}
