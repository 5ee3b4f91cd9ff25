//! Power and cross spectra by Welch's method, planned once and reused.
//!
//! Periodic Hann window, half-overlapping segments, mean of each segment taken off, one-sided density: the defaults of
//! `scipy.signal.welch` and `csd`. The transform is `realfft`, because the plan and the window are then shared by many
//! channels and because cross spectra are needed too; `spectral_density` is the check of the power spectrum.

use realfft::num_complex::Complex64;
use realfft::{RealFftPlanner, RealToComplex};
use std::sync::Arc;

/// Why a spectrum cannot be computed.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SpectrumError {
    /// Segments of fewer than four samples say nothing.
    #[error("segment length {0} is below 4 samples")]
    SegmentLength(usize),
    /// The sample rate is not a positive number.
    #[error("sample rate {0} Hz is not a positive number")]
    SampleRate(f64),
    /// The record is shorter than one segment.
    #[error("record of {samples} samples is shorter than one segment of {segment}")]
    TooShort {
        /// Samples in the record.
        samples: usize,
        /// Samples in a segment.
        segment: usize,
    },
    /// Two channels of a cross spectrum differ in length.
    #[error("channels of {0} and {1} samples differ in length")]
    Lengths(usize, usize),
}

/// A transfer function estimated from two records: cross density over the density of the input.
#[derive(Clone, Debug, PartialEq)]
pub struct Transfer {
    /// Frequency of each bin, Hz.
    pub frequencies_hz: Vec<f64>,
    /// Complex gain, output over input.
    pub gain: Vec<Complex64>,
    /// Share of the output's power that follows from the input, 0 to 1. Of one segment alone it is always 1.
    pub coherence: Vec<f64>,
    /// Segments behind the estimate.
    pub segments: usize,
}

/// A planned spectrum: window, transform and buffers for one segment length and rate.
pub struct Welch {
    sample_rate_hz: f64,
    window: Vec<f64>,
    /// Makes `|X|^2` a one-sided density.
    scale: f64,
    transform: Arc<dyn RealToComplex<f64>>,
    input: Vec<f64>,
    output: Vec<Complex64>,
    second: Vec<Complex64>,
    scratch: Vec<Complex64>,
}

impl Welch {
    /// Plans spectra of segments of `segment` samples.
    ///
    /// # Errors
    /// If the segment has fewer than four samples or the rate is not positive.
    pub fn new(segment: usize, sample_rate_hz: f64) -> Result<Self, SpectrumError> {
        if segment < 4 {
            return Err(SpectrumError::SegmentLength(segment));
        }
        if !(sample_rate_hz > 0.0 && sample_rate_hz.is_finite()) {
            return Err(SpectrumError::SampleRate(sample_rate_hz));
        }
        let window: Vec<f64> =
            (0..segment).map(|i| 0.5 - 0.5 * (std::f64::consts::TAU * i as f64 / segment as f64).cos()).collect();
        let power: f64 = window.iter().map(|w| w * w).sum();
        let transform = RealFftPlanner::<f64>::new().plan_fft_forward(segment);
        Ok(Welch {
            sample_rate_hz,
            scale: 2.0 / (sample_rate_hz * power),
            input: transform.make_input_vec(),
            output: transform.make_output_vec(),
            second: transform.make_output_vec(),
            scratch: transform.make_scratch_vec(),
            window,
            transform,
        })
    }

    /// Samples in a segment.
    pub fn segment(&self) -> usize {
        self.window.len()
    }

    /// Frequency of each bin, Hz, from zero to half the sample rate.
    pub fn frequencies_hz(&self) -> Vec<f64> {
        let step = self.sample_rate_hz / self.segment() as f64;
        (0..=self.segment() / 2).map(|i| i as f64 * step).collect()
    }

    /// One-sided power spectral density, unit of the samples squared a hertz.
    ///
    /// # Errors
    /// If the record is shorter than one segment.
    pub fn psd(&mut self, samples: &[f64]) -> Result<Vec<f64>, SpectrumError> {
        self.check(samples.len())?;
        let mut sum = vec![0.0; self.output.len()];
        let starts = self.starts(samples.len());
        for &start in &starts {
            self.transform_segment(&samples[start..start + self.segment()], false);
            for (s, x) in sum.iter_mut().zip(&self.output) {
                *s += x.norm_sqr();
            }
        }
        let scale = self.scale / starts.len() as f64;
        sum.iter_mut().for_each(|s| *s *= scale);
        self.once(&mut sum);
        Ok(sum)
    }

