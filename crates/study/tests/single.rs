//! Single precision, which answers at once take where it is enough, against double.

#![allow(clippy::unwrap_used)] // a test fails by panicking

mod common;

use common::{reference_folder, reference_profiles};
use serde_json::Value as Json;
use washboard_metrics::{Accuracy, MetricId, Scorecard};
use washboard_study::{AS_DESCRIBED, Instructions, Model, Precision, Profiles, Progress, Selection, Study};

/// The part of the bound said of a metric that single precision may take.
const TAKEN_SHARE: f64 = 0.1;

/// What stands for the bound of a figure that is zero in double, in its unit: rounding.
const ZERO_WITHIN: f64 = 1e-12;

/// Differences as shares of what is said of the metrics, and of what.
#[derive(Default)]
struct Found {
    all: Vec<(f64, String)>,
}

impl Found {
    fn take(&mut self, study: &Study, selection: &Selection, name: &str) {
        let double = study.evaluate(selection, &Progress::new()).unwrap();
        let single = study.evaluate_at_once(selection, &Progress::new()).unwrap();
        for (a, b) in single.runs.iter().zip(&double.runs) {
            let run = format!(
                "{name}, {}, {}, {}",
                selection.model.name(),
                study.mode_names()[b.mode],
                study.event_names()[b.event]
            );
            for metric in MetricId::all() {
                let numbers =
                    |card: &Scorecard| -> Vec<f64> { card.get(metric).map_or(Vec::new(), |v| v.numbers().collect()) };
                let (a, b) = (numbers(&a.card), numbers(&b.card));
                assert_eq!(a.len(), b.len(), "{run}: {}", metric.name());
                let scale = b.iter().fold(0.0_f64, |m, x| m.max(x.abs()));
                let said = match metric.accuracy() {
                    Accuracy::Absolute(bound) => bound,
                    Accuracy::Share(share) => share * scale,
                };
                for (a, b) in a.iter().zip(&b) {
                    let said = if scale == 0.0 { ZERO_WITHIN } else { said };
                    let share = if a == b { 0.0 } else { (a - b).abs() / said };
                    self.all.push((share, format!("{run}, {}: {a} against {b}", metric.name())));
                }
            }
        }
    }

    /// None is beyond its part, and there are some.
    fn keeps_its_word(mut self) {
        self.all.sort_by(|a, b| b.0.total_cmp(&a.0));
        let worst: Vec<String> = self.all.iter().take(20).map(|(share, what)| format!("{share:.4} {what}")).collect();
        let differ = self.all.iter().filter(|d| d.0 > 0.0).count();
        assert!(differ > 100, "{differ} figures: this compares nothing");
        assert!(self.all[0].0 < TAKEN_SHARE, "{}", worst.join("\n"));
    }
}

fn is_served() -> bool {
    !Instructions::best().widths(Precision::Single).is_empty()
}

#[test]
fn the_demo_keeps_its_figures_in_every_model_and_load_case() {
    if !is_served() {
        return;
    }
    let folder = reference_folder().join("../..");
    let mut session = washboard_session::load(&folder.join("demo-sessions/estate.ron")).unwrap();
    session.events.retain(|e| !matches!(e.kind, washboard_session::EventKind::Profile { .. }));
    session.fences.clear();
    let study = Study::new(&session, &Profiles::default()).unwrap();
    let mut found = Found::default();
    for model in [Model::QuarterFront, Model::QuarterRear, Model::Pitch, Model::RollFront, Model::RollRear, Model::Full]
    {
        found.take(&study, &study.selection(model, &[], &[], &[]).unwrap(), "demo");
    }
    found.keeps_its_word();
}

#[test]
fn random_cars_keep_their_figures() {
    if !is_served() {
        return;
    }
    let mut found = Found::default();
    for fixture in ["random-cars", "held-out"] {
        let text = std::fs::read_to_string(reference_folder().join(format!("{fixture}.json"))).unwrap();
        let parsed: Json = serde_json::from_str(&text).unwrap();
        let profiles = reference_profiles(fixture);
        for case in parsed["cases"].as_array().unwrap() {
            let text = |key: &str| case[key].as_str().unwrap();
            let session = washboard_session::load(&reference_folder().join(fixture).join(text("session"))).unwrap();
            let study = Study::new(&session, &profiles).unwrap();
            let model = Model::by_name(text("model")).unwrap();
            let load_case = case["load_case"].as_str().unwrap_or(AS_DESCRIBED);
            let selection = study.selection(model, &[text("mode")], &[text("event")], &[load_case]).unwrap();
            found.take(&study, &selection, text("name"));
        }
    }
    found.keeps_its_word();
}

/// The demo over one event.
fn demo_over(event: &str) -> Study {
    let folder = reference_folder().join("../..");
    let mut session = washboard_session::load(&folder.join("demo-sessions/estate.ron")).unwrap();
    session.events = vec![serde_json::from_str(event).unwrap()];
    session.fences.clear();
    Study::new(&session, &Profiles::default()).unwrap()
}

#[test]
fn cars_that_come_to_rest_on_a_level_road_keep_their_figures() {
    if !is_served() {
        return;
    }
    let mut found = Found::default();
    for kind in [
        r#"{"CosineBump": {"height_m": 0.06, "length_m": 3}}"#,
        r#"{"CircularHump": {"height_m": 0.1, "length_m": 3.7}}"#,
        r#"{"Pothole": {"depth_m": 0.05, "length_m": 0.7, "edge_m": 0.12, "side": "Left"}}"#,
        r#"{"LaneChange": {"acceleration_m_per_s2": 4, "period_s": 2.2, "start_s": 0.5}}"#,
        r#"{"Braking": {"deceleration_m_per_s2": 5, "rise_s": 0.2, "start_s": 1, "hold_s": 2}}"#,
    ] {
        // After some 22 s of rest a firm car moves by less than any number of single precision.
        for duration_s in [16, 18, 20, 22, 25] {
            let study = demo_over(&format!(
                r#"{{"name": "rest", "speed_km_h": 60, "duration_s": {duration_s}, "settle_s": 0, "kind": {kind}}}"#
            ));
            for model in [Model::Pitch, Model::Full] {
                let selection = study.selection(model, &[], &[], &[AS_DESCRIBED]).unwrap();
                found.take(&study, &selection, &format!("{kind}, {duration_s} s"));
            }
        }
    }
    found.keeps_its_word();
}
