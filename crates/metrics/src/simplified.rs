//! What the model simplifies in a metric, said where its number stands; likely reactions beside weighted values.

use crate::registry::MetricId as M;
use crate::series::reactions;

const BODY: &str = "The body is rigid and angles are small: no seat, engine on its mounts or bending body shakes along, so that a car shows more above some 15 Hz.";
const LOAD: &str = "The tyre is a straight spring with little damping that can only push; along the road and sideways it gives no force of its own.";
const TRAVEL: &str =
    "Springs and anti-roll bars are straight lines whose rates do not change with travel; only the stops bend.";
const ROLL: &str = "Small angles about a roll axis that stays where it is; the lateral acceleration is given, roll does not act back on it, and tyres do not slip.";
const PITCH: &str = "Small angles; the longitudinal acceleration is given, anti-dive and anti-squat shares stay the same at any travel, and tyres do not slip.";
const DAMPER: &str = "Straight lines between the points of the bench table, no hysteresis, friction without sticking, one temperature for the whole run.";
const CURRENT: &str = "The valve is a dead time and a first-order lag of the current; friction without sticking lets a car at rest creep on, which a switching law answers. Near rest the exact inversion goes on asking for what a vanishing motion wants, up to the firm end; a control unit's finite table falls to the soft end there and draws less: about the same on roads, down to a third over obstacles and manoeuvres that come to rest.";
const ESTIMATE: &str =
    "Sensors have noise, delay, range and step, but do not drift; the noise is the same in every run.";

impl M {
    /// What the model leaves out of this metric, in one sentence.
    pub fn simplification(self) -> &'static str {
        match self {
            M::WHEEL_LOAD_VARIATION_RMS | M::DYNAMIC_LOAD_COEFFICIENT | M::LEAST_WHEEL_LOAD | M::LIFT_TIME => LOAD,
            M::SUSPENSION_TRAVEL_RMS
            | M::SUSPENSION_TRAVEL_PEAK
            | M::COMPRESSION_PEAK
            | M::REBOUND_PEAK
            | M::TRAVEL_USED_SHARE
            | M::BUMP_STOP_TIME
            | M::REBOUND_STOP_TIME
            | M::BUMP_STOP_CONTACTS
            | M::REBOUND_STOP_CONTACTS
            | M::STOP_ENERGY => TRAVEL,
            M::ROLL_PEAK
            | M::ROLL_RATE_PEAK
            | M::ROLL_RATE_RMS
            | M::ROLL_STEADY
            | M::ROLL_OVERSHOOT_SHARE
            | M::ROLL_SETTLING
            | M::ROLL_GRADIENT
            | M::ROLL_DELAY
            | M::ROLL_PITCH_PHASE
            | M::FRONT_LOAD_TRANSFER_SHARE => ROLL,
            M::PITCH_PEAK
            | M::PITCH_RATE_PEAK
            | M::PITCH_RATE_RMS
            | M::PITCH_STEADY
            | M::PITCH_OVERSHOOT_SHARE
            | M::PITCH_SETTLING
            | M::DIVE
            | M::LIFT => PITCH,
            M::SHARE_WRONG_SIGN
            | M::SHARE_BELOW_SOFT
            | M::SHARE_DELIVERABLE
            | M::SHARE_ABOVE_FIRM
            | M::SHARE_OUTSIDE_TABLE
            | M::DAMPER_POWER
            | M::FORCE_STEP_RMS => DAMPER,
            M::MEAN_CURRENT => CURRENT,
            M::HEAVE_RATE_ERROR
            | M::ROLL_RATE_ERROR
            | M::PITCH_RATE_ERROR
            | M::WHEEL_RATE_ERROR
            | M::TRAVEL_RATE_ERROR => ESTIMATE,
            _ => BODY,
        }
    }

    /// Likely reactions to a weighted acceleration in public transport, in words: of the total over the axes, or of the
    /// vertical one alone. The standard's ranges overlap, so that two may hold (ISO 2631-1:1997, C.2.3; upper limits read
    /// second-hand, the rest from memory). `None` for other metrics.
    pub fn reactions(self, value_m_per_s2: f64) -> Option<String> {
        let is_weighted = matches!(self, M::TOTAL_WEIGHTED_ACCELERATION | M::WEIGHTED_ACCELERATION);
        (is_weighted && value_m_per_s2.is_finite())
            .then(|| reactions(value_m_per_s2.abs()).collect::<Vec<_>>().join(" to "))
    }
}

/// What stands beside reactions in words.
pub const REACTIONS_SOURCE: &str = "likely reactions in public transport, ranges overlap (ISO 2631-1, C.2.3)";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::registry::METRICS;

    #[test]
    fn every_metric_says_what_is_left_out_of_it() {
        for id in M::all() {
            let text = id.simplification();
            assert!(text.ends_with('.') && text.len() > 30, "{}", id.name());
            // What is not about the body's shaking does not say so.
            let words = id.metric().name;
            let about_body = words.contains("acceleration")
                || ["dose", "mtvv", "crest", "motion", "after_shake", "head_toss"].iter().any(|w| words.contains(w));
            assert_eq!(text == BODY, about_body, "{words}");
        }
        assert_eq!(M::all().count(), METRICS.len());
    }

    #[test]
    fn weighted_values_are_put_into_words() {
        // Ranges of ISO 2631-1, C.2.3: 0.5 to 1 and 0.8 to 1.6 overlap.
        let words = |a| M::TOTAL_WEIGHTED_ACCELERATION.reactions(a);
        assert_eq!(words(0.9).as_deref(), Some("fairly uncomfortable to uncomfortable"));
        assert_eq!(words(0.3).as_deref(), Some("not uncomfortable"));
        assert_eq!(M::WEIGHTED_ACCELERATION.reactions(2.6).as_deref(), Some("extremely uncomfortable"));
        assert_eq!(M::BODY_ACCELERATION_RMS.reactions(1.0), None);
    }
}