    /// One-sided cross spectral density `conj(X) Y` of two channels: its angle is that of `second` against `first`.
    ///
    /// # Errors
    /// If the channels differ in length or are shorter than one segment.
    pub fn csd(&mut self, first: &[f64], second: &[f64]) -> Result<Vec<Complex64>, SpectrumError> {
        if first.len() != second.len() {
            return Err(SpectrumError::Lengths(first.len(), second.len()));
        }
        self.check(first.len())?;
        let mut sum = vec![Complex64::default(); self.output.len()];
        let starts = self.starts(first.len());
        for &start in &starts {
            self.transform_segment(&first[start..start + self.segment()], true);
            self.transform_segment(&second[start..start + self.segment()], false);
            for (s, (x, y)) in sum.iter_mut().zip(self.second.iter().zip(&self.output)) {
                *s += x.conj() * y;
            }
        }
        let scale = self.scale / starts.len() as f64;
        sum.iter_mut().for_each(|s| *s *= scale);
        self.once(&mut sum);
        Ok(sum)
    }

    /// Estimated transfer function from one channel to another, with its coherence.
    ///
    /// # Errors
    /// If the channels differ in length or are shorter than one segment.
    pub fn transfer(&mut self, from: &[f64], to: &[f64]) -> Result<Transfer, SpectrumError> {
        let cross = self.csd(from, to)?;
        let (input, output) = (self.psd(from)?, self.psd(to)?);
        let bins = || cross.iter().zip(input.iter().zip(&output));
        let gain = |(c, (x, _)): (&Complex64, (&f64, &f64))| if *x > 0.0 { c / *x } else { Complex64::ZERO };
        let coherence = |(c, (x, y)): (&Complex64, (&f64, &f64))| {
            if x * y > 0.0 { (c.norm_sqr() / (x * y)).min(1.0) } else { 0.0 }
        };
        Ok(Transfer {
            frequencies_hz: self.frequencies_hz(),
            gain: bins().map(gain).collect(),
            coherence: bins().map(coherence).collect(),
            segments: self.starts(from.len()).len(),
        })
    }

    fn check(&self, samples: usize) -> Result<(), SpectrumError> {
        let segment = self.segment();
        if samples < segment { Err(SpectrumError::TooShort { samples, segment }) } else { Ok(()) }
    }

    /// First sample of each half-overlapping segment.
    fn starts(&self, samples: usize) -> Vec<usize> {
        let segment = self.segment();
        (0..=samples - segment).step_by(segment - segment / 2).collect()
    }

    /// Zero frequency, and half the rate of an even segment, have no mirror image to be counted with.
    fn once<T: std::ops::MulAssign<f64>>(&self, density: &mut [T]) {
        let last = density.len() - 1;
        density[0] *= 0.5;
        if self.segment().is_multiple_of(2) {
            density[last] *= 0.5;
        }
    }

    /// Takes the mean off, windows and transforms into `output`, or into `second`.
    fn transform_segment(&mut self, samples: &[f64], into_second: bool) {
        let mean = samples.iter().sum::<f64>() / samples.len() as f64;
        for (x, (s, w)) in self.input.iter_mut().zip(samples.iter().zip(&self.window)) {
            *x = (s - mean) * w;
        }
        let output = if into_second { &mut self.second } else { &mut self.output };
        self.transform
            .process_with_scratch(&mut self.input, output, &mut self.scratch)
            .expect("buffers were made by the plan itself");
    }
}

/// One-sided power spectral density of one record: frequencies in Hz and density.
///
/// # Errors
/// As [`Welch::new`] and [`Welch::psd`].
pub fn welch(samples: &[f64], sample_rate_hz: f64, segment: usize) -> Result<(Vec<f64>, Vec<f64>), SpectrumError> {
    let mut plan = Welch::new(segment, sample_rate_hz)?;
    let psd = plan.psd(samples)?;
    Ok((plan.frequencies_hz(), psd))
}

#[cfg(test)]
mod tests {
    use super::*;
    use spectral_density::{Welch as Other, WelchWindow, welch_f64};

    /// A repeatable rough record (Weyl sequence through a cubic), not white but never the same.
    fn record(count: usize) -> Vec<f64> {
        (0..count)
            .map(|i| {
                let u = (i as f64 * 0.618_033_988_749_895).fract() - 0.5;
                3.0 + (0.02 * i as f64).sin() + 4.0 * u * u * u + (0.9 * i as f64 + u).cos()
            })
            .collect()
    }

