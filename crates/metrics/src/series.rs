//! Figures of whole channels, as a logger leaves them.

use crate::vibration::Vibration;
use washboard_signal::exact::{Record, band_pass_response};
use washboard_signal::filter::{DesignError, Weighting};

/// How long the weightings ring, s, to a millionth: those of 0.4 Hz, and Wf with its 0.0625 Hz.
const RINGING_S: f64 = 8.0;
const RINGING_WF_S: f64 = 50.0;
/// Least sample rate of a channel that is weighted, Hz; Wf passes nothing above 1 Hz.
pub const LEAST_RATE_HZ: f64 = 50.0;
const LEAST_RATE_WF_HZ: f64 = 5.0;
/// Up to this frequency the standard's bands reach, Hz: a channel of less than twice as many samples a second lacks some.
pub const STANDARD_TO_HZ: f64 = 80.0;
/// Weighted channels are looked at at least this often, Hz, so that no peak hides between samples.
const FINE_RATE_HZ: f64 = 800.0;

/// A channel of even samples, in its unit.
pub struct Series<'a> {
    samples: &'a [f64],
    sample_rate_hz: f64,
    mean: f64,
}

/// Figures of a channel as recorded, in its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeriesFigures {
    /// r.m.s. value about zero.
    pub rms: f64,
    /// Mean.
    pub mean: f64,
    /// r.m.s. value about the mean.
    pub deviation: f64,
    /// Largest magnitude.
    pub peak: f64,
    /// Largest minus least value.
    pub peak_to_peak: f64,
}

/// Figures of a channel after a weighting, in its unit (the dose in that times s^0.25).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WeightedFigures {
    /// r.m.s. value.
    pub rms: f64,
    /// Fourth root of the time integral of the fourth power.
    pub vibration_dose: f64,
    /// Largest running r.m.s. value with the exponential window of 1 s that starts at zero (ISO 2631-1, 6.3.1).
    pub mtvv: f64,
    /// Largest r.m.s. value of any second (ISO 2631-1, 6.3.1, the linear form); `None` for a record below 1 s.
    pub mtvv_linear: Option<f64>,
    /// Peak over r.m.s. value; `None` for zeros.
    pub crest_factor: Option<f64>,
}

impl<'a> Series<'a> {
    /// A channel; `None` without samples.
    pub fn new(samples: &'a [f64], sample_rate_hz: f64) -> Option<Self> {
        let mean = samples.iter().sum::<f64>() / samples.len() as f64;
        (!samples.is_empty()).then_some(Series { samples, sample_rate_hz, mean })
    }

    /// Figures as recorded.
    pub fn figures(&self) -> SeriesFigures {
        let range = |(a, b): (f64, f64), &x: &f64| (a.min(x), b.max(x));
        let (least, largest) = self.samples.iter().fold((f64::INFINITY, f64::NEG_INFINITY), range);
        let about_mean = self.samples.iter().map(|x| (x - self.mean) * (x - self.mean)).sum::<f64>();
        SeriesFigures {
            rms: rms(self.samples),
            mean: self.mean,
            deviation: (about_mean / self.samples.len() as f64).sqrt(),
            peak: largest.max(-least),
            peak_to_peak: largest - least,
        }
    }

    /// The channel after a weighting, its mean taken off first, and how many values stand for a sample.
    ///
    /// The weighting is the standard's analogue function itself ([`washboard_signal::exact`]), from rest.
    ///
    /// # Errors
    /// If the sample rate is below 50 Hz (Wf: 5 Hz).
    pub fn weighted(&self, weighting: Weighting) -> Result<(Vec<f64>, usize), DesignError> {
        let (least, ringing_s) = match weighting {
            Weighting::Wf => (LEAST_RATE_WF_HZ, RINGING_WF_S),
            _ => (LEAST_RATE_HZ, RINGING_S),
        };
        self.check_rate(least)?;
        let finer = (FINE_RATE_HZ / self.sample_rate_hz).ceil().max(1.0) as usize;
        // Wf lets nothing through that could hide between samples.
        let finer = if weighting == Weighting::Wf { 1 } else { finer.next_power_of_two() };
        Ok((self.record(ringing_s).filtered(weighting.response(), finer), finer))
    }

    /// Figures after a weighting.
    ///
    /// # Errors
    /// As [`Series::weighted`].
    pub fn weighted_figures(&self, weighting: Weighting) -> Result<WeightedFigures, DesignError> {
        let (values, finer) = self.weighted(weighting)?;
        let rate = self.sample_rate_hz * finer as f64;
        let mut vibration = Vibration::<f64>::unweighted(rate);
        vibration.take(values.iter().copied(), true);
        let count = values.len() as f64;
        Ok(WeightedFigures {
            rms: vibration.rms(0, count),
            vibration_dose: vibration.dose(0),
            mtvv: vibration.running_maximum(0),
            mtvv_linear: largest_second(&values, rate),
            crest_factor: vibration.crest_factor(0, count),
        })
    }

