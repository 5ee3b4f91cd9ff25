//! Whole runs are the same to the last bit, however many stand side by side, whatever the instructions and threads.

use super::*;
use crate::{Evaluation, Profiles, Response, ResponseRequest, Selection, Trace, VELOCITY_AMPLITUDE_M_PER_S, Visits};
use washboard_session::{CurrentMap, Law, Mixed, Session};

/// The demo's car with a mode of every law, one of them with a floor and a slow slew, over short events of every kind.
fn session() -> Session {
    let mut session = washboard_session::parse_ron(include_str!("../../../../demo-sessions/estate.ron")).unwrap();
    let kinds = ["patched road", "farm track", "expansion joint", "lateral step", "braking", "sweep", "lane change"];
    session.events.retain(|e| kinds.contains(&e.name.as_str()));
    assert_eq!(session.events.len(), kinds.len());
    // Of different length, so that runs beside others come to their end first.
    for (i, event) in session.events.iter_mut().enumerate() {
        event.duration_s = 2.5 - 0.1 * i as f64;
    }
    session.fences.clear();
    session.reference_mode = None;
    let first = session.modes[0].clone();
    for (name, law) in [
        ("on/off", Law::OnOff),
        ("acceleration", Law::AccelerationDriven),
        ("mixed", Law::Mixed(Mixed { crossover_hz: 2.0 })),
    ] {
        let mut mode = first.clone();
        (mode.name, mode.law) = (name.to_owned(), law);
        session.modes.push(mode);
    }
    session.modes[1].slew_a_per_s = Some(15.0);
    let columns = vec![0.0, 1.0, 4.0];
    let values_a = vec![vec![0.05, 0.1, 0.3], vec![0.1, 0.2, 0.4]];
    session.modes[1].floor = Some(CurrentMap { rows: vec![20.0, 110.0], columns, values_a });
    session
}

/// Every set of instructions with every number of lanes of a precision.
fn engines(precision: Precision) -> Vec<Engine> {
    let sets = Instructions::ALL.into_iter().filter(|i| i.are_here());
    let of = |instructions: Instructions| {
        let widths = instructions.widths(precision).iter().copied();
        widths.map(move |lanes| match precision {
            Precision::Double => Engine { single_lanes: None, ..Engine::new(instructions, lanes) },
            Precision::Single => Engine { single_lanes: Some(lanes), ..Engine::new(instructions, 8) },
        })
    };
    sets.flat_map(of).collect()
}

struct Results {
    evaluation: Evaluation,
    visits: Vec<Visits>,
    /// Of all modes over the lateral step, twice: more than four of them side by side.
    traces: Vec<Trace>,
    responses: Vec<Response>,
}

fn results(study: &Study, engine: Engine, selection: &Selection, threads: usize) -> Results {
    let mut study = study.clone();
    study.engine = engine;
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    let progress = Progress::new();
    pool.install(|| {
        let request = ResponseRequest {
            speed_km_h: 60.0,
            roughness_m_per_s2: 2.0,
            velocity_amplitude_m_per_s: VELOCITY_AMPLITUDE_M_PER_S,
            frequencies_hz: vec![0.8, 1.3, 4.0, 11.0, 24.0],
        };
        let modes: Vec<_> = study.calibrations.iter().collect();
        let twice: Vec<usize> = (0..modes.len()).chain(0..modes.len()).collect();
        let step = study.event("lateral step").unwrap();
        let (evaluation, visits) = study.evaluate_with_visits(selection, true, &progress).unwrap();
        Results {
            evaluation,
            visits,
            traces: study.traced_all(selection.model, &twice, step, 1, &progress).unwrap(),
            responses: study.responses_of(selection.model, &modes, 1, &request, &progress).unwrap(),
        }
    })
}