    #[test]
    fn the_power_spectrum_equals_an_independent_one() {
        for (count, segment) in [(4096, 512), (5000, 500), (3001, 301)] {
            let x = record(count);
            let (f, psd) = welch(&x, 400.0, segment).unwrap();
            let other = welch_f64(
                &Other::new(&x).fs(400.0).window(WelchWindow::HannPeriodic).nperseg(segment).noverlap(segment / 2),
            )
            .unwrap();
            assert_eq!(f.len(), other.frequencies.len());
            let largest = psd.iter().fold(0.0, |a: f64, b| a.max(*b));
            for i in 0..f.len() {
                assert!((f[i] - other.frequencies[i]).abs() < 1e-9);
                assert!((psd[i] - other.psd[i]).abs() < 1e-12 * largest, "segment {segment}, bin {i}");
            }
        }
    }

    #[test]
    fn a_sine_keeps_its_power() {
        // Parseval: the density of a sine of amplitude 2 integrates to its mean square, 2.
        let x: Vec<f64> = (0..20_000).map(|i| 2.0 * (std::f64::consts::TAU * 7.0 * i as f64 / 1000.0).sin()).collect();
        let (f, psd) = welch(&x, 1000.0, 2000).unwrap();
        let power: f64 = psd.iter().sum::<f64>() * (f[1] - f[0]);
        assert!((power - 2.0).abs() < 1e-9, "{power}");
    }

    #[test]
    fn a_cross_spectrum_shows_gain_and_delay() {
        // y is 3 x four samples later: |S_xy| = 3 S_xx, angle -2 pi f 4/rate, up to the leakage of the delay.
        let x = record(60_000);
        let y: Vec<f64> = (0..x.len()).map(|i| 3.0 * x[i.saturating_sub(4)]).collect();
        let mut plan = Welch::new(1024, 1000.0).unwrap();
        let (xx, xy) = (plan.psd(&x).unwrap(), plan.csd(&x, &y).unwrap());
        let f = plan.frequencies_hz();
        let bin = xx.iter().enumerate().skip(5).max_by(|a, b| a.1.total_cmp(b.1)).map(|b| b.0).unwrap();
        assert!((xy[bin].norm() / xx[bin] - 3.0).abs() < 0.03);
        let angle = (xy[bin] * Complex64::cis(std::f64::consts::TAU * f[bin] * 0.004)).arg();
        assert!(angle.abs() < 0.02, "{angle}");
    }

    #[test]
    fn coherence_is_the_share_that_follows_from_the_input() {
        // Closed form: y = 2 x + noise of equal power a hertz as x has the coherence 4/(4 + 1), the gain 2.
        let noise = |seed: u64| {
            let mut state = seed;
            (0..200_000)
                .map(|_| {
                    state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                    (state >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
                })
                .collect::<Vec<f64>>()
        };
        let (x, n) = (noise(1), noise(0x9e37_79b9));
        let y: Vec<f64> = x.iter().zip(&n).map(|(x, n)| 2.0 * x + n).collect();
        let mut plan = Welch::new(256, 100.0).unwrap();
        let found = plan.transfer(&x, &y).unwrap();
        let inner = 2..found.gain.len() - 2;
        let mean = |values: &[f64]| values[inner.clone()].iter().sum::<f64>() / (inner.end - inner.start) as f64;
        let magnitude: Vec<f64> = found.gain.iter().map(|g| g.norm()).collect();
        assert!((mean(&found.coherence) - 0.8).abs() < 0.01, "{}", mean(&found.coherence));
        assert!((mean(&magnitude) - 2.0).abs() < 0.01);
        assert!(found.segments > 1000);
        let sure = plan.transfer(&x, &x.iter().map(|x| 3.0 * x).collect::<Vec<_>>()).unwrap();
        assert!(sure.coherence[2..].iter().all(|c| (c - 1.0).abs() < 1e-9));
    }

    #[test]
    fn what_cannot_be_computed_says_why() {
        assert_eq!(welch(&[1.0; 8], 1.0, 2).err(), Some(SpectrumError::SegmentLength(2)));
        assert_eq!(welch(&[1.0; 8], 0.0, 8).err(), Some(SpectrumError::SampleRate(0.0)));
        assert_eq!(welch(&[1.0; 8], 1.0, 16).err(), Some(SpectrumError::TooShort { samples: 8, segment: 16 }));
        let mut plan = Welch::new(4, 1.0).unwrap();
        assert_eq!(plan.csd(&[1.0; 8], &[1.0; 9]).err(), Some(SpectrumError::Lengths(8, 9)));
    }
}
