//! Modes side by side: differences to a reference with the interval of the paired difference on common roads.

use crate::block::Digits;
use crate::evaluate::Wanted;
use crate::memory::Figures;
use crate::{Cancelled, Difference, Evaluation, Progress, Selection, Study};
use washboard_metrics::{MetricId, Scorecard};

/// What a comparison gives.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// Scorecards of the modes, the reference among them.
    pub evaluation: Evaluation,
    /// Differences to the reference, mode by mode and metric by metric.
    pub differences: Vec<Difference>,
}

/// Seeds lie this far apart, so that the roads of one event do not become those of another.
pub(crate) const SEED_STEP: u64 = 7919;

/// 0.975 quantiles of Student's t for 1 to 30 degrees of freedom (table in any handbook of statistics; from memory,
/// checked against scipy.stats.t.ppf).
const T_975: [f64; 30] = [
    12.7062, 4.3027, 3.1824, 2.7764, 2.5706, 2.4469, 2.3646, 2.3060, 2.2622, 2.2281, 2.2010, 2.1788, 2.1604, 2.1448,
    2.1314, 2.1199, 2.1098, 2.1009, 2.0930, 2.0860, 2.0796, 2.0739, 2.0687, 2.0639, 2.0595, 2.0555, 2.0518, 2.0484,
    2.0452, 2.0423,
];

impl Study {
    /// Compares modes with a reference in the first load case of the selection. Random roads are driven with `seeds`
    /// different seeds, the same for all modes; with fewer than two there is no interval.
    ///
    /// # Errors
    /// If it was stopped on the way.
    pub fn compare(
        &self,
        selection: &Selection,
        reference: usize,
        seeds: usize,
        progress: &Progress,
    ) -> Result<Comparison, Cancelled> {
        let mut selection = selection.clone();
        if !selection.modes.contains(&reference) {
            selection.modes.insert(0, reference);
        }
        let evaluation = self.evaluate(&selection, progress)?;
        let wanted = self.other_draws(&selection, seeds, Digits::Double);
        let scored: Vec<_> = self.score(selection.model, &wanted, progress)?.into_iter().map(Some).collect();
        let differences = self.differences(&evaluation, &selection, reference, &scored);
        Ok(Comparison { evaluation, differences })
    }

    /// The runs on other draws of the random roads, draw after draw, mode after mode; none where no interval is wanted.
    pub(crate) fn other_draws(&self, selection: &Selection, seeds: usize, digits: Digits) -> Vec<Wanted<'_>> {
        let load_case = selection.load_cases[0];
        let random = self.random_of(selection);
        if seeds < 2 || random.is_empty() {
            return Vec::new();
        }
        let mut wanted = Vec::new();
        for draw in 1..seeds {
            for &mode in &selection.modes {
                for &event in &random {
                    let seed_offset = draw as u64 * SEED_STEP;
                    let calibration = &self.calibrations[mode];
                    wanted.push(Wanted {
                        calibration,
                        event,
                        load_case,
                        seed_offset,
                        digits,
                        with_visits: false,
                        with_trace: false,
                    });
                }
            }
        }
        wanted
    }

    fn random_of(&self, selection: &Selection) -> Vec<usize> {
        selection.events.iter().copied().filter(|&e| self.courses[e].is_drawn()).collect()
    }

    /// Differences to the reference; `others`: what [`Study::other_draws`] scored, as far as that is known. Where some of it
    /// is not, the draws that both modes have count, and the half width is infinite: not known yet.
    pub(crate) fn differences(
        &self,
        evaluation: &Evaluation,
        selection: &Selection,
        reference: usize,
        others: &[Option<Figures>],
    ) -> Vec<Difference> {
        let load_case = selection.load_cases[0];
        let random = self.random_of(selection);
        // Overall cards a mode, one a draw; draw 0 is the evaluation's own.
        let mut draws: Vec<Vec<Option<Scorecard>>> = vec![self.cards(evaluation, selection, load_case, None)];
        for scored in others.chunks((selection.modes.len() * random.len()).max(1)) {
            draws.push(self.cards(evaluation, selection, load_case, Some((&random, scored))));
        }
        let Some(place) = selection.modes.iter().position(|&m| m == reference) else { return Vec::new() };
        let mut differences = Vec::new();
        for (index, &mode) in selection.modes.iter().enumerate() {
            let both: Vec<(&Scorecard, &Scorecard)> =
                draws.iter().filter_map(|cards| cards[index].as_ref().zip(cards[place].as_ref())).collect();
            let follow = both.len() < draws.len() && mode != reference;
            for metric in MetricId::all() {
                let pairs = both.iter().filter_map(|(own, base)| own.mean(metric).zip(base.mean(metric)));
                let known = difference(mode, metric, mode == reference, &pairs.collect::<Vec<_>>());
                differences.extend(known.map(|d| match follow {
                    true => Difference { half_width: Some(f64::INFINITY), ..d },
                    false => d,
                }));
            }
        }
        differences
    }

    /// Overall card of each mode; where other draws of the random roads are given, they replace the evaluation's own. Absent
    /// where one of them is not known.
    fn cards(
        &self,
        evaluation: &Evaluation,
        selection: &Selection,
        load_case: usize,
        drawn: Option<(&[usize], &[Option<Figures>])>,
    ) -> Vec<Option<Scorecard>> {
        let of_mode = |(index, &mode): (usize, &usize)| {
            let own = drawn.map(|(random, scored)| &scored[index * random.len()..][..random.len()]);
            if own.is_some_and(|own| own.iter().any(Option::is_none)) {
                return None;
            }
            let runs = evaluation.runs.iter().filter(|r| r.mode == mode && r.load_case == load_case);
            Some(Scorecard::weighted_mean(runs.map(|r| {
                let replaced = drawn.zip(own).and_then(|((random, _), own)| {
                    let event = random.iter().position(|&e| e == r.event)?;
                    own[event].as_ref().map(|figures| &figures.0)
                });
                (replaced.unwrap_or(&r.card), self.courses[r.event].weight)
            })))
        };
        selection.modes.iter().enumerate().map(of_mode).collect()
    }
}