#[test]
fn every_width_instruction_set_and_thread_count_gives_the_same_bits() {
    let study = Study::new(&session(), &Profiles::default()).unwrap();
    for model in [Model::QuarterFront, Model::Pitch, Model::RollRear, Model::Full] {
        let selection = study.selection(model, &[], &[], &["as described", "full load"]).unwrap();
        let scalar = Engine { single_lanes: None, ..Engine::new(Instructions::Baseline, 1) };
        let expected = results(&study, scalar, &selection, 1);
        assert!(expected.evaluation.runs.iter().all(|r| r.card.is_finite() && !r.card.is_empty()));
        for (i, engine) in engines(Precision::Double).into_iter().enumerate() {
            let threads = 1 + i % 3;
            let got = results(&study, engine, &selection, threads);
            let what = format!("{model:?}, {engine:?}, {threads} threads");
            for (a, b) in expected.evaluation.runs.iter().zip(&got.evaluation.runs) {
                assert_eq!((a.mode, a.event, a.load_case), (b.mode, b.event, b.load_case));
                assert_eq!(a.card, b.card, "{what}, mode {}, event {}", a.mode, a.event);
            }
            assert_eq!(expected.visits, got.visits, "{what}");
            assert!(expected.traces == got.traces, "{what}");
            assert_eq!(expected.responses, got.responses, "{what}");
        }
    }
}

/// A run whose end comes while others go on beside it gives all that it gives alone: card, visits and time histories.
#[test]
fn runs_of_any_length_side_by_side_are_as_each_alone() {
    let study = Study::new(&session(), &Profiles::default()).unwrap();
    for model in [Model::QuarterFront, Model::Full] {
        let selection = study.selection(model, &["everyday", "on/off"], &[], &["as described"]).unwrap();
        for digits in [Digits::Double, Digits::Single] {
            let mut wanted = study.wanted(&crate::evaluate::places(&selection), true);
            wanted.iter_mut().for_each(|w| (w.digits, w.with_trace) = (digits, true));
            let together = study.run(model, &wanted, &Progress::new()).unwrap();
            let mut ends = std::collections::HashSet::new();
            for (run, (card, visits, trace)) in wanted.iter().zip(together) {
                let alone = study.run(model, &[*run], &Progress::new()).unwrap().remove(0);
                let what = format!("{model:?}, {digits:?}, event {}", run.event);
                assert_eq!((card, visits), (alone.0, alone.1), "{what}");
                assert!(trace == alone.2 && trace.is_some(), "{what}");
                ends.insert(trace.unwrap().time_s.len());
            }
            assert!(ends.len() > 5, "runs of {} lengths", ends.len());
        }
    }
}

/// What is said to move nothing of a model moves nothing, and what is said to move it does.
#[test]
fn a_course_moves_what_it_says() {
    let profile =
        washboard_road::Profile::new(vec![0.0, 5.0, 10.0], washboard_road::Elevation::One(vec![0.0, 0.01, 0.0]));
    let mut profiles = Profiles::default();
    profiles.insert("dip.csv", profile.unwrap());
    let session = washboard_session::parse_ron(include_str!("../../../../demo-sessions/estate.ron")).unwrap();
    let study = Study::new(&session, &profiles).unwrap();
    let mut still = 0;
    for model in Model::ALL {
        for (event, course) in study.courses.iter().enumerate() {
            let trace = study.trace(model, 0, event, 0);
            let rates = trace.titles().iter().filter(|t| t.name.ends_with("travel_rate_m_per_s"));
            let moved = rates.clone().any(|t| trace.channel(&t.name).unwrap().values.iter().any(|v| v.abs() > 1e-9));
            assert!(rates.count() > 0);
            assert_eq!(moved, course.moves(model), "{}, {}", model.name(), study.event_names()[event]);
            still += usize::from(!moved);
        }
    }
    assert!(still > 3, "{still} stand still");
}

/// A car that is the same on both sides does not roll at all where the road is; one with a driver does.
#[test]
fn only_a_car_that_leans_rolls_on_a_road_that_pushes_it_straight_up() {
    let session = washboard_session::parse_ron(include_str!("../../../../demo-sessions/estate.ron")).unwrap();
    let event = |name: &str| session.events.iter().position(|e| e.name == name).unwrap();
    let straight = [event("sweep"), event("crest")];
    let mut profiles = Profiles::default();
    let flat = washboard_road::Profile::new(vec![0.0, 10.0], washboard_road::Elevation::One(vec![0.0, 0.0]));
    profiles.insert("dip.csv", flat.unwrap());
    let study = Study::new(&session, &profiles).unwrap();
    for model in [Model::RollFront, Model::RollRear, Model::Full] {
        for (load_case, leans) in [(0, false), (1, true)] {
            assert_eq!(study.leans(model, load_case), leans, "{}", model.name());
            for event in straight {
                let trace = study.trace(model, 0, event, load_case);
                let rolls = trace.channel("roll_rad").unwrap().values.iter().any(|&roll| roll != 0.0);
                assert_eq!(rolls, leans, "{}, {}", model.name(), study.event_names()[event]);
            }
        }
    }
    assert!((0..study.loaded.len()).all(|load_case| !study.leans(Model::Pitch, load_case)));
}

