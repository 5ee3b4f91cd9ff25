//! Butterworth filters as second-order sections.

use super::{DesignError, Section, magnitude};
use iir_filters::filter_design::{FilterType, butter};

/// Largest order offered; more is not needed here and loses accuracy at low edges.
const MOST_ORDER: usize = 8;

/// What a filter lets through; edges are the -3 dB points, in Hz.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Band {
    /// Below the edge.
    Below(f64),
    /// Above the edge.
    Above(f64),
    /// Between two edges.
    Between(f64, f64),
}

/// Designs a Butterworth filter. `order` is that of the low-pass it comes from: a band-pass has twice as many poles.
///
/// Poles come from `iir_filters` (bilinear, edges prewarped, the same as `scipy.signal.butter`); sections are paired here
/// because a Butterworth filter has all its zeros at `z = 1` and `z = -1`. Returns the slowest section last.
///
/// # Errors
/// If the order is not in 1 to 8, or an edge does not lie between zero and half the sample rate, or the edges do not rise.
pub fn butterworth(order: usize, band: Band, sample_rate_hz: f64) -> Result<Vec<Section>, DesignError> {
    if !(1..=MOST_ORDER).contains(&order) {
        return Err(DesignError::FilterOrder { value: order, most: MOST_ORDER });
    }
    let nyquist = check_rate(sample_rate_hz)? / 2.0;
    let edge = |value: f64| {
        if value > 0.0 && value < nyquist { Ok(value) } else { Err(DesignError::Edge { value, most: nyquist }) }
    };
    let (kind, zeros, reference_hz) = match band {
        Band::Below(hz) => (FilterType::LowPass(edge(hz)?), (1.0, 1.0), 0.0),
        Band::Above(hz) => (FilterType::HighPass(edge(hz)?), (-1.0, -1.0), nyquist),
        Band::Between(low_hz, high_hz) => {
            let kind = FilterType::BandPass(edge(low_hz)?, edge(high_hz)?);
            if low_hz >= high_hz {
                return Err(DesignError::Order { low_hz, high_hz });
            }
            // The gain is 1 where the bilinear transform puts the geometric centre of the prewarped edges.
            let warp = |hz: f64| (std::f64::consts::PI * hz / sample_rate_hz).tan();
            let centre = (warp(low_hz) * warp(high_hz)).sqrt().atan() * sample_rate_hz / std::f64::consts::PI;
            (kind, (1.0, -1.0), centre)
        }
    };
    let design = butter(order as u32, kind, sample_rate_hz)
        .map_err(|_| DesignError::Edge { value: reference_hz, most: nyquist })?;

    // One of each conjugate pair, and the real poles two by two.
    let mut pairs: Vec<(f64, f64)> = Vec::new();
    let mut real: Vec<f64> = Vec::new();
    for pole in &design.p {
        if pole.im.abs() <= 1e-12 * (1.0 - pole.re).abs() {
            real.push(pole.re);
        } else if pole.im > 0.0 {
            pairs.push((-2.0 * pole.re, pole.re * pole.re + pole.im * pole.im));
        }
    }
    real.sort_by(f64::total_cmp);
    let mut singles = real.chunks_exact(2);
    pairs.extend(singles.by_ref().map(|p| (-(p[0] + p[1]), p[0] * p[1])));
    pairs.sort_by(|a, b| a.1.total_cmp(&b.1));

    let second = Section { b0: 1.0, b1: zeros.0 + zeros.1, b2: zeros.0 * zeros.1, a1: 0.0, a2: 0.0 };
    let first = Section { b0: 1.0, b1: zeros.0, b2: 0.0, a1: 0.0, a2: 0.0 };
    let mut sections: Vec<Section> = singles.remainder().iter().map(|&p| Section { a1: -p, ..first }).collect();
    sections.extend(pairs.iter().map(|&(a1, a2)| Section { a1, a2, ..second }));
    for section in &mut sections {
        *section = section.scaled(1.0 / magnitude(&[*section], reference_hz, sample_rate_hz));
    }
    Ok(sections)
}

