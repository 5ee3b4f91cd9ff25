//! Random plausible cars against the independent simulator: every model and law, bench tables that cannot change, fall, have
//! two points or uneven ones, odd control rates, no lag, stops, lifting wheels (tests/reference/random_cars.py).

#![allow(clippy::unwrap_used)] // a test fails by panicking

use serde_json::Value as Json;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use washboard_metrics::MetricId;
use washboard_road::{Elevation, Profile};
use washboard_study::{AS_DESCRIBED, Model, Profiles, Progress, Study};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference")
}

fn profiles() -> Profiles {
    let mut profiles = Profiles::default();
    for name in ["two-a.csv", "two-b.csv", "one-a.csv", "one-b.csv"] {
        let text = std::fs::read_to_string(folder().join("random-cars").join(name)).unwrap();
        let rows: Vec<Vec<f64>> =
            text.lines().skip(1).map(|l| l.split(',').map(|x| x.parse().unwrap()).collect()).collect();
        let column = |i: usize| rows.iter().map(|r| r[i]).collect::<Vec<f64>>();
        let elevation = match rows[0].len() {
            2 => Elevation::One(column(1)),
            _ => Elevation::Two(column(1), column(2)),
        };
        profiles.insert(name, Profile::new(column(0), elevation).unwrap());
    }
    profiles
}

/// Figures held to the bound, then those of the current, which a single sample of a switching law moves more.
const COMPARED: [MetricId; 6] = [
    MetricId::BODY_ACCELERATION_RMS,
    MetricId::WHEEL_LOAD_VARIATION_RMS,
    MetricId::SUSPENSION_TRAVEL_RMS,
    MetricId::SUSPENSION_TRAVEL_PEAK,
    MetricId::DAMPER_POWER,
    MetricId::MEAN_CURRENT,
];

#[test]
fn random_cars_are_met_within_one_per_cent() {
    let text = std::fs::read_to_string(folder().join("random-cars.json")).unwrap();
    let fixture: Json = serde_json::from_str(&text).unwrap();
    let profiles = profiles();
    let mut off: Vec<(f64, String)> = Vec::new();
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    for case in fixture["cases"].as_array().unwrap() {
        let text = |key: &str| case[key].as_str().unwrap();
        let session = washboard_session::load(&folder().join("random-cars").join(text("session"))).unwrap();
        let study = Study::new(&session, &profiles).unwrap();
        let model = Model::by_name(text("model")).unwrap();
        let load_case = case["load_case"].as_str().unwrap_or(AS_DESCRIBED);
        let selection = study.selection(model, &[text("mode")], &[text("event")], &[load_case]).unwrap();
        let evaluation = study.evaluate(&selection, &Progress::new()).unwrap();
        let card = &evaluation.runs[0].card;
        *seen.entry(text("model").to_owned()).or_default() += 1;
        *seen.entry(text("mode").to_owned()).or_default() += 1;
        for metric in COMPARED {
            let want: Vec<f64> = match &case["figures"][metric.name()] {
                Json::Object(corners) => model.corner_names().iter().map(|c| corners[*c].as_f64().unwrap()).collect(),
                one => vec![one.as_f64().unwrap()],
            };
            let scale = want.iter().fold(1e-9_f64, |m, x| m.max(x.abs()));
            for (want, got) in want.iter().zip(card.get(metric).unwrap().numbers()) {
                let what = format!("random cars, metric {}, {}", metric.name(), text("name"));
                let source = "independent simulator (scipy.integrate.solve_ivp)";
                let share = if metric == MetricId::MEAN_CURRENT { 0.0385 } else { 0.0112 };
                washboard_checks::note(&what, source, got, *want, scale, share);
                off.push(((got - want).abs() / scale, what));
            }
        }
    }
    // Every model and law takes part.
    assert!(Model::ALL.iter().all(|m| seen.get(m.name()).is_some_and(|n| *n >= 8)), "{seen:?}");
    assert!(["Continuous", "OnOff", "AccelerationDriven", "Mixed"].iter().all(|l| seen[*l] >= 8), "{seen:?}");
    off.sort_by(|a, b| b.0.total_cmp(&a.0));
    let report: Vec<String> = off.iter().take(25).map(|(x, what)| format!("{:.3} % {what}", 100.0 * x)).collect();
    let report = format!("of {} figures, worst first:\n{}", off.len(), report.join("\n"));
    let currents = |x: &&(f64, String)| x.1.contains(MetricId::MEAN_CURRENT.name());
    let beyond = |share: f64| off.iter().filter(|x| !currents(x) && x.0 > share).count();
    // A law that switches may turn the last digit at one sample into a firm damper for a whole control sample: in one run of
    // the mixed law at 250 Hz that moves a peak by 1.11 %. Everything else keeps within 0.84 %, laws that do not switch
    // within 0.44 %.
    assert!(beyond(0.01) <= 1 && beyond(0.0112) == 0 && beyond(0.005) <= 3, "{report}");
    assert!(beyond(0.003) <= off.len() / 80, "{report}");
    let continuous = off.iter().find(|x| !currents(x) && x.1.contains("/ Continuous /"));
    assert!(continuous.is_some_and(|x| x.0 <= 0.0045), "{report}");
    // A mean current over a quiet run hangs on signs of motions that nobody feels.
    let electric: Vec<_> = off.iter().filter(currents).collect();
    assert!(
        electric[0].0 <= 0.0385 && electric.iter().filter(|x| x.0 > 0.01).count() <= electric.len() / 40,
        "{report}"
    );
}