/// Figures of runs in single precision, where that is enough.
fn singles(study: &Study, engine: Engine, selection: &Selection, threads: usize) -> Vec<crate::memory::Figures> {
    let mut study = study.clone();
    study.engine = engine;
    let mut wanted = study.wanted(&crate::evaluate::places(selection), true);
    wanted.iter_mut().for_each(|w| w.digits = Digits::Single);
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    pool.install(|| study.score(selection.model, &wanted, &Progress::new()).unwrap())
}

#[test]
fn every_width_and_instruction_set_gives_the_same_bits_in_single_precision() {
    let study = Study::new(&session(), &Profiles::default()).unwrap();
    for model in [Model::QuarterFront, Model::Pitch, Model::RollRear, Model::Full] {
        let selection = study.selection(model, &[], &[], &["as described", "full load"]).unwrap();
        let mut engines = engines(Precision::Single).into_iter().enumerate();
        let Some((_, first)) = engines.next() else { return };
        let expected = singles(&study, first, &selection, 1);
        for (i, engine) in engines {
            let got = singles(&study, engine, &selection, 1 + i % 3);
            assert!(expected.iter().zip(&got).all(|(a, b)| a == b), "{model:?}, {engine:?}");
        }
        let double = study.evaluate_with_visits(&selection, true, &Progress::new()).unwrap().0;
        let differ = |(a, b): (&crate::memory::Figures, &crate::RunFigures)| {
            (a.0 != b.card).then_some((b.mode, b.event, b.load_case))
        };
        let other: Vec<(usize, usize, usize)> = expected.iter().zip(&double.runs).filter_map(differ).collect();
        assert!(!other.is_empty(), "some are of single precision");
        for (mode, event, load_case) in other {
            let enough = study.enough(model, load_case, &study.calibrations[mode], event, Digits::Single);
            assert_eq!(enough, Digits::Single, "mode {mode}, event {event} was to be of double precision");
        }
    }
}

#[test]
fn the_last_few_runs_join_others_where_better_is_welcome() {
    let study = Study::new(&session(), &Profiles::default()).unwrap();
    let engine = study.engine;
    let Some(narrow) = engine.single_lanes.map(|_| engine.in_a_narrow_block(Precision::Single)) else { return };
    let stage = Stage::<2>::new(&study, Model::Pitch);
    let road = study.roads(Model::Pitch, [(&study.courses[0].event, stage.clock)], &Progress::new()).unwrap().remove(0);
    let task = |digits: Digits| Task {
        calibration: &study.calibrations[0],
        load_case: 0,
        course: &study.courses[0],
        clock: stage.clock,
        road: road.clone(),
        digits,
        with_visits: false,
        with_trace: false,
    };
    let made = |double: usize, single: usize, digits: Digits| {
        let tasks: Vec<Task> =
            (0..double).map(|_| task(Digits::Double)).chain((0..single).map(|_| task(digits))).collect();
        with_company(engine, &tasks).into_iter().filter(|&p| p == Precision::Single).count()
    };
    assert_eq!(made(2, narrow + 2, Digits::SingleOrBetter), narrow, "two find room beside two");
    assert_eq!(made(2, narrow + 2, Digits::Single), narrow + 2, "but not where they are to be the same always");
    assert_eq!(made(2, narrow + 3, Digits::SingleOrBetter), narrow + 3, "three do not fit in");
    assert_eq!(made(4, narrow + 1, Digits::SingleOrBetter), narrow + 1, "there is no room");
    assert_eq!(made(0, 3, Digits::SingleOrBetter), 3, "there are no others");
}

