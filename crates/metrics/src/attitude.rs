//! Roll or pitch of the body: peaks, rates, and in a manoeuvre overshoot and settling.

use crate::sum::{Peak, Squares, stored};
use washboard_signal::Lane;

/// Half width of the settling band as a share of the steady value.
pub const SETTLING_SHARE: f64 = 0.05;

/// A manoeuvre that ends in a steady angle.
#[derive(Clone, Copy, Debug)]
pub struct Step<L> {
    /// The quasi-static angle it tends to, rad; where it is zero, overshoot and settling do not apply.
    pub steady_rad: L,
    /// When the manoeuvre starts, s.
    pub start_s: L,
}

/// Gathers the figures of one angle.
#[derive(Clone, Copy, Debug)]
pub struct Attitude<L> {
    motion: Motion<L>,
    step: Option<Tracked<L>>,
}

/// What every run needs.
#[derive(Clone, Copy, Debug)]
struct Motion<L> {
    angle: Peak<L>,
    rate: Squares<L>,
}

/// What a manoeuvre needs besides.
#[derive(Clone, Copy, Debug)]
struct Tracked<L> {
    step: Step<L>,
    /// Plus or minus one, the side the steady angle lies on.
    side: L,
    band: L,
    furthest: L,
    /// Last time outside the band, s.
    outside_s: L,
}

/// The figures of one angle in one lane. What does not apply is `None`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AttitudeFigures {
    /// Largest magnitude of the angle, rad.
    pub peak_rad: f64,
    /// Largest magnitude of the rate, rad/s.
    pub rate_peak_rad_per_s: f64,
    /// r.m.s. value of the rate, rad/s.
    pub rate_rms_rad_per_s: f64,
    /// Steady angle of the manoeuvre, rad.
    pub steady_rad: Option<f64>,
    /// How far the angle went beyond the steady one, as a share of it; 0 if it never did.
    pub overshoot_share: Option<f64>,
    /// From the start of the manoeuvre until the angle stays within 5 % of the steady one, s; `None` too if it never did.
    pub settling_s: Option<f64>,
}

impl<L: Lane> Attitude<L> {
    /// Nothing gathered yet.
    pub fn new(step: Option<Step<L>>) -> Self {
        Attitude {
            motion: Motion { angle: Peak::default(), rate: Squares::default() },
            step: step.map(|step| Tracked {
                step,
                side: L::select(step.steady_rad.ge(L::zero()), L::splat(1.0), L::splat(-1.0)),
                band: step.steady_rad.abs() * L::splat(SETTLING_SHARE),
                furthest: L::splat(f64::NEG_INFINITY),
                outside_s: L::splat(f64::NEG_INFINITY),
            }),
        }
    }

    /// Takes samples that count: angle, rad, and rate, rad/s, and of each the time, s.
    #[inline(always)]
    pub fn take(&mut self, samples: impl Iterator<Item = [L; 2]> + Clone, time_s: impl Fn(usize) -> f64) {
        let mut motion = self.motion;
        for [angle, rate] in samples.clone() {
            motion.angle.add(angle);
            motion.rate.add(rate);
        }
        self.motion = motion;
        if let Some(t) = &mut self.step {
            for (k, [angle, _]) in samples.enumerate() {
                t.furthest = t.furthest.max(t.side * angle);
                let away = (angle - t.step.steady_rad).abs();
                t.outside_s = stored(L::select(away.gt(t.band), L::splat(time_s(k)), t.outside_s));
            }
        }
    }

