//! Sines of time: one frequency, or a walk through frequencies at constant velocity amplitude.

use std::f64::consts::TAU;

use crate::Spacing;

/// Height (m) and its rate (m/s) of a single sine; zero before t = 0.
pub(crate) fn harmonic(frequency_hz: f64, amplitude_m: f64, time_s: f64) -> (f64, f64) {
    if time_s < 0.0 {
        return (0.0, 0.0);
    }
    let omega = TAU * frequency_hz;
    let (sin, cos) = (omega * time_s).sin_cos();
    (amplitude_m * sin, amplitude_m * omega * cos)
}

/// A sweep over `duration_s`; beyond it the last frequency stays.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sweep {
    pub from_hz: f64,
    pub to_hz: f64,
    pub velocity_amplitude_m_per_s: f64,
    pub spacing: Spacing,
    pub duration_s: f64,
}

impl Sweep {
    /// Frequency (Hz), its rate (Hz/s) and the phase (rad) at a time within the duration.
    fn walk(&self, time_s: f64) -> (f64, f64, f64) {
        let (f0, f1, t, duration) = (self.from_hz, self.to_hz, time_s, self.duration_s);
        let octaves = (f1 / f0).ln();
        match self.spacing {
            // Below this the closed form divides zero by zero; the walk is then the linear one to rounding.
            Spacing::Logarithmic if octaves.abs() > 1e-9 => {
                let grown = (octaves * t / duration).exp_m1();
                let f = f0 * (1.0 + grown);
                (f, f * octaves / duration, TAU * f0 * duration / octaves * grown)
            }
            Spacing::Logarithmic | Spacing::Linear => {
                let rate = (f1 - f0) / duration;
                (f0 + rate * t, rate, TAU * t * (f0 + rate * t / 2.0))
            }
        }
    }

    /// Height (m) and its rate (m/s); zero before t = 0.
    pub(crate) fn at(&self, time_s: f64) -> (f64, f64) {
        if time_s < 0.0 {
            return (0.0, 0.0);
        }
        let within_s = time_s.min(self.duration_s);
        let (f, mut f_rate, mut phase) = self.walk(within_s);
        if time_s > self.duration_s {
            phase += TAU * f * (time_s - self.duration_s);
            f_rate = 0.0;
        }
        let (sin, cos) = phase.sin_cos();
        let amplitude_m = self.velocity_amplitude_m_per_s / (TAU * f);
        // Product rule: the amplitude shrinks as the frequency grows.
        (amplitude_m * sin, self.velocity_amplitude_m_per_s * cos - amplitude_m * (f_rate / f) * sin)
    }
}
