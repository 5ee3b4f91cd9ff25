//! How far a figure may be from an exact integration of the same equations: the bound that tests hold, and its words.

use crate::registry::{MetricId, Scope};

/// The same bound as a share where the controller takes fewer than 1,000 samples a second and it is 0.6 % above: what one
/// sample decides otherwise then lasts longer.
pub const SLOW_CONTROL_SHARE: f64 = 0.008;

/// As a share for figures that no other bound is known for.
const PLAIN_SHARE: f64 = 0.006;

/// A bound on the error that the loop's fixed step and the streamed sums leave in a figure.
///
/// Tests hold every metric against the independent simulator within it (`study/tests`: metrics.rs, random_cars.rs,
/// reference.rs): runs of every model, law and kind of event, and random cars, some of them drawn after the steps were chosen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Accuracy {
    /// In the metric's own unit, SI.
    Absolute(f64),
    /// As a share of the value; where there is one a corner, of that of the largest corner.
    Share(f64),
}

impl MetricId {
    /// How far its figure may be from an exact integration.
    pub fn accuracy(self) -> Accuracy {
        let m = self.metric();
        match m.unit {
            _ if m.name.ends_with("_contacts") => Accuracy::Absolute(0.0),
            // A sample at an edge may fall on either side; samples are a millisecond apart.
            "s" => Accuracy::Absolute(0.003),
            "" if m.name.contains("share") && m.scope == Scope::One => Accuracy::Absolute(0.004),
            _ if self == MetricId::LEAST_WHEEL_LOAD => Accuracy::Absolute(20.0),
            _ if self == MetricId::ROLL_PITCH_PHASE => Accuracy::Absolute(0.02),
            // It hangs on signs of motions that nobody feels.
            _ if self == MetricId::MEAN_CURRENT => Accuracy::Share(0.03),
            // Low bands are filtered at 200 samples a second (`slow.rs`): 0.7 % where there are but two periods.
            _ if m.name.starts_with("primary") || m.name.contains("_motion_") => Accuracy::Share(0.01),
            _ => Accuracy::Share(PLAIN_SHARE),
        }
    }

    /// The same in a sentence, in the unit of the screen.
    pub fn accuracy_in_words(self) -> String {
        let m = self.metric();
        let plain = |x: f64| format!("{}", (x * 1e3).round() / 1e3);
        let bound = match self.accuracy() {
            Accuracy::Absolute(0.0) => return "The steps of the computation do not change this count.".to_owned(),
            Accuracy::Absolute(bound) if m.unit == "s" => format!("{} ms", plain(bound * 1e3)),
            Accuracy::Absolute(bound) if m.screen_unit == "%" => format!("{} points", plain(bound * m.screen_factor)),
            Accuracy::Absolute(bound) => {
                let digits = (bound * m.screen_factor * 10.0).round() / 10.0;
                format!("{} {}", plain(digits), m.screen_unit)
            }
            Accuracy::Share(PLAIN_SHARE) => {
                let slow = plain(SLOW_CONTROL_SHARE * 1e2);
                format!("{} % ({slow} % with a controller below 1 kHz)", plain(PLAIN_SHARE * 1e2))
            }
            Accuracy::Share(share) => format!("{} %", plain(share * 1e2)),
        };
        format!("Computed to within {bound} of an exact integration, as a rule much closer.")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_metric_says_how_near_it_is() {
        for id in MetricId::all() {
            let words = id.accuracy_in_words();
            assert!(words.ends_with('.') && !words.contains("0 %"), "{}: {words}", id.name());
        }
        let words = |id: MetricId| id.accuracy_in_words();
        assert!(words(MetricId::BODY_ACCELERATION_RMS).contains("0.6 % (0.8 % with a controller below 1 kHz) of"));
        assert!(words(MetricId::MEAN_CURRENT).contains("within 3 % of"));
        assert!(words(MetricId::LIFT_TIME).contains("within 3 ms of"));
        assert!(words(MetricId::LEAST_WHEEL_LOAD).contains("within 20 N of"));
        assert!(words(MetricId::ROLL_PITCH_PHASE).contains("within 1.1 ° of"));
        assert!(
            words(MetricId::SHARE_WRONG_SIGN).contains("within 0.4 points of"),
            "{}",
            words(MetricId::SHARE_WRONG_SIGN)
        );
        assert!(words(MetricId::BUMP_STOP_CONTACTS).contains("count"));
    }
}
