//! r.m.s. value in a frequency band, and the bands in use.
//!
//! Every band is a Butterworth band-pass of order two (two second-order sections, 12 dB an octave beyond each edge, edges
//! at -3 dB). It passes 11 % more of white noise than an ideal band would: its noise bandwidth is
//! `(pi/4)/sin(pi/4) = 1.1107` times the width.

use crate::sum::SquareSum;
use washboard_signal::filter::{DesignError, band_pass};
use washboard_signal::{Lane, for_each};

/// Order of the band-pass, which is its number of second-order sections.
pub const ORDER: usize = 2;

/// How the band filters are told beside a number.
pub const FILTER: &str = "Butterworth band-pass of order 2";

/// Lower and upper edge of each band, Hz.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandSettings {
    /// Body motion: displacement in heave, angle in roll and pitch.
    pub body_motion_hz: (f64, f64),
    /// Body acceleration, primary ride.
    pub primary_hz: (f64, f64),
    /// Body acceleration, choppiness.
    pub choppy_hz: (f64, f64),
    /// Body acceleration, secondary ride.
    pub secondary_hz: (f64, f64),
    /// Body acceleration around the wheels' resonance.
    pub wheel_hop_hz: (f64, f64),
}

impl Default for BandSettings {
    /// Common among ride engineers (Guastadisegni et al. 2024 for primary, secondary, choppiness; the rest by custom).
    fn default() -> Self {
        BandSettings {
            body_motion_hz: (0.5, 2.0),
            primary_hz: (0.5, 5.0),
            choppy_hz: (5.0, 10.0),
            secondary_hz: (5.0, 25.0),
            wheel_hop_hz: (8.0, 16.0),
        }
    }
}

/// r.m.s. values of one channel in `N` bands.
///
/// Both sections of every band-pass have their zeros at `z = 1` and `z = -1`: the numerator `(1 - 1/z^2)^2` is the same for
/// all bands of a channel and is taken once. Poles are left to each band, and a gain that waits until the r.m.s. value is
/// asked for.
#[derive(Clone, Copy, Debug)]
pub struct BandRms<L: Lane, const N: usize> {
    gain: [f64; N],
    /// `1 / (1 + a1/z + a2/z^2)`.
    poles: [[Poles<L::Number>; ORDER]; N],
    state: State<L, N>,
    /// Of what is still to be multiplied with the gain.
    squares: [SquareSum<L>; N],
}

#[derive(Clone, Copy, Debug)]
struct Poles<N> {
    a1: N,
    a2: N,
}

/// What went into each difference and what came from each pair of poles one and two samples ago.
#[derive(Clone, Copy, Debug)]
struct State<L, const N: usize> {
    differences: [[L; 2]; ORDER],
    poles: [[[L; 2]; ORDER]; N],
}

impl<L: Lane, const N: usize> BandRms<L, N> {
    /// Bands between two edges each, in Hz.
    ///
    /// # Errors
    /// If the edges do not rise between zero and half the sample rate.
    pub fn new(edges_hz: [(f64, f64); N], sample_rate_hz: f64) -> Result<Self, DesignError> {
        let none = [[L::zero(); 2]; ORDER];
        let mut all = BandRms {
            gain: [1.0; N],
            poles: [[Poles { a1: L::number(0.0), a2: L::number(0.0) }; ORDER]; N],
            state: State { differences: none, poles: [none; N] },
            squares: [SquareSum::default(); N],
        };
        for (band, (low_hz, high_hz)) in edges_hz.into_iter().enumerate() {
            let sections = band_pass::<ORDER>(low_hz, high_hz, sample_rate_hz)?;
            all.gain[band] = sections.iter().map(|s| s.b0).product();
            all.poles[band] = sections.map(|s| Poles { a1: L::number(s.a1), a2: L::number(s.a2) });
        }
        Ok(all)
    }

