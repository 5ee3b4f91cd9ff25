//! Figures of whole channels, as a logger leaves them.

use crate::band::BandRms;
use crate::vibration::Vibration;
use washboard_signal::filter::{DesignError, Weighting, WeightingFilter};

/// Figures of one channel, in the unit of the channel (the vibration dose in that times s^0.25).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeriesFigures {
    /// r.m.s. value as recorded, about zero.
    pub rms: f64,
    /// Mean.
    pub mean: f64,
    /// Largest magnitude as recorded.
    pub peak: f64,
    /// Largest minus least value as recorded.
    pub peak_to_peak: f64,
    /// r.m.s. value after the weighting.
    pub weighted_rms: f64,
    /// Fourth root of the time integral of the fourth power, after the weighting.
    pub vibration_dose: f64,
    /// Largest running r.m.s. value (exponential, 1 s, from zero), after the weighting.
    pub mtvv: f64,
    /// Peak over r.m.s. value after the weighting; `None` for zeros.
    pub crest_factor: Option<f64>,
}

/// Figures of a channel. Without a weighting the weighted figures are those of the channel as recorded. `None` for an
/// empty channel.
///
/// The weighting filter starts at rest; a channel with an offset should have it taken off first where the weighting
/// does not (all of them are high-pass, but the first seconds show the step).
///
/// # Errors
/// If the weighting cannot be designed for the sample rate.
pub fn figures(
    samples: &[f64],
    sample_rate_hz: f64,
    weighting: Option<Weighting>,
) -> Result<Option<SeriesFigures>, DesignError> {
    let mut vibration = match weighting {
        Some(weighting) => Vibration::new(weighting, sample_rate_hz)?,
        None => Vibration::unweighted(sample_rate_hz),
    };
    if samples.is_empty() {
        return Ok(None);
    }
    for &x in samples {
        vibration.sample(x, true);
    }
    let count = samples.len() as f64;
    let (least, largest) = samples.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), &x| (a.min(x), b.max(x)));
    Ok(Some(SeriesFigures {
        rms: rms(samples),
        mean: samples.iter().sum::<f64>() / count,
        peak: largest.max(-least),
        peak_to_peak: largest - least,
        weighted_rms: vibration.rms(0, count),
        vibration_dose: vibration.dose(0),
        mtvv: vibration.running_maximum(0),
        crest_factor: vibration.crest_factor(0, count),
    }))
}

/// r.m.s. value about zero; zero for no samples.
pub fn rms(samples: &[f64]) -> f64 {
    (samples.iter().map(|x| x * x).sum::<f64>() / samples.len().max(1) as f64).sqrt()
}

/// A channel after a weighting, from rest.
///
/// # Errors
/// If the weighting cannot be designed for the sample rate.
pub fn weighted(samples: &[f64], sample_rate_hz: f64, weighting: Weighting) -> Result<Vec<f64>, DesignError> {
    let mut filter = WeightingFilter::new(weighting.design(sample_rate_hz)?);
    Ok(samples.iter().map(|&x| filter.step(x)).collect())
}

/// r.m.s. value of a channel in a band (see [`crate::band`] for the filter).
///
/// # Errors
/// If the edges do not rise between zero and half the sample rate.
pub fn band_rms(samples: &[f64], sample_rate_hz: f64, edges_hz: (f64, f64)) -> Result<f64, DesignError> {
    let mut band = BandRms::new(edges_hz, sample_rate_hz)?;
    samples.iter().for_each(|&x| band.sample(x, true));
    Ok(band.rms(0, samples.len().max(1) as f64))
}

/// Total of weighted r.m.s. values of several axes, each with its factor (ISO 2631-1, 6.5).
pub fn total(axes: &[(f64, f64)]) -> f64 {
    axes.iter().map(|(factor, rms)| (factor * rms) * (factor * rms)).sum::<f64>().sqrt()
}

/// Factors of the axes at the seat for comfort: x, y, z, roll, pitch, yaw; the rotations in m/rad (ISO 2631-1, 8.2).
pub const SEAT_FACTORS: [f64; 6] = [1.0, 1.0, 1.0, 0.63, 0.4, 0.2];

/// Estimated vibration dose of a steady vibration, m/s^1.75 (ISO 2631-1, B.3): for comparison with the measured one.
pub fn estimated_dose(weighted_rms_m_per_s2: f64, duration_s: f64) -> f64 {
    1.4 * weighted_rms_m_per_s2 * duration_s.powf(0.25)
}

/// Motion sickness dose value, m/s^1.5, of a Wf-weighted r.m.s. value (ISO 2631-1, D.1.1).
pub fn motion_sickness_dose(weighted_rms_m_per_s2: f64, duration_s: f64) -> f64 {
    weighted_rms_m_per_s2 * duration_s.sqrt()
}

/// Likely reactions to a weighted r.m.s. value in public transport; the ranges overlap (ISO 2631-1, C.2.3; upper limits
/// read second-hand, the rest from memory).
const REACTIONS: [(f64, f64, &str); 6] = [
    (0.0, 0.315, "not uncomfortable"),
    (0.315, 0.63, "a little uncomfortable"),
    (0.5, 1.0, "fairly uncomfortable"),
    (0.8, 1.6, "uncomfortable"),
    (1.25, 2.5, "very uncomfortable"),
    (2.0, f64::INFINITY, "extremely uncomfortable"),
];

/// The reactions whose range holds a weighted r.m.s. value, mildest first: one or two.
pub fn reactions(weighted_rms_m_per_s2: f64) -> impl Iterator<Item = &'static str> {
    REACTIONS
        .into_iter()
        .filter(move |(from, to, _)| (*from..*to).contains(&weighted_rms_m_per_s2))
        .map(|(.., words)| words)
}