/// Roads sampled on the way give the same figures as roads that are kept, whatever stands side by side.
#[test]
fn roads_that_are_not_kept_give_the_same_bits() {
    let mut session = session();
    // Steering and pedals that tell ahead look beyond the piece at hand.
    session.controller.lateral_demand.lead_s = 0.1;
    session.controller.longitudinal_demand.lead_s = 0.05;
    for event in &mut session.events {
        // Longer than two pieces.
        event.duration_s = 20.0;
    }
    let kept = Study::new(&session, &Profiles::default()).unwrap();
    let room = crate::roads::Room { all: 1 << 20, one: 0 };
    let streamed = kept.clone().sharing(&crate::Memory::with_room(room));
    for model in [Model::QuarterRear, Model::Pitch, Model::Full] {
        let selection = kept.selection(model, &["everyday", "on/off"], &[], &["as described"]).unwrap();
        let figures = |study: &Study| study.evaluate_with_visits(&selection, true, &Progress::new()).unwrap();
        let (expected, got) = (figures(&kept), figures(&streamed));
        for (a, b) in expected.0.runs.iter().zip(&got.0.runs) {
            assert_eq!((a.mode, a.event), (b.mode, b.event));
            assert_eq!(a.card, b.card, "{model:?}, mode {}, event {}", a.mode, a.event);
        }
        assert_eq!(expected.1, got.1);
        assert_eq!(kept.trace(model, 1, 0, 0), streamed.trace(model, 1, 0, 0));
    }
}

#[test]
fn work_is_taken_in_turn_and_put_back_in_order() {
    let blocks: Vec<u64> = (0..40).rev().collect();
    for threads in 1..4 {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let (progress, begun) = (Progress::new(), std::sync::Mutex::new(Vec::new()));
        let done = pool.install(|| {
            in_turn(&blocks, &progress, |block| {
                begun.lock().unwrap().push(*block);
                std::thread::sleep(std::time::Duration::from_micros(50 * block));
                Ok(2 * block)
            })
        });
        assert_eq!(done.unwrap(), blocks.iter().map(|b| 2 * b).collect::<Vec<_>>());
        assert_eq!(progress.state(), (40, 40));
        let begun = begun.into_inner().unwrap();
        assert!(threads > 1 || begun == blocks, "one thread takes them as they stand: {begun:?}");
    }
    let progress = Progress::new();
    let stopped = in_turn(&blocks, &progress, |block| if *block == 30 { Err(Cancelled) } else { Ok(()) });
    assert_eq!(stopped, Err(Cancelled));
}

/// Asks to stop at one of the samples it sees, and counts on.
struct Stopper<'p> {
    progress: &'p Progress,
    at: usize,
    seen: usize,
}

impl<L: Lane, const C: usize> Watch<L, C> for Stopper<'_> {
    fn sample(&mut self, _: &washboard_sim::Sample<'_, '_, L, C>) {
        self.seen += 1;
        if self.seen == self.at {
            self.progress.cancel();
        }
    }
}

#[test]
fn a_stop_is_heeded_within_a_thousand_steps() {
    let study = Study::new(&session(), &Profiles::default()).unwrap();
    let stage = Stage::<4>::new(&study, Model::Full);
    let modes = [&study.calibrations[0]];
    let roads = study.roads(Model::Full, [(&study.courses[0].event, stage.clock)], &Progress::new()).unwrap();
    let input = roads[0].kept().unwrap();
    for at in [1, 499, 1200] {
        let progress = Progress::new();
        let mut sim = stage.sim::<f64>(0, &modes, stage.clock, None);
        let mut roads = Roads::new(vec![input], stage.places());
        let mut stopper = Stopper { progress: &progress, at, seen: 0 };
        let stopped = advance(&mut sim, 1_000_000, &mut roads, &mut stopper, &progress);
        assert_eq!(stopped, Err(Cancelled));
        let since = (stopper.seen - at) * stage.clock.stride;
        // At 0.4 microseconds a step of eight full cars, as measured, that is less than half a millisecond.
        assert!(since < STEPS_BETWEEN_LOOKS, "{since} steps after the wish to stop");
    }
}

#[test]
fn a_stop_is_heeded() {
    let study = Study::new(&session(), &Profiles::default()).unwrap();
    let progress = Progress::new();
    progress.cancel();
    let selection = study.selection(Model::Pitch, &[], &[], &[]).unwrap();
    assert!(study.evaluate(&selection, &progress).is_err());
}
