//! r.m.s. value in a frequency band, and the bands in use.
//!
//! Every band is a Butterworth band-pass of order two (two second-order sections, 12 dB an octave beyond each edge, edges
//! at -3 dB). It passes 11 % more of white noise than an ideal band would: its noise bandwidth is
//! `(pi/4)/sin(pi/4) = 1.1107` times the width.

use crate::sum::SquareSum;
use washboard_signal::Lane;
use washboard_signal::filter::{BandPass, DesignError};

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

/// r.m.s. value of a channel in a band.
#[derive(Clone, Copy, Debug)]
pub struct BandRms<L> {
    filter: BandPass<L, ORDER>,
    squares: SquareSum<L>,
}

impl<L: Lane> BandRms<L> {
    /// The band between two edges in Hz.
    ///
    /// # Errors
    /// If the edges do not rise between zero and half the sample rate.
    pub fn new(edges_hz: (f64, f64), sample_rate_hz: f64) -> Result<Self, DesignError> {
        Ok(BandRms { filter: BandPass::new(edges_hz, sample_rate_hz)?, squares: SquareSum::default() })
    }

    /// Takes one sample.
    #[inline(always)]
    pub fn sample(&mut self, x: L, counting: bool) {
        let y = self.filter.step(x);
        if counting {
            self.squares.add(y);
        }
    }

    /// r.m.s. value over `count` samples, in the unit of the channel.
    pub fn rms(&self, lane: usize, count: f64) -> f64 {
        self.squares.rms(lane, count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use washboard_signal::filter::{band_pass, magnitude};

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
            let mut band = BandRms::<f64>::new((8.0, 16.0), 1000.0).unwrap();
            for n in 0..60_000 {
                band.sample((std::f64::consts::TAU * hz * f64::from(n) / 1000.0).sin(), n >= 10_000);
            }
            let square = 2.0 * band.rms(0, 50_000.0).powi(2);
            assert!((square - share).abs() < 1e-3, "{hz} Hz: {square}");
        }
    }
}
