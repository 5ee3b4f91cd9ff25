//! What the window waits for, side by side in one run: scalar against lanes, one thread against two, and how the cost grows
//! with runs, length and degrees of freedom. README.md beside this file reads the numbers.

#![allow(missing_docs)] // criterion's macros make public items
#![allow(clippy::print_stderr)] // a bench says how far its rivals are off

mod workload;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use rayon::{ThreadPool, ThreadPoolBuilder};
use std::hint::black_box;
use std::time::Duration;
use washboard_metrics::MetricId;
use washboard_session::{Mode, Session};
use washboard_study::{
    BoardRequest, InfluenceRequest, Instructions, Memory, Model, Precision, Profiles, Progress, ResponseRequest,
    Selection, Study, VELOCITY_AMPLITUDE_M_PER_S, default_frequencies,
};
use workload::half_car::{Acts, Figures, HalfCar};

/// Deviation of r.m.s. values that counts as the same accuracy: the aim of the program's default step.
const ACCURACY: f64 = 2e-3;

fn pool(threads: usize) -> ThreadPool {
    ThreadPoolBuilder::new().num_threads(threads).build().expect("a thread can be started")
}

fn all_runs(study: &Study, model: Model) -> Selection {
    study.selection(model, &[], &[], &["as described"]).expect("load case 0 is always there")
}

fn evaluate(study: &Study, selection: &Selection) {
    black_box(study.evaluate(selection, &Progress::new()).expect("nobody stops it"));
}

/// In single precision where that is enough.
fn evaluate_at_once(study: &Study, selection: &Selection) {
    black_box(study.evaluate_at_once(selection, &Progress::new()).expect("nobody stops it"));
}

/// W2 with every set of instructions and width, then on two threads.
fn sets_and_threads(c: &mut Criterion) {
    let study = workload::compiled(&workload::three_modes_eight_events());
    let runs = all_runs(&study, Model::Pitch);
    let mut group = c.benchmark_group("pitch, 3 modes x 8 events x 20 s");
    group.throughput(Throughput::Elements(study.run_steps(&runs) as u64));
    let one = pool(1);
    for instructions in Instructions::ALL.into_iter().filter(|i| i.are_here()) {
        for lanes in [1, 4, 8] {
            // One thread of each width: a width is compiled for the set that serves it best.
            if lanes != instructions.lanes() {
                continue;
            }
            let study = study.clone().computed_with(instructions, lanes);
            let name = format!("{}, {lanes} lanes, 1 thread", instructions.name());
            group.bench_function(name, |b| one.install(|| b.iter(|| evaluate(&study, &runs))));
            if let Some(lanes) = instructions.widths(Precision::Single).last() {
                let name = format!("{}, {lanes} lanes of single precision where enough, 1 thread", instructions.name());
                group.bench_function(name, |b| one.install(|| b.iter(|| evaluate_at_once(&study, &runs))));
            }
        }
    }
    let two = pool(2);
    group.bench_function("best, 2 threads", |b| two.install(|| b.iter(|| evaluate(&study, &runs))));
    group.bench_function("best, at once, 2 threads", |b| two.install(|| b.iter(|| evaluate_at_once(&study, &runs))));
    group.finish();
}

/// Cost over degrees of freedom, number of runs and length of the events, one thread.
fn growth(c: &mut Criterion) {
    let one = pool(1);
    let mut group = c.benchmark_group("cost a run-step");
    let mut measure = |name: &str, value: String, session: &Session, model: Model| {
        let study = workload::compiled(session);
        let runs = all_runs(&study, model);
        group.throughput(Throughput::Elements(study.run_steps(&runs) as u64));
        let id = BenchmarkId::new(name, value);
        group.bench_function(id, |b| one.install(|| b.iter(|| evaluate(&study, &runs))));
    };
    for model in [Model::QuarterFront, Model::Pitch, Model::RollFront, Model::Full] {
        measure("model", model.name().to_owned(), &workload::random_roads(8, 10.0), model);
    }
    for count in [1, 2, 4, 8, 16, 32] {
        measure("runs", count.to_string(), &workload::random_roads(count, 10.0), Model::Pitch);
    }
    for seconds in [2.0, 5.0, 10.0, 20.0, 40.0, 200.0, 800.0] {
        measure("seconds", seconds.to_string(), &workload::random_roads(8, seconds), Model::Pitch);
    }
    group.finish();
}