/// By how much `channel` lags `reference`, s: the largest correlation coefficient within `most_s` either way, refined by
/// a parabola through its three highest points. `None` where nothing correlates or the best lies at the limit.
pub fn delay_s(reference: &[f64], channel: &[f64], sample_rate_hz: f64, most_s: f64) -> Option<f64> {
    let n = reference.len().min(channel.len());
    let most = ((most_s * sample_rate_hz).floor() as usize).min(n.checked_sub(3)?);
    // Coefficients over the overlap alone: with plain products the offset of a short record pulls the best lag to zero.
    let correlation: Vec<f64> = (0..=2 * most)
        .map(|k| {
            let (late, early) = (most.saturating_sub(k), k.saturating_sub(most));
            coefficient(&reference[late..n - early], &channel[early..n - late])
        })
        .collect();
    let best = (0..correlation.len()).max_by(|&i, &j| correlation[i].total_cmp(&correlation[j]))?;
    if best == 0 || best == 2 * most || correlation[best] <= 0.0 {
        return None;
    }
    let (l, c, r) = (correlation[best - 1], correlation[best], correlation[best + 1]);
    let bend = l - 2.0 * c + r;
    let shift = if bend < 0.0 { 0.5 * (l - r) / bend } else { 0.0 };
    Some((best as f64 - most as f64 + shift) / sample_rate_hz)
}

/// Correlation coefficient of two records of one length; zero where one does not vary.
fn coefficient(a: &[f64], b: &[f64]) -> f64 {
    let mean = |x: &[f64]| x.iter().sum::<f64>() / x.len().max(1) as f64;
    let (ma, mb) = (mean(a), mean(b));
    let (aa, bb, ab) = a.iter().zip(b).fold((0.0, 0.0, 0.0), |(aa, bb, ab), (x, y)| {
        let (x, y) = (x - ma, y - mb);
        (aa + x * x, bb + y * y, ab + x * y)
    });
    if aa > 0.0 && bb > 0.0 { ab / (aa * bb).sqrt() } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    #[test]
    fn figures_of_a_sine_are_those_of_the_standard() {
        // checks.json case 03 for the gain, 04 for the relations: r.m.s. = peak/sqrt 2, dose = 1.10668 rms T^(1/4).
        let rate = 1000.0;
        let x: Vec<f64> = (0..120_000).map(|n| 2.0 * (TAU * 8.0 * f64::from(n) / rate).sin()).collect();
        let f = figures(&x, rate, Some(Weighting::Wk)).unwrap().unwrap();
        let close = |got: f64, want: f64| assert!((got / want - 1.0).abs() < 1e-3, "{got} against {want}");
        close(f.rms, std::f64::consts::SQRT_2);
        close(f.peak_to_peak, 4.0);
        let weighted_rms = std::f64::consts::SQRT_2 * 1.036366215626487;
        close(f.weighted_rms, weighted_rms);
        close(f.vibration_dose, 1.1066819197003217 * weighted_rms * 120f64.powf(0.25));
        close(rms(&weighted(&x, rate, Weighting::Wk).unwrap()), weighted_rms);
        let plain = figures(&x, rate, None).unwrap().unwrap();
        assert_eq!(plain.rms, plain.weighted_rms);
        close(plain.crest_factor.unwrap(), std::f64::consts::SQRT_2);
        close(band_rms(&x, rate, (4.0, 16.0)).unwrap(), std::f64::consts::SQRT_2);
    }

    #[test]
    fn totals_and_doses_are_those_of_the_standard() {
        // checks.json case 04: ISO 2631-1:1997, 6.5, 8.2, D.1.1.
        let close = |got: f64, want: f64| assert!((got / want - 1.0).abs() < 1e-9, "{got} against {want}");
        close(total(&[(1.0, 0.5), (1.0, 0.3), (1.0, 0.8)]), 0.9899494936611666);
        close(total(&[(1.4, 0.5), (1.4, 0.3), (1.0, 0.8)]), 1.142978564978364);
        close(estimated_dose(std::f64::consts::SQRT_2, 60.0), 5.510371079543204);
        close(motion_sickness_dose(std::f64::consts::SQRT_2, 60.0), 10.954451150103322);
        assert_eq!(reactions(0.2).collect::<Vec<_>>(), ["not uncomfortable"]);
        assert_eq!(reactions(0.9).collect::<Vec<_>>(), ["fairly uncomfortable", "uncomfortable"]);
        assert_eq!(reactions(3.0).collect::<Vec<_>>(), ["extremely uncomfortable"]);
    }

    #[test]
    fn a_delay_is_found_between_samples() {
        let pulse = |t: f64| (-((t - 1.0) / 0.08).powi(2)).exp() - 0.4 * (-((t - 1.4) / 0.05).powi(2)).exp();
        let at = |shift: f64| (0..3000).map(|n| pulse(f64::from(n) * 0.001 - shift)).collect::<Vec<_>>();
        for want in [0.0374, -0.0126] {
            let got = delay_s(&at(0.0), &at(want), 1000.0, 0.2).unwrap();
            assert!((got - want).abs() < 5e-5, "{got} against {want}");
        }
        assert_eq!(delay_s(&[0.0; 100], &[0.0; 100], 1000.0, 0.02), None);
        assert_eq!(delay_s(&[], &[], 1000.0, 0.02), None);
    }

    #[test]
    fn an_empty_channel_and_an_impossible_rate_are_no_fault_of_the_program() {
        assert_eq!(figures(&[], 1000.0, None), Ok(None));
        assert!(figures(&[1.0], 100.0, Some(Weighting::Wk)).is_err());
        assert!(band_rms(&[1.0], 20.0, (5.0, 25.0)).is_err());
    }
}
