//! How far the rates that a controller estimates are from the true ones.

use crate::card::Scorecard;
use crate::registry::MetricId;
use crate::sum::SquareSum;
use washboard_signal::Lane;

/// Estimated less true rates at one step.
#[derive(Clone, Copy, Debug)]
pub struct RateError<L, const C: usize> {
    /// Of the body's heave, m/s.
    pub heave: L,
    /// Of its roll, rad/s.
    pub roll: L,
    /// Of its pitch, rad/s.
    pub pitch: L,
    /// Of the wheels, m/s.
    pub wheels: [L; C],
    /// Of the suspension at each corner, m/s.
    pub corners: [L; C],
}

/// Gathers the errors of a run.
#[derive(Clone, Copy, Debug)]
pub struct EstimateErrors<L, const C: usize> {
    heave: SquareSum<L>,
    roll: SquareSum<L>,
    pitch: SquareSum<L>,
    wheels: [SquareSum<L>; C],
    corners: [SquareSum<L>; C],
    counted: u64,
}

impl<L: Lane, const C: usize> Default for EstimateErrors<L, C> {
    fn default() -> Self {
        let none = SquareSum::default();
        EstimateErrors { heave: none, roll: none, pitch: none, wheels: [none; C], corners: [none; C], counted: 0 }
    }
}

impl<L: Lane, const C: usize> EstimateErrors<L, C> {
    /// Takes one sample that counts.
    #[inline(always)]
    pub fn sample(&mut self, error: &RateError<L, C>) {
        self.counted += 1;
        self.heave.add(error.heave);
        self.roll.add(error.roll);
        self.pitch.add(error.pitch);
        for c in 0..C {
            self.wheels[c].add(error.wheels[c]);
            self.corners[c].add(error.corners[c]);
        }
    }

    /// Puts the errors of a lane into its scorecard; of roll and pitch where the model has them.
    pub fn finish(&self, card: &mut Scorecard, lane: usize, rolls: bool, pitches: bool) {
        if self.counted == 0 {
            return;
        }
        let count = self.counted as f64;
        card.set_one(MetricId::HEAVE_RATE_ERROR, self.heave.rms(lane, count));
        if rolls {
            card.set_one(MetricId::ROLL_RATE_ERROR, self.roll.rms(lane, count));
        }
        if pitches {
            card.set_one(MetricId::PITCH_RATE_ERROR, self.pitch.rms(lane, count));
        }
        card.set_corners(MetricId::WHEEL_RATE_ERROR, |i| Some(self.wheels[i].rms(lane, count)));
        card.set_corners(MetricId::TRAVEL_RATE_ERROR, |i| Some(self.corners[i].rms(lane, count)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errors_of_sines_have_their_rms_and_what_a_model_lacks_is_absent() {
        let mut errors = EstimateErrors::<f64, 2>::default();
        let mut card = Scorecard::new(&["front", "rear"]);
        errors.finish(&mut card, 0, true, true);
        assert!(card.is_empty(), "nothing counted yet");
        for n in 0..1000 {
            let wave = (f64::from(n) * std::f64::consts::TAU / 100.0).sin();
            let (wheels, corners) = ([0.1 * wave, 0.2 * wave], [0.3 * wave, 0.0]);
            errors.sample(&RateError { heave: 0.05 * wave, roll: 9.0, pitch: -0.02, wheels, corners });
        }
        errors.finish(&mut card, 0, false, true);
        let close = |got: f64, want: f64| assert!((got - want).abs() < 1e-12, "{got} against {want}");
        close(card.worst(MetricId::HEAVE_RATE_ERROR).unwrap(), 0.05 / 2f64.sqrt());
        close(card.worst(MetricId::PITCH_RATE_ERROR).unwrap(), 0.02);
        close(card.at(MetricId::WHEEL_RATE_ERROR, "rear").unwrap(), 0.2 / 2f64.sqrt());
        close(card.at(MetricId::TRAVEL_RATE_ERROR, "front").unwrap(), 0.3 / 2f64.sqrt());
        assert_eq!(card.get(MetricId::ROLL_RATE_ERROR), None);
    }
}
