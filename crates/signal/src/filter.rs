//! Recursive filters that run inside the time loop: second-order sections, cascades of them, first-order lags.
//!
//! Coefficients are `f64` and shared by all lanes, the state is one value a lane. Every filter starts at rest. Design is
//! apart from running: [`mod@butterworth`] and [`weighting`] return sections, [`Cascade`] runs them.

pub mod butterworth;
pub mod weighting;

use crate::Lane;

pub use butterworth::{Band, band_pass, butterworth};
pub use weighting::{Gathers, Weighting, WeightingFilter};

/// Why a filter cannot be designed as asked.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum DesignError {
    /// The sample rate is outside what the design holds for.
    #[error("sample rate {value} Hz is outside {least} to {most} Hz")]
    SampleRate {
        /// Rate asked for, Hz.
        value: f64,
        /// Least rate, Hz.
        least: f64,
        /// Largest rate, Hz.
        most: f64,
    },
    /// An edge frequency is not between zero and half the sample rate.
    #[error("edge frequency {value} Hz is not between 0 and {most} Hz, half the sample rate")]
    Edge {
        /// Edge asked for, Hz.
        value: f64,
        /// Half the sample rate, Hz.
        most: f64,
    },
    /// The lower edge of a band is not below its upper edge.
    #[error("lower edge {low_hz} Hz is not below the upper edge {high_hz} Hz")]
    Order {
        /// Lower edge, Hz.
        low_hz: f64,
        /// Upper edge, Hz.
        high_hz: f64,
    },
    /// The order is not one this design offers.
    #[error("filter order {value} is outside 1 to {most}")]
    FilterOrder {
        /// Order asked for.
        value: usize,
        /// Largest order.
        most: usize,
    },
}

/// Coefficients of a second-order section, `(b0 + b1/z + b2/z^2) / (1 + a1/z + a2/z^2)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Numerator, undelayed.
    pub b0: f64,
    /// Numerator, one sample back.
    pub b1: f64,
    /// Numerator, two samples back.
    pub b2: f64,
    /// Denominator, one sample back.
    pub a1: f64,
    /// Denominator, two samples back.
    pub a2: f64,
}

impl Section {
    /// Passes everything unchanged.
    pub const IDENTITY: Section = Section { b0: 1.0, b1: 0.0, b2: 0.0, a1: 0.0, a2: 0.0 };

    /// Complex response at a frequency, as real and imaginary part.
    pub fn response(&self, frequency_hz: f64, sample_rate_hz: f64) -> (f64, f64) {
        let w = std::f64::consts::TAU * frequency_hz / sample_rate_hz;
        let (s1, c1) = w.sin_cos();
        let (s2, c2) = (2.0 * w).sin_cos();
        let (nr, ni) = (self.b0 + self.b1 * c1 + self.b2 * c2, -(self.b1 * s1 + self.b2 * s2));
        let (dr, di) = (1.0 + self.a1 * c1 + self.a2 * c2, -(self.a1 * s1 + self.a2 * s2));
        let d = dr * dr + di * di;
        ((nr * dr + ni * di) / d, (ni * dr - nr * di) / d)
    }

    /// The section with its numerator multiplied.
    pub fn scaled(self, gain: f64) -> Self {
        Section { b0: self.b0 * gain, b1: self.b1 * gain, b2: self.b2 * gain, ..self }
    }
}

/// Magnitude of the response of sections one after the other.
pub fn magnitude(sections: &[Section], frequency_hz: f64, sample_rate_hz: f64) -> f64 {
    let (re, im) = response(sections, frequency_hz, sample_rate_hz);
    re.hypot(im)
}

/// Complex response of sections one after the other, as real and imaginary part.
pub fn response(sections: &[Section], frequency_hz: f64, sample_rate_hz: f64) -> (f64, f64) {
    sections.iter().fold((1.0, 0.0), |(re, im), section| {
        let (r, i) = section.response(frequency_hz, sample_rate_hz);
        (re * r - im * i, re * i + im * r)
    })
}

/// One second-order section with its state (transposed direct form II, which keeps small numbers apart from large ones).
#[derive(Clone, Copy, Debug)]
pub struct Biquad<L> {
    section: Section,
    s1: L,
    s2: L,
}

impl<L: Lane> Biquad<L> {
    /// A section at rest.
    pub fn new(section: Section) -> Self {
        Biquad { section, s1: L::zero(), s2: L::zero() }
    }

