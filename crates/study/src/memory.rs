//! Results kept between edits: what an edit cannot have changed is not computed again.
//!
//! A result is told by what it was computed from: the car with its dampers and controller, the mode's numbers, the event,
//! the load case, the model. Each of these gets a number when it is first met; equal content has the same number.

use crate::roads::RoadCache;
use crate::snapshot::Course;
use crate::{Response, ResponseRequest, Trace, Visits};
use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use washboard_car::Model;
use washboard_control::Calibration;
use washboard_metrics::Scorecard;
use washboard_session::{Conditions, Controller, Damper, Session, Vehicle};
use washboard_signal::Precision;

/// Most cars, modes and courses remembered, the one not used for longest forgotten first.
const MOST_CARS: usize = 4;
const MOST_MODES: usize = 64;
const MOST_COURSES: usize = 512;
/// Most time histories and responses remembered. A history takes some megabytes.
const MOST_TRACES: usize = 16;
const MOST_RESPONSES: usize = 96;
/// Most time histories kept for their room.
const MOST_WORN: usize = 4;

/// What a result was computed from, by number, except the mode.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct Place {
    pub car: u64,
    pub model: Model,
    pub load_case: usize,
}

/// One run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct RunKey {
    pub place: Place,
    pub mode: u64,
    pub course: u64,
    pub precision: Precision,
}

impl RunKey {
    fn in_double(self) -> Self {
        RunKey { precision: Precision::Double, ..self }
    }
}

/// Figures of a run, with visit shares where they were asked for.
pub(crate) type Figures = Arc<(Scorecard, Visits)>;

/// Roads and results of earlier states of a session. A clone shares them.
#[derive(Clone, Debug, Default)]
pub struct Memory {
    pub(crate) roads: RoadCache,
    shelves: Arc<Mutex<Shelves>>,
}

/// What all runs of a session share.
#[derive(Debug)]
struct Car {
    vehicle: Vehicle,
    dampers: Vec<Damper>,
    conditions: Conditions,
    controller: Controller,
}

#[derive(Debug, Default)]
struct Shelves {
    cars: Shelf<Car>,
    modes: Shelf<Calibration>,
    /// The weight of a course does not change its runs.
    courses: Shelf<(washboard_road::Event, f64)>,
    runs: HashMap<RunKey, Figures>,
    /// The last used at the end.
    traces: Vec<(RunKey, Arc<Trace>)>,
    /// Time histories that are not remembered any more, for their room: fresh memory costs as much as what is written to it.
    worn: Vec<Arc<Trace>>,
    responses: Vec<(Place, u64, ResponseRequest, Response)>,
}

/// Things with their numbers, the last used at the end.
#[derive(Debug)]
struct Shelf<T> {
    things: Vec<(u64, T)>,
    next: u64,
}

impl<T> Default for Shelf<T> {
    fn default() -> Self {
        Shelf { things: Vec::new(), next: 0 }
    }
}

impl<T> Shelf<T> {
    /// The number of a thing, and the number of one forgotten for it.
    fn number(&mut self, is_it: impl Fn(&T) -> bool, make: impl FnOnce() -> T, most: usize) -> (u64, Option<u64>) {
        if let Some(place) = self.things.iter().rposition(|(_, t)| is_it(t)) {
            let found = self.things.remove(place);
            let number = found.0;
            self.things.push(found);
            return (number, None);
        }
        let forgotten = (self.things.len() >= most).then(|| self.things.remove(0).0);
        self.next += 1;
        self.things.push((self.next, make()));
        (self.next, forgotten)
    }
}

impl Memory {
    /// One with little room for roads.
    #[cfg(test)]
    pub(crate) fn with_room(room: crate::roads::Room) -> Self {
        Memory { roads: RoadCache::with(room), ..Memory::default() }
    }

    /// The same roads, and no results.
    pub(crate) fn with_roads_only(&self) -> Self {
        Memory { roads: self.roads.clone(), ..Memory::default() }
    }

    /// The shelves hold no half-done state between statements, so a poisoned lock is as good as any.
    fn shelves(&self) -> MutexGuard<'_, Shelves> {
        self.shelves.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub(crate) fn car(&self, session: &Session) -> u64 {
        let mut all = self.shelves();
        let (number, forgotten) = all.cars.number(
            |car| {
                car.vehicle == session.vehicle
                    && car.dampers == session.dampers
                    && car.conditions == session.conditions
                    && car.controller == session.controller
            },
            || Car {
                vehicle: session.vehicle.clone(),
                dampers: session.dampers.clone(),
                conditions: session.conditions.clone(),
                controller: session.controller.clone(),
            },
            MOST_CARS,
        );
        if let Some(car) = forgotten {
            all.keep(|place, _, _| place.car != car);
        }
        number
    }

