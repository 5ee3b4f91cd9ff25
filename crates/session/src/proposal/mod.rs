//! A session from nothing: believable values for a whole car, marked as proposals until somebody touches them.
//!
//! The marks stand in the document (`proposed`), so that they outlive a save. A mark goes when an edit sets what it names,
//! to whatever value; all that is still marked follows what is known: springs follow the loads, damping follows the
//! springs, gains follow the damping. Values are those of a middle-sized car (common practice, no source).

mod car;
mod dampers;
mod events;
mod modes;

use crate::{
    Controller, Damper, Demand, Edit, Event, LoadCase, Mode, Point, Session, Stop, Vehicle, edit::End,
    numbers::Numbered,
};
use std::collections::HashSet;

/// Marks of the loads on the axles, which stand for mass and centre of gravity of the body.
const LOADS: [&str; 2] = ["vehicle.front.load_kg", "vehicle.rear.load_kg"];

/// The mark of a member of `dampers`, `modes` or `events`.
pub fn mark(list: &str, name: &str) -> String {
    format!("{list}/{name}")
}

/// The mark of the load on an axle.
pub fn load_mark(end: End) -> &'static str {
    match end {
        End::Front => LOADS[0],
        End::Rear => LOADS[1],
    }
}

/// True where a value is still a proposal; `mark` is the path of a number or structure of the car, or a [`mark()`].
pub fn is_proposed(session: &Session, mark: &str) -> bool {
    session.proposed.iter().any(|known| known == mark)
}

/// A whole valid session in which everything is proposed.
pub fn new_session() -> Session {
    let mut session = Session {
        format: crate::FORMAT,
        title: String::new(),
        notes: String::new(),
        vehicle: car::bare(),
        dampers: ["front damper", "rear damper"].into_iter().map(dampers::bare).collect(),
        controller: Controller {
            sample_rate_hz: 1000.0,
            states: crate::States::default(),
            roughness: crate::Roughness::default(),
            lateral_demand: Demand { rise_s: 0.02, fall_s: 0.6, lead_s: 0.0 },
            longitudinal_demand: Demand { rise_s: 0.02, fall_s: 0.6, lead_s: 0.0 },
            blend_velocity_m_per_s: 0.0,
            inverse_table: crate::InverseTable::default(),
        },
        conditions: crate::Conditions::default(),
        modes: Vec::new(),
        events: events::all(),
        reference_mode: Some(modes::REFERENCE.to_owned()),
        fences: Vec::new(),
        logbook: Vec::new(),
        handed_over: Vec::new(),
        verdict_attributes: crate::document::first_attributes(),
        in_car: None,
        began_from: None,
        release: None,
        proposed: Vec::new(),
        below: None,
    };
    session.modes = modes::NAMES.iter().filter_map(|name| modes::of(name, &session)).collect();
    session.proposed = ["title", "controller"].into_iter().map(str::to_owned).collect();
    session.proposed.extend(car::marks());
    session.proposed.extend(LOADS.map(str::to_owned));
    session.proposed.extend(session.dampers.iter().map(|it| mark("dampers", &it.name)));
    session.proposed.extend(session.modes.iter().map(|it| mark("modes", &it.name)));
    session.proposed.extend(session.events.iter().map(|it| mark("events", &it.name)));
    follow(&mut session);
    session
}

/// Takes the marks away that an edit has touched.
pub(crate) fn touch(before: &Session, after: &mut Session, edit: &Edit) {
    let Session { proposed, .. } = after;
    let mut marks = std::mem::take(proposed);
    marks.retain(|mark| !names(edit, mark) && part(before, mark) == part(after, mark));
    after.proposed = marks;
}

/// Gives everything that is still marked the value that follows from the rest.
pub(crate) fn follow(session: &mut Session) {
    let marks: HashSet<String> = session.proposed.iter().cloned().collect();
    car::follow(&mut session.vehicle, &marks);
    if marks.contains("title") {
        session.title.clone_from(&session.vehicle.name);
    }
    dampers::follow(session, &marks);
    for at in 0..session.modes.len() {
        let name = &session.modes[at].name;
        if marks.contains(&mark("modes", name))
            && let Some(mode) = modes::of(name, session)
        {
            session.modes[at] = mode;
        }
    }
}