    /// Takes samples; filters always run, figures are gathered where `counting`.
    #[inline(always)]
    pub fn take(&mut self, samples: impl Iterator<Item = L>, counting: bool) {
        // Numbers of a copy stay in the registers on the way.
        let (mut state, mut squares) = (self.state, self.squares);
        for x in samples {
            let mut difference = x;
            for_each!(k in ORDER => {
                let (now, before) = (difference, state.differences[k]);
                difference = now - before[1];
                state.differences[k] = [now, before[0]];
            });
            for_each!(band in N => {
                let mut y = difference;
                for_each!(k in ORDER => {
                    let (poles, before) = (&self.poles[band][k], state.poles[band][k]);
                    y = (y - before[1] * L::spread(poles.a2)) - before[0] * L::spread(poles.a1);
                    state.poles[band][k] = [y, before[0]];
                });
                squares[band].add(y);
            });
        }
        self.state = state;
        if counting {
            self.squares = squares;
        }
    }

    /// r.m.s. value in one of the bands over `count` samples, in the unit of the channel.
    pub fn rms(&self, band: usize, lane: usize, count: f64) -> f64 {
        self.gain[band] * self.squares[band].rms(lane, count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use washboard_signal::filter::{Cascade, magnitude};

    #[test]
    fn the_noise_bandwidth_is_the_closed_form() {
        // Integral of 1/(1 + x^4): pi/(2 sqrt 2), halves of which lie on each side of the centre.
        let sections = band_pass::<ORDER>(0.5, 5.0, 20_000.0).unwrap();
        let (step, mut sum) = (0.002, 0.0);
        for i in 1..200_000 {
            sum += magnitude(&sections, f64::from(i) * step, 20_000.0).powi(2) * step;
        }
        let exact = 4.5 * std::f64::consts::FRAC_PI_4 / std::f64::consts::FRAC_PI_4.sin();
        let source = "integral of 1/(1 + x^4): width (pi/4)/sin(pi/4)";
        washboard_checks::relative("noise bandwidth of the band 0.5 to 5 Hz", source, sum, exact, 1e-4);
    }

    #[test]
    fn a_sine_at_the_edge_keeps_its_half_power_and_one_inside_keeps_all() {
        for (hz, share) in [(8.0, 0.5), (16.0, 0.5), ((8.0f64 * 16.0).sqrt(), 1.0)] {
            let mut band = BandRms::<f64, 1>::new([(8.0, 16.0)], 1000.0).unwrap();
            let sine = |n: u32| (std::f64::consts::TAU * hz * f64::from(n) / 1000.0).sin();
            band.take((0..10_000).map(sine), false);
            band.take((10_000..60_000).map(sine), true);
            let square = 2.0 * band.rms(0, 0, 50_000.0).powi(2);
            assert!((square - share).abs() < 1e-3, "{hz} Hz: {square}");
        }
    }

    #[test]
    fn bands_side_by_side_are_their_sections_one_after_the_other() {
        let edges = [(0.5, 2.0), (5.0, 25.0), (8.0, 16.0)];
        for rate in [200.0, 500.0, 1000.0] {
            let mut bands = BandRms::<f64, 3>::new(edges, rate).unwrap();
            // Noise about a level far above it.
            let noise = |n: u64| 100.0 + (n * n * 7919 % 1009) as f64 / 1009.0;
            bands.take((0..100_000).map(noise), true);
            for (band, (low, high)) in edges.into_iter().enumerate() {
                let mut sections = Cascade::<f64, ORDER>::new(band_pass(low, high, rate).unwrap());
                let sum: f64 = (0..100_000).map(|n| sections.step(noise(n)).powi(2)).sum();
                let (got, want) = (bands.rms(band, 0, 1e5), (sum / 1e5).sqrt());
                assert!((got / want - 1.0).abs() < 1e-9, "{low} to {high} Hz at {rate} Hz: {got} against {want}");
            }
        }
    }
}
