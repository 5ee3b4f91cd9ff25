//! Checks a session against everything the document promises, so that no later stage meets a number it cannot use.
//!
//! Nothing is changed or clamped here; each fault says where it is, what stands there and what ought to.

mod car;
mod controller;
mod damper;
mod events;
mod fences;
mod history;
mod modes;
mod names;
mod tables;

use crate::{
    Fault, Session,
    fault::with_unit,
    limits::{self, Limit},
    numbers::{Numbered, walk},
    place::Place,
};

pub use names::free_name;

/// Name that a load case cannot have, because results use it for the car without any load.
pub const AS_DESCRIBED: &str = "as described";

/// Most faults that are collected; the rest would only repeat them.
const MOST_FAULTS: usize = 200;

/// Checks everything. The faults come in the order of the checks, the most telling first.
pub fn check(session: &Session) -> Result<(), Vec<Fault>> {
    let mut checker = Checker::new(session);
    checker.working_part();
    checker.history_part();
    checker.done()
}

/// Checks what an edit can break; leaves out the list of runs and the sets handed over, which only grow.
pub(crate) fn check_working_part(session: &Session) -> Result<(), Vec<Fault>> {
    let mut checker = Checker::new(session);
    checker.working_part();
    checker.done()
}

/// Checks the list of runs and the sets handed over.
pub(crate) fn check_history_part(session: &Session) -> Result<(), Vec<Fault>> {
    let mut checker = Checker::new(session);
    checker.history_part();
    checker.done()
}

/// Collects faults of one session.
struct Checker<'s> {
    session: &'s Session,
    faults: Vec<Fault>,
}

impl<'s> Checker<'s> {
    fn new(session: &'s Session) -> Self {
        Checker { session, faults: Vec::new() }
    }

    fn done(self) -> Result<(), Vec<Fault>> {
        if self.faults.is_empty() { Ok(()) } else { Err(self.faults) }
    }

    fn working_part(&mut self) {
        let session = self.session;
        if session.format != crate::FORMAT {
            let bound = format!("this program writes format {}", crate::FORMAT);
            self.fault(&Place::Top, "format", session.format.to_string(), bound);
        }
        self.numbers();
        self.names();
        self.proposed();
        self.car();
        self.dampers();
        self.controller();
        self.modes();
        self.events();
        self.fences();
    }

    fn history_part(&mut self) {
        self.logbook();
        self.handed_over();
    }

    /// Notes a fault at a place.
    fn fault(
        &mut self,
        place: &Place<'_>,
        field: impl Into<String>,
        value: impl Into<String>,
        bound: impl Into<String>,
    ) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(Fault::new(place.described(self.session), field, value, bound));
        }
    }

    /// Every single number against its own limit.
    fn numbers(&mut self) {
        walk(self.session, &mut |place, holder| self.numbers_of(place, holder));
    }

    fn numbers_of(&mut self, place: &Place<'_>, holder: &dyn Numbered) {
        for limit in holder.limits() {
            if let Some(value) = holder.number(limit.field) {
                self.within(place, limit, limit.field, value);
            }
        }
    }

    /// One number against its limit; `field` says more than the limit where it is in a table.
    fn within(&mut self, place: &Place<'_>, limit: &Limit, field: &str, value: f64) {
        if !limit.allows(value) {
            self.fault(place, field, with_unit(value, limit.unit), limit.bound());
        }
    }

    /// The number of members of a list.
    fn count(&mut self, place: &Place<'_>, field: &str, count: usize, least: usize, most: usize) -> bool {
        let fits = (least..=most).contains(&count);
        if !fits {
            let members = if count == 1 { "1 entry" } else { &format!("{count} entries") };
            self.fault(place, field, format!("a list of {members}"), format!("it must have {least} to {most}"));
        }
        fits
    }

    /// Lists whose length is bounded so that a slip does not cost all memory.
    fn lists(&mut self) {
        let (session, top) = (self.session, Place::Top);
        self.count(&top, "dampers", session.dampers.len(), 1, limits::MOST_DAMPERS);
        self.count(&top, "modes", session.modes.len(), 1, limits::MOST_MODES);
        self.count(&top, "events", session.events.len(), 0, limits::MOST_EVENTS);
        self.count(&top, "fences", session.fences.len(), 0, limits::MOST_FENCES);
        let place = top.field("vehicle");
        let cases = &session.vehicle.load_cases;
        self.count(&place, "load_cases", cases.len(), 0, limits::MOST_LOAD_CASES);
        for (index, case) in cases.iter().enumerate() {
            self.count(&place.item("load_cases", index), "items", case.items.len(), 0, limits::MOST_ITEMS);
        }
    }
}