/// True where the session has what a mark names.
pub(crate) fn is_there(session: &Session, mark: &str) -> bool {
    part(session, mark).is_some()
}

/// What a mark names.
#[derive(PartialEq)]
enum Part<'s> {
    Number(f64),
    Text(&'s str),
    Seat(Option<Point>),
    Stop(&'s Option<Stop>),
    Loads(&'s [LoadCase]),
    Controller(&'s Controller),
    Damper(&'s Damper),
    Mode(&'s Mode),
    Event(&'s Event),
    /// Load on an axle: a way to write mass and centre of gravity; touched only by name.
    AxleLoad,
}

fn part<'s>(session: &'s Session, mark: &str) -> Option<Part<'s>> {
    let vehicle = &session.vehicle;
    match mark {
        "title" => return Some(Part::Text(&session.title)),
        "controller" => return Some(Part::Controller(&session.controller)),
        "vehicle.name" => return Some(Part::Text(&vehicle.name)),
        "vehicle.seat_m" => return Some(Part::Seat(vehicle.seat_m)),
        "vehicle.load_cases" => return Some(Part::Loads(&vehicle.load_cases)),
        _ if LOADS.contains(&mark) => return Some(Part::AxleLoad),
        _ => {}
    }
    if let Some((list, name)) = mark.split_once('/') {
        return match list {
            "dampers" => session.dampers.iter().find(|it| it.name == name).map(Part::Damper),
            "modes" => session.modes.iter().find(|it| it.name == name).map(Part::Mode),
            "events" => session.events.iter().find(|it| it.name == name).map(Part::Event),
            _ => None,
        };
    }
    let field = mark.strip_prefix("vehicle.")?;
    let (axle, of_axle) = match field.split_once('.') {
        None => return vehicle.number(field).map(Part::Number),
        Some(("front", rest)) => (&vehicle.front, rest),
        Some(("rear", rest)) => (&vehicle.rear, rest),
        Some(_) => return None,
    };
    match of_axle {
        "bump_stop" => Some(Part::Stop(&axle.bump_stop)),
        "rebound_stop" => Some(Part::Stop(&axle.rebound_stop)),
        number => axle.number(number).map(Part::Number),
    }
}

/// True where an edit sets what a mark names, be it to the value it had.
fn names(edit: &Edit, mark: &str) -> bool {
    match edit {
        Edit::SetNumber { path, .. } => {
            // Mass and centre of gravity are what the loads on the axles stand for.
            let is_mass = path == "vehicle.body_mass_kg" || path == "vehicle.cg_to_front_axle_m";
            path == mark || (is_mass && LOADS.contains(&mark))
        }
        Edit::SetAxleLoad { end, .. } => load_mark(*end) == mark,
        Edit::SetTitle(_) => mark == "title",
        Edit::AcceptProposed(marks) => marks.iter().any(|accepted| accepted == mark),
        Edit::Several { edits, .. } => edits.iter().any(|edit| names(edit, mark)),
        _ => false,
    }
}

/// Critical damping of the body on one wheel's spring, N s/m, of each axle.
fn critical_n_s_per_m(vehicle: &Vehicle) -> [f64; 2] {
    let mass = car::body_mass_on_wheel_kg(vehicle);
    [0, 1].map(|a| 2.0 * ([&vehicle.front, &vehicle.rear][a].spring_rate_n_per_m * mass[a]).sqrt())
}

/// A value with that many digits that matter, as people propose numbers.
fn to_digits(value: f64, digits: i32) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let step = 10f64.powi(value.abs().log10().floor() as i32 + 1 - digits);
    // Dividing by the inverse keeps decimal numbers short where the step is below one.
    if step < 1.0 { (value / step).round() / (1.0 / step).round() } else { (value / step).round() * step }
}
