//! Every metric of the scorecard against the same figures by numpy and scipy, from histories of the independent simulator
//! (tests/reference/metrics.py and metrics.json).

#![allow(clippy::unwrap_used)] // a test fails by panicking

use serde_json::Value as Json;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use washboard_metrics::{Accuracy, MetricId};
use washboard_road::{Elevation, Profile};
use washboard_study::{AS_DESCRIBED, Model, Profiles, Progress, Study};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference")
}

fn profiles() -> Profiles {
    let text = std::fs::read_to_string(folder().join("sessions/two-tracks.csv")).unwrap();
    let rows: Vec<Vec<f64>> =
        text.lines().skip(1).map(|l| l.split(',').map(|x| x.parse().unwrap()).collect()).collect();
    let column = |i: usize| rows.iter().map(|r| r[i]).collect::<Vec<f64>>();
    let mut profiles = Profiles::default();
    profiles.insert("two-tracks.csv", Profile::new(column(0), Elevation::Two(column(1), column(2))).unwrap());
    profiles
}

#[test]
fn every_metric_is_that_of_numpy_and_scipy() {
    let fixture: Json = serde_json::from_str(&std::fs::read_to_string(folder().join("metrics.json")).unwrap()).unwrap();
    let mut compared = BTreeSet::new();
    for case in fixture["cases"].as_array().unwrap() {
        let text = |key: &str| case[key].as_str().unwrap();
        let session = washboard_session::load(&folder().join(text("session"))).unwrap();
        let study = Study::new(&session, &profiles()).unwrap();
        let model = Model::by_name(text("model")).unwrap();
        let load_case = case["load_case"].as_str().unwrap_or(AS_DESCRIBED);
        let selection = study.selection(model, &[text("mode")], &[text("event")], &[load_case]).unwrap();
        let evaluation = study.evaluate(&selection, &Progress::new()).unwrap();
        let card = &evaluation.runs[0].card;
        let expected = case["metrics"].as_object().unwrap();
        // What the one leaves out the other must leave out too.
        let ours: BTreeSet<&str> = card.iter().map(|(id, _)| id.name()).collect();
        let theirs: BTreeSet<&str> = expected.keys().map(String::as_str).collect();
        assert_eq!(ours, theirs, "{}", text("name"));
        for (name, want) in expected {
            let metric = MetricId::by_name(name).unwrap();
            let want: Vec<(&str, f64)> = match want {
                Json::Object(corners) => corners.iter().map(|(c, x)| (c.as_str(), x.as_f64().unwrap())).collect(),
                one => vec![("", one.as_f64().unwrap())],
            };
            let scale = want.iter().fold(1e-9_f64, |m, x| m.max(x.1.abs()));
            for (corner, want) in want {
                let got = if corner.is_empty() { card.worst(metric) } else { card.at(metric, corner) }.unwrap();
                let what = format!("metric {name} {corner}, {}", text("name"));
                let key = if corner.is_empty() { name.clone() } else { format!("{name}.{corner}") };
                let sensitive = 3.0 * case["sensitivity"].get(key).and_then(Json::as_f64).unwrap_or(0.0);
                let source = "numpy and scipy on the independent simulator (tests/reference/metrics.py)";
                // The bound that the screen says.
                match metric.accuracy() {
                    Accuracy::Absolute(bound) => washboard_checks::absolute(what, source, got, want, bound),
                    Accuracy::Share(share) => {
                        washboard_checks::relative_to(what, source, got, want, scale, share + sensitive);
                    }
                }
            }
            compared.insert(name.clone());
        }
    }
    let missing: Vec<&str> = MetricId::all().map(MetricId::name).filter(|n| !compared.contains(*n)).collect();
    assert!(missing.is_empty(), "not in any case: {missing:?}");
}