    /// The figures of a lane after `count` samples, the last of them at `last_s`, `step_s` apart.
    pub fn figures(&self, lane: usize, count: f64, last_s: f64, step_s: f64) -> AttitudeFigures {
        let step = self.step.as_ref().filter(|t| t.step.steady_rad.get(lane) != 0.0);
        let steady = step.map(|t| t.step.steady_rad.get(lane));
        AttitudeFigures {
            peak_rad: self.motion.angle.value(lane),
            rate_peak_rad_per_s: self.motion.rate.peak(lane),
            rate_rms_rad_per_s: self.motion.rate.rms(lane, count),
            steady_rad: steady,
            overshoot_share: step.zip(steady).map(|(t, s)| (t.furthest.get(lane) / s.abs() - 1.0).max(0.0)),
            settling_s: step.and_then(|t| {
                let outside = t.outside_s.get(lane);
                // Within the band from the sample after the last one outside.
                (outside < last_s).then(|| (outside + step_s - t.step.start_s.get(lane)).max(0.0))
            }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(angle: impl Fn(f64) -> f64, steady: f64, start_s: f64, duration_s: f64) -> AttitudeFigures {
        let rate = 1000.0;
        let count = (duration_s * rate) as usize;
        let mut attitude = Attitude::<f64>::new(Some(Step { steady_rad: steady, start_s }));
        for n in 0..count {
            let t = n as f64 / rate;
            let slope = (angle(t + 1e-6) - angle(t - 1e-6)) / 2e-6;
            attitude.take(std::iter::once([angle(t), slope]), |_| t);
        }
        attitude.figures(0, count as f64, (count - 1) as f64 / rate, 1.0 / rate)
    }

    /// Step response of a second-order system that settles at `steady`.
    fn second_order(zeta: f64, omega: f64, steady: f64, start_s: f64) -> impl Fn(f64) -> f64 {
        move |t| {
            let t = (t - start_s).max(0.0);
            let damped = omega * (1.0 - zeta * zeta).sqrt();
            let swing = (damped * t).cos() + zeta * omega / damped * (damped * t).sin();
            steady * (1.0 - (-zeta * omega * t).exp() * swing)
        }
    }

    #[test]
    fn overshoot_is_that_of_a_second_order_step() {
        // checks.json case 14 (closed form exp(-pi zeta/sqrt(1 - zeta^2))), for either side; natural frequency of its car.
        let omega = std::f64::consts::TAU * 1.0079834283123446;
        for (zeta, want) in [
            (0.2, 0.526620599330303),
            (0.3, 0.3723261049265864),
            (0.4, 0.2538267219801087),
            (0.5, 0.16303353482158048),
            (0.7, 0.04598791026026775),
        ] {
            for steady in [0.076, -0.076] {
                let f = run(second_order(zeta, omega, steady, 0.5), steady, 0.5, 10.0);
                let got = f.overshoot_share.unwrap();
                let source = "checks 14: exp(-pi zeta/sqrt(1 - zeta^2))";
                washboard_checks::absolute(format!("overshoot share at damping ratio {zeta}"), source, got, want, 1e-4);
                assert!((f.peak_rad / (0.076 * (1.0 + want)) - 1.0).abs() < 1e-4);
            }
        }
        // Same case: peak roll at 0.4 g and damping ratio 0.3, in degrees.
        let steady = 0.019412660644752965 * 0.4 * 9.81;
        let f = run(second_order(0.3, omega, steady, 0.0), steady, 0.0, 10.0);
        let got = f.peak_rad.to_degrees();
        washboard_checks::relative(
            "peak roll at 0.4 g, degrees",
            "checks 14: closed form",
            got,
            5.9895475700310445,
            1e-4,
        );
    }

    #[test]
    fn settling_is_the_closed_form_of_a_first_order_step() {
        // Within 5 % after tau ln 20, to the sample.
        let f = run(|t| 0.05 * (1.0 - (-(t - 1.0).max(0.0) / 0.3).exp()), 0.05, 1.0, 6.0);
        let exact = 0.3 * 20f64.ln();
        let got = f.settling_s.unwrap();
        assert!((0.0..=0.001 + 1e-9).contains(&(got - exact)), "{got} against {exact}");
        assert_eq!(f.overshoot_share, Some(0.0));
        // The steepest slope of that step is steady/tau.
        assert!((f.rate_peak_rad_per_s - 0.05 / 0.3).abs() < 1e-3);
    }

    #[test]
    fn what_never_settles_has_no_settling_time() {
        let f = run(|t| 0.05 + 0.01 * (20.0 * t).sin(), 0.05, 0.0, 5.0);
        assert_eq!(f.settling_s, None);
        assert!((f.overshoot_share.unwrap() - 0.2).abs() < 1e-4);
        assert!((f.rate_rms_rad_per_s - 0.2 / std::f64::consts::SQRT_2).abs() < 2e-3);
        let f = run(|_| 0.0, 0.0, 0.0, 1.0);
        assert_eq!((f.steady_rad, f.overshoot_share, f.settling_s), (None, None, None));
    }
}