/// One run of 30 s beside an integrator of another library, at the same accuracy.
fn against_a_library(c: &mut Criterion) {
    let session = workload::plain(30.0);
    let study = workload::compiled(&session);
    let run = all_runs(&study, Model::Pitch);
    let car = HalfCar::new(&session);
    let ours = workload::figures(&study.evaluate(&run, &Progress::new()).expect("nobody stops it").runs[0].card);
    let off = |figures: Figures, truth: Figures| {
        figures.iter().zip(truth).map(|(a, b)| (a / b - 1.0).abs()).fold(0.0, f64::max)
    };
    let one = pool(1);
    let mut group = c.benchmark_group("one run of 30 s, pitch");
    for (acts, name) in [(Acts::Sampled, "the law every millisecond"), (Acts::Always, "the law in the right-hand side")]
    {
        let exact = car.drive(acts, 1e-7);
        // The loosest tolerance that keeps within the accuracy asked of the program.
        let tolerance = [1e-1, 1e-2, 1e-3, 1e-4, 1e-5]
            .into_iter()
            .find(|&tolerance| off(car.drive(acts, tolerance), exact) <= ACCURACY)
            .expect("some tolerance is enough");
        let (ours_off, theirs_off) = (off(ours, exact), off(car.drive(acts, tolerance), exact));
        eprintln!(
            "{name}: tolerance {tolerance:e} is {:.3} % off, the program {:.3} %",
            100.0 * theirs_off,
            100.0 * ours_off
        );
        // A bench that integrates something else says nothing. Without sampling the law is half a millisecond ahead.
        let most = if acts == Acts::Sampled { ACCURACY } else { 5.0 * ACCURACY };
        assert!(ours_off <= most, "{name}: {ours:?} of the program, {exact:?} of the library");
        group.bench_function(format!("ode_solvers, {name}"), |b| b.iter(|| black_box(car.drive(acts, tolerance))));
    }
    group.bench_function("the program, alone", |b| one.install(|| b.iter(|| evaluate(&study, &run))));
    let side_by_side = |count: usize| {
        let modes = (0..count).map(|i| Mode { name: i.to_string(), ..session.modes[0].clone() }).collect();
        workload::compiled(&Session { modes, ..session.clone() })
    };
    let eight = side_by_side(8);
    let runs = all_runs(&eight, Model::Pitch);
    group.bench_function("the program, eight side by side", |b| one.install(|| b.iter(|| evaluate(&eight, &runs))));
    let sixteen = side_by_side(16);
    let runs = all_runs(&sixteen, Model::Pitch);
    if Instructions::best().widths(Precision::Single).last() == Some(&16) {
        let at_once = sixteen.evaluate_at_once(&runs, &Progress::new()).expect("nobody stops it");
        let found = workload::figures(&at_once.runs[0].card);
        let apart = off(found, ours);
        eprintln!("single precision is {:.5} % off double", 100.0 * apart);
        assert!(apart > 0.0 && apart <= 0.1 * ACCURACY, "{found:?} in single precision, {ours:?} in double");
        group.bench_function("the program at once, sixteen side by side", |b| {
            one.install(|| b.iter(|| evaluate_at_once(&sixteen, &runs)));
        });
    }
    group.finish();
}

/// Sixty frequencies of three modes; a board after an edit of one mode.
fn live(c: &mut Criterion) {
    let session = workload::three_modes_eight_events();
    let study = workload::compiled(&session);
    let request = ResponseRequest {
        speed_km_h: 80.0,
        roughness_m_per_s2: 1.0,
        velocity_amplitude_m_per_s: VELOCITY_AMPLITUDE_M_PER_S,
        frequencies_hz: default_frequencies(),
    };
    let mut group = c.benchmark_group("live, pitch");
    for threads in [1, 2] {
        let pool = pool(threads);
        group.bench_function(format!("responses of 3 modes, {threads} threads"), |b| {
            pool.install(|| {
                b.iter(|| {
                    for mode in 0..3 {
                        black_box(study.response(Model::Pitch, mode, 0, &request, &Progress::new()).is_ok());
                    }
                });
            });
        });
        for (name, at_once) in [("first answer", true), ("board", false)] {
            group.bench_function(format!("{name} after an edit of one mode, {threads} threads"), |b| {
                let memory = Memory::default();
                let mut session = session.clone();
                let request = BoardRequest {
                    model: Model::Pitch,
                    load_case: 0,
                    event: 0,
                    speed_km_h: 80.0,
                    roughness_m_per_s2: 1.0,
                    reference: 0,
                };
                let mut previous = None;
                pool.install(|| {
                    b.iter(|| {
                        session.modes[2].heave.values_n_s_per_m[0][0] += 0.01;
                        let study =
                            Study::new(&session, &Profiles::default()).expect("the demo is valid").sharing(&memory);
                        let first = study.board_at_once(&request, previous.as_ref(), &Progress::new());
                        let mut board = first.expect("nobody stops it");
                        if !at_once {
                            board = study.board(&request, Some(&board), &Progress::new()).expect("nobody stops it");
                        }
                        previous = Some(black_box(board));
                    });
                });
            });
        }
    }
    group.finish();
}

/// What each cell does, and many candidate modes: a run-step of theirs beside one of an evaluation.
fn search(c: &mut Criterion) {
    let session = workload::three_modes_eight_events();
    let study = workload::compiled(&session);
    let trial = study.trial(Model::Pitch, 0);
    let mut group = c.benchmark_group("search, pitch, 8 events x 20 s");
    let modes: Vec<_> = session.modes.iter().cycle().take(64).cloned().collect();
    let a_mode = study.run_steps(&all_runs(&study, Model::Pitch)) / session.modes.len();
    group.throughput(Throughput::Elements((a_mode * modes.len()) as u64));
    group.bench_function("64 candidates", |b| {
        b.iter(|| {
            study.candidates(&trial, Precision::Single, &modes, &Progress::new(), |found| drop(black_box(found)))
        });
    });
    let request = InfluenceRequest {
        trial: trial.clone(),
        mode: 1,
        metric: MetricId::WEIGHTED_ACCELERATION,
        beside: vec![MetricId::DYNAMIC_LOAD_COEFFICIENT],
        step_n_s_per_m: 100.0,
    };
    let visited = study.influence(&request, &Progress::new(), |_| ()).map_or(0, |influence| influence.visited);
    group.throughput(Throughput::Elements(visited as u64));
    group.bench_function("influence of a cell", |b| {
        b.iter(|| black_box(study.influence(&request, &Progress::new(), |_| ())));
    });
    group.finish();
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20).measurement_time(Duration::from_secs(3));
    targets = sets_and_threads, growth, against_a_library, live, search
}
criterion_main!(benches);
