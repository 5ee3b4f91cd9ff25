//! Weighted figures of whole channels against scipy, at sample rates from 100 Hz to 2 kHz.
//!
//! tests/signals/vibration.json holds sums of sines and their figures from `scipy.signal.lsim` with the analogue functions of
//! ISO 2631-1 and ISO 8041 at 20 kHz (`ship`: 2 kHz); the script lies beside it.

#![allow(clippy::unwrap_used)] // a test fails by panicking

use serde_json::Value;
use std::f64::consts::{PI, TAU};
use washboard_metrics::series::Series;
use washboard_signal::filter::Weighting;

/// Figures may differ by this share. The peak of a sum of sines between samples is a matter of chance: a little more.
const SHARE: f64 = 0.005;

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
}

fn samples(case: &Value, rate: f64) -> Vec<f64> {
    let (f, a, p) = (numbers(&case["frequencies_hz"]), numbers(&case["amplitudes"]), numbers(&case["phases_rad"]));
    let (duration, fade) = (case["duration_s"].as_f64().unwrap(), case["fade_s"].as_f64().unwrap());
    let at = |t: f64| {
        let sum: f64 = (0..f.len()).map(|k| a[k] * (TAU * f[k] * t + p[k]).sin()).sum();
        sum * (0.5 - 0.5 * (PI * (t.min(duration - t) / fade).clamp(0.0, 1.0)).cos())
    };
    (0..(duration * rate) as usize).map(|i| at(i as f64 / rate)).collect()
}

#[test]
fn weighted_figures_at_any_rate_are_those_of_the_continuous_filters() {
    let text = include_str!("../../../tests/signals/vibration.json");
    let cases: Vec<Value> = serde_json::from_str(text).unwrap();
    let mut compared = 0;
    for case in &cases {
        for rate in numbers(&case["rates_hz"]) {
            let x = samples(case, rate);
            let series = Series::new(&x, rate).unwrap();
            let mut check = |what: &str, got: f64, want: f64, share: f64| {
                let what = format!("record {} at {rate} Hz: {what}", case["name"].as_str().unwrap());
                washboard_checks::relative(
                    what,
                    "scipy.signal.lsim, analogue functions of ISO 2631-1",
                    got,
                    want,
                    share,
                );
                compared += 1;
            };
            check("rms", series.figures().rms, case["rms"].as_f64().unwrap(), SHARE);
            for weighting in Weighting::ALL {
                let want = &case["weightings"][weighting.name()];
                let want = |key: &str| want[key].as_f64().unwrap();
                // A thousandth of the channel is left: there is nothing to feel, and the fade's own spectrum decides.
                if want("weighted_rms") < 1e-2 * series.figures().rms {
                    continue;
                }
                let got = series.weighted_figures(weighting).unwrap();
                let name = weighting.name();
                check(&format!("{name} rms"), got.rms, want("weighted_rms"), SHARE);
                check(&format!("{name} dose"), got.vibration_dose, want("vibration_dose"), SHARE);
                check(&format!("{name} mtvv"), got.mtvv, want("mtvv"), SHARE);
                check(&format!("{name} mtvv, linear"), got.mtvv_linear.unwrap(), want("mtvv_linear"), SHARE);
                check(&format!("{name} crest"), got.crest_factor.unwrap(), want("crest_factor"), 2.0 * SHARE);
            }
            for band in case["bands"].as_array().unwrap() {
                let edges = (band["from_hz"].as_f64().unwrap(), band["to_hz"].as_f64().unwrap());
                let want = band["rms"].as_f64().unwrap();
                if want > 1e-2 * series.figures().rms {
                    check(&format!("band {edges:?}"), series.band_rms(edges).unwrap(), want, SHARE);
                }
            }
        }
    }
    assert!(compared > 400, "{compared}");
}