pub(crate) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Half width of the 95 % interval of the mean.
pub(crate) fn half_width(values: &[f64]) -> f64 {
    let n = values.len();
    let m = mean(values);
    let variance = values.iter().map(|v| (v - m).powi(2)).sum::<f64>() / (n - 1) as f64;
    T_975[(n - 2).min(T_975.len() - 1)] * (variance / n as f64).sqrt()
}

/// The difference of a mode to the reference from the figures of both, one pair a draw of the random roads; `None` where
/// there is no pair, or nothing to divide by.
pub(crate) fn difference(
    mode: usize,
    metric: MetricId,
    is_reference: bool,
    pairs: &[(f64, f64)],
) -> Option<Difference> {
    let n = pairs.len() as f64;
    let value = pairs.iter().map(|p| p.0).sum::<f64>() / n;
    let reference = pairs.iter().map(|p| p.1).sum::<f64>() / n;
    let share = (value - reference) / reference;
    // Nothing to divide by, or no pair at all.
    if pairs.is_empty() || reference == 0.0 {
        return None;
    }
    let half_width =
        (!is_reference && pairs.len() >= 2).then(|| ratio_half_width(pairs, value / reference) / reference.abs());
    Some(Difference { mode, metric, value, reference, share, half_width })
}

/// Half width of the 95 % interval of the mean of what the pairs leave beside their common ratio: with the mean of the
/// second members below it, the interval of a ratio of paired means (Cochran, Sampling Techniques, 3rd ed., 6.4).
fn ratio_half_width(pairs: &[(f64, f64)], ratio: f64) -> f64 {
    let n = pairs.len();
    let sum: f64 = pairs.iter().map(|(own, base)| (own - ratio * base).powi(2)).sum();
    T_975[(n - 2).min(T_975.len() - 1)] * (sum / (n - 1) as f64 / n as f64).sqrt()
}

#[cfg(test)]
mod tests {
    use super::difference;
    use washboard_metrics::MetricId;

    #[test]
    fn the_interval_is_students() {
        // scipy.stats.t.interval(0.95, 3, loc=mean, scale=sem) of 1, 2, 3, 4: half width 2.0543
        assert!((super::half_width(&[1.0, 2.0, 3.0, 4.0]) - 2.0542602).abs() < 1e-4);
    }

    #[test]
    fn the_interval_is_that_of_a_ratio_of_paired_means() {
        // numpy 2.4, scipy 1.17: a = [.42, .45, .40, .44], b = [.35, .37, .34, .36]; r = a.mean() / b.mean();
        // scipy.stats.t.ppf(.975, 3) * numpy.std(a - r*b, ddof=1) / 2 / b.mean()
        let pairs = [(0.42, 0.35), (0.45, 0.37), (0.40, 0.34), (0.44, 0.36)];
        let d = difference(1, MetricId::WEIGHTED_ACCELERATION, false, &pairs).unwrap();
        assert!((d.value - 0.4275).abs() < 1e-12 && (d.reference - 0.355).abs() < 1e-12);
        assert!((d.share - (d.value - d.reference) / d.reference).abs() < 1e-15);
        assert!((d.half_width.unwrap() - 0.031999303594333346).abs() < 1e-6, "{d:?}");
    }

    #[test]
    fn one_draw_has_no_interval_and_nothing_no_difference() {
        let metric = MetricId::WEIGHTED_ACCELERATION;
        assert_eq!(difference(1, metric, false, &[(2.0, 1.0)]).map(|d| (d.share, d.half_width)), Some((1.0, None)));
        assert_eq!(difference(0, metric, true, &[(2.0, 2.0), (3.0, 3.0)]).map(|d| d.half_width), Some(None));
        assert_eq!(difference(1, metric, false, &[]), None);
        assert_eq!(difference(1, metric, false, &[(1.0, 0.0)]), None);
    }
}
