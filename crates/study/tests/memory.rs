//! Where only figures are wanted, an evaluation takes the same memory however long its events are.

#![allow(clippy::unwrap_used, clippy::print_stdout)]

use peak_alloc::PeakAlloc;
use washboard_session::{Event, Session};
use washboard_study::{Model, Profiles, Progress, Study};

#[global_allocator]
static ALLOCATED: PeakAlloc = PeakAlloc;

/// Most memory that work takes at once beyond what was there before, MB.
fn peak_mb<T>(work: impl FnOnce() -> T) -> f64 {
    let before = ALLOCATED.current_usage();
    ALLOCATED.reset_peak_usage();
    drop(work());
    ALLOCATED.peak_usage().saturating_sub(before) as f64 / f64::from(1 << 20)
}

fn session(kind: &str, duration_s: f64) -> Session {
    let mut session = washboard_session::parse_ron(include_str!("../../../demo-sessions/estate.ron")).unwrap();
    let text =
        format!(r#"{{"name": "long", "speed_km_h": 80, "duration_s": {duration_s}, "settle_s": 1, "kind": {kind}}}"#);
    session.events = vec![serde_json::from_str::<Event>(&text).unwrap()];
    session.fences.clear();
    session.modes.truncate(1);
    session.reference_mode = None;
    session
}

/// Peak of one evaluation of one mode over one event on one thread, the session compiled before.
///
/// The thread is handed over: what it frees when it ends must not fall into the next measurement.
fn evaluation_mb(model: Model, kind: &str, duration_s: f64, threads: &mut Vec<rayon::ThreadPool>) -> f64 {
    let study = Study::new(&session(kind, duration_s), &Profiles::default()).unwrap();
    let selection = study.selection(model, &[], &[], &["as described"]).unwrap();
    // A thread of its own: what it keeps for its transforms is counted too.
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let peak_mb = peak_mb(|| pool.install(|| study.evaluate(&selection, &Progress::new()).unwrap()));
    threads.push(pool);
    peak_mb
}

#[test]
fn an_hour_takes_no_more_memory_than_fifty_minutes_and_some_megabytes_more_than_one() {
    let random = r#"{"RandomRoad": {"class": "C", "seed": 1}}"#;
    let sweep = r#"{"Sweep": {"from_hz": 0.5, "to_hz": 20, "velocity_amplitude_m_per_s": 0.1}}"#;
    let step = r#"{"LateralStep": {"acceleration_m_per_s2": 3, "rise_s": 0.2, "start_s": 1}}"#;
    let mut threads = Vec::new();
    // All samples of the random road would take 110 MB in the pitch car and 220 MB in the full one. Of its sum of sinusoids
    // the period grows with the way, to 65.5 km after 49 minutes: 3 MB of components a track.
    for (model, kind, most_mb) in [
        (Model::Pitch, random, 12.5),
        (Model::Full, random, 18.5),
        (Model::Pitch, sweep, 0.5),
        (Model::Full, step, 0.5),
    ] {
        let [minute, long, hour] = [60.0, 3000.0, 3600.0].map(|s| evaluation_mb(model, kind, s, &mut threads));
        println!("{model:?}, {kind}: {minute:.2} MB for a minute, {long:.2} for fifty, {hour:.2} for an hour");
        assert!(hour <= most_mb, "{model:?}, {kind}: an hour takes {hour:.2} MB");
        assert!((hour - long).abs() < 0.1, "{model:?}, {kind}: {long:.2} MB for fifty minutes, {hour:.2} for an hour");
    }
}
