//! A car from nothing: valid at every step, marks that go when touched, proposals that follow what is known.

mod common;

use proptest::prelude::*;
use washboard_session::edit::End;
use washboard_session::proposal::{is_proposed, load_mark, mark, new_session};
use washboard_session::{
    Damper, Edit, History, Session, apply, axle_load_kg, check, parse_json, parse_ron, to_json, to_ron,
};

fn set(path: &str, value: f64) -> Edit {
    Edit::SetNumber { path: path.to_owned(), value }
}

fn with(session: &Session, edit: &Edit) -> Session {
    let mut changed = session.clone();
    apply(&mut changed, edit).expect("the edit holds");
    changed
}

#[test]
fn a_new_session_is_valid_and_everything_in_it_is_marked() {
    let session = new_session();
    assert_eq!(check(&session), Ok(()));
    assert_eq!((session.dampers.len(), session.modes.len(), session.events.len()), (2, 3, 7));
    assert!(session.vehicle.seat_m.is_some() && session.vehicle.load_cases.len() == 2);
    // What is left at its documented neutral default, as in the shortest session, is no proposal.
    let neutral = washboard_session::numbers(&common::small());
    for number in washboard_session::numbers(&session) {
        if neutral.iter().any(|other| other.path == number.path && other.value == number.value) {
            continue;
        }
        let is_own = number.path.starts_with("vehicle.") && number.path.matches('.').count() <= 2;
        let is_structure = ["seat_m", "_stop", "load_cases"].iter().any(|part| number.path.contains(part));
        if is_own && !is_structure {
            assert!(is_proposed(&session, &number.path), "{}", number.path);
        }
    }
    // The marks outlive a save in either language.
    assert_eq!(parse_ron(&to_ron(&session).unwrap()).unwrap(), session);
    assert_eq!(parse_json(&to_json(&session).unwrap()).unwrap(), session);
}

#[test]
fn a_touched_value_stays_and_the_others_follow() {
    let session = new_session();
    let spring = "vehicle.front.spring_rate_n_per_m";
    let heavier = with(&session, &set("vehicle.body_mass_kg", 3100.0));
    assert!(!is_proposed(&heavier, "vehicle.body_mass_kg") && is_proposed(&heavier, spring));
    // Twice the mass on twice the tyre needs twice the spring for the same ride frequency (closed form sqrt(k/m)).
    let ratio = heavier.vehicle.front.spring_rate_n_per_m / session.vehicle.front.spring_rate_n_per_m;
    assert!((1.9..2.1).contains(&ratio), "{ratio}");
    assert!(heavier.dampers[0].force_n[14][4] > 1.8 * session.dampers[0].force_n[14][4]);
    assert!(heavier.modes[0].heave.values_n_s_per_m[4][0] > 1.8 * session.modes[0].heave.values_n_s_per_m[4][0]);

    let typed = with(&heavier, &set(spring, 30_000.0));
    let lighter = with(&typed, &set("vehicle.body_mass_kg", 1200.0));
    assert_eq!(lighter.vehicle.front.spring_rate_n_per_m, 30_000.0);
    assert!(lighter.vehicle.rear.spring_rate_n_per_m < session.vehicle.rear.spring_rate_n_per_m);
}

#[test]
fn the_same_value_typed_or_accepted_takes_the_mark_away_and_undo_brings_it_back() {
    let mut history = History::opened(new_session());
    let wheelbase = history.session().vehicle.wheelbase_m;
    history.edit(&set("vehicle.wheelbase_m", wheelbase)).unwrap();
    assert!(!is_proposed(history.session(), "vehicle.wheelbase_m"));
    let everyday = mark("modes", "everyday");
    history.edit(&Edit::AcceptProposed(vec![everyday.clone()])).unwrap();
    assert!(!is_proposed(history.session(), &everyday) && is_proposed(history.session(), &mark("modes", "firm")));
    assert!(history.undo() && history.undo());
    assert!(is_proposed(history.session(), "vehicle.wheelbase_m") && is_proposed(history.session(), &everyday));
    assert!(history.is_saved());
}

#[test]
fn members_lose_their_mark_by_change_new_name_and_deletion() {
    let session = new_session();
    let renamed = with(&session, &Edit::RenameMode { mode: 0, name: "soft".into() });
    assert!(!renamed.proposed.iter().any(|m| m == "modes/calm" || m == "modes/soft"));
    let fewer = with(&renamed, &Edit::DeleteEvent { event: 0 });
    assert!(!fewer.proposed.iter().any(|m| m == "events/motorway"));
    assert_eq!(check(&fewer), Ok(()));
    let mut broken = fewer;
    broken.proposed.push("events/motorway".into());
    let faults = check(&broken).unwrap_err();
    assert!(faults[0].to_string().contains("proposed") && faults[0].to_string().contains("motorway"), "{}", faults[0]);
}

