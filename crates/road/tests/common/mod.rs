//! Events that several tests share.
#![allow(dead_code)]

use realfft::RealFftPlanner;
use realfft::num_complex::Complex64;
use washboard_road::*;

/// REF geometry of checks.json 02_tracks_wheelbase: b = 1.5 m, L = 2.7 m.
pub const GEOMETRY: Geometry = Geometry { wheelbase_m: 2.7, track_m: 1.5, contact_length_m: [0.0; 2] };

/// Period of the sum of sinusoids, m, as documented for less than 2048 m driven.
pub const PERIOD_M: f64 = 2048.0;

pub fn class_c(seed: u64, ramp_m: f64) -> RandomRoad {
    RandomRoad { psd_at_n0_m3: class_psd_at_n0_m3(2), seed, from_cycles_per_m: 0.011, to_cycles_per_m: 2.83, ramp_m }
}

pub fn over(surface: Surface, speed_m_per_s: f64, duration_s: f64) -> Event {
    Event { speed_m_per_s, duration_s, surface, manoeuvre: Manoeuvre::None }
}

/// One whole period of a road at `points_per_m`, at 1 m/s, so that rates are slopes.
pub fn one_period(road: RandomRoad, tracks: Tracks, points_per_m: f64) -> Input {
    let steps = (PERIOD_M * points_per_m) as usize - 1;
    sample(&over(Surface::Random(road), 1.0, PERIOD_M), &GEOMETRY, tracks, 1.0 / points_per_m, steps)
}

/// Complex amplitudes of the sinusoids in one period.
pub fn amplitudes(values: &[f64]) -> Vec<Complex64> {
    let transform = RealFftPlanner::<f64>::new().plan_fft_forward(values.len());
    let mut input = values.to_vec();
    let mut output = transform.make_output_vec();
    transform.process(&mut input, &mut output).expect("buffers of the transform's own size");
    let scale = 2.0 / values.len() as f64;
    output.iter().map(|value| value * scale).collect()
}

pub fn mean_square(values: &[f64]) -> f64 {
    values.iter().map(|value| value * value).sum::<f64>() / values.len() as f64
}

pub fn largest(values: &[f64]) -> f64 {
    values.iter().fold(0.0, |largest, value| value.abs().max(largest))
}

/// Largest difference between a rate and the central difference of its height.
pub fn rate_error(wheel: &WheelInput, step_s: f64, samples: std::ops::Range<usize>) -> f64 {
    let (z, rate) = (&wheel.height_m, &wheel.rate_m_per_s);
    let error = |i: usize| (rate[i] - (z[i + 1] - z[i - 1]) / (2.0 * step_s)).abs();
    samples.map(error).fold(0.0, f64::max)
}