    /// Takes one sample and returns the filtered one.
    #[inline(always)]
    pub fn step(&mut self, x: L) -> L {
        let c = &self.section;
        let y = x * L::splat(c.b0) + self.s1;
        self.s1 = x * L::splat(c.b1) - y * L::splat(c.a1) + self.s2;
        self.s2 = x * L::splat(c.b2) - y * L::splat(c.a2);
        y
    }

    /// Back to rest.
    pub fn reset(&mut self) {
        *self = Biquad::new(self.section);
    }
}

/// `S` second-order sections one after the other.
#[derive(Clone, Copy, Debug)]
pub struct Cascade<L, const S: usize> {
    stages: [Biquad<L>; S],
}

impl<L: Lane, const S: usize> Cascade<L, S> {
    /// A cascade at rest.
    pub fn new(sections: [Section; S]) -> Self {
        Cascade { stages: sections.map(Biquad::new) }
    }

    /// Takes one sample and returns the filtered one.
    #[inline(always)]
    pub fn step(&mut self, x: L) -> L {
        let mut y = x;
        for stage in &mut self.stages {
            y = stage.step(y);
        }
        y
    }

    /// Back to rest.
    pub fn reset(&mut self) {
        for stage in &mut self.stages {
            stage.reset();
        }
    }
}

/// A band-pass of `S` sections with zeros at `z = 1` and `z = -1`, as those of [`band_pass`]: all its gain stands in front,
/// which leaves less to compute than a [`Cascade`].
#[derive(Clone, Copy, Debug)]
pub struct BandPass<L: Lane, const S: usize> {
    gain: L::Number,
    stages: [Resonance<L>; S],
}

/// `(1 - 1/z^2) / (1 + a1/z + a2/z^2)` with its state, in the form of [`Biquad`].
#[derive(Clone, Copy, Debug)]
struct Resonance<L: Lane> {
    a1: L::Number,
    minus_a2: L::Number,
    s1: L,
    s2: L,
}

impl<L: Lane, const S: usize> BandPass<L, S> {
    /// The Butterworth band-pass between two edges, at rest.
    ///
    /// # Errors
    /// As [`butterworth()`].
    pub fn new((low_hz, high_hz): (f64, f64), sample_rate_hz: f64) -> Result<Self, DesignError> {
        let sections = band_pass::<S>(low_hz, high_hz, sample_rate_hz)?;
        Ok(BandPass {
            gain: L::number(sections.iter().map(|s| s.b0).product()),
            stages: sections.map(|s| Resonance {
                a1: L::number(s.a1),
                minus_a2: L::number(-s.a2),
                s1: L::zero(),
                s2: L::zero(),
            }),
        })
    }

    /// Takes one sample and returns the filtered one.
    #[inline(always)]
    pub fn step(&mut self, x: L) -> L {
        let mut y = x * L::spread(self.gain);
        for stage in &mut self.stages {
            let x = y;
            y = x + stage.s1;
            stage.s1 = stage.s2 - y * L::spread(stage.a1);
            stage.s2 = y * L::spread(stage.minus_a2) - x;
        }
        y
    }
}

/// The share of a first-order lag's distance that is left after one step, `exp(-dt/tau)`; zero for `tau` zero.
pub fn decay(step_s: f64, time_constant_s: f64) -> f64 {
    if time_constant_s > 0.0 { (-step_s / time_constant_s).exp() } else { 0.0 }
}

/// First-order lag, exact for an input held over the step.
#[derive(Clone, Copy, Debug)]
pub struct OnePole<L> {
    decay: f64,
    value: L,
}

impl<L: Lane> OnePole<L> {
    /// A lag at zero. A time constant of zero follows at once.
    pub fn new(step_s: f64, time_constant_s: f64) -> Self {
        OnePole { decay: decay(step_s, time_constant_s), value: L::zero() }
    }

    /// The lag, starting from a value.
    pub fn starting_at(mut self, value: L) -> Self {
        self.value = value;
        self
    }

    /// Takes one sample and returns the lagged one.
    #[inline(always)]
    pub fn step(&mut self, x: L) -> L {
        // x + (y - x) d rather than y + (x - y)(1 - d): with d = 0 the output is x to the last bit.
        self.value = x + (self.value - x) * L::splat(self.decay);
        self.value
    }

    /// The value after the last step.
    #[inline(always)]
    pub fn value(&self) -> L {
        self.value
    }
}

