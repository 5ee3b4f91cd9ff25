//! How differences and ranges read.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use washboard_metrics::MetricId;
use washboard_session::Limit;
use washboard_study::Difference;
use washboard_words::figures::{change_text, difference_text};
use washboard_words::{range, range_beside};

#[test]
fn angles_and_lags_differ_in_their_own_unit() {
    let of = |metric, value: f64, reference: f64| Difference {
        mode: 1,
        metric,
        value,
        reference,
        share: (value - reference) / reference,
        half_width: Some(0.1),
    };
    let degree = std::f64::consts::PI / 180.0;
    let phase = of(MetricId::ROLL_PITCH_PHASE, -10.0 * degree, 14.0 * degree);
    assert_eq!(difference_text(&phase, false).unwrap(), "−24 °");
    assert_eq!(difference_text(&phase, true).unwrap(), "−24 ±1 °");
    // What would read as nothing has more digits.
    let lift = of(MetricId::LIFT_TIME, 0.0026, 0.003);
    assert_eq!(difference_text(&lift, true).unwrap(), "−0.0004 ±0.0003 s");
    let roll = of(MetricId::ROLL_RATE_PEAK, 0.09, 0.1);
    assert_eq!(difference_text(&roll, true).unwrap(), "−10.0 ±10.0 %");
    assert_eq!(change_text(MetricId::ROLL_SETTLING, 0.5, 0.4).unwrap(), "−0.100 s");
    assert_eq!(change_text(MetricId::ROLL_RATE_PEAK, 0.1, 0.11).unwrap(), "+10.0 %");
    assert_eq!(change_text(MetricId::ROLL_RATE_PEAK, 0.0, 0.11), None);
}

#[test]
fn ranges_read_as_words() {
    let of = |field, unit, lower, upper| Limit::new("Axle", field, field, unit, lower, upper);
    assert_eq!(range(&of("rate", "N/m", 1.0, 1e8)), "1 to 100 million N/m");
    assert_eq!(range(&of("mass", "kg", 1.0, 20_000.0).above()), "more than 1 and at most 20\u{202f}000 kg");
    assert_eq!(range(&of("count", "", -123_456.0, 2.5e9)), "−123\u{202f}456 to 2.5 billion");
    assert_eq!(range(&of("share", "", 0.0, 1.0)), "0 to 1");
    assert_eq!(range(&of("bound", "", -1e15, 1e15)), "any number");
    assert_eq!(range_beside(&of("rate", "N/m", 1.0, 1e8)), "from 1");
    assert_eq!(range_beside(&of("slew", "A/s", 0.0, 1e6).above()), "above 0");
    assert_eq!(range_beside(&of("current", "A", -20.0, 20.0)), "−20 to 20");
}
