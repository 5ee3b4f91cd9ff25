//! Filters of whole records as their analogue functions, at any sample rate: multiplied in the frequency domain.
//!
//! A recursive filter follows its analogue function only well below half the sample rate; a measured record of 100 Hz has
//! its interesting part right up there. Here the spectrum of the record is multiplied by the function itself. Zeros behind
//! the record let the filter ring out instead of wrapping round, so that the result is that of a filter which is at rest
//! before the record begins; and the result may be taken at a multiple of the sample rate, where peaks are not missed.

use realfft::RealFftPlanner;
use realfft::num_complex::Complex64;

/// The spectrum of a record, to be filtered as often as wanted.
pub struct Record {
    samples: usize,
    padded: usize,
    sample_rate_hz: f64,
    spectrum: Vec<Complex64>,
}

impl Record {
    /// Transforms a record; `memory_s` is how long the filters to come ring.
    pub fn new(samples: &[f64], sample_rate_hz: f64, memory_s: f64) -> Self {
        let tail = (memory_s * sample_rate_hz).ceil().max(1.0) as usize;
        let padded = (samples.len() + tail).next_power_of_two();
        let transform = RealFftPlanner::<f64>::new().plan_fft_forward(padded);
        let mut input = transform.make_input_vec();
        input[..samples.len()].copy_from_slice(samples);
        let mut spectrum = transform.make_output_vec();
        transform.process(&mut input, &mut spectrum).expect("buffers were made by the plan itself");
        Record { samples: samples.len(), padded, sample_rate_hz, spectrum }
    }

    /// The record behind a filter of this complex response over frequency in Hz, at `finer` times the sample rate: as many
    /// times the samples.
    pub fn filtered(&self, response: impl Fn(f64) -> Complex64, finer: usize) -> Vec<f64> {
        let finer = finer.max(1);
        let transform = RealFftPlanner::<f64>::new().plan_fft_inverse(self.padded * finer);
        let mut input = transform.make_input_vec();
        let step_hz = self.sample_rate_hz / self.padded as f64;
        let scale = 1.0 / self.padded as f64;
        for (k, (to, from)) in input.iter_mut().zip(&self.spectrum).enumerate() {
            *to = from * response(k as f64 * step_hz) * scale;
        }
        // Zero frequency and half the rate have no imaginary part; between finer samples half the rate counts twice.
        input[0].im = 0.0;
        let last = self.padded / 2;
        if finer > 1 {
            input[last] *= 0.5;
        } else {
            input[last].im = 0.0;
        }
        let mut output = transform.make_output_vec();
        transform.process(&mut input, &mut output).expect("buffers were made by the plan itself");
        output.truncate(self.samples * finer);
        output
    }

    /// Sample rate of the record, Hz.
    pub fn sample_rate_hz(&self) -> f64 {
        self.sample_rate_hz
    }
}

/// Complex response of the analogue Butterworth band-pass of order two (four poles), edges at -3 dB.
pub fn band_pass_response((low_hz, high_hz): (f64, f64), frequency_hz: f64) -> Complex64 {
    if frequency_hz <= 0.0 {
        return Complex64::ZERO;
    }
    // The low-pass of order two at the frequency that the band's transformation gives.
    let p = Complex64::new(0.0, (frequency_hz * frequency_hz - low_hz * high_hz) / (frequency_hz * (high_hz - low_hz)));
    1.0 / (1.0 + std::f64::consts::SQRT_2 * p + p * p)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::filter::{Cascade, band_pass, butterworth::Band, butterworth::butterworth, response};
    use std::f64::consts::TAU;

    #[test]
    fn nothing_filtered_is_the_record_and_lies_on_it_between_samples() {
        let wave = |t: f64| (TAU * 7.0 * t).sin() * (-((t - 1.0) / 0.2f64).powi(2)).exp();
        let samples: Vec<f64> = (0..200).map(|i| wave(f64::from(i) * 0.01)).collect();
        let record = Record::new(&samples, 100.0, 1.0);
        let same = record.filtered(|_| Complex64::ONE, 1);
        assert!(same.iter().zip(&samples).all(|(a, b)| (a - b).abs() < 1e-12));
        let finer = record.filtered(|_| Complex64::ONE, 8);
        assert_eq!(finer.len(), 1600);
        for (i, value) in finer.iter().enumerate() {
            assert!((value - wave(i as f64 * 0.00125)).abs() < 1e-9, "{i}");
        }
    }

    #[test]
    fn a_filter_equals_the_recursive_one_far_below_half_the_rate() {
        // Butterworth low-pass as a recursive filter at 20 kHz against the same function of s here, from rest.
        let rate = 20_000.0;
        let samples: Vec<f64> = (0..20_000).map(|i| (TAU * 3.0 * f64::from(i) / rate).cos()).collect();
        let sections = butterworth(2, Band::Below(5.0), rate).unwrap();
        let mut recursive = Cascade::<f64, 1>::new([sections[0]]);
        let analogue = |f: f64| {
            let p = Complex64::new(0.0, f / 5.0);
            1.0 / (1.0 + std::f64::consts::SQRT_2 * p + p * p)
        };
        let exact = Record::new(&samples, rate, 2.0).filtered(analogue, 1);
        for (i, (x, y)) in samples.iter().zip(&exact).enumerate() {
            let want = recursive.step(*x);
            assert!((y - want).abs() < 2e-3, "{i}: {y} against {want}");
        }
    }

    #[test]
    fn the_analogue_band_pass_is_the_digital_one_at_a_high_rate() {
        let sections = band_pass::<2>(5.0, 25.0, 20_000.0).unwrap();
        for hz in [1.0, 3.0, 5.0, 11.0, 25.0, 60.0] {
            let (re, im) = response(&sections, hz, 20_000.0);
            let exact = band_pass_response((5.0, 25.0), hz);
            assert!((exact - Complex64::new(re, im)).norm() < 2e-3, "{hz} Hz");
        }
        assert!((band_pass_response((5.0, 25.0), 25.0).norm_sqr() - 0.5).abs() < 1e-12);
        assert_eq!(band_pass_response((5.0, 25.0), 0.0), Complex64::ZERO);
    }
}
