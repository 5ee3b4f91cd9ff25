//! Weighted acceleration after ISO 2631-1: r.m.s. value, vibration dose, running r.m.s. maximum, crest factor.

use crate::sum::Squares;
use washboard_signal::Lane;
use washboard_signal::filter::{DesignError, Gathers, Section, Weighting, WeightingFilter, decay, weighting};

/// Time constant of the running r.m.s. value, s (ISO 2631-1, 6.3.1).
pub const RUNNING_S: f64 = 1.0;

/// Weights an acceleration and gathers its figures.
///
/// The filter and the running r.m.s. value run from the first sample and start at rest; the figures are gathered over the
/// samples that count.
#[derive(Clone, Copy, Debug)]
pub struct Vibration<L: Lane> {
    filter: WeightingFilter<L>,
    step_s: f64,
    /// What is left of the window's weight after a step.
    decay: f64,
    /// Sum of squares with an exponential window (ISO 2631-1, 6.3.1, second form); times the weight of a step,
    /// `1 - decay`, it is the mean square.
    running: L,
    figures: Figures<L>,
}

/// What is gathered where samples count.
#[derive(Clone, Copy, Debug)]
struct Figures<L> {
    running_peak: L,
    squares: Squares<L>,
    fourth: L,
}

/// The running sum of squares and the figures on the way.
struct Running<L> {
    sum: L,
    decay: L,
    figures: Figures<L>,
}

impl<L: Lane> Gathers<L> for Running<L> {
    #[inline(always)]
    fn gather(&mut self, weighted: L) {
        let square = weighted * weighted;
        self.sum = square + self.sum * self.decay;
        self.figures.running_peak = self.figures.running_peak.max(self.sum);
        self.figures.squares.add_square(square);
        self.figures.fourth += square * square;
    }
}

impl<L: Lane> Vibration<L> {
    /// Figures of an acceleration with a weighting.
    ///
    /// # Errors
    /// If the weighting cannot be designed for the sample rate.
    pub fn new(weighting: Weighting, sample_rate_hz: f64) -> Result<Self, DesignError> {
        Ok(Self::with(weighting.design(sample_rate_hz)?, sample_rate_hz))
    }

    /// Figures of an acceleration as it is, or already weighted.
    pub fn unweighted(sample_rate_hz: f64) -> Self {
        Self::with([Section::IDENTITY; weighting::SECTIONS], sample_rate_hz)
    }

    fn with(sections: [Section; weighting::SECTIONS], sample_rate_hz: f64) -> Self {
        let step_s = 1.0 / sample_rate_hz;
        Vibration {
            filter: WeightingFilter::new(sections),
            step_s,
            decay: decay(step_s, RUNNING_S),
            running: L::zero(),
            figures: Figures { running_peak: L::zero(), squares: Squares::default(), fourth: L::zero() },
        }
    }

    /// Takes samples, m/s^2; the filters always run, figures are gathered where `counting`.
    #[inline(always)]
    pub fn take(&mut self, acceleration_m_per_s2: impl Iterator<Item = L>, counting: bool) {
        // Numbers of a copy stay in the registers on the way.
        let mut on = Running { sum: self.running, decay: L::splat(self.decay), figures: self.figures };
        self.filter.take(acceleration_m_per_s2, &mut on);
        self.running = on.sum;
        if counting {
            self.figures = on.figures;
        }
    }

    /// r.m.s. value over `count` samples, m/s^2.
    pub fn rms(&self, lane: usize, count: f64) -> f64 {
        self.figures.squares.rms(lane, count)
    }

    /// Vibration dose value, m/s^1.75 (ISO 2631-1, 6.3.2).
    pub fn dose(&self, lane: usize) -> f64 {
        (self.figures.fourth.get(lane) * self.step_s).powf(0.25)
    }

    /// Maximum transient vibration value: largest running r.m.s. value, m/s^2 (ISO 2631-1, 6.3.1).
    pub fn running_maximum(&self, lane: usize) -> f64 {
        (self.figures.running_peak.get(lane) * (1.0 - self.decay)).sqrt()
    }

    /// Largest magnitude of the weighted acceleration, m/s^2.
    pub fn peak(&self, lane: usize) -> f64 {
        self.figures.squares.peak(lane)
    }

    /// Peak over r.m.s. value (ISO 2631-1, 6.2.1); `None` for a signal of zeros.
    pub fn crest_factor(&self, lane: usize, count: f64) -> Option<f64> {
        let rms = self.rms(lane, count);
        (rms > 0.0).then(|| self.peak(lane) / rms)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// checks.json case 04, closed forms of ISO 2631-1:1997 for an already weighted sine of peak 2 over 60 s.
    #[test]
    fn a_sine_has_the_figures_of_the_standard() {
        let (rate, count) = (20_000.0, 60 * 20_000);
        let mut figures = Vibration::<f64>::unweighted(rate);
        let mut after_five = 0.0;
        for n in 0..count {
            // 1 kHz: the check neglects the ripple at twice the frequency.
            let sine = 2.0 * (std::f64::consts::TAU * 1000.0 * f64::from(n) / rate).sin();
            figures.take(std::iter::once(sine), true);
            if n == 5 * 20_000 {
                after_five = figures.running_maximum(0);
            }
        }
        let count = f64::from(count);
        let close = |what: &str, got: f64, want: f64| {
            let source = "checks 04: ISO 2631-1:1997, 6.1, 6.3.1, 6.3.2, closed forms of a sine";
            washboard_checks::relative(what, source, got, want, 1e-4);
        };
        close("r.m.s. of a sine of 2", figures.rms(0, count), std::f64::consts::SQRT_2);
        close("vibration dose of a sine of 2 over 60 s", figures.dose(0), 4.355877174692862);
        close("crest factor of a sine", figures.crest_factor(0, count).unwrap(), std::f64::consts::SQRT_2);
        close("running r.m.s. after 5 s", after_five, 1.4094410615566118);
        let ratio = figures.dose(0) / (figures.rms(0, count) * 60f64.powf(0.25));
        close("dose over r.m.s. times T^(1/4)", ratio, 1.1066819197003217);
    }

    /// checks.json case 03: after the filter has settled a sine comes out with the standard's magnitude.
    #[test]
    fn a_weighted_sine_has_the_weighting_s_gain() {
        for (hz, gain) in [(1.0, 0.4824733544110863), (4.0, 0.9671810498864601), (16.0, 0.7686990983495534)] {
            let mut figures = Vibration::<f64>::new(Weighting::Wk, 1000.0).unwrap();
            let sine = |n: u32| (std::f64::consts::TAU * hz * f64::from(n) / 1000.0).sin();
            figures.take((0..20_000).map(sine), false);
            figures.take((20_000..30_000).map(sine), true);
            let got = figures.rms(0, 10_000.0) * std::f64::consts::SQRT_2;
            let source = "checks 03: ISO 2631-1:1997 Annex A";
            washboard_checks::relative(format!("Wk of a sine of {hz} Hz at 1 kHz"), source, got, gain, 1e-3);
        }
    }

    #[test]
    fn nothing_counts_before_it_is_told_to() {
        let mut figures = Vibration::<f64>::unweighted(1000.0);
        figures.take([5.0; 100].into_iter(), false);
        assert_eq!((figures.dose(0), figures.peak(0), figures.running_maximum(0)), (0.0, 0.0, 0.0));
        assert_eq!(figures.crest_factor(0, 1.0), None);
    }
}