    /// r.m.s. value in a band: the analogue Butterworth band-pass of order two, from rest, mean taken off first.
    ///
    /// # Errors
    /// If the edges do not rise between zero and half the sample rate.
    pub fn band_rms(&self, (low_hz, high_hz): (f64, f64)) -> Result<f64, DesignError> {
        let nyquist = 0.5 * self.sample_rate_hz;
        for value in [low_hz, high_hz] {
            if !(0.0 < value && value < nyquist) {
                return Err(DesignError::Edge { value, most: nyquist });
            }
        }
        if low_hz >= high_hz {
            return Err(DesignError::Order { low_hz, high_hz });
        }
        // The lower edge rings longest: exp(-pi/sqrt 2 f t) to a millionth.
        let record = self.record(14.0 / (std::f64::consts::FRAC_1_SQRT_2 * std::f64::consts::TAU * low_hz));
        Ok(rms(&record.filtered(|f| band_pass_response((low_hz, high_hz), f), 1)))
    }

    /// Samples a second, Hz.
    pub fn sample_rate_hz(&self) -> f64 {
        self.sample_rate_hz
    }

    fn record(&self, ringing_s: f64) -> Record {
        let level: Vec<f64> = self.samples.iter().map(|x| x - self.mean).collect();
        Record::new(&level, self.sample_rate_hz, ringing_s)
    }

    fn check_rate(&self, least: f64) -> Result<(), DesignError> {
        let value = self.sample_rate_hz;
        if value >= least { Ok(()) } else { Err(DesignError::SampleRate { value, least, most: f64::INFINITY }) }
    }
}

/// Largest r.m.s. value of any second.
fn largest_second(values: &[f64], sample_rate_hz: f64) -> Option<f64> {
    let second = sample_rate_hz.round() as usize;
    if second == 0 || values.len() < second {
        return None;
    }
    let mut sum: f64 = values[..second].iter().map(|x| x * x).sum();
    let mut largest = sum;
    for (gone, come) in values.iter().zip(&values[second..]) {
        sum += come * come - gone * gone;
        largest = largest.max(sum);
    }
    Some((largest / second as f64).sqrt())
}

/// r.m.s. value about zero; zero for no samples.
pub fn rms(samples: &[f64]) -> f64 {
    (samples.iter().map(|x| x * x).sum::<f64>() / samples.len().max(1) as f64).sqrt()
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
        for rate in [100.0, 1000.0] {
            let samples = |n: u32| 9.81 + 2.0 * (TAU * 8.0 * f64::from(n) / rate).sin();
            let x: Vec<f64> = (0..(120.0 * rate) as u32).map(samples).collect();
            let series = Series::new(&x, rate).unwrap();
            let close = |what: &str, got: f64, want: f64| {
                let source = "checks 03, checks 04: ISO 2631-1:1997, closed forms of a sine";
                washboard_checks::relative(format!("{what} of a sine at {rate} Hz"), source, got, want, 2e-3);
            };
            let plain = series.figures();
            close("r.m.s. with offset", plain.rms, (9.81f64 * 9.81 + 2.0).sqrt());
            close("mean", plain.mean, 9.81);
            close("r.m.s. about the mean", plain.deviation, std::f64::consts::SQRT_2);
            close("peak to peak", plain.peak_to_peak, 4.0);
            let f = series.weighted_figures(Weighting::Wk).unwrap();
            let weighted_rms = std::f64::consts::SQRT_2 * 1.036366215626487;
            close("weighted r.m.s.", f.rms, weighted_rms);
            close("vibration dose", f.vibration_dose, 1.1066819197003217 * weighted_rms * 120f64.powf(0.25));
            close("band 4 to 16 Hz", series.band_rms((4.0, 16.0)).unwrap(), std::f64::consts::SQRT_2);
        }
    }

    #[test]
    fn totals_and_doses_are_those_of_the_standard() {
        // checks.json case 04: ISO 2631-1:1997, 6.5, 8.2, D.1.1.
        let close = |what: &str, got: f64, want: f64| {
            washboard_checks::relative(what, "checks 04: ISO 2631-1:1997, 6.5, 8.2, B.3, D.1.1", got, want, 1e-9);
        };
        close("total value, factors 1", total(&[(1.0, 0.5), (1.0, 0.3), (1.0, 0.8)]), 0.9899494936611666);
        close("total value, factors 1.4, 1.4, 1", total(&[(1.4, 0.5), (1.4, 0.3), (1.0, 0.8)]), 1.142978564978364);
        close("estimated vibration dose", estimated_dose(std::f64::consts::SQRT_2, 60.0), 5.510371079543204);
        close("motion sickness dose", motion_sickness_dose(std::f64::consts::SQRT_2, 60.0), 10.954451150103322);
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
        assert!(Series::new(&[], 1000.0).is_none());
        let slow = Series::new(&[1.0, 2.0], 20.0).unwrap();
        assert!(matches!(slow.weighted_figures(Weighting::Wk), Err(DesignError::SampleRate { .. })));
        assert!(slow.weighted_figures(Weighting::Wf).is_ok());
        assert!(matches!(slow.band_rms((5.0, 25.0)), Err(DesignError::Edge { .. })));
        assert!(matches!(slow.band_rms((5.0, 2.0)), Err(DesignError::Order { .. })));
        let short = Series::new(&[1.0, -1.0, 1.0], 1000.0).unwrap();
        assert_eq!(short.weighted_figures(Weighting::Wk).unwrap().mtvv_linear, None);
    }
}