/// Butterworth band-pass of order `S`, which has `S` sections.
///
/// # Errors
/// As [`butterworth`].
pub fn band_pass<const S: usize>(low_hz: f64, high_hz: f64, sample_rate_hz: f64) -> Result<[Section; S], DesignError> {
    let sections = butterworth(S, Band::Between(low_hz, high_hz), sample_rate_hz)?;
    sections.try_into().map_err(|_| DesignError::FilterOrder { value: S, most: MOST_ORDER })
}

/// A sample rate that is a positive finite number.
fn check_rate(sample_rate_hz: f64) -> Result<f64, DesignError> {
    if sample_rate_hz > 0.0 && sample_rate_hz.is_finite() {
        Ok(sample_rate_hz)
    } else {
        Err(DesignError::SampleRate { value: sample_rate_hz, least: 0.0, most: f64::MAX })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The analogue Butterworth response at the frequency the bilinear transform maps to.
    fn exact(order: i32, band: Band, rate: f64, hz: f64) -> f64 {
        let warp = |hz: f64| (std::f64::consts::PI * hz / rate).tan();
        let w = warp(hz);
        let x = match band {
            Band::Below(e) => w / warp(e),
            Band::Above(e) => warp(e) / w,
            Band::Between(l, h) => (w * w - warp(l) * warp(h)) / (w * (warp(h) - warp(l))),
        };
        1.0 / (1.0 + x.powi(2 * order)).sqrt()
    }

    #[test]
    fn the_response_is_the_closed_form() {
        // |H|^2 = 1/(1 + x^(2n)): Butterworth 1930; x by the band transformation of the prewarped edges.
        let bands = [Band::Below(25.0), Band::Above(0.5), Band::Between(0.5, 5.0), Band::Between(0.5, 45.0)];
        for rate in [200.0, 1000.0, 20_000.0] {
            for band in bands {
                for order in 1..=4_i32 {
                    let sections = butterworth(order as usize, band, rate).unwrap();
                    for hz in [0.3, 0.5, 1.0, 2.0, 5.0, 10.0, 25.0, 45.0, 80.0] {
                        let (got, want) = (magnitude(&sections, hz, rate), exact(order, band, rate, hz));
                        // What coefficients of 16 digits can hold of poles that close to z = 1.
                        let near = (std::f64::consts::PI * 0.5 / rate).powi(2);
                        let worst = (1e-9_f64).max(f64::from(order) * f64::EPSILON / near) * want.max(1e-6);
                        assert!((got - want).abs() < worst, "{band:?} {order} {rate} {hz}: {got} against {want}");
                    }
                }
            }
        }
    }

    #[test]
    fn a_band_pass_has_as_many_sections_as_its_order() {
        assert!(band_pass::<1>(8.0, 16.0, 1000.0).is_ok());
        assert!(band_pass::<2>(8.0, 16.0, 1000.0).is_ok());
        assert!(band_pass::<3>(0.5, 80.0, 200.0).is_ok(), "a wide band of odd order has two real poles");
    }

    #[test]
    fn what_cannot_be_designed_says_why() {
        let edge = butterworth(2, Band::Below(600.0), 1000.0);
        assert_eq!(edge, Err(DesignError::Edge { value: 600.0, most: 500.0 }));
        assert!(matches!(butterworth(2, Band::Between(5.0, 2.0), 1000.0), Err(DesignError::Order { .. })));
        assert!(matches!(butterworth(0, Band::Above(5.0), 1000.0), Err(DesignError::FilterOrder { .. })));
        assert!(matches!(butterworth(2, Band::Above(f64::NAN), 1000.0), Err(DesignError::Edge { .. })));
        assert!(matches!(butterworth(2, Band::Above(1.0), f64::INFINITY), Err(DesignError::SampleRate { .. })));
    }
}