/// First-order lag with a time constant of its own for rising and for falling.
#[derive(Clone, Copy, Debug)]
pub struct RiseFall<L: Lane> {
    rise: L::Number,
    fall: L::Number,
    value: L,
}

impl<L: Lane> RiseFall<L> {
    /// A lag at zero. `rise_s` acts while the input is above the output, `fall_s` while below; zero follows at once.
    pub fn new(step_s: f64, rise_s: f64, fall_s: f64) -> Self {
        let of = |time_constant_s| L::number(decay(step_s, time_constant_s));
        RiseFall { rise: of(rise_s), fall: of(fall_s), value: L::zero() }
    }

    /// The lag, starting from a value.
    pub fn starting_at(mut self, value: L) -> Self {
        self.value = value;
        self
    }

    /// Takes one sample and returns the lagged one.
    #[inline(always)]
    pub fn step(&mut self, x: L) -> L {
        let decay = L::select(x.gt(self.value), L::spread(self.rise), L::spread(self.fall));
        self.value = x + (self.value - x) * decay;
        self.value
    }

    /// The value after the last step.
    #[inline(always)]
    pub fn value(&self) -> L {
        self.value
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Lanes;

    #[test]
    fn a_lag_is_exact_for_a_held_input() {
        // Closed form: y(t) = 1 - exp(-t/tau).
        let mut lag = OnePole::<f64>::new(0.001, 0.05);
        for n in 1..=200 {
            let y = lag.step(1.0);
            let exact = -(-(n as f64) * 0.001 / 0.05).exp_m1();
            assert!((y - exact).abs() < 1e-13, "step {n}: {y} against {exact}");
        }
    }

    #[test]
    fn a_lag_with_two_constants_uses_each_in_its_direction() {
        let mut lag = RiseFall::<f64>::new(0.001, 0.0, 0.2);
        assert_eq!(lag.step(0.37), 0.37, "rise at once, to the last bit");
        for n in 1..=100 {
            let y = lag.step(0.1);
            let exact = 0.1 + 0.27 * (-(n as f64) * 0.001 / 0.2).exp();
            assert!((y - exact).abs() < 1e-13, "step {n}");
        }
    }

    #[test]
    fn every_lane_equals_the_scalar_bit_for_bit() {
        let sections = Weighting::Wk.design(1000.0).unwrap();
        let mut wide = Cascade::<Lanes<4>, 4>::new(sections);
        let mut narrow: [Cascade<f64, 4>; 4] = std::array::from_fn(|_| Cascade::new(sections));
        let mut wide_lag = RiseFall::<Lanes<4>>::new(0.001, 0.01, 0.3);
        let mut narrow_lag: [RiseFall<f64>; 4] = std::array::from_fn(|_| RiseFall::new(0.001, 0.01, 0.3));
        for n in 0..5000 {
            let x = |lane: usize| ((n * (lane + 3)) as f64 * 0.01).sin() + 0.3 * ((n * n % 101) as f64 - 50.0) / 50.0;
            let y = wide.step(Lanes(std::array::from_fn(x)));
            let z = wide_lag.step(y.abs());
            for lane in 0..4 {
                let scalar = narrow[lane].step(x(lane));
                assert_eq!(y.get(lane).to_bits(), scalar.to_bits(), "cascade, step {n}, lane {lane}");
                assert_eq!(z.get(lane).to_bits(), narrow_lag[lane].step(scalar.abs()).to_bits(), "lag, step {n}");
            }
        }
    }

    #[test]
    fn a_band_pass_is_its_sections_one_after_the_other() {
        for edges in [(0.5, 2.0), (5.0, 25.0), (8.0, 16.0)] {
            let mut apart = BandPass::<f64, 2>::new(edges, 1000.0).unwrap();
            let mut sections = Cascade::<f64, 2>::new(band_pass(edges.0, edges.1, 1000.0).unwrap());
            for n in 0..20_000 {
                let x = f64::from(n * n % 101) - 50.0;
                let (got, want) = (apart.step(x), sections.step(x));
                assert!((got - want).abs() < 1e-9, "{edges:?} at {n}: {got} against {want}");
            }
        }
    }

    #[test]
    fn a_cascade_is_at_rest_until_something_comes_and_after_a_reset() {
        let mut filter = Cascade::<f64, 2>::new(band_pass(0.5, 2.0, 1000.0).unwrap());
        assert_eq!(filter.step(0.0), 0.0);
        let first = filter.step(1.0);
        filter.step(3.0);
        filter.reset();
        assert_eq!(filter.step(1.0), first);
    }
}
