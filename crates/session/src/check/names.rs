//! Names: there, readable, used once; and whatever refers to one finds it.

use super::{AS_DESCRIBED, Checker};
use crate::{
    fault::{listed, quoted},
    limits::{LONGEST_NAME, MOST_PROPOSED},
    place::Place,
};

impl Checker<'_> {
    pub(super) fn names(&mut self) {
        self.lists();
        let (session, top) = (self.session, Place::Top);
        self.unique(&top, "dampers", session.dampers.iter().map(|it| it.name.as_str()));
        self.unique(&top, "modes", session.modes.iter().map(|it| it.name.as_str()));
        self.unique(&top, "events", session.events.iter().map(|it| it.name.as_str()));
        let place = top.field("vehicle");
        self.unique(&place, "load_cases", session.vehicle.load_cases.iter().map(|it| it.name.as_str()));
        for (index, case) in session.vehicle.load_cases.iter().enumerate() {
            if case.name == AS_DESCRIBED {
                let bound = "this name is kept for the car without any load";
                self.fault(&place.item("load_cases", index), "name", quoted(&case.name), bound);
            }
        }
        for (name, axle) in [("front", &session.vehicle.front), ("rear", &session.vehicle.rear)] {
            self.known_damper(&place.field(name), &axle.damper);
        }
        if let Some(name) = &session.reference_mode {
            self.known_mode(&top, "reference_mode", name);
        }
    }

    /// Marks of proposed values name something that is there.
    pub(super) fn proposed(&mut self) {
        let (session, top) = (self.session, Place::Top);
        self.count(&top, "proposed", session.proposed.len(), 0, MOST_PROPOSED);
        for (index, mark) in session.proposed.iter().enumerate() {
            if !crate::proposal::is_there(session, mark) {
                let bound = "it must name a number of the car or a member of dampers, modes or events";
                self.fault(&top, format!("proposed[{index}]"), quoted(mark), bound);
            }
        }
    }

    fn known_damper(&mut self, place: &Place<'_>, name: &str) {
        let dampers = &self.session.dampers;
        if !dampers.iter().any(|damper| damper.name == name) {
            let there = listed(dampers.iter().map(|it| it.name.as_str()));
            self.fault(place, "damper", quoted(name), format!("there is no damper of that name (there is {there})"));
        }
    }

    /// A name that must be one of the modes.
    pub(super) fn known_mode(&mut self, place: &Place<'_>, field: &str, name: &str) {
        let modes = &self.session.modes;
        if !modes.iter().any(|mode| mode.name == name) {
            let there = listed(modes.iter().map(|it| it.name.as_str()));
            self.fault(place, field, quoted(name), format!("there is no mode of that name (there is {there})"));
        }
    }

    /// A name that must be one of the events.
    pub(super) fn known_event(&mut self, place: &Place<'_>, field: &str, name: &str) {
        let events = &self.session.events;
        if !events.iter().any(|event| event.name == name) {
            let there = listed(events.iter().map(|it| it.name.as_str()));
            self.fault(place, field, quoted(name), format!("there is no event of that name (there is {there})"));
        }
    }

    /// Names of a list: each fit to be a name and none used twice.
    pub(super) fn unique<'n>(
        &mut self,
        place: &Place<'_>,
        list: &'static str,
        names: impl Iterator<Item = &'n str> + Clone,
    ) {
        let mut seen = std::collections::HashMap::new();
        for (index, name) in names.enumerate() {
            let place = place.item(list, index);
            if let Some(bound) = unfit(name) {
                self.fault(&place, "name", quoted(name), bound);
            } else if let Some(first) = seen.insert(name, index) {
                self.fault(&place, "name", quoted(name), format!("{list}[{first}] has that name already"));
            }
        }
    }
}

/// What is wrong with a text as a name, if anything.
pub(super) fn unfit(name: &str) -> Option<String> {
    if name.trim().is_empty() {
        Some("a name must not be empty".to_owned())
    } else if name.trim() != name {
        Some("a name must not begin or end with a space".to_owned())
    } else if name.chars().any(char::is_control) {
        Some("a name must be one line without control characters".to_owned())
    } else if name.chars().count() > LONGEST_NAME {
        Some(format!("a name must have at most {LONGEST_NAME} characters"))
    } else {
        None
    }
}

/// A name that is free for a new member of a list: the wanted one or, where it is taken, the same with a number behind.
pub fn free_name<'n>(wanted: &str, taken: impl Iterator<Item = &'n str> + Clone) -> String {
    if !taken.clone().any(|name| name == wanted) {
        return wanted.to_owned();
    }
    let numbered = (2..).map(|number| format!("{wanted} {number}"));
    // The list is finite, so that one of its length plus two numbers is free.
    let mut free = numbered.skip_while(|name| taken.clone().any(|other| other == name));
    free.next().unwrap_or_else(|| wanted.to_owned())
}
