//! Even time: what counts as even, what is resampled, and what is a gap.

use crate::LogFault;
use washboard_signal::resample::{evenly, median_step};

/// Times that lie within this share of a step of an even row are taken as even.
pub const EVEN_SHARE: f64 = 0.05;
/// A step longer than this many median steps is a gap.
pub const GAP_STEPS: f64 = 5.0;
/// A step longer than this many median steps is counted as a dropout.
const DROPOUT_STEPS: f64 = 1.5;

/// How the samples of a record follow each other.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Timing {
    pub step_s: f64,
    pub resample: bool,
    pub remark: Option<String>,
}

impl Timing {
    /// Looks at strictly rising times; `line` tells where a sample stands in the file.
    pub(crate) fn new(time_s: &[f64], line: impl Fn(usize) -> u64) -> Result<Self, LogFault> {
        let count = time_s.len();
        let Some(median_s) = median_step(time_s) else {
            return Err(LogFault::TooShort { samples: count, least: 2 });
        };
        let steps = || time_s.windows(2).map(|w| w[1] - w[0]);
        if let Some(i) = steps().position(|step| step > GAP_STEPS * median_s) {
            let (from_s, to_s) = (time_s[i], time_s[i + 1]);
            let steps = (to_s - from_s) / median_s;
            return Err(LogFault::Gap { line: line(i + 1), from_s, to_s, steps, step_s: median_s });
        }
        let mean_s = (time_s[count - 1] - time_s[0]) / (count - 1) as f64;
        let off = |(i, t): (usize, &f64)| (t - time_s[0] - i as f64 * mean_s).abs() / mean_s;
        let furthest = time_s.iter().enumerate().map(off).fold(0.0, f64::max);
        if furthest <= EVEN_SHARE {
            return Ok(Timing { step_s: mean_s, resample: false, remark: None });
        }
        let dropouts = steps().filter(|step| *step > DROPOUT_STEPS * median_s).count();
        let longest = steps().fold(0.0, f64::max);
        let mut remark = format!(
            "Times are not even (steps of {:.6} to {longest:.6} s): all channels are taken from a smooth curve through their samples, every {median_s:.6} s, the median step.",
            steps().fold(f64::INFINITY, f64::min)
        );
        if dropouts > 0 {
            remark += &format!(
                " {dropouts} of the steps are longer than {DROPOUT_STEPS} median steps; nothing was measured there."
            );
        }
        Ok(Timing { step_s: median_s, resample: true, remark: Some(remark) })
    }

    /// Even samples of a channel.
    pub(crate) fn even(&self, time_s: &[f64], values: Vec<f64>) -> Vec<f64> {
        if self.resample { evenly(time_s, &values, self.step_s) } else { values }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn timing(time_s: &[f64]) -> Result<Timing, LogFault> {
        Timing::new(time_s, |i| i as u64 + 2)
    }

    #[test]
    fn printed_digits_do_not_make_a_row_uneven() {
        let even: Vec<f64> = (0..1000).map(|i| (f64::from(i) / 300.0 * 1e4).round() / 1e4).collect();
        let found = timing(&even).unwrap();
        assert!(!found.resample && found.remark.is_none());
        assert!((1.0 / found.step_s - 300.0).abs() < 0.01);
    }

    #[test]
    fn uneven_times_are_resampled_and_said() {
        let uneven: Vec<f64> = (0..1000).map(|i| 0.01 * f64::from(i) + 0.003 * (1.7 * f64::from(i)).sin()).collect();
        let found = timing(&uneven).unwrap();
        assert!(found.resample && found.remark.as_ref().is_some_and(|r| r.contains("not even")));
        let wave = |t: f64| (std::f64::consts::TAU * 3.0 * t).sin();
        let values = found.even(&uneven, uneven.iter().map(|t| wave(*t)).collect());
        for (i, value) in values.iter().enumerate() {
            let want = wave(uneven[0] + i as f64 * found.step_s);
            assert!((value - want).abs() < 5e-3, "{i}: {value} against {want}");
        }
    }

    #[test]
    fn a_gap_is_refused_with_its_place_and_a_dropout_is_said() {
        let mut time: Vec<f64> = (0..100).map(|i| 0.01 * f64::from(i)).collect();
        time[50..].iter_mut().for_each(|t| *t += 0.02);
        assert!(timing(&time).unwrap().remark.is_some_and(|r| r.contains("1 of the steps")));
        time[50..].iter_mut().for_each(|t| *t += 1.0);
        let sentence = timing(&time).unwrap_err().to_string();
        assert!(sentence.contains("line 52") && sentence.contains("0.49"), "{sentence}");
        assert!(matches!(timing(&[1.0]), Err(LogFault::TooShort { .. })));
    }
}