    /// Number of a mode; at least `present` of them are in use together.
    pub(crate) fn mode(&self, calibration: &Calibration, present: usize) -> u64 {
        let mut all = self.shelves();
        let most = MOST_MODES.max(3 * present);
        let (number, forgotten) = all.modes.number(|m| m == calibration, || calibration.clone(), most);
        if let Some(forgotten) = forgotten {
            all.keep(|_, mode, _| mode != forgotten);
        }
        number
    }

    /// Number of a course; at least `present` of them are in use together.
    pub(crate) fn course(&self, course: &Course, present: usize) -> u64 {
        let mut all = self.shelves();
        let (number, forgotten) = all.courses.number(
            |(event, settle_s)| *event == course.event && *settle_s == course.settle_s,
            || (course.event.clone(), course.settle_s),
            MOST_COURSES.max(3 * present),
        );
        if let Some(forgotten) = forgotten {
            all.keep(|_, _, course| course != Some(forgotten));
        }
        number
    }

    /// What is known of runs, in the precision asked for or better.
    pub(crate) fn runs(&self, keys: &[RunKey]) -> Vec<Option<Figures>> {
        let all = self.shelves();
        let of = |key: &RunKey| all.runs.get(&key.in_double()).or_else(|| all.runs.get(key));
        keys.iter().map(|key| of(key).cloned()).collect()
    }

    /// True where a run is known with its visit shares.
    pub(crate) fn has_visits(&self, key: &RunKey) -> bool {
        self.runs(&[*key])[0].as_ref().is_some_and(|figures| !figures.1.maps.is_empty())
    }

    /// True where a run is known in double precision.
    pub(crate) fn has_double(&self, key: &RunKey) -> bool {
        self.shelves().runs.contains_key(&key.in_double())
    }

    pub(crate) fn keep_run(&self, key: RunKey, figures: Figures) {
        self.shelves().runs.insert(key, figures);
    }

    pub(crate) fn trace(&self, key: &RunKey) -> Option<Arc<Trace>> {
        let mut all = self.shelves();
        let at = |key: &RunKey| all.traces.iter().position(|t| t.0 == *key);
        let found = at(&key.in_double()).or_else(|| at(key))?;
        let used = all.traces.remove(found);
        let trace = used.1.clone();
        all.traces.push(used);
        Some(trace)
    }

    /// The room of a time history of that precision which nobody reads any more.
    pub(crate) fn room_of_a_trace(&self, precision: Precision) -> Option<Trace> {
        let mut all = self.shelves();
        let is_unread = |trace: &Arc<Trace>| Arc::strong_count(trace) == 1 && trace.precision() == precision;
        let unread = all.worn.iter().position(is_unread)?;
        Arc::into_inner(all.worn.swap_remove(unread))
    }

    /// At least `present` histories are in use together.
    pub(crate) fn keep_trace(&self, key: RunKey, trace: Arc<Trace>, present: usize) {
        let mut all = self.shelves();
        // A better one takes the place of that in single precision.
        let worse = all.traces.iter().position(|t| t.0 != key && t.0.in_double() == key);
        let forgotten = worse.or((all.traces.len() >= MOST_TRACES.max(2 * present)).then_some(0));
        if let Some(forgotten) = forgotten {
            let (_, worn) = all.traces.remove(forgotten);
            all.worn.push(worn);
        }
        if all.worn.len() > MOST_WORN {
            all.worn.remove(0);
        }
        all.traces.push((key, trace));
    }

    pub(crate) fn response(&self, place: Place, mode: u64, request: &ResponseRequest) -> Option<Response> {
        let all = self.shelves();
        all.responses.iter().find(|r| (r.0, r.1) == (place, mode) && r.2 == *request).map(|r| r.3.clone())
    }

    pub(crate) fn keep_response(&self, place: Place, mode: u64, request: &ResponseRequest, response: Response) {
        let mut all = self.shelves();
        if all.responses.len() >= MOST_RESPONSES {
            all.responses.remove(0);
        }
        all.responses.push((place, mode, request.clone(), response));
    }
}

impl Shelves {
    /// Forgets the results that do not fulfil a condition on place, mode and course (absent for a response).
    fn keep(&mut self, condition: impl Fn(&Place, u64, Option<u64>) -> bool) {
        self.runs.retain(|k, _| condition(&k.place, k.mode, Some(k.course)));
        self.traces.retain(|(k, _)| condition(&k.place, k.mode, Some(k.course)));
        self.responses.retain(|r| condition(&r.0, r.1, None));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_things_share_a_number_and_the_oldest_is_forgotten() {
        let mut shelf = Shelf::<&str>::default();
        let mut number = |name: &'static str| shelf.number(|t| *t == name, || name, 2);
        assert_eq!((number("a"), number("b"), number("a")), ((1, None), (2, None), (1, None)));
        assert_eq!(number("c"), (3, Some(2)), "b was not used for longest");
        assert_eq!(number("b"), (4, Some(1)), "a forgotten thing gets a new number");
    }
}