#[test]
fn loads_on_the_axles_are_mass_and_centre_of_gravity() {
    let session = new_session();
    let (front, rear) = (982.0, 874.0);
    let one = with(&session, &Edit::SetAxleLoad { end: End::Front, load_kg: front });
    assert!(!is_proposed(&one, load_mark(End::Front)) && is_proposed(&one, load_mark(End::Rear)));
    let both = with(&one, &Edit::SetAxleLoad { end: End::Rear, load_kg: rear });
    let vehicle = &both.vehicle;
    let (wf, wr) = (2.0 * vehicle.front.wheel_mass_kg, 2.0 * vehicle.rear.wheel_mass_kg);
    // Moments about the front axle and the sum of forces, by hand.
    assert!((vehicle.body_mass_kg - (front + rear - wf - wr)).abs() < 1e-5);
    let moment = vehicle.body_mass_kg * vehicle.cg_to_front_axle_m;
    assert!((moment - (rear - wr) * vehicle.wheelbase_m).abs() < 1e-4);
    assert!((axle_load_kg(vehicle, End::Front) - front).abs() < 1e-4);
    assert!((axle_load_kg(vehicle, End::Rear) - rear).abs() < 1e-4);
    assert!(!is_proposed(&both, "vehicle.body_mass_kg"));

    let mut refused = session.clone();
    let fault = apply(&mut refused, &Edit::SetAxleLoad { end: End::Rear, load_kg: 60.0 }).unwrap_err();
    assert_eq!(fault.to_string(), "vehicle.rear: axle load is 60 kg, but it must be more than its two wheels (82 kg).");
    assert_eq!(refused, session);
}

#[test]
fn several_edits_hold_together_and_are_one_step() {
    let mut history = History::opened(new_session());
    let mut bench: Damper = history.session().dampers[0].clone();
    bench.current_a = vec![2.0, 2.3, 2.6, 2.9, 3.2];
    let rear = Damper { name: "rear damper".into(), ..bench.clone() };
    // Neither damper alone leaves a current that both were measured at.
    let replace = |damper: usize, with: &Damper| Edit::ReplaceDamper { damper, with: Box::new(with.clone()) };
    let mut touched = history.session().proposed.clone();
    touched.retain(|m| m.starts_with("modes/"));
    history.edit(&Edit::AcceptProposed(touched)).unwrap();
    assert!(history.edit(&replace(0, &bench)).is_err());
    let mut edits = vec![replace(0, &bench), replace(1, &rear)];
    edits.extend((0..3).map(|mode| Edit::SetCurrentLimits { mode, least_a: 2.0, most_a: 3.2 }));
    history.edit(&Edit::Several { label: "take bench data".into(), edits }).unwrap();
    assert_eq!(check(history.session()), Ok(()));
    assert_eq!(history.undo_label(), Some("take bench data"));
}

#[test]
fn proposed_modes_follow_the_currents_of_the_bench() {
    let session = new_session();
    let mut bench = session.dampers[0].clone();
    bench.current_a = vec![0.0, 0.5, 1.0, 1.5, 2.0];
    let one = with(&session, &Edit::ReplaceDamper { damper: 0, with: Box::new(bench.clone()) });
    assert_eq!((one.modes[0].current_min_a, one.modes[0].current_max_a), (0.3, 1.6));
    bench.name = "rear damper".into();
    let both = with(&one, &Edit::ReplaceDamper { damper: 1, with: Box::new(bench) });
    assert_eq!((both.modes[2].current_min_a, both.modes[2].current_max_a), (0.0, 2.0));
    assert!(!is_proposed(&both, "dampers/front damper") && is_proposed(&both, "modes/firm"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Whatever an engineer types within reason, in any order, is taken and leaves a valid session.
    #[test]
    fn every_step_of_a_sitting_leaves_a_valid_session(
        mass in 500.0..4000.0f64, share in 0.35..0.65f64, wheelbase in 2.0..3.6f64, track in 1.2..1.9f64,
        wheel in 20.0..80.0f64, tyre in 1.2e5..4.5e5f64, spring in 1.0e4..9.0e4f64, ratio in 0.5..1.2f64, height in 0.3..0.9f64,
        order in Just((0usize..11).collect::<Vec<_>>()).prop_shuffle(),
    ) {
        let mut session = new_session();
        for step in order {
            let edit = match step {
                0 => Edit::SetAxleLoad { end: End::Front, load_kg: mass * (1.0 - share) + 160.0 },
                1 => Edit::SetAxleLoad { end: End::Rear, load_kg: mass * share + 160.0 },
                2 => {
                    // A wheelbase is measured with the car on the same scales.
                    let loads = End::ALL.map(|end| Edit::SetAxleLoad { end, load_kg: axle_load_kg(&session.vehicle, end) });
                    let [front, rear] = loads;
                    Edit::Several { label: "change wheelbase".into(), edits: vec![set("vehicle.wheelbase_m", wheelbase), front, rear] }
                }
                3 => set("vehicle.front.track_m", track),
                4 => set("vehicle.rear.wheel_mass_kg", wheel),
                5 => set("vehicle.front.tyre_rate_n_per_m", tyre),
                6 => set("vehicle.rear.spring_rate_n_per_m", spring),
                7 => set("vehicle.rear.motion_ratio", ratio),
                8 => set("vehicle.cg_height_m", height),
                9 => Edit::SetVehicle(Box::new(washboard_session::Vehicle { name: "x".into(), ..session.vehicle.clone() })),
                _ => set("vehicle.front.wheel_mass_kg", wheel),
            };
            apply(&mut session, &edit).expect("it is within reason");
            prop_assert_eq!(check(&session), Ok(()));
        }
        prop_assert_eq!(&session.title, "x");
    }
}
